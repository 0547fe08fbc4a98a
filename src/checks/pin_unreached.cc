// A pin that gives or needs something faces a wired cavity in every build, unless the part works without it.
#include <map>
#include <vector>

#include "checks/all.h"
#include "checks/circuits.h"

namespace loomproof::checks {

namespace {

// The cavity of a loom that meets a pin.
void label_mates(const Judged& in, Index pin, const CellSet& cells, FindingBuilder& finding) {
  for (size_t c = 0; c < in.classes.size(); ++c) {
    if (!in.classes[c].cells.meets(cells)) continue;
    for (const Mate& mate : in.builds[c].plugged.mates(in.family.pins[pin].point))
      if (mate.point != none) in.label_elsewhere(mate.point, cells, finding);
    return;
  }
}

void tell_unreached(const Judged& in, const std::vector<std::pair<Index, CellSet>>& pins, Report& report) {
  const auto& [first, cells] = pins.front();
  const Pin& row = in.family.pins[first];
  const std::string circuit =
      row.circuit == none ? std::string(word(row.role)) : std::string(in.circuit_id(row.circuit));
  auto finding = report.add<Rule::pin_unreached>(in.spans.pins[first].cavity, in.point_words(row.point), circuit,
                                                 in.cells_words(cells));
  label_mates(in, first, cells, finding);
  for (size_t i = 1; i < pins.size(); ++i)
    finding.label(in.spans.pins[pins[i].first].cavity,
                  "nor does one reach this pin in " + in.cells_words(pins[i].second));
  finding.help("wire it, or say `needed: false` where the part works without it");
}

}  // namespace

void pin_unreached(const Judged& in, Report& report) {
  const Family& family = in.family;
  ByCells<Index> unreached;
  for (size_t c = 0; c < in.classes.size(); ++c) {
    uint32_t cell = in.classes[c].cell;
    for (Index part : in.builds[c].parts) {
      if (part == none) continue;
      Range range = family.parts[part].pins;
      for (Index pin = range.first; pin < range.end(); ++pin) {
        const Pin& row = family.pins[pin];
        if (!family.holds(row.cells, cell) || row.optional || row.role == Role::open || row.role == Role::unknown)
          continue;
        report.judged(Rule::pin_unreached);
        const std::span<const Mate> mates = in.builds[c].plugged.mates(row.point);
        bool missing = !mates.empty();
        for (const Mate& mate : mates) {
          if (mate.point != none) {
            missing &= reached(in, mate.point, cell) == Reached::no;
          } else {
            Index rest_row = connector_row_in(family, mate.connector, cell);
            missing &= rest_row == none || rest_state(family.connector_rows[rest_row].rest).state != State::unknown;
          }
        }
        if (!missing || in.faults.circuits.count({cell, row.circuit})) continue;
        unreached.add(pin, in.classes[c].cells);
      }
    }
  }
  // What several parts of a place, or both ends of a lost wire, miss is one circuit, told once.
  std::map<std::pair<Index, Index>, std::vector<std::pair<Index, CellSet>>> by_circuit;  // circuit, or the pin itself
  unreached.tell([&](Index pin, const CellSet& cells) {
    const Index circuit = family.pins[pin].circuit;
    if (circuit != none) in.faults.broken(cells, circuit);
    by_circuit[{circuit, circuit == none ? pin : none}].emplace_back(pin, cells);
  });
  for (const auto& [circuit, pins] : by_circuit) tell_unreached(in, pins, report);
}

}  // namespace loomproof::checks
