// One net carries one circuit, unless a join is declared. Judged on the whole build; each earth point is a net of its own.
#include <algorithm>
#include <tuple>

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

// A point of the net at which both meet: the narrowest place to show. Else the first point of the second circuit.
Index meeting_point(const Judged& in, std::span<const Index> points, uint32_t cell, Index a, Index b) {
  Index fallback = points.front();
  bool found = false;
  for (Index point : points) {
    std::vector<Index> here = circuits_at(in, point, cell);
    bool has_a = std::binary_search(here.begin(), here.end(), a), has_b = std::binary_search(here.begin(), here.end(), b);
    if (has_a && has_b) return point;
    if (has_b && !found) fallback = point, found = true;
  }
  return fallback;
}

Span wire_or_pin_of(const Judged& in, Index point, Index circuit, uint32_t cell) {
  for (Index wire : in.index.wires_at(point))
    if (in.family.wires[wire].circuit == circuit && in.family.holds(in.family.wires[wire].cells, cell))
      return in.spans.wires[wire].circuit;
  for (Index pin : in.index.pins_at(point))
    if (in.family.pins[pin].circuit == circuit && in.family.holds(in.family.pins[pin].cells, cell))
      return in.spans.pins[pin].circuit;
  return {};
}

}  // namespace

void two_circuits(const Judged& in, Report& report) {
  const Family& family = in.family;
  ByCells<std::tuple<Index, Index, Index>> found;
  for (size_t c = 0; c < in.classes.size(); ++c) {
    const Nets& nets = in.builds[c].nets;
    uint32_t cell = in.classes[c].cell;
    for (Index net = 0; net < nets.count(); ++net) {
      report.judged(Rule::two_circuits);
      std::span<const Index> circuits = nets.circuits(net);
      if (circuits.size() < 2) continue;
      auto [a, b] = strangers(family, circuits);
      if (a == none || in.faults.circuits.count({cell, a}) || in.faults.circuits.count({cell, b})) continue;
      Index point = meeting_point(in, nets.points(net), cell, a, b);
      found.add({point, a, b}, in.classes[c].cells);
    }
  }
  found.tell([&](const auto& key, const CellSet& cells) {
    auto [point, a, b] = key;
    for (uint32_t cell : cells.cells()) {
      in.faults.circuits.insert({cell, a});
      in.faults.circuits.insert({cell, b});
    }
    uint32_t cell = cells.lowest();
    Span first = wire_or_pin_of(in, point, a, cell), second = wire_or_pin_of(in, point, b, cell);
    Span at = second.known() ? second : first.known() ? first : in.spans.family;
    report.add<Rule::two_circuits>(at, in.circuit_id(a), in.circuit_id(b), in.cells_words(cells))
        .label(first.known() && !(first == at) ? first : Span{}, "meets this one at " + in.point_words(point))
        .help("if that is meant, say `joins: [" + std::string(in.circuit_id(b)) + "]` at circuit `" +
              std::string(in.circuit_id(a)) + "`");
  });
}

}  // namespace loomproof::checks
