// A splice joins two wires or more wherever it is.
#include "checks/all.h"

namespace loomproof::checks {

void lone_splice(const Judged& in, Report& report) {
  const Family& family = in.family;
  for (Index i = 0; i < family.splices.size(); ++i) {
    const Splice& splice = family.splices[i];
    CellSet one, none_at_all;
    bool ever = false;
    for (const CellClass& each : in.classes) {
      if (!family.holds(splice.cells, each.cell)) continue;
      report.judged(Rule::lone_splice);
      uint32_t count = 0;
      for (Index wire : in.index.wires_at(splice.point)) count += family.holds(family.wires[wire].cells, each.cell);
      ever |= count > 1;
      if (count == 1) one |= each.cells;
      if (count == 0) none_at_all |= each.cells;
    }
    // A splice that no wire reaches in some cells is simply not there; one that no wire ever joins is a slip.
    CellSet lone = ever ? one : one | none_at_all;
    if (lone.empty()) continue;
    for (Index wire : in.index.wires_at(splice.point)) in.faults.broken(lone, family.wires[wire].circuit);
    auto finding = report.add<Rule::lone_splice>(in.spans.splices[i], point_name(family, splice.point),
                                                 one.empty() ? "no wire" : "one wire alone", in.cells_words(lone));
    for (Index wire : in.index.wires_at(splice.point))
      if (family.set(family.wires[wire].cells).meets(lone))
        finding.label(in.wire_end_span(wire, splice.point), "this wire");
  }
}

}  // namespace loomproof::checks
