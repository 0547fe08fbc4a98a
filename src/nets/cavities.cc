#include "nets/cavities.h"

#include <algorithm>
#include <utility>

namespace loomproof {
namespace {

Index first_in(const auto& table, std::span<const Index> candidates, const Family& family, uint32_t cell) {
  for (Index row : candidates)
    if (family.holds(table[row].cells, cell)) return row;
  return none;
}

bool is_wired(const FamilyIndex& index, uint32_t cell, Index point) {
  const Family& family = index.family();
  const std::span<const Index> wires = index.wires_at(point);
  return std::any_of(wires.begin(), wires.end(),
                     [&](Index wire) { return family.holds(family.wires[wire].cells, cell); });
}

CavityState pin_state(const Pin& pin) {
  if (pin.role == Role::open) return {State::empty, Role::open};
  if (pin.role == Role::unknown && pin.circuit == none) return {State::unknown, Role::unknown};
  return {State::wired, pin.role};
}

// What the first of these rows that there is says, in this order: wire, pin, cavity row.
CavityState state_of(const Family& family, bool wired, Index pin, Index cavity_row, Rest rest) {
  if (wired) return {State::wired, pin == none ? Role::unset : family.pins[pin].role};
  if (pin != none) return pin_state(family.pins[pin]);
  if (cavity_row != none) return {family.cavity_rows[cavity_row].state, Role::unset};
  return rest_state(rest);
}

// State and contents of a cavity whose connector, number and point are set.
void look(const FamilyIndex& index, uint32_t cell, Rest rest, Cavity& cavity) {
  const Family& family = index.family();
  cavity.state = rest_state(rest);
  if (cavity.point == none) return;
  for (Index wire : index.wires_at(cavity.point))
    if (family.holds(family.wires[wire].cells, cell)) cavity.wires.push_back(wire);
  cavity.pin = first_in(family.pins, index.pins_at(cavity.point), family, cell);
  cavity.cavity_row = first_in(family.cavity_rows, index.cavity_rows_at(cavity.point), family, cell);
  cavity.state = state_of(family, !cavity.wires.empty(), cavity.pin, cavity.cavity_row, rest);
}

Rest rest_in(const Family& family, Index connector, uint32_t cell) {
  const Index row = connector_row_in(family, connector, cell);
  return row == none ? Rest::unset : family.connector_rows[row].rest;
}

Index housing_cavity_of(const Family& family, Index connector_row, Str number) {
  if (connector_row == none) return none;
  const Index housing = family.connector_rows[connector_row].housing;
  if (housing == none) return none;
  const Range range = family.housings[housing].cavities;
  for (Index cavity = range.first; cavity < range.end(); ++cavity)
    if (family.housing_cavities[cavity].number == number) return cavity;
  return none;
}

void sort_unique(std::vector<Index>& list) {
  std::sort(list.begin(), list.end());
  list.erase(std::unique(list.begin(), list.end()), list.end());
}

}  // namespace

CavityState rest_state(Rest rest) {
  switch (rest) {
    case Rest::empty:
      return {State::empty, Role::unset};
    case Rest::open:
      return {State::empty, Role::open};
    case Rest::unset:
    case Rest::unknown:
      break;
  }
  return {State::unknown, Role::unset};
}

Cavity cavity_at(const FamilyIndex& index, uint32_t cell, Index point) {
  const Point& row = index.family().points[point];
  return cavity_at(index, cell, row.connector, row.name);
}

Cavity cavity_at(const FamilyIndex& index, uint32_t cell, Index connector, Str number) {
  const Family& family = index.family();
  const Index row = connector_row_in(family, connector, cell);
  Cavity cavity{connector, number, housing_cavity_of(family, row, number), index.cavity_point(connector, number)};
  look(index, cell, row == none ? Rest::unset : family.connector_rows[row].rest, cavity);
  return cavity;
}

CavityState cavity_state(const FamilyIndex& index, uint32_t cell, Index point) {
  const Family& family = index.family();
  return state_of(family, is_wired(index, cell, point), first_in(family.pins, index.pins_at(point), family, cell),
                  first_in(family.cavity_rows, index.cavity_rows_at(point), family, cell),
                  rest_in(family, family.points[point].connector, cell));
}

namespace {

// All cells of the family, parted by the rows at a cavity and those of its connector.
std::vector<CellSet> cells_by_rows(const FamilyIndex& index, const CellSet& all, Index point) {
  const Family& family = index.family();
  std::vector<CellSet> classes{all};
  Cells last = none;  // most rows of a cavity hold in the same cells
  const auto part_by = [&](Cells cells) {
    if (std::exchange(last, cells) == cells) return;
    const size_t count = classes.size();
    for (size_t i = 0; i < count; ++i) {
      const CellSet inside = classes[i] & family.set(cells);
      if (inside.empty() || inside == classes[i]) continue;
      classes.push_back(classes[i] - inside);
      classes[i] = inside;
    }
  };
  for (const ConnectorRow& row : rows(family.connector_rows, family.connectors[family.points[point].connector].rows))
    part_by(row.cells);
  for (Index wire : index.wires_at(point)) part_by(family.wires[wire].cells);
  for (Index pin : index.pins_at(point)) part_by(family.pins[pin].cells);
  for (Index row : index.cavity_rows_at(point)) part_by(family.cavity_rows[row].cells);
  return classes;
}

}  // namespace

PointStates::PointStates(const FamilyIndex& index) {
  const auto& points = index.family().points;
  const CellSet everywhere = CellSet::first(index.family().cell_count());
  std::vector<std::pair<Index, InCells>> all;
  all.reserve(2 * points.size());  // where its rows hold, and elsewhere
  for (Index point = 0; point < points.size(); ++point)
    if (points[point].kind == PointKind::cavity)
      for (const CellSet& cells : cells_by_rows(index, everywhere, point))
        all.push_back({point, {cells, cavity_state(index, cells.lowest(), point)}});
  states_ = ListsOf<InCells>(static_cast<uint32_t>(points.size()), [&](auto put) {
    for (const auto& [point, state] : all) put(point, state);
  });
}

CavityState PointStates::at(Index point, uint32_t cell) const {
  const auto states = states_.of(point);
  return std::find_if(states.begin(), states.end(), [cell](const InCells& one) { return one.cells.has(cell); })->state;
}

std::vector<Cavity> cavities(const FamilyIndex& index, uint32_t cell, Index connector) {
  const Family& family = index.family();
  std::vector<Cavity> all;
  const Index row_index = connector_row_in(family, connector, cell);
  if (row_index == none) return all;
  const ConnectorRow& row = family.connector_rows[row_index];
  if (row.housing != none) {
    const Range range = family.housings[row.housing].cavities;
    for (Index place = range.first; place < range.end(); ++place) {
      const Str number = family.housing_cavities[place].number;
      all.push_back({connector, number, place, index.cavity_point(connector, number)});
    }
  }
  std::vector<Index> others(index.points_of(connector).begin(), index.points_of(connector).end());
  std::sort(others.begin(), others.end());
  const size_t in_housing = all.size();
  for (Index point : others) {
    const auto is_it = [&](const Cavity& cavity) { return cavity.point == point; };
    if (std::find_if(all.begin(), all.begin() + static_cast<std::ptrdiff_t>(in_housing), is_it) !=
        all.begin() + static_cast<std::ptrdiff_t>(in_housing))
      continue;
    all.push_back({connector, family.points[point].name, none, point});
  }
  for (Cavity& cavity : all) look(index, cell, row.rest, cavity);
  // A number that the housing lacks is a cavity only where a row of this cell names it.
  std::erase_if(all, [](const Cavity& cavity) {
    return cavity.housing_cavity == none && cavity.wires.empty() && cavity.pin == none && cavity.cavity_row == none;
  });
  return all;
}

std::vector<Index> far_ends(const FamilyIndex& index, uint32_t cell, Index point) {
  const Family& family = index.family();
  std::vector<Index> ends;
  for (Index wire : index.wires_at(point)) {
    const Wire& row = family.wires[wire];
    if (family.holds(row.cells, cell)) ends.push_back(row.from == point ? row.to : row.from);
  }
  sort_unique(ends);
  return ends;
}

std::vector<Index> ends_reached(const FamilyIndex& index, uint32_t cell, Index point) {
  const Family& family = index.family();
  std::vector<Index> ends, splices, next = far_ends(index, cell, point);
  while (!next.empty()) {
    const Index end = next.back();
    next.pop_back();
    if (family.points[end].kind != PointKind::splice) {
      if (end != point) ends.push_back(end);
      continue;
    }
    if (std::find(splices.begin(), splices.end(), end) != splices.end()) continue;
    splices.push_back(end);
    for (Index further : far_ends(index, cell, end)) next.push_back(further);
  }
  sort_unique(ends);
  return ends;
}

}  // namespace loomproof
