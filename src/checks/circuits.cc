#include "checks/circuits.h"

#include <algorithm>

namespace loomproof::checks {

std::vector<Joint> joints_at(const Judged& in, Index point, uint32_t cell) {
  std::vector<Joint> joints;
  const PointKind kind = in.family.points[point].kind;
  if (kind == PointKind::lead)
    for (Index lead = 0; lead < in.family.leads.size(); ++lead) {
      const Lead& row = in.family.leads[lead];
      if (row.point == point && in.family.holds(row.cells, cell)) joints.push_back({row.circuit, in.spans.leads[lead]});
    }
  if (kind == PointKind::earth)
    for (Index earth = 0; earth < in.family.earths.size(); ++earth) {
      const Earth& row = in.family.earths[earth];
      if (row.point == point && in.family.holds(row.cells, cell))
        joints.push_back({row.circuit, in.spans.earths[earth]});
    }
  return joints;
}

std::vector<Index> circuits_at(const Judged& in, Index point, uint32_t cell) {
  std::vector<Index> circuits;
  for (Index wire : in.index.wires_at(point))
    if (in.family.holds(in.family.wires[wire].cells, cell)) circuits.push_back(in.family.wires[wire].circuit);
  for (Index pin : in.index.pins_at(point))
    if (in.family.holds(in.family.pins[pin].cells, cell) && in.family.pins[pin].circuit != none)
      circuits.push_back(in.family.pins[pin].circuit);
  for (const Joint& joint : joints_at(in, point, cell))
    if (joint.circuit != none) circuits.push_back(joint.circuit);
  std::sort(circuits.begin(), circuits.end());
  circuits.erase(std::unique(circuits.begin(), circuits.end()), circuits.end());
  return circuits;
}

std::vector<Index> circuits_of_part_net(const Judged& in, Index point, uint32_t cell) {
  Nets nets = part_nets(in.family, in.family.points[point].part, cell);
  if (nets.net(point) == none) return {};
  std::span<const Index> circuits = nets.circuits(nets.net(point));
  return {circuits.begin(), circuits.end()};
}

bool is_told(const Judged& in, const std::vector<Index>& circuits, uint32_t cell) {
  return std::any_of(circuits.begin(), circuits.end(), [&](Index circuit) {
    return in.faults.circuits.count({cell, circuit}) != 0;
  });
}

std::string circuit_words(const Judged& in, const std::vector<Index>& circuits) {
  if (circuits.empty()) return "nothing";
  std::string words;
  for (size_t i = 0; i < circuits.size(); ++i) {
    if (i > 0) words += i + 1 == circuits.size() ? " and " : ", ";
    words += "`" + std::string(in.circuit_id(circuits[i])) + "`";
  }
  return words;
}

Span circuit_span_at(const Judged& in, Index point, uint32_t cell) {
  for (Index wire : in.index.wires_at(point))
    if (in.family.holds(in.family.wires[wire].cells, cell)) return in.wire_end_span(wire, point);
  for (Index pin : in.index.pins_at(point))
    if (in.family.holds(in.family.pins[pin].cells, cell)) return in.spans.pins[pin].circuit;
  for (Index row : in.index.cavity_rows_at(point))
    if (in.family.holds(in.family.cavity_rows[row].cells, cell)) return in.spans.cavity_rows[row];
  Index row = connector_row_in(in.family, in.family.points[point].connector, cell);
  return row == none ? Span{} : in.spans.connector_rows[row].designator;
}

bool is_firing(Role role) {
  return role == Role::gives_firing || role == Role::takes_firing;
}

bool no_end_of_firing(const Judged& in, Index point, uint32_t cell) {
  if (in.family.points[point].kind == PointKind::earth) return true;
  if (in.family.points[point].kind == PointKind::lead)
    return std::any_of(in.family.leads.begin(), in.family.leads.end(), [&](const Lead& lead) {
      return lead.point == point && in.family.holds(lead.cells, cell) && !is_firing(lead.role);
    });
  const std::span<const Index> pins = in.index.pins_at(point);
  return std::any_of(pins.begin(), pins.end(), [&](Index pin) {
    const Pin& row = in.family.pins[pin];
    const bool passes = row.role == Role::passes && is_firing(in.family, row.circuit);
    return in.family.holds(row.cells, cell) && !is_firing(row.role) && !passes && row.role != Role::open;
  });
}

Reached reached(const Judged& in, Index point, uint32_t cell) {
  const CavityState state = in.states.at(point, cell);
  if (state.state == State::unknown || state.state == State::disputed || state.role == Role::unknown)
    return Reached::unknown;
  return state.state == State::wired ? Reached::yes : Reached::no;
}

}  // namespace loomproof::checks
