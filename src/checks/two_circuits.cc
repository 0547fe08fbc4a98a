// One net carries one circuit, unless a join is declared. Judged on the whole build; each earth point is a net of its
// own.
#include <algorithm>
#include <map>
#include <tuple>
#include <vector>

#include "checks/all.h"
#include "checks/circuits.h"

namespace loomproof::checks {

namespace {

// Two circuits of the net that do not belong together, if there are any.
std::pair<Index, Index> strangers(const Family& family, std::span<const Index> circuits) {
  std::vector<Index> group(circuits.begin(), circuits.end());
  for (size_t i = 0; i < circuits.size(); ++i)
    for (size_t j = 0; j < i; ++j) {
      if (!go_together(family, circuits[i], circuits[j])) continue;
      Index from = group[i], to = group[j];
      std::replace(group.begin(), group.end(), from, to);
    }
  for (size_t i = 1; i < group.size(); ++i)
    if (group[i] != group[0]) return {circuits[0], circuits[i]};
  return {none, none};
}

// Where two circuits of a net meet: the narrowest place to show.
struct Meeting {
  Index strap = none;  // inside a part, with one circuit at either end; else
  Index point = none;  // one at which both are, else the first of the second circuit
  auto operator<=>(const Meeting&) const = default;
};

bool has(const std::vector<Index>& circuits, Index circuit) {
  return std::binary_search(circuits.begin(), circuits.end(), circuit);
}

Meeting meeting_of(const Judged& in, std::span<const Index> points, uint32_t cell, Index a, Index b) {
  Meeting fallback{none, points.front()};
  bool found = false;
  for (Index point : points) {
    const std::vector<Index> here = circuits_at(in, point, cell);
    if (has(here, a) && has(here, b)) return {none, point};
    if (has(here, b) && !found) fallback.point = point, found = true;
    for (Index inside : in.index.insides_at(point)) {
      const Inside& row = in.family.insides[inside];
      const bool joins = row.kind == InsideKind::strap || row.kind == InsideKind::link;
      if (!joins || row.a != point || !in.family.holds(row.cells, cell)) continue;
      const std::vector<Index> there = circuits_at(in, row.b, cell);
      if ((has(here, a) && has(there, b)) || (has(here, b) && has(there, a))) return {inside, point};
    }
  }
  return fallback;
}

// Rows of a circuit on a net: of two that meet, the one with fewer is more likely the stranger.
size_t rows_of(const Judged& in, std::span<const Index> points, Index circuit, uint32_t cell) {
  size_t count = 0;
  for (Index point : points) {
    for (Index wire : in.index.wires_at(point))
      count += in.family.wires[wire].circuit == circuit && in.family.holds(in.family.wires[wire].cells, cell);
    for (Index pin : in.index.pins_at(point))
      count += in.family.pins[pin].circuit == circuit && in.family.holds(in.family.pins[pin].cells, cell);
    for (const Joint& joint : joints_at(in, point, cell)) count += joint.circuit == circuit;
  }
  return count;
}

Span row_of(const Judged& in, Index point, Index circuit, uint32_t cell) {
  for (Index wire : in.index.wires_at(point))
    if (in.family.wires[wire].circuit == circuit && in.family.holds(in.family.wires[wire].cells, cell))
      return in.spans.wires[wire].circuit;
  for (Index pin : in.index.pins_at(point))
    if (in.family.pins[pin].circuit == circuit && in.family.holds(in.family.pins[pin].cells, cell))
      return in.spans.pins[pin].circuit;
  for (const Joint& joint : joints_at(in, point, cell))
    if (joint.circuit == circuit) return joint.span;
  return {};
}

struct Found {
  Meeting meeting;
  Index resident = none, stranger = none;  // circuits
  auto operator<=>(const Found&) const = default;
};

// Where a meeting is shown.
Span span_of(const Judged& in, const Found& found, uint32_t cell) {
  if (found.meeting.strap != none) return in.spans.insides[found.meeting.strap];
  return row_of(in, found.meeting.point, found.stranger, cell);
}

// Where the family says that the two are to be kept apart; null where it does not.
const Apart* apart_of(const Family& family, Index a, Index b) {
  for (const Apart& row : family.aparts)
    if (std::minmax(row.circuit, row.other) == std::minmax(a, b)) return &row;
  return nullptr;
}

// The same two circuits may meet at several places: two ends that were exchanged do so twice.
void tell(const Judged& in, const std::vector<std::pair<Found, CellSet>>& same, Report& report) {
  const auto& [found, cells] = same.front();
  const uint32_t cell = cells.lowest();
  const auto [meeting, resident, stranger] = found;
  const Span at = row_of(in, meeting.point, stranger, cell);
  const Span other = row_of(in, meeting.point, resident, cell);
  const Span shown = meeting.strap != none ? in.spans.insides[meeting.strap] : at.known() ? at : in.spans.family;
  auto finding =
      report.add<Rule::two_circuits>(shown, in.circuit_id(stranger), in.circuit_id(resident), in.cells_words(cells));
  if (meeting.strap != none) {
    const Inside& row = in.family.insides[meeting.strap];
    finding.label(circuit_span_at(in, row.a, cell), "joined to").label(circuit_span_at(in, row.b, cell), "this one");
  } else if (other.known() && !(other == shown)) {
    finding.label(other, "meets this one at " + in.point_words(meeting.point));
  }
  for (size_t i = 1; i < same.size(); ++i)
    finding.label(span_of(in, same[i].first, same[i].second.lowest()), "these two meet here as well");
  if (is_firing(in.family, stranger) || is_firing(in.family, resident)) {
    finding.help("a firing circuit is joined to nothing: check it against the maker's manual");
    return;
  }
  if (const Apart* apart = apart_of(in.family, stranger, resident)) {
    finding.help(fmt::format("they are to be kept apart: {}", in.id(apart->because)));
    return;
  }
  finding.help(fmt::format("if that is meant, say `joins: [{}]` at circuit `{}`", in.circuit_id(resident),
                           in.circuit_id(stranger)));
}

}  // namespace

void two_circuits(const Judged& in, Report& report) {
  ByCells<Found> found;
  for (size_t c = 0; c < in.classes.size(); ++c) {
    const Nets& nets = in.builds[c].nets;
    const uint32_t cell = in.classes[c].cell;
    for (Index net = 0; net < nets.count(); ++net) {
      report.judged(Rule::two_circuits);
      const std::span<const Index> circuits = nets.circuits(net), points = nets.points(net);
      if (circuits.size() < 2) continue;
      auto [a, b] = strangers(in.family, circuits);
      if (a == none || in.faults.circuits.count({cell, a}) || in.faults.circuits.count({cell, b})) continue;
      const bool fires = is_firing(in.family, a) || is_firing(in.family, b);
      if (fires &&
          std::any_of(points.begin(), points.end(), [&](Index point) { return no_end_of_firing(in, point, cell); })) {
        // Where a firing circuit ends is the worse of the two: firing.cc tells it.
        for (Index circuit : {a, b}) in.faults.broken(in.classes[c].cells, circuit);
        continue;
      }
      const Meeting meeting = meeting_of(in, points, cell, a, b);
      if (rows_of(in, points, a, cell) < rows_of(in, points, b, cell)) std::swap(a, b);
      found.add({meeting, a, b}, in.classes[c].cells);
    }
  }
  std::map<std::pair<Index, Index>, std::vector<std::pair<Found, CellSet>>> by_pair;
  found.tell([&](const Found& each, const CellSet& cells) {
    for (Index circuit : {each.resident, each.stranger}) in.faults.broken(cells, circuit);
    by_pair[std::minmax(each.resident, each.stranger)].emplace_back(each, cells);
  });
  for (const auto& [pair, same] : by_pair) tell(in, same, report);
}

}  // namespace loomproof::checks
