// What the tables say beyond metal, and the changes of a family put in order.
#include <fmt/format.h>

#include <algorithm>
#include <iterator>
#include <map>
#include <set>
#include <tuple>
#include <utility>

#include "family/words.h"
#include "review/comparison.h"
#include "review/facts.h"
#include "review/risk.h"

namespace loomproof::review {
namespace {

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

// The row that a row comes and goes with; none where it stands for itself.
std::pair<Table, Index> owner_of(const Family& family, Table table, Index row) {
  switch (table) {
    case Table::option_values:
      return {Table::options, family.option_values[row].option};
    case Table::housing_cavities:
      return {Table::housings, family.housing_cavities[row].housing};
    case Table::in_manuals:
      return {Table::housings, family.housing_cavities[family.in_manuals[row].cavity].housing};
    case Table::closes:
      return {Table::housings, family.closes[row].housing};
    case Table::place_where:
      return {Table::places, family.place_where[row].place};
    case Table::numbers:
      return {Table::parts, family.numbers[row].part};
    case Table::positions:
      return {Table::parts, family.positions[row].part};
    case Table::branches:
      return {Table::parts, family.branches[row].part};
    case Table::change_items:
      return {Table::changes, family.change_items[row].change};
    case Table::combination_parts:
      return {Table::combinations, family.combination_parts[row].combination};
    case Table::combination_edits:
      return {Table::combinations, family.combination_edits[row].combination};
    default:
      return {table, none};
  }
}

// One of what all families share; empty for every other table.
std::string_view shared_words(Table table) {
  switch (table) {
    case Table::sources:
      return "source";
    case Table::colours:
      return "colour";
    case Table::terminals:
      return "terminal";
    case Table::functions:
      return "function";
    case Table::conductors:
      return "conductor";
    case Table::fuses:
      return "fuse";
    case Table::cautions:
      return "caution";
    case Table::housings:
      return "housing";
    default:
      return {};
  }
}

}  // namespace

void FamilyComparison::compare_facts() {
  std::vector<std::pair<uint32_t, uint32_t>> pairs;
  for (const CellPair& pair : pairs_) pairs.emplace_back(pair.base, pair.head);
  // One citation that many rows inherit is one change.
  std::map<std::tuple<Index, std::string, std::string, std::string>, size_t> together;
  std::vector<FactChange> facts = restate_reasons(base_, head_);
  for (FactChange& fact : fact_changes(base_, head_, pairs)) facts.push_back(std::move(fact));
  const std::vector<FactChange> shared = take_shared(facts);
  drop_owned(facts, shared);
  for (const FactChange& fact : facts) {
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
    if (fact.table == Table::sources && fact.field == "kind" &&
        head_.sources[fact.head].kind > base_.sources[fact.base].kind)
      risk = Risk::weaker_source;
    if (fact.table == Table::combinations && (fact.field == "best" || fact.field == "worst" || fact.field == "outcome"))
      risk = Risk::verdict;
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
    std::string field = fact.field == "cite" ? "sources" : fact.field == "because" ? "reason" : fact.field;
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
  tell_shared(shared);
}

// What all families share and what stands in a pack as soon as something there names it.
std::vector<FactChange> FamilyComparison::take_shared(std::vector<FactChange>& facts) {
  std::vector<FactChange> shared;
  const auto is_shared = [](const FactChange& fact) { return fact.field.empty() && !shared_words(fact.table).empty(); };
  std::copy_if(facts.begin(), facts.end(), std::back_inserter(shared), is_shared);
  facts.erase(std::remove_if(facts.begin(), facts.end(), is_shared), facts.end());
  return shared;
}

void FamilyComparison::tell_shared(const std::vector<FactChange>& shared) {
  std::map<std::pair<Table, bool>, std::vector<FactChange>> together;
  for (const FactChange& fact : shared) together[{fact.table, fact.head != none}].push_back(fact);
  for (const auto& [key, facts] : together) {
    const auto& [table, in_head] = key;
    Change change;
    change.nature = Nature::consequence;
    change.kind = "follows";
    std::vector<std::string> ids;
    for (const FactChange& fact : facts) {
      ids.push_back(fact.name.substr(fact.name.find(' ') + 1));
      if (in_head)
        change.head.push_back({table, fact.head});
      else
        change.base.push_back({table, fact.base});
    }
    change.words = fmt::format("{}{} {} {} the pack", shared_words(table), ids.size() == 1 ? "" : "s",
                               fmt::join(ids, ", "), in_head ? "come into" : "go out of");
    if (ids.size() == 1)
      change.words =
          fmt::format("{} {} {} the pack", shared_words(table), ids[0], in_head ? "comes into" : "goes out of");
    change.rows = 0;
    cells_.resize(out_.changes.size() + 1);
    out_.changes.push_back(std::move(change));
  }
}

// Rows that come or go with their owner are told by it.
void FamilyComparison::drop_owned(std::vector<FactChange>& facts, const std::vector<FactChange>& shared) const {
  std::set<std::pair<bool, std::string>> known, replaced;  // in the head or the base, by name
  for (const std::vector<FactChange>* all : {&std::as_const(facts), &shared})
    for (const FactChange& fact : *all)
      if (fact.field.empty()) known.insert({fact.head != none, fact.name});
  for (const Change& change : out_.changes) {
    if (change.kind != word(ChangeKind::replaced)) continue;
    for (const RowRef& row : change.base) replaced.insert({false, row_name(base_, row.table, row.row)});
    for (const RowRef& row : change.head) replaced.insert({true, row_name(head_, row.table, row.row)});
  }
  known.insert(replaced.begin(), replaced.end());
  std::erase_if(facts, [&](const FactChange& fact) {
    if (!fact.field.empty()) return false;
    const bool in_head = fact.head != none;
    const Family& family = in_head ? head_ : base_;
    const Index row = in_head ? fact.head : fact.base;
    // A part is told by its place.
    if (fact.table == Table::parts) return replaced.count({in_head, fact.name}) > 0;
    const auto [table, owner] = owner_of(family, fact.table, row);
    return owner != none && known.count({in_head, row_name(family, table, owner)}) > 0;
  });
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

}  // namespace loomproof::review
