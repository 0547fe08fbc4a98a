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

namespace {

// A wire that comes or goes may be told by itself, or as part of a net that is respliced.
bool comes(const ChangeItem& item) {
  return item.kind == ChangeKind::added || (item.kind == ChangeKind::respliced && item.step != 0);
}
bool goes(const ChangeItem& item) {
  return item.kind == ChangeKind::removed || (item.kind == ChangeKind::respliced && item.step == 0);
}

bool same_ends(const ChangeItem& a, const ChangeItem& b) {
  if (a.from == b.from && a.to == b.to) return true;
  return (comes(a) || goes(a)) && a.from == b.to && a.to == b.from;  // a wire has no direction
}

bool says_step(const ChangeItem& said, const ChangeItem& is) {
  const bool kind = said.kind == is.kind || (comes(said) && comes(is)) || (goes(said) && goes(is));
  const bool circuits = (said.circuit == none || said.circuit == is.circuit) && said.circuit_b == is.circuit_b;
  const bool looks = !comes(said) || (said.base == is.base && said.tracer == is.tracer && said.shade == is.shade &&
                                      said.mm2 == is.mm2 && said.role == is.role);
  return kind && circuits && looks && same_ends(said, is) && said.part == is.part &&
         (said.kind == ChangeKind::replugged || said.connector == is.connector);
}

}  // namespace

bool says(const Family& family, const ChangeItem& step, const Difference& difference) {
  const auto text = [&](Str said, const std::string& is) { return family.text(said) == is; };
  if (difference.steps.empty())
    return says_step(step, difference.item) && text(step.what, difference.what) && text(step.of, difference.of) &&
           text(step.was, difference.was) && text(step.becomes, difference.becomes);
  return std::any_of(difference.steps.begin(), difference.steps.end(),
                     [&](const ChangeItem& is) { return says_step(step, is); });
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
