// An earth point or a lead holds a wire wherever it is: one that none reaches is a row that was lost, or a stray id.
#include "checks/all.h"

namespace loomproof::checks {

namespace {

struct LoneJoint {
  std::string_view kind;
  Index point;
  Cells cells;
  Span span;
};

}  // namespace

void lone_end(const Judged& in, Report& report) {
  const Family& family = in.family;
  std::vector<LoneJoint> joints;
  for (Index i = 0; i < family.earths.size(); ++i)
    joints.push_back({"earth point", family.earths[i].point, family.earths[i].cells, in.spans.earths[i]});
  for (Index i = 0; i < family.leads.size(); ++i)
    joints.push_back({"lead", family.leads[i].point, family.leads[i].cells, in.spans.leads[i]});
  for (const LoneJoint& joint : joints) {
    report.judged(Rule::lone_end);
    CellSet bare = family.set(joint.cells) & in.built;
    for (Index wire : in.index.wires_at(joint.point)) bare -= family.set(family.wires[wire].cells);
    if (bare.empty()) continue;
    auto finding =
        report.add<Rule::lone_end>(joint.span, joint.kind, point_name(family, joint.point), in.cells_words(bare));
    finding.help("wire it, or limit it with `eras` or `with` to where it is");
    in.label_elsewhere(joint.point, bare, finding);
    for (Index wire : in.index.wires_at(joint.point)) in.faults.broken(bare, family.wires[wire].circuit);
  }
}

}  // namespace loomproof::checks
