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

// Whether no row at either point, in whatever cell, names a second circuit.
bool is_one_circuit(const Judged& in, Index left, Index right) {
  Index one = none;
  const auto is_it = [&](Index circuit) {
    if (one == none) one = circuit;
    return circuit == none || circuit == one;
  };
  for (Index point : {left, right}) {
    for (Index wire : in.index.wires_at(point))
      if (!is_it(in.family.wires[wire].circuit)) return false;
    for (Index pin : in.index.pins_at(point))
      if (!is_it(in.family.pins[pin].circuit)) return false;
  }
  return true;
}

// One cavity of a mated pair whose sides disagree.
struct Seam {
  Index left, right;  // points
  std::vector<Index> left_circuits, right_circuits;
  bool operator<(const Seam& other) const {
    return std::tie(left, right, left_circuits, right_circuits) <
           std::tie(other.left, other.right, other.left_circuits, other.right_circuits);
  }
  // The same two circuits, whichever stands on which side.
  bool is_same_pair(const Seam& o) const {
    return (left_circuits == o.left_circuits && right_circuits == o.right_circuits) || is_reverse(o);
  }
  bool shares_cavity(const Seam& o) const {
    return left == o.left || left == o.right || right == o.left || right == o.right;
  }
  bool is_reverse(const Seam& o) const {
    return left_circuits == o.right_circuits && right_circuits == o.left_circuits;
  }
};

// Seams that one slip explains: a misnamed wire is wrong at both of its ends and before each part that its plug meets,
// two exchanged ones at two cavities.
struct Slip {
  std::vector<Seam> seams;
  CellSet cells;
};

std::vector<Slip> slips(const ByCells<Seam>& seams) {
  std::vector<Slip> all;
  seams.tell([&](const Seam& seam, const CellSet& cells) {
    const auto same = std::find_if(all.begin(), all.end(), [&](const Slip& slip) {
      const Seam& first = slip.seams.front();
      return first.is_same_pair(seam) && (slip.cells.meets(cells) || first.shares_cavity(seam));
    });
    if (same == all.end()) {
      all.push_back({{seam}, cells});
      return;
    }
    same->seams.push_back(seam);
    same->cells |= cells;
  });
  return all;
}

// The one part that every seam of a slip is on, where there is one: what is wrong is likely there.
Index suspect(const Family& family, const Slip& slip) {
  const auto is_on_all = [&](Index part) {
    return std::all_of(slip.seams.begin(), slip.seams.end(), [&](const Seam& seam) {
      return family.points[seam.left].part == part || family.points[seam.right].part == part;
    });
  };
  const Index left = family.points[slip.seams.front().left].part, right = family.points[slip.seams.front().right].part;
  if (is_on_all(left) == is_on_all(right)) return none;
  return is_on_all(left) ? left : right;
}

void tell(const Judged& in, const Slip& slip, Report& report) {
  const Family& family = in.family;
  const auto span_at = [&](Index point) { return circuit_span_at(in, point, slip.cells.lowest()); };
  Seam first = slip.seams.front();
  if (suspect(family, slip) == family.points[first.right].part) {
    std::swap(first.left, first.right);
    std::swap(first.left_circuits, first.right_circuits);
  }
  auto finding = report.add<Rule::plug_circuits_differ>(
      span_at(first.left), point_name(family, first.left), circuit_words(in, first.left_circuits),
      in.part_id(family.points[first.left].part), circuit_words(in, first.right_circuits),
      in.part_id(family.points[first.right].part));
  finding.label(span_at(first.right), "the other side");
  for (size_t i = 1; i < slip.seams.size(); ++i) {
    const Seam& seam = slip.seams[i];
    const bool exchanged = seam.is_reverse(slip.seams.front()) &&
                           family.points[seam.left].connector == family.points[slip.seams.front().left].connector;
    finding.label(span_at(seam.left), exchanged ? "here the other way round" : "the same two meet here");
    if (exchanged) finding.help("one side has these two exchanged");
  }
  finding.help("in " + in.cells_words(slip.cells));
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
      for_cavities(in.index, mating.connector_a, mating.connector_b, [&](Index left, Index right) {
        if (left == none || right == none) return;
        report.judged(Rule::plug_circuits_differ);
        if (is_one_circuit(in, left, right)) return;
        std::vector<Index> a = circuits_at(in, left, cell), b = circuits_at(in, right, cell);
        if (a.empty() || b.empty() || agree(family, a, b)) return;
        a = circuits_of_part_net(in, left, cell);
        b = circuits_of_part_net(in, right, cell);
        if (agree(family, a, b)) return;
        for (uint32_t each : in.classes[c].cells.cells()) {
          for (Index circuit : a) in.faults.circuits.insert({each, circuit});
          for (Index circuit : b) in.faults.circuits.insert({each, circuit});
        }
        seams.add({left, right, a, b}, in.classes[c].cells);
      });
    }
  }
  for (const Slip& slip : slips(seams)) tell(in, slip, report);
}

}  // namespace loomproof::checks
