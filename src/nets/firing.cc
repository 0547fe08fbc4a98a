#include "nets/firing.h"

#include <algorithm>

namespace loomproof {

bool is_firing(const Family& family, Index circuit) {
  return circuit != none && family.circuits[circuit].kind == CircuitClass::firing;
}

bool carries_firing(const FamilyIndex& index, Index point) {
  const Family& family = index.family();
  for (Index wire : index.wires_at(point))
    if (is_firing(family, family.wires[wire].circuit)) return true;
  for (Index pin : index.pins_at(point)) {
    const Pin& row = family.pins[pin];
    if (is_firing(family, row.circuit) || row.role == Role::gives_firing || row.role == Role::takes_firing) return true;
  }
  for (Index row : index.cavity_rows_at(point))
    for (const Say& say : rows(family.says, family.cavity_rows[row].says))
      if (is_firing(family, say.circuit)) return true;
  for (Index inside : index.insides_at(point))
    if (family.insides[inside].kind == InsideKind::squib) return true;
  return false;
}

std::vector<bool> connectors_that_may_fire(const FamilyIndex& index) {
  const Family& family = index.family();
  std::vector<bool> housings(family.housings.size(), false), connectors(family.connectors.size(), false);
  const auto rows_of = [&](Index connector) { return rows(family.connector_rows, family.connectors[connector].rows); };
  for (Index connector = 0; connector < connectors.size(); ++connector) {
    const auto points = index.points_of(connector);
    if (std::none_of(points.begin(), points.end(), [&](Index point) { return carries_firing(index, point); })) continue;
    connectors[connector] = true;
    for (const ConnectorRow& row : rows_of(connector)) housings[row.housing] = true;
  }
  for (Index connector = 0; connector < connectors.size(); ++connector)
    for (const ConnectorRow& row : rows_of(connector))
      if (housings[row.housing]) connectors[connector] = true;
  return connectors;
}

}  // namespace loomproof
