#include "review/comparison.h"

#include <fmt/format.h>

#include <algorithm>
#include <set>
#include <tuple>

#include "compare/differences.h"
#include "compare/words.h"
#include "family/words.h"
#include "nets/variants.h"
#include "review/consequence.h"
#include "review/facts.h"
#include "review/risk.h"

namespace loomproof::review {
namespace {

std::string part_in_words(const Family& family, Index part) {
  return part == none ? "none" : std::string(family.text(family.parts[part].id));
}

Nature nature_of(ChangeKind kind) {
  switch (kind) {
    case ChangeKind::now_known:
    case ChangeKind::no_longer_known:
    case ChangeKind::restated:
      return Nature::knowledge;
    default:
      return Nature::metal;
  }
}

void risk_of_circuit(const Family& family, Index circuit, Risk& risk) {
  if (circuit != none) risk = worse(risk, risk_of(family.circuits[circuit].kind));
}
void risk_of_rows(const Family& family, const std::vector<RowRef>& rows, Risk& risk) {
  for (const RowRef& row : rows) {
    if (row.table == Table::wires) risk_of_circuit(family, family.wires[row.row].circuit, risk);
    if (row.table == Table::pins) risk_of_circuit(family, family.pins[row.row].circuit, risk);
  }
}

// Plugs by name, with the cells in which they meet.
std::set<std::string> plugs_of(const Family& family) {
  std::set<std::string> all;
  for (const PlugPair& plug : family.plugs)
    all.insert(fmt::format("{}.{} {}.{} {}", family.text(family.places[plug.place_a].id), family.text(plug.a),
                           family.text(family.places[plug.place_b].id), family.text(plug.b),
                           cells_text(family, family.set(plug.cells))));
  return all;
}

}  // namespace

FamilyComparison::FamilyComparison(Family base, const Family& head, FamilyReview& out)
    : base_(std::move(base)),
      head_(head),
      out_(out),
      pairs_(cell_pairs(base_, head_)),
      both_(put_together(base_, head_)),
      index_(both_.family),
      class_of_(both_.family.parts.size()) {
  for (const CellPair& pair : pairs_) universe_.insert(pair.head);
  find_firing(base_);
  find_firing(head_);
}

void FamilyComparison::run() {
  compare_cells();
  compare_parts();
  compare_consequences();
  compare_facts();
  finish();
}

// By place and designator: connectors that carry a firing circuit in any cell of either revision.
void FamilyComparison::find_firing(const Family& family) {
  const auto note = [&](Index point, Index circuit) {
    if (circuit == none || family.circuits[circuit].kind != CircuitClass::firing) return;
    const Index connector = family.points[point].connector;
    if (connector != none) firing_.insert(connector_name(family, connector));
  };
  for (const Wire& wire : family.wires) note(wire.from, wire.circuit), note(wire.to, wire.circuit);
  for (const Pin& pin : family.pins) note(pin.point, pin.circuit);
}
std::string FamilyComparison::connector_name(const Family& family, Index connector) {
  const Part& part = family.parts[family.connectors[connector].part];
  return fmt::format("{}.{}", part.place == none ? "" : family.text(family.places[part.place].id),
                     family.text(family.connectors[connector].designator));
}

// Eras and choices that only one revision has, and what the factory built of those that both have.
void FamilyComparison::compare_cells() {
  std::set<uint32_t> met_base, met_head;
  for (const CellPair& pair : pairs_) met_base.insert(pair.base), met_head.insert(pair.head);
  const auto tell = [&](const Family& family, const std::set<uint32_t>& met, std::string_view verb) {
    CellSet rest;
    for (uint32_t cell : family.set(family.built).cells())
      if (!met.count(cell)) rest.insert(cell);
    if (rest.empty()) return;
    Change change;
    change.nature = Nature::record;
    change.kind = verb;
    change.words = fmt::format("built vehicles {}: {}", verb == "added" ? "come" : "go", cells_text(family, rest));
    change.cells = "all";
    change.rows = rest.count();
    out_.changes.push_back(std::move(change));
  };
  tell(base_, met_base, "removed");
  tell(head_, met_head, "added");
}

Index FamilyComparison::part_of_head(Index place, uint32_t cell) const {
  for (Index part : index_.parts_in(place))
    if (is_head(part) && both_.family.holds(both_.family.parts[part].cells, cell)) return part;
  return none;
}
Index FamilyComparison::part_of_base(Index place, uint32_t cell) const {
  for (Index part : index_.parts_in(place))
    if (!is_head(part) && both_.family.holds(both_.family.parts[part].cells, cell)) return part;
  return none;
}

void FamilyComparison::compare_parts() {
  for (Index place = 0; place < both_.family.places.size(); ++place) {
    // Cells in which both parts are the same variant are compared once.
    std::map<std::tuple<Index, Index, uint32_t, uint32_t>, std::vector<CellPair>> alike;
    std::map<std::pair<Index, Index>, CellSet> replaced;
    for (const CellPair& pair : pairs_) {
      const Index was = part_of_base(place, pair.base), is = part_of_head(place, pair.head);
      if (was == none && is == none) continue;
      const bool is_same =
          was != none && is != none &&
          both_.family.text(both_.family.parts[was].id) == both_.family.text(both_.family.parts[is].id);
      if (!is_same) {
        replaced[{was, is}].insert(pair.head);
        continue;
      }
      alike[{was, is, variant_of(was, pair.base), variant_of(is, pair.head)}].push_back(pair);
    }
    for (const auto& [parts, cells] : replaced) tell_replaced(place, parts.first, parts.second, cells);
    for (const auto& [key, pairs] : alike) {
      CellSet cells;
      for (const CellPair& pair : pairs) cells.insert(pair.head);
      for (const Difference& difference :
           differences(index_, std::get<0>(key), pairs.front().base, std::get<1>(key), pairs.front().head))
        tell_difference(difference, cells);
    }
  }
}

// Which variant of the part a cell is, as the lowest of its cells.
uint32_t FamilyComparison::variant_of(Index part, uint32_t cell) {
  std::map<uint32_t, uint32_t>& classes = class_of_[part];
  if (classes.empty()) {
    const Family& family = is_head(part) ? head_ : base_;
    const Index own = is_head(part) ? part - both_.offset[static_cast<size_t>(Table::parts)] : part;
    for (const Variant& variant : variants(family, own))
      for (uint32_t each : variant.cells.cells()) classes[each] = variant.cells.lowest();
  }
  return classes.at(cell);
}

void FamilyComparison::tell_replaced(Index place, Index was, Index is, const CellSet& cells) {
  const Family& family = both_.family;
  Difference difference;
  difference.item.kind = ChangeKind::replaced;
  difference.item.place = place;
  difference.was = part_in_words(family, was);
  difference.becomes = part_in_words(family, is);
  Change change = start(difference);
  change.part = is == none ? difference.was : difference.becomes;
  if (was != none) change.base.push_back({Table::parts, was});
  if (is != none) change.head.push_back({Table::parts, is - both_.offset[static_cast<size_t>(Table::parts)]});
  for (Index part : {was, is})
    if (part != none)
      for (const Connector& connector : rows(family.connectors, family.parts[part].connectors))
        if (firing_.count(connector_name(family, static_cast<Index>(&connector - family.connectors.data()))))
          change.risk = Risk::firing;
  differing_ |= cells;
  note(std::move(change), cells);
}

Change FamilyComparison::start(const Difference& difference) const {
  const ChangeItem& item = difference.item;
  const Family& family = both_.family;
  Change change;
  change.nature = nature_of(item.kind);
  change.kind = word(item.kind);
  if (item.place != none) change.place = family.text(family.places[item.place].id);
  if (item.part != none) change.part = family.text(family.parts[item.part].id);
  if (item.circuit != none) change.circuit = family.text(family.circuits[item.circuit].id);
  change.words = difference_words(family, difference);
  return change;
}

void FamilyComparison::tell_difference(const Difference& difference, const CellSet& cells) {
  const ChangeItem& item = difference.item;
  const Family& family = both_.family;
  Change change = start(difference);
  std::set<Index> circuits{item.circuit, item.circuit_b};
  std::set<Index> points{item.from, item.to};
  for (const ChangeItem& step : difference.steps) {
    circuits.insert(step.circuit), circuits.insert(step.circuit_b);
    points.insert(step.from), points.insert(step.to);
  }
  add_end(change, item.from, item.to);
  if (item.kind == ChangeKind::swapped) add_end(change, item.to, item.from);
  for (size_t i = 1; i < difference.steps.size(); ++i)
    add_end(change, difference.steps[i].from, difference.steps[i].to);
  for (const RowRef& row : difference.left) change.base.push_back(row);
  for (RowRef row : difference.right) {
    row.row -= both_.offset[static_cast<size_t>(row.table)];
    change.head.push_back(row);
  }
  risk_of_rows(base_, change.base, change.risk);
  risk_of_rows(head_, change.head, change.risk);
  for (Index circuit : circuits) risk_of_circuit(family, circuit, change.risk);
  if (item.connector != none && firing_.count(connector_name(family, item.connector))) change.risk = Risk::firing;
  for (Index point : points)
    if (point != none && family.points[point].connector != none &&
        firing_.count(connector_name(family, family.points[point].connector)))
      change.risk = Risk::firing;
  // A row that changed and whose sources are weaker is told once, with both.
  if (!change.base.empty() && !change.head.empty()) {
    const RowRef &was = change.base.front(), &is = change.head.front();
    change.remark = weaker(base_, cite_of(base_, was.table, was.row), head_, cite_of(head_, is.table, is.row));
    if (!change.remark.empty()) change.risk = worse(change.risk, Risk::weaker_source);
  }
  if (change.nature == Nature::metal) differing_ |= cells;
  note(std::move(change), cells);
}

void FamilyComparison::add_end(Change& change, Index from, Index to) const {
  if (change.kind != word(ChangeKind::moved) && change.kind != word(ChangeKind::swapped) &&
      change.kind != word(ChangeKind::replugged))
    return;
  const Family& family = both_.family;
  if (from == none || to == none) return;
  const Point &a = family.points[from], &b = family.points[to];
  if (a.connector == none || b.connector == none) return;
  if (connector_name(family, a.connector) != connector_name(family, b.connector)) return;
  change.ends.push_back({std::string(family.text(family.connectors[a.connector].designator)),
                         std::string(family.text(a.name)), std::string(family.text(b.name))});
}
// The same words of a part in several sets of cells are one change; so are those of a component in several places.
void FamilyComparison::note(Change change, const CellSet& cells) {
  const std::string key = change.place + "\n" + change.part + "\n" + change.kind + "\n" + change.words;
  const auto [entry, is_new] = noted_.try_emplace(key, out_.changes.size());
  if (is_new) {
    cells_.resize(out_.changes.size() + 1);
    cells_.back() = cells;
    out_.changes.push_back(std::move(change));
    return;
  }
  Change& other = out_.changes[entry->second];
  cells_[entry->second] |= cells;
  other.risk = worse(other.risk, change.risk);
  if (other.remark.empty()) other.remark = change.remark;
  const auto add = [](std::vector<RowRef>& rows, const std::vector<RowRef>& more) {
    rows.insert(rows.end(), more.begin(), more.end());
    std::sort(rows.begin(), rows.end());
    rows.erase(std::unique(rows.begin(), rows.end()), rows.end());
  };
  add(other.base, change.base);
  add(other.head, change.head);
}

// Builds of the same variants, plugged alike, are compared once.
void FamilyComparison::compare_consequences() {
  const bool same_plugs = plugs_of(base_) == plugs_of(head_);
  if (differing_.empty() && same_plugs) return;
  std::map<std::vector<uint32_t>, std::vector<CellPair>> alike;
  for (const CellPair& pair : pairs_) {
    if (same_plugs && !differing_.has(pair.head)) continue;
    std::vector<uint32_t> key;
    for (Index place = 0; place < both_.family.places.size(); ++place)
      for (const auto& [part, cell] : {std::pair(part_of_base(place, pair.base), pair.base),
                                       std::pair(part_of_head(place, pair.head), pair.head)}) {
        key.push_back(part);
        if (part != none) key.push_back(variant_of(part, cell));
      }
    for (const PlugPair& plug : base_.plugs) key.push_back(base_.holds(plug.cells, pair.base));
    for (const PlugPair& plug : head_.plugs) key.push_back(head_.holds(plug.cells, pair.head));
    alike[std::move(key)].push_back(pair);
  }
  const size_t written = out_.changes.size();
  const FamilyIndex base(base_), head(head_);
  for (const auto& [key, pairs] : alike) {
    CellSet cells;
    for (const CellPair& pair : pairs) cells.insert(pair.head);
    for (const Consequence& found : find_consequences(base, head, pairs.front())) {
      Change change;
      change.nature = Nature::consequence;
      change.risk = found.risk;
      change.kind = "follows";
      change.place = found.place;
      change.circuit = found.circuit;
      change.words = found.words;
      change.rows = 0;
      // Where to look: what was written on one of these circuits.
      for (size_t i = 0; i < written && change.base.empty() && change.head.empty(); ++i) {
        const Change& cause = out_.changes[i];
        if (cause.nature == Nature::metal && i < cells_.size() && cells_[i].meets(cells) &&
            std::binary_search(found.circuits.begin(), found.circuits.end(), cause.circuit))
          change.base = cause.base, change.head = cause.head;
      }
      note(std::move(change), cells);
    }
  }
}

}  // namespace loomproof::review
