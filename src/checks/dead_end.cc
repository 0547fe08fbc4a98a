// A wire that runs to an open, empty or missing cavity of its partner ends dead, unless it is a spare.
#include <algorithm>
#include <map>
#include <set>

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
  ByCells<Index> dead;                             // points
  std::map<Index, std::vector<std::string>> whys;  // of each: one a partner
  std::map<Index, std::set<Index>> mates_of;       // of each: cavities that are there in other cells
  std::vector<std::pair<CellSet, Index>> broken;   // noted at the end: two ends of one circuit are both told
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
        const std::vector<Index> circuits = circuits_at(in, point, cell);
        if (why.empty() || is_told(in, circuits, cell)) continue;
        dead.add(point, in.classes[c].cells);
        if (std::vector<std::string>& all = whys[point]; std::find(all.begin(), all.end(), why) == all.end())
          all.push_back(std::move(why));
        for (const Mate& mate : mates)
          if (mate.point != none) mates_of[point].insert(mate.point);
        for (Index circuit : circuits) broken.emplace_back(in.classes[c].cells, circuit);
      }
    }
  }
  for (const auto& [cells, circuit] : broken) in.faults.broken(cells, circuit);
  dead.tell([&](Index point, const CellSet& cells) {
    Index shown = none;
    for (Index wire : in.index.wires_at(point))
      if (shown == none && family.set(family.wires[wire].cells).meets(cells)) shown = wire;
    const std::vector<std::string>& why = whys[point];
    auto finding = report.add<Rule::dead_end>(
        in.wire_end_span(shown, point), in.circuit_id(family.wires[shown].circuit), in.point_words(point), why.front());
    for (Index mate : mates_of[point]) in.label_elsewhere(mate, cells, finding);
    for (size_t i = 1; i < why.size(); ++i) finding.help("and " + why[i]);
    finding.help("in " + in.cells_words(cells)).help("wire the other side, or say `spare: why` on this wire");
  });
}

}  // namespace loomproof::checks
