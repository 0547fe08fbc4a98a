// Both sides of a plug agree, cavity by cavity, on the circuit: judged on each side's own nets, not on wire labels.
#include <algorithm>
#include <tuple>

#include "checks/all.h"
#include "checks/circuits.h"

namespace loomproof::checks {

namespace {

bool agree(const Family& family, const std::vector<Index>& left, const std::vector<Index>& right) {
  for (Index a : left)
    for (Index b : right)
      if (go_together(family, a, b)) return true;
  return false;
}

struct Seam {
  Index left, right;  // points
  std::vector<Index> left_circuits, right_circuits;
  bool operator<(const Seam& other) const {
    return std::tie(left, right, left_circuits, right_circuits) <
           std::tie(other.left, other.right, other.left_circuits, other.right_circuits);
  }
};

void tell(const Judged& in, const Seam& seam, const CellSet& cells, const Seam* exchanged, Report& report) {
  auto finding = report.add<Rule::plug_circuits_differ>(
      circuit_span_at(in, seam.left, cells.lowest()), point_name(in.family, seam.left),
      circuit_words(in, seam.left_circuits), in.part_id(in.family.points[seam.left].part),
      circuit_words(in, seam.right_circuits), in.part_id(in.family.points[seam.right].part));
  finding.label(circuit_span_at(in, seam.right, cells.lowest()), "the other side");
  if (exchanged)
    finding.help(fmt::format("cavity `{}` carries the same two the other way round: one side has them exchanged",
                             point_name(in.family, exchanged->left)));
  finding.help("in " + in.cells_words(cells));
}

}  // namespace

void plug_circuits_differ(const Judged& in, Report& report) {
  const Family& family = in.family;
  ByCells<Seam> seams;
  for (size_t c = 0; c < in.classes.size(); ++c) {
    uint32_t cell = in.classes[c].cell;
    const Plugged& plugged = in.builds[c].plugged;
    for (size_t m = 0; m < plugged.matings().size(); ++m) {
      const Mating& mating = plugged.matings()[m];
      for (Index left : in.index.points_of(mating.connector_a)) {
        Index right = in.index.cavity_point(mating.connector_b, family.points[left].name);
        if (right == none) continue;
        report.judged(Rule::plug_circuits_differ);
        std::vector<Index> a = circuits_at(in, left, cell), b = circuits_at(in, right, cell);
        if (a.empty() || b.empty() || agree(family, a, b)) continue;
        a = circuits_of_part_net(in, left, cell);
        b = circuits_of_part_net(in, right, cell);
        if (agree(family, a, b)) continue;
        for (uint32_t each : in.classes[c].cells.cells()) {
          for (Index circuit : a) in.faults.circuits.insert({each, circuit});
          for (Index circuit : b) in.faults.circuits.insert({each, circuit});
        }
        seams.add({left, right, a, b}, in.classes[c].cells);
      }
    }
  }
  std::vector<std::pair<Seam, CellSet>> all;
  seams.tell([&](const Seam& seam, const CellSet& cells) { all.push_back({seam, cells}); });
  std::vector<bool> told(all.size(), false);
  for (size_t i = 0; i < all.size(); ++i) {
    if (told[i]) continue;
    const Seam* exchanged = nullptr;
    for (size_t j = i + 1; j < all.size() && !exchanged; ++j)
      if (!told[j] && all[j].second == all[i].second && all[j].first.left_circuits == all[i].first.right_circuits &&
          all[j].first.right_circuits == all[i].first.left_circuits &&
          family.points[all[j].first.left].connector == family.points[all[i].first.left].connector) {
        exchanged = &all[j].first;
        told[j] = true;
      }
    tell(in, all[i].first, all[i].second, exchanged, report);
  }
}

}  // namespace loomproof::checks
