#include "review/review.h"

#include <fmt/format.h>

#include <algorithm>
#include <map>
#include <set>
#include <tuple>

#include "compare/differences.h"
#include "compare/words.h"
#include "family/words.h"
#include "nets/variants.h"
#include "review/both.h"
#include "review/facts.h"
#include "review/patterns.h"
#include "review/rename.h"
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

class FamilyComparison {
 public:
  FamilyComparison(Family base, const Family& head, FamilyReview& out)
      : base_(std::move(base)),
        head_(head),
        out_(out),
        pairs_(cell_pairs(base_, head_)),
        both_(put_together(base_, head_)),
        index_(both_.family) {
    for (const CellPair& pair : pairs_) universe_.insert(pair.head);
    find_firing(base_);
    find_firing(head_);
  }

  void run() {
    compare_cells();
    compare_parts();
    compare_facts();
    finish();
  }

 private:
  // By place and designator: connectors that carry a firing circuit in any cell of either revision.
  void find_firing(const Family& family) {
    const auto note = [&](Index point, Index circuit) {
      if (circuit == none || family.circuits[circuit].kind != CircuitClass::firing) return;
      const Index connector = family.points[point].connector;
      if (connector != none) firing_.insert(connector_name(family, connector));
    };
    for (const Wire& wire : family.wires) note(wire.from, wire.circuit), note(wire.to, wire.circuit);
    for (const Pin& pin : family.pins) note(pin.point, pin.circuit);
  }
  static std::string connector_name(const Family& family, Index connector) {
    const Part& part = family.parts[family.connectors[connector].part];
    return fmt::format("{}.{}", part.place == none ? "" : family.text(family.places[part.place].id),
                       family.text(family.connectors[connector].designator));
  }

  // Eras and choices that only one revision has, and what the factory built of those that both have.
  void compare_cells() {
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

  Index part_of_head(Index place, uint32_t cell) const {
    for (Index part : index_.parts_in(place))
      if (is_head(part) && both_.family.holds(both_.family.parts[part].cells, cell)) return part;
    return none;
  }
  Index part_of_base(Index place, uint32_t cell) const {
    for (Index part : index_.parts_in(place))
      if (!is_head(part) && both_.family.holds(both_.family.parts[part].cells, cell)) return part;
    return none;
  }
  bool is_head(Index part) const { return part >= both_.offset[static_cast<size_t>(Table::parts)]; }

  void compare_parts() {
    std::vector<std::map<uint32_t, uint32_t>> class_of(both_.family.parts.size());
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
        alike[{was, is, variant_of(class_of, was, pair.base), variant_of(class_of, is, pair.head)}].push_back(pair);
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
  uint32_t variant_of(std::vector<std::map<uint32_t, uint32_t>>& class_of, Index part, uint32_t cell) const {
    std::map<uint32_t, uint32_t>& classes = class_of[part];
    if (classes.empty()) {
      const Family& family = is_head(part) ? head_ : base_;
      const Index own = is_head(part) ? part - both_.offset[static_cast<size_t>(Table::parts)] : part;
      for (const Variant& variant : variants(family, own))
        for (uint32_t each : variant.cells.cells()) classes[each] = variant.cells.lowest();
    }
    return classes.at(cell);
  }

  void tell_replaced(Index place, Index was, Index is, const CellSet& cells) {
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
    note(std::move(change), cells);
  }

  Change start(const Difference& difference) const {
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

  void tell_difference(const Difference& difference, const CellSet& cells) {
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
    note(std::move(change), cells);
  }

  void add_end(Change& change, Index from, Index to) const {
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
  static void risk_of_rows(const Family& family, const std::vector<RowRef>& rows, Risk& risk) {
    for (const RowRef& row : rows) {
      if (row.table == Table::wires) risk_of_circuit(family, family.wires[row.row].circuit, risk);
      if (row.table == Table::pins) risk_of_circuit(family, family.pins[row.row].circuit, risk);
    }
  }
  static void risk_of_circuit(const Family& family, Index circuit, Risk& risk) {
    if (circuit != none) risk = worse(risk, risk_of(family.circuits[circuit].kind));
  }

  // The same words of a part in several sets of cells are one change; so are those of a component in several places.
  void note(Change change, const CellSet& cells) {
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

  void compare_facts();
  void finish();

  Family base_;
  const Family& head_;
  FamilyReview& out_;
  std::vector<CellPair> pairs_;
  Both both_;
  FamilyIndex index_;
  CellSet universe_;
  std::set<std::string> firing_;
  std::map<std::string, size_t> noted_;
  std::vector<CellSet> cells_;  // by change; empty: all
};

Index part_behind(const Family& family, Table table, Index row) {
  switch (table) {
    case Table::parts:
      return row;
    case Table::numbers:
      return family.numbers[row].part;
    case Table::connector_rows:
      return family.connectors[family.connector_rows[row].connector].part;
    case Table::splices:
      return family.points[family.splices[row].point].part;
    case Table::earths:
      return family.points[family.earths[row].point].part;
    case Table::leads:
      return family.points[family.leads[row].point].part;
    case Table::wires:
      return family.wires[row].part;
    case Table::cavity_rows:
      return family.points[family.cavity_rows[row].point].part;
    case Table::pins:
      return family.points[family.pins[row].point].part;
    case Table::insides:
      return family.insides[row].part;
    case Table::positions:
      return family.positions[row].part;
    case Table::branches:
      return family.branches[row].part;
    case Table::change_items:
      return family.change_items[row].part;
    default:
      return none;
  }
}
Index circuit_behind(const Family& family, Table table, Index row) {
  switch (table) {
    case Table::circuits:
      return row;
    case Table::aparts:
      return family.aparts[row].circuit;
    case Table::earths:
      return family.earths[row].circuit;
    case Table::leads:
      return family.leads[row].circuit;
    case Table::wires:
      return family.wires[row].circuit;
    case Table::pins:
      return family.pins[row].circuit;
    case Table::change_items:
      return family.change_items[row].circuit;
    default:
      return none;
  }
}

void FamilyComparison::compare_facts() {
  std::vector<std::pair<uint32_t, uint32_t>> pairs;
  for (const CellPair& pair : pairs_) pairs.emplace_back(pair.base, pair.head);
  std::set<std::string> changed_parts;  // whose coming and going is told by their places
  for (const Change& change : out_.changes)
    if (change.kind == word(ChangeKind::replaced)) changed_parts.insert(change.place + "/" + change.part);
  // One citation that many rows inherit is one change.
  std::map<std::tuple<Index, std::string, std::string, std::string>, size_t> together;
  for (const FactChange& fact : fact_changes(base_, head_, pairs)) {
    const bool in_head = fact.head != none;
    const Family& family = in_head ? head_ : base_;
    const Index row = in_head ? fact.head : fact.base;
    const Index part = part_behind(family, fact.table, row), circuit = circuit_behind(family, fact.table, row);
    const bool is_evidence =
        fact.field == "cite" || fact.field == "marks" || fact.field == "says" || fact.field == "amps_cite";
    const auto key = std::tuple(part, fact.field, fact.was, fact.becomes);
    Risk risk = Risk::other;
    if (circuit != none) risk = risk_of(family.circuits[circuit].kind);
    std::string remark;
    if (fact.field == "cite")
      remark = weaker(base_, cite_of(base_, fact.table, fact.base), head_, cite_of(head_, fact.table, fact.head));
    if (fact.field == "marks")
      for (const Field& field : fields(fact.table))
        if (field.name == "marks")
          remark = weaker_marks(words_of(base_, fact.table, fact.base)[field.offset],
                                words_of(head_, fact.table, fact.head)[field.offset]);
    if (is_evidence && remark.empty()) risk = Risk::other;  // better founded is no risk
    if (!remark.empty()) risk = worse(risk, Risk::weaker_source);
    if (fact.table == Table::sources && fact.field == "kind") risk = Risk::weaker_source;
    if ((fact.table == Table::changes || fact.table == Table::allowances) && in_head) {
      const Str because =
          fact.table == Table::changes ? head_.changes[fact.head].because : head_.allowances[fact.head].because;
      if ((fact.field.empty() || fact.field == "because") && is_empty_talk(head_.text(because))) {
        risk = Risk::empty_reason;
        remark = "the reason says nothing";
      }
    }
    if (fact.field == "cite" && part != none) {
      const auto [entry, is_new] = together.try_emplace(key, out_.changes.size());
      if (!is_new) {
        Change& other = out_.changes[entry->second];
        ++other.rows;
        other.risk = worse(other.risk, risk);
        other.circuit.clear();
        other.words = fmt::format("sources of {} rows changed from {} to {}", other.rows, fact.was, fact.becomes);
        other.base.push_back({fact.table, fact.base});
        other.head.push_back({fact.table, fact.head});
        continue;
      }
    }
    Change change;
    change.nature = is_evidence ? Nature::evidence : Nature::record;
    change.risk = risk;
    change.kind = !fact.field.empty() ? "changed" : in_head ? "added" : "removed";
    if (part != none) {
      change.part = family.text(family.parts[part].id);
      if (family.parts[part].place != none) change.place = family.text(family.places[family.parts[part].place].id);
    }
    if (circuit != none) change.circuit = family.text(family.circuits[circuit].id);
    std::string field = fact.field == "cite" ? "sources" : fact.field;
    std::replace(field.begin(), field.end(), '_', '-');
    change.words = fact.field.empty()
                       ? fmt::format("{} {}", fact.name, in_head ? "added" : "removed")
                       : fmt::format("{} of {} changed from {} to {}", field, fact.name, fact.was, fact.becomes);
    change.remark = remark;
    if (fact.base != none) change.base.push_back({fact.table, fact.base});
    if (fact.head != none) change.head.push_back({fact.table, fact.head});
    cells_.resize(out_.changes.size() + 1);
    cells_.back() = fact.cells;
    out_.changes.push_back(std::move(change));
  }
}

// A component that several places hold changes once.
void FamilyComparison::finish() {
  cells_.resize(out_.changes.size());
  for (size_t i = 0; i < out_.changes.size(); ++i)
    if (out_.changes[i].cells.empty())
      out_.changes[i].cells = cells_[i].empty() ? "all" : cells_text(head_, cells_[i], universe_);
  std::vector<Change> folded;
  std::map<std::tuple<Nature, std::string, std::string, std::string, std::string>, size_t> known;
  for (Change& change : out_.changes) {
    const bool is_component = !change.part.empty() && change.kind != word(ChangeKind::replaced);
    std::string words = change.words;
    if (const size_t at = words.rfind(" in " + change.place);
        is_component && !change.place.empty() && at != std::string::npos)
      words.erase(at, change.place.size() + 4);
    if (is_component) {
      const auto [entry, is_new] =
          known.try_emplace({change.nature, change.part, change.kind, words, change.cells}, folded.size());
      if (!is_new) {
        Change& other = folded[entry->second];
        if ((", " + other.place + ",").find(", " + change.place + ",") == std::string::npos)
          other.place += ", " + change.place;
        other.base.insert(other.base.end(), change.base.begin(), change.base.end());
        other.head.insert(other.head.end(), change.head.begin(), change.head.end());
        continue;
      }
      change.words = words;
    }
    folded.push_back(std::move(change));
  }
  std::stable_sort(folded.begin(), folded.end(), [](const Change& a, const Change& b) {
    return std::tie(a.risk, a.nature, a.place, a.circuit, a.words, a.cells) <
           std::tie(b.risk, b.nature, b.place, b.circuit, b.words, b.cells);
  });
  out_.changes = std::move(folded);
}

std::string renamed_words(const Rename& rename) {
  return fmt::format("{} {} renamed {}{}", rename.kind, rename.was, rename.becomes,
                     rename.within.empty() ? "" : " in " + rename.within);
}

void compare_families(const FamilyInput& base, const FamilyInput& head, FamilyReview& out) {
  Family was = *base.family;
  for (const Rename& rename : apply_renames(was, *head.family)) out.renamed.push_back(renamed_words(rename));
  const bool is_same = all_facts(was) == all_facts(*head.family);
  if (is_same && out.renamed.empty()) {
    out.status = Status::unchanged;
    out.packs_identical = base.pack == head.pack;
    return;
  }
  out.status = Status::changed;
  if (is_same) return;
  std::vector<std::pair<uint32_t, uint32_t>> pairs;
  for (const CellPair& pair : cell_pairs(was, *head.family)) pairs.emplace_back(pair.base, pair.head);
  out.verdicts = find_verdicts(was, *head.family, pairs);
  FamilyComparison(std::move(was), *head.family, out).run();
  out.causes = find_causes(*head.family, out.changes);
  out.siblings = find_siblings(*head.family, out.changes);
}

}  // namespace

std::string_view word(Risk risk) {
  static constexpr std::string_view words[] = {"firing",    "verdict",       "feed",         "earth", "return",
                                               "reference", "weaker source", "empty reason", "other"};
  return words[static_cast<size_t>(risk)];
}
std::string_view word(Nature nature) {
  static constexpr std::string_view words[] = {"metal", "knowledge", "evidence", "record", "consequence"};
  return words[static_cast<size_t>(nature)];
}
std::string_view word(Status status) {
  static constexpr std::string_view words[] = {"unchanged", "changed", "added", "removed", "not compared"};
  return words[static_cast<size_t>(status)];
}

bool Review::has_changes() const {
  return std::any_of(families.begin(), families.end(),
                     [](const FamilyReview& family) { return family.status != Status::unchanged; });
}

bool Review::is_complete() const {
  return std::none_of(families.begin(), families.end(),
                      [](const FamilyReview& family) { return family.status == Status::not_compared; });
}

Review review(const std::vector<FamilyInput>& base, const std::vector<FamilyInput>& head) {
  std::map<std::string, std::pair<const FamilyInput*, const FamilyInput*>> by_id;
  for (const FamilyInput& each : base) by_id[each.id].first = &each;
  for (const FamilyInput& each : head) by_id[each.id].second = &each;
  Review out;
  for (const auto& [id, sides] : by_id) {
    FamilyReview family;
    family.id = id;
    const auto& [was, is] = sides;
    if ((was && !was->family) || (is && !is->family)) {
      family.status = Status::not_compared;
      const bool is_head = is && !is->family;
      family.why = fmt::format("it does not compile in the {}: there are faults in its text, shape or names",
                               is_head ? "head" : "base");
    } else if (!was || !is) {
      family.status = was ? Status::removed : Status::added;
    } else {
      compare_families(*was, *is, family);
    }
    out.families.push_back(std::move(family));
  }
  return out;
}

}  // namespace loomproof::review
