// A wire that runs to an open, empty or missing cavity of its partner ends dead, unless it is a spare.
#include "checks/all.h"
#include "checks/circuits.h"

namespace loomproof::checks {

namespace {

bool is_spare(const Judged& in, Index point, uint32_t cell) {
  for (Index wire : in.index.wires_at(point))
    if (in.family.holds(in.family.wires[wire].cells, cell) && in.family.wires[wire].spare == 0) return false;
  return true;
}

// What is at the mate, where that makes a dead end; empty where it does not.
std::string why_dead(const Judged& in, std::span<const Mate> mates, uint32_t cell, std::string_view number) {
  std::string why;
  for (const Mate& mate : mates) {
    CavityState state;
    if (mate.point != none)
      state = in.states.at(mate.point, cell);
    else if (const Index row = connector_row_in(in.family, mate.connector, cell); row != none)
      state = rest_state(in.family.connector_rows[row].rest);
    if (state.state == State::wired && state.role != Role::open) return {};
    if (state.state == State::unknown || state.state == State::disputed) return {};
    why = fmt::format("cavity {} of {} is {}", number, in.connector_words(mate.connector),
                      state.role == Role::open       ? "open inside"
                      : state.state == State::sealed ? "sealed"
                                                     : "empty");
  }
  return why;
}

}  // namespace

void dead_end(const Judged& in, Report& report) {
  const Family& family = in.family;
  ByCells<std::pair<Index, std::string>> dead;
  for (size_t c = 0; c < in.classes.size(); ++c) {
    uint32_t cell = in.classes[c].cell;
    for (Index part : in.builds[c].parts) {
      if (part == none || family.parts[part].wires.count == 0) continue;
      Range range = family.parts[part].points;
      for (Index point = range.first; point < range.end(); ++point) {
        if (family.points[point].kind != PointKind::cavity) continue;
        if (in.index.wires_at(point).empty() || reached(in, point, cell) != Reached::yes) continue;
        report.judged(Rule::dead_end);
        const std::span<const Mate> mates = in.builds[c].plugged.mates(point);
        if (mates.empty() || is_spare(in, point, cell)) continue;
        std::string why = why_dead(in, mates, cell, in.id(family.points[point].name));
        if (why.empty()) continue;
        dead.add({point, why}, in.classes[c].cells);
        for (Index circuit : circuits_at(in, point, cell))
          for (uint32_t each : in.classes[c].cells.cells()) in.faults.circuits.insert({each, circuit});
      }
    }
  }
  dead.tell([&](const auto& key, const CellSet& cells) {
    const auto& [point, why] = key;
    Index shown = none;
    for (Index wire : in.index.wires_at(point))
      if (shown == none && family.set(family.wires[wire].cells).meets(cells)) shown = wire;
    report
        .add<Rule::dead_end>(in.wire_end_span(shown, point), in.circuit_id(family.wires[shown].circuit),
                             in.point_words(point), why)
        .help("in " + in.cells_words(cells))
        .help("wire the other side, or say `spare: why` on this wire");
  });
}

}  // namespace loomproof::checks
