#include "compare/relation.h"

#include <algorithm>

namespace loomproof::compare {

void Reach::add(const ChangeItem& item) {
  for (Index circuit : {item.circuit, item.circuit_b})
    if (circuit != none) circuits.insert(circuit);
  for (Index end : {item.from, item.to})
    if (end != none) ends.insert(end);
}

void Reach::add(const Strand& strand) {
  if (strand.circuit != none) circuits.insert(strand.circuit);
  for (Index end : {strand.a, strand.b})
    if (end != none) ends.insert(end);
}

Reach reach_of(const ChangeItem& item) {
  Reach reach;
  reach.add(item);
  return reach;
}

Reach reach_of(const Difference& difference) {
  Reach reach = reach_of(difference.item);
  for (const ChangeItem& step : difference.steps) reach.add(step);
  return reach;
}

bool share_circuit(const Reach& a, const Reach& b) {
  return std::any_of(a.circuits.begin(), a.circuits.end(),
                     [&](Index circuit) { return b.circuits.count(circuit) > 0; });
}

int relation(const Family& family, const Reach& a, const Reach& b) {
  const bool circuit = share_circuit(a, b);
  int closest = 0;
  for (Index end : a.ends) {
    if (!b.ends.count(end)) continue;
    const PointKind kind = family.points[end].kind;
    if (circuit) closest = 2;
    if (kind == PointKind::cavity || kind == PointKind::lead) closest = std::max(closest, 1);
  }
  return closest;
}

}  // namespace loomproof::compare
