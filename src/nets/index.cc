#include "nets/index.h"

#include <algorithm>

namespace loomproof {
namespace {

uint32_t rows_in(const auto& table) {
  return static_cast<uint32_t>(table.size());
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

}  // namespace loomproof
