#include "nets/index.h"

#include <algorithm>

namespace loomproof {
namespace {

uint32_t rows_in(const auto& table) {
  return static_cast<uint32_t>(table.size());
}

Lists cell_sets_by_part(const Family& family) {
  std::vector<std::pair<Index, Cells>> sets;
  for (Index part = 0; part < rows_in(family.parts); ++part) {
    const Part& row = family.parts[part];
    const auto add = [&](const auto& table) {
      for (const auto& one : table)
        if (sets.empty() || sets.back() != std::pair(part, one.cells)) sets.emplace_back(part, one.cells);
    };
    for (const Connector& connector : rows(family.connectors, row.connectors))
      add(rows(family.connector_rows, connector.rows));
    add(rows(family.splices, row.splices));
    add(rows(family.earths, row.earths));
    add(rows(family.leads, row.leads));
    add(rows(family.wires, row.wires));
    add(rows(family.cavity_rows, row.cavity_rows));
    add(rows(family.pins, row.pins));
    add(rows(family.insides, row.insides));
  }
  std::sort(sets.begin(), sets.end());
  sets.erase(std::unique(sets.begin(), sets.end()), sets.end());
  return Lists(rows_in(family.parts), [&](auto put) {
    for (const auto& [part, cells] : sets) put(part, cells);
  });
}

}  // namespace

FamilyIndex::FamilyIndex(const Family& family) : family_(family) {
  const uint32_t points = rows_in(family.points);
  wires_at_ = Lists(points, [&](auto put) {
    for (Index wire = 0; wire < rows_in(family.wires); ++wire) {
      const Wire& row = family.wires[wire];
      put(row.from, wire);
      if (row.to != row.from) put(row.to, wire);
    }
  });
  pins_at_ = Lists(points, [&](auto put) {
    for (Index pin = 0; pin < rows_in(family.pins); ++pin) put(family.pins[pin].point, pin);
  });
  cavity_rows_at_ = Lists(points, [&](auto put) {
    for (Index row = 0; row < rows_in(family.cavity_rows); ++row) put(family.cavity_rows[row].point, row);
  });
  insides_at_ = Lists(points, [&](auto put) {
    for (Index inside = 0; inside < rows_in(family.insides); ++inside) {
      const Inside& row = family.insides[inside];
      put(row.a, inside);
      if (row.b != row.a) put(row.b, inside);
    }
  });
  std::vector<Index> by_name;  // points of one connector stand by the number of their text, for the binary search
  for (Index point = 0; point < points; ++point)
    if (family.points[point].connector != none) by_name.push_back(point);
  std::sort(by_name.begin(), by_name.end(), [&](Index a, Index b) {
    const Str name_a = family.points[a].name, name_b = family.points[b].name;
    return name_a != name_b ? name_a < name_b : a < b;
  });
  points_of_ = Lists(rows_in(family.connectors), [&](auto put) {
    for (Index point : by_name) put(family.points[point].connector, point);
  });
  parts_in_ = Lists(rows_in(family.places), [&](auto put) {
    for (Index part = 0; part < rows_in(family.parts); ++part)
      if (family.parts[part].place != none) put(family.parts[part].place, part);
  });
  std::vector<Index> by_designator;  // connectors of one part, as its points
  for (Index connector = 0; connector < rows_in(family.connectors); ++connector) by_designator.push_back(connector);
  std::sort(by_designator.begin(), by_designator.end(), [&](Index a, Index b) {
    const Str name_a = family.connectors[a].designator, name_b = family.connectors[b].designator;
    return name_a != name_b ? name_a < name_b : a < b;
  });
  connectors_of_ = Lists(rows_in(family.parts), [&](auto put) {
    for (Index connector : by_designator) put(family.connectors[connector].part, connector);
  });
  cell_sets_of_ = cell_sets_by_part(family);
}

Index FamilyIndex::cavity_point(Index connector, Str number) const {
  const auto points = points_of(connector);
  const auto found = std::lower_bound(points.begin(), points.end(), number,
                                      [this](Index point, Str name) { return family_.points[point].name < name; });
  return found != points.end() && family_.points[*found].name == number ? *found : none;
}

Index FamilyIndex::part_in(Index place, uint32_t cell) const {
  for (Index part : parts_in_.of(place))
    if (family_.holds(family_.parts[part].cells, cell)) return part;
  return none;
}

Index FamilyIndex::connector_of(Index part, Str designator) const {
  const auto all = connectors_of_.of(part);
  const auto found = std::lower_bound(all.begin(), all.end(), designator, [this](Index connector, Str name) {
    return family_.connectors[connector].designator < name;
  });
  return found != all.end() && family_.connectors[*found].designator == designator ? *found : none;
}

bool FamilyIndex::tells_apart(Index part, uint32_t a, uint32_t b) const {
  const auto sets = cell_sets_of_.of(part);
  return std::any_of(sets.begin(), sets.end(),
                     [&](Cells cells) { return family_.holds(cells, a) != family_.holds(cells, b); });
}

}  // namespace loomproof
