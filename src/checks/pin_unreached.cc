// A pin that gives or needs something faces a wired cavity in every build, unless the part works without it.
#include "checks/all.h"
#include "checks/circuits.h"

namespace loomproof::checks {

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
  unreached.tell([&](Index pin, const CellSet& cells) {
    const Pin& row = family.pins[pin];
    for (uint32_t cell : cells.cells()) in.faults.circuits.insert({cell, row.circuit});
    std::string circuit = row.circuit == none ? std::string(word(row.role)) : std::string(in.circuit_id(row.circuit));
    report
        .add<Rule::pin_unreached>(in.spans.pins[pin].cavity, in.point_words(row.point), circuit, in.cells_words(cells))
        .help("wire it, or say `needed: false` where the part works without it");
  });
}

}  // namespace loomproof::checks
