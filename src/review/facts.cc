#include "review/facts.h"

#include <fmt/format.h>

#include <algorithm>
#include <map>
#include <set>

#include "compare/words.h"
#include "family/words.h"

namespace loomproof::review {
namespace {

// Fields that row_name() tells, or that only number rows.
bool is_told(Table table, std::string_view field) {
  const auto one_of = [&](std::initializer_list<std::string_view> names) {
    return std::find(names.begin(), names.end(), field) != names.end();
  };
  switch (table) {
    case Table::option_values:
      return one_of({"option", "id"});
    case Table::colours:
      return one_of({"code", "order"});
    case Table::terminals:
      return one_of({"designation"});
    case Table::conductors:
      return one_of({"mm2"});
    case Table::fuses:
      return one_of({"type", "amps"});
    case Table::aparts:
      return one_of({"circuit", "other"});
    case Table::housing_cavities:
      return one_of({"housing", "number"});
    case Table::closes:
      return one_of({"housing", "a", "b"});
    case Table::place_where:
      return one_of({"place", "where"});
    case Table::plugs:
      return one_of({"place_a", "a", "place_b", "b"});
    case Table::parts:
      return one_of({"id", "place", "kind"});
    case Table::numbers:
      return one_of({"part", "text", "on"});
    case Table::positions:
      return one_of({"part", "switch_id", "value"});
    case Table::branches:
      return one_of({"part", "id"});
    case Table::changes:
      return one_of({"axis", "left", "right", "because"});
    case Table::allowances:
      return one_of({"rule", "part", "point"});
    case Table::joins:
      return one_of({"a", "b", "when"});
    case Table::combination_parts:
      return one_of({"combination", "place"});
    case Table::combination_edits:
      return one_of({"combination", "place", "text"});
    default:
      return field == "id";
  }
}

// Of tables that the comparison by meaning covers: the fields it passes over.
bool is_passed_over(std::string_view field) {
  return field == "cite" || field == "marks" || field == "length_mm" || field == "note" || field == "says" ||
         field == "title" || field == "branch";
}

// Where the order of rows means something: the first row of the list that this one stands in; else none.
Index first_in_order(const Family& family, Table table, Index row) {
  if (table == Table::eras) return 0;
  if (table == Table::option_values) return family.options[family.option_values[row].option].values.first;
  if (table == Table::housing_cavities) return family.housings[family.housing_cavities[row].housing].cavities.first;
  return none;
}

Cells cells_of(const Family& family, Table table, Index row) {
  const std::vector<uint32_t> words = words_of(family, table, row);
  for (const Field& field : fields(table))
    if (field.kind == FieldKind::cells) return words[field.offset];
  return 0;
}

class Finder {
 public:
  Finder(const Family& base, const Family& head, const std::vector<std::pair<uint32_t, uint32_t>>& pairs)
      : base_(base), head_(head), pairs_(pairs) {}

  std::vector<FactChange> run() {
    for (uint32_t i = 0; i < table_count; ++i) {
      const auto table = static_cast<Table>(i);
      if (use_of(table) == Use::record && table != Table::change_items) compare_records(table);
      if (use_of(table) == Use::metal) compare_evidence(table);
    }
    compare_records(Table::change_items);
    return std::move(found_);
  }

 private:
  using ByName = std::map<std::string, std::vector<Index>>;
  static ByName by_name(const Family& family, Table table) {
    ByName names;
    for (Index row = 0; row < row_count(family, table); ++row) names[row_name(family, table, row)].push_back(row);
    return names;
  }

  void compare_records(Table table) {
    const ByName was = by_name(base_, table), is = by_name(head_, table);
    for (const auto& [name, rows] : was) {
      const auto other = is.find(name);
      const size_t both = other == is.end() ? 0 : std::min(rows.size(), other->second.size());
      for (size_t i = 0; i < both; ++i) compare_fields(table, name, rows[i], other->second[i]);
      for (size_t i = both; i < rows.size(); ++i)
        found_.push_back({table, name, "", "present", "none", rows[i], none, {}});
    }
    for (const auto& [name, rows] : is) {
      const auto other = was.find(name);
      for (size_t i = other == was.end() ? 0 : other->second.size(); i < rows.size(); ++i)
        found_.push_back({table, name, "", "none", "present", none, rows[i], {}});
    }
  }

  void compare_fields(Table table, const std::string& name, Index was, Index is) {
    for (const Field& field : fields(table)) {
      if (is_told(table, field.name)) continue;
      if (field.kind == FieldKind::range && !is_list(field.target)) continue;
      // A declared step is named by all that it says.
      if (table == Table::change_items && field.name != "cells") continue;
      const std::string a = field_text(base_, table, was, field), b = field_text(head_, table, is, field);
      if (a != b) found_.push_back({table, name, std::string(field.name), a, b, was, is, {}});
    }
  }

  // Rows of one name that hold in a cell of both.
  void compare_evidence(Table table) {
    const ByName was = by_name(base_, table), is = by_name(head_, table);
    for (const auto& [name, rows] : was) {
      const auto other = is.find(name);
      if (other == is.end()) continue;
      for (Index a : rows)
        for (Index b : other->second) {
          CellSet cells;
          const CellSet &of_a = base_.set(cells_of(base_, table, a)), &of_b = head_.set(cells_of(head_, table, b));
          for (const auto& [base, head] : pairs_)
            if (of_a.has(base) && of_b.has(head)) cells.insert(head);
          if (cells.empty()) continue;
          for (const Field& field : fields(table)) {
            if (!is_passed_over(field.name)) continue;
            const std::string x = field_text(base_, table, a, field), y = field_text(head_, table, b, field);
            if (x != y) found_.push_back({table, name, std::string(field.name), x, y, a, b, cells});
          }
        }
    }
  }

  const Family &base_, &head_;
  const std::vector<std::pair<uint32_t, uint32_t>>& pairs_;
  std::vector<FactChange> found_;
};

}  // namespace

std::vector<std::string> all_facts(const Family& family) {
  std::vector<std::string> all{fmt::format("{}|{}|{}|{}|{}", family.text(family.id), family.text(family.title),
                                           family.supply, cite_text(family, family.cite),
                                           cells_text(family, family.set(family.built)))};
  for (uint32_t i = 0; i < table_count; ++i) {
    const auto table = static_cast<Table>(i);
    if (use_of(table) == Use::list) continue;
    for (Index row = 0; row < row_count(family, table); ++row) {
      std::string line = row_name(family, table, row);
      if (const Index first = first_in_order(family, table, row); first != none)
        line += fmt::format("|{}", row - first);
      for (const Field& field : fields(table)) {
        const std::string text = field_text(family, table, row, field);
        // A wire has no direction, and is named by its ends.
        if (table == Table::wires && (field.name == "from" || field.name == "to")) continue;
        line += '|';
        line += text;
        if (field.kind == FieldKind::index && field.target == Table::cites)
          line += family.cites.size() > words_of(family, table, row)[field.offset] &&
                          family.cites[words_of(family, table, row)[field.offset]].own
                      ? " (own)"
                      : "";
      }
      all.push_back(std::move(line));
    }
  }
  std::sort(all.begin(), all.end());
  return all;
}

std::vector<FactChange> restate_reasons(Family& base, const Family& head) {
  // By what they declare; with the reason, those that both have are no affair of this.
  using Declared = std::map<std::string, std::map<std::string, Index>>;
  const auto declared = [](const Family& family) {
    Declared all;
    for (Index row = 0; row < family.changes.size(); ++row) {
      const loomproof::Change& change = family.changes[row];
      std::set<std::string> items;
      for (const ChangeItem& item : rows(family.change_items, change.items))
        items.insert(fmt::format("{} {} {}", item.part == none ? "" : name_of_part(family, item.part),
                                 change_words(family, item), cells_text(family, family.set(item.cells))));
      all[fmt::format("{} {}: {}", axis_value(family, change.axis, change.left),
                      axis_value(family, change.axis, change.right), fmt::join(items, "; "))]
         [std::string(family.text(change.because))] = row;
    }
    return all;
  };
  std::vector<FactChange> found;
  const Declared was = declared(base), is = declared(head);
  for (const auto& [items, reasons] : was) {
    const auto other = is.find(items);
    if (other == is.end() || reasons.size() != 1 || other->second.size() != 1) continue;
    const auto& [reason, row] = *reasons.begin();
    const auto& [becomes, head_row] = *other->second.begin();
    if (reason == becomes) continue;
    const loomproof::Change& change = base.changes[row];
    const std::string name =
        fmt::format("what is declared between {} and {}", axis_value(base, change.axis, change.left),
                    axis_value(base, change.axis, change.right));
    const auto text = std::find(base.strings.begin(), base.strings.end(), becomes);
    base.changes[row].because = static_cast<Str>(text - base.strings.begin());
    if (text == base.strings.end()) base.strings.push_back(becomes);
    found.push_back({Table::changes, name, "because", reason, becomes, row, head_row, {}});
  }
  return found;
}

std::vector<FactChange> fact_changes(const Family& base, const Family& head,
                                     const std::vector<std::pair<uint32_t, uint32_t>>& pairs) {
  return Finder(base, head, pairs).run();
}

}  // namespace loomproof::review
