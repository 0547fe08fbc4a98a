#include "review/facts.h"

#include <fmt/format.h>

#include <algorithm>
#include <cstring>
#include <set>

#include "compare/words.h"
#include "family/words.h"

namespace loomproof::review {
namespace {

// How a table is treated.
enum class Use : uint8_t {
  list,    // reached through its owner: lists of names
  owned,   // told by the rows that own it
  record,  // compared here, all of it
  metal    // compared by meaning; here only the fields that comparison passes over
};

Use use_of(Table table) {
  switch (table) {
    case Table::cites:
    case Table::source_refs:
    case Table::circuit_refs:
    case Table::place_refs:
    case Table::housing_refs:
    case Table::string_refs:
      return Use::list;
    case Table::says:
    case Table::points:
    case Table::connectors:
      return Use::owned;
    case Table::connector_rows:
    case Table::splices:
    case Table::earths:
    case Table::leads:
    case Table::wires:
    case Table::cavity_rows:
    case Table::pins:
    case Table::insides:
      return Use::metal;
    default:
      return Use::record;
  }
}

bool is_list(Table table) {
  return use_of(table) == Use::list && table != Table::cites;
}

std::string id_of(const Family& family, Table table, Index row) {
  if (row == none) return "none";
  switch (table) {
    case Table::circuits:
      return std::string(family.text(family.circuits[row].id));
    case Table::sources:
      return std::string(family.text(family.sources[row].id));
    case Table::colours:
      return std::string(family.text(family.colours[row].code));
    case Table::terminals:
      return std::string(family.text(family.terminals[row].designation));
    case Table::functions:
      return std::string(family.text(family.functions[row].id));
    case Table::options:
      return std::string(family.text(family.options[row].id));
    case Table::housings:
      return std::string(family.text(family.housings[row].id));
    case Table::housing_cavities:
      return std::string(family.text(family.housing_cavities[row].number));
    case Table::places:
      return std::string(family.text(family.places[row].id));
    case Table::parts:
      return std::string(family.text(family.parts[row].id));
    case Table::connectors:
      return std::string(family.text(family.connectors[row].designator));
    case Table::points:
      return point_name(family, row);
    case Table::combinations:
      return std::string(family.text(family.combinations[row].id));
    case Table::cites:
      return cite_text(family, row);
    default:
      return row_name(family, table, row);
  }
}

std::string quantity_words(std::string_view field, uint32_t word) {
  const auto quantity = static_cast<Quantity>(word);
  if (quantity == not_given) return "none";
  if (field == "from" || field == "to" || field == "run_out") return month_text(quantity);
  if (field == "number_from" || field == "length_mm") return std::to_string(quantity);
  if (field == "volts" || field == "supply") return volts_text(quantity);
  return milli(quantity);
}

// Enumerations as the corpus writes them; a number where the table has none of its own words here.
std::string word_words(Table table, std::string_view field, uint32_t value) {
  const auto as = [&](auto example) {
    const std::string_view text = word(static_cast<decltype(example)>(value));
    return text.empty() ? std::string("none") : std::string(text);
  };
  if (table == Table::sources) return as(SourceKind{});
  if (table == Table::circuits && field == "kind") return as(CircuitClass{});
  if (table == Table::parts) return as(PartKind{});
  if (table == Table::housings) return as(View{});
  if (table == Table::housing_cavities) return as(Contact{});
  if (table == Table::wires) return as(Shade{});
  if (table == Table::connector_rows) return as(Rest{});
  if (table == Table::earths) return as(EarthNode{});
  if (table == Table::leads) return as(Role{});
  if (table == Table::cavity_rows || table == Table::says) return as(State{});
  if (table == Table::pins) return field == "role" ? as(Role{}) : as(When{});
  if (table == Table::insides) return field == "kind" ? as(InsideKind{}) : as(ClosedBy{});
  if (table == Table::joins && (field == "a" || field == "b")) return as(Role{});
  if (table == Table::joins && field == "when") return as(JoinWhen{});
  if (field == "suffers") return as(Suffers{});
  if (field == "best" || field == "worst") return as(Verdict{});
  if (field == "outcome" || field == "if_stays_on" || field == "if_dead") return as(Outcome{});
  return std::to_string(value);
}

std::string marks_words(uint32_t marks) {
  static constexpr std::string_view names[] = {"function single", "function memory", "colour single", "colour memory",
                                               "mm2 single",      "mm2 memory",      "ohm single",    "ohm memory",
                                               "max-a single",    "max-a memory"};
  std::string text;
  for (size_t i = 0; i < std::size(names); ++i)
    if (marks >> i & 1) text += (text.empty() ? "" : ", ") + std::string(names[i]);
  return text.empty() ? "none" : text;
}

std::string says_words(const Family& family, Range range) {
  std::set<std::string> all;
  for (const Say& say : rows(family.says, range))
    all.insert(
        fmt::format("{}: {}", cite_text(family, say.cite),
                    say.circuit == none ? std::string(word(say.state)) : id_of(family, Table::circuits, say.circuit)));
  return fmt::format("{}", fmt::join(all, "; "));
}

std::string list_words(const Family& family, Table table, Range range) {
  std::vector<std::string> all;
  for (Index row = range.first; row < range.end(); ++row) {
    const std::vector<uint32_t> words = words_of(family, table, row);
    const Field& field = fields(table).front();
    all.push_back(field.kind == FieldKind::text ? std::string(family.text(words[0]))
                                                : id_of(family, field.target, words[0]));
  }
  std::sort(all.begin(), all.end());
  return all.empty() ? "none" : fmt::format("{}", fmt::join(all, ", "));
}

std::string of_part(const Family& family, Index part) {
  const Part& row = family.parts[part];
  return fmt::format("{} in {}", family.text(row.id), id_of(family, Table::places, row.place));
}
std::string at_point(const Family& family, Index point) {
  return fmt::format("{} of {}", point_name(family, point), of_part(family, family.points[point].part));
}

std::string_view plain_name(Table table) {
  switch (table) {
    case Table::eras:
      return "era";
    case Table::sources:
      return "source";
    case Table::colours:
      return "colour";
    case Table::terminals:
      return "terminal";
    case Table::functions:
      return "function";
    case Table::cautions:
      return "caution";
    case Table::circuits:
      return "circuit";
    case Table::housings:
      return "housing";
    case Table::places:
      return "place";
    case Table::options:
      return "option";
    case Table::combinations:
      return "combination";
    default:
      return table_name(table);
  }
}

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

std::string axis_value(const Family& family, uint32_t axis, Index value) {
  if (axis == 0) return std::string(family.text(family.eras[value].id));
  const Option& option = family.options[axis - 1];
  return fmt::format("{}={}", family.text(option.id),
                     family.text(family.option_values[option.values.first + value].id));
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

Index row_count(const Family& family, Table table) {
  size_t count = 0;
  each_table(family, [&](Table each, const auto& rows) {
    if (each == table) count = rows.size();
  });
  return static_cast<Index>(count);
}

std::vector<uint32_t> words_of(const Family& family, Table table, Index row) {
  std::vector<uint32_t> words(row_words(table));
  switch (table) {
#define TABLE(name, Row)                                                           \
  case Table::name:                                                                \
    std::memcpy(words.data(), &family.name[row], words.size() * sizeof(uint32_t)); \
    break;
#include "family/tables.def"
#undef TABLE
  }
  return words;
}

std::string cite_text(const Family& family, CiteId id) {
  if (id >= family.cites.size()) return "none";
  const Cite& cite = family.cites[id];
  std::string text = list_words(family, Table::source_refs, cite.sources);
  if (cite.independent) text += ", independent of each other";
  return text;
}

CiteId cite_of(const Family& family, Table table, Index row) {
  for (const Field& field : fields(table))
    if (field.name == "cite") return words_of(family, table, row)[field.offset];
  return none;
}

std::string field_text(const Family& family, Table table, Index row, const Field& field) {
  const std::vector<uint32_t> words = words_of(family, table, row);
  const uint32_t value = words[field.offset];
  switch (field.kind) {
    case FieldKind::text:
      return value == 0 ? "none" : std::string(family.text(value));
    case FieldKind::cells:
      return cells_text(family, family.set(value));
    case FieldKind::index:
    case FieldKind::optional:
      return id_of(family, field.target, value);
    case FieldKind::range: {
      const Range range{value, words[field.offset + 1]};
      if (field.target == Table::says) return says_words(family, range);
      return is_list(field.target) ? list_words(family, field.target, range) : "";
    }
    case FieldKind::word:
      return word_words(table, field.name, value);
    case FieldKind::marks:
      return marks_words(value);
    case FieldKind::quantity:
      return quantity_words(field.name, value);
    case FieldKind::number:
      break;
  }
  return std::to_string(value);
}

std::string row_name(const Family& family, Table table, Index row) {
  const auto text = [&](Str str) { return family.text(str); };
  switch (table) {
    case Table::option_values: {
      const OptionValue& value = family.option_values[row];
      return fmt::format("option value {}={}", text(family.options[value.option].id), text(value.id));
    }
    case Table::conductors:
      return fmt::format("conductor of {} mm² by {}", milli(family.conductors[row].mm2),
                         cite_text(family, family.conductors[row].amps_cite));
    case Table::fuses:
      return fmt::format("fuse {} {} A", text(family.fuses[row].type), milli(family.fuses[row].amps));
    case Table::aparts:
      return fmt::format("{} apart from {}", id_of(family, Table::circuits, family.aparts[row].circuit),
                         id_of(family, Table::circuits, family.aparts[row].other));
    case Table::housing_cavities:
      return fmt::format("cavity {} of housing {}", text(family.housing_cavities[row].number),
                         id_of(family, Table::housings, family.housing_cavities[row].housing));
    case Table::in_manuals: {
      const HousingCavity& cavity = family.housing_cavities[family.in_manuals[row].cavity];
      return fmt::format("a manual's number of cavity {} of housing {}", text(cavity.number),
                         id_of(family, Table::housings, cavity.housing));
    }
    case Table::closes:
      return fmt::format("shorting bar {} to {} of housing {}",
                         id_of(family, Table::housing_cavities, family.closes[row].a),
                         id_of(family, Table::housing_cavities, family.closes[row].b),
                         id_of(family, Table::housings, family.closes[row].housing));
    case Table::place_where:
      return fmt::format("{} is {}", id_of(family, Table::places, family.place_where[row].place),
                         text(family.place_where[row].where));
    case Table::plugs: {
      const PlugPair& plug = family.plugs[row];
      return fmt::format("plug {}.{} to {}.{}", id_of(family, Table::places, plug.place_a), text(plug.a),
                         id_of(family, Table::places, plug.place_b), text(plug.b));
    }
    case Table::builds:
      return fmt::format("build {}", cells_text(family, family.set(family.builds[row]), family.set(family.built)));
    case Table::parts:
      return fmt::format("{} {}", word(family.parts[row].kind), of_part(family, row));
    case Table::numbers:
      return fmt::format("number {} on the {} of {}", text(family.numbers[row].text), text(family.numbers[row].on),
                         of_part(family, family.numbers[row].part));
    case Table::connectors:
      return fmt::format("{} of {}", text(family.connectors[row].designator),
                         of_part(family, family.connectors[row].part));
    case Table::connector_rows:
      return row_name(family, Table::connectors, family.connector_rows[row].connector);
    case Table::points:
      return at_point(family, row);
    case Table::splices:
      return at_point(family, family.splices[row].point);
    case Table::earths:
      return at_point(family, family.earths[row].point);
    case Table::leads:
      return at_point(family, family.leads[row].point);
    case Table::cavity_rows:
      return at_point(family, family.cavity_rows[row].point);
    case Table::pins:
      return fmt::format("pin {}", at_point(family, family.pins[row].point));
    case Table::wires: {
      const Wire& wire = family.wires[row];
      std::string a = point_name(family, wire.from), b = point_name(family, wire.to);
      if (b < a) std::swap(a, b);
      return fmt::format("{} between {} and {} of {}", id_of(family, Table::circuits, wire.circuit), a, b,
                         of_part(family, wire.part));
    }
    case Table::insides:
      return fmt::format("{} inside {}", text(family.insides[row].id), of_part(family, family.insides[row].part));
    case Table::positions:
      return fmt::format("position {} of {} inside {}", text(family.positions[row].value),
                         text(family.positions[row].switch_id), of_part(family, family.positions[row].part));
    case Table::branches:
      return fmt::format("branch {} of {}", text(family.branches[row].id), of_part(family, family.branches[row].part));
    case Table::changes: {
      const loomproof::Change& change = family.changes[row];
      return fmt::format("declared between {} and {}: {}", axis_value(family, change.axis, change.left),
                         axis_value(family, change.axis, change.right), text(change.because));
    }
    case Table::change_items:
      return fmt::format("{}, of {}: {}", row_name(family, Table::changes, family.change_items[row].change),
                         family.change_items[row].part != none
                             ? of_part(family, family.change_items[row].part)
                             : id_of(family, Table::places, family.change_items[row].place),
                         change_words(family, family.change_items[row]));
    case Table::allowances: {
      const Allowance& allowance = family.allowances[row];
      std::string at = allowance.point != none  ? " at " + at_point(family, allowance.point)
                       : allowance.part != none ? " in " + of_part(family, allowance.part)
                                                : "";
      return fmt::format("allowance of {}{}", text(allowance.rule), at);
    }
    case Table::joins:
      return fmt::format("join of {} and {}, {}", word(family.joins[row].a), word(family.joins[row].b),
                         word(family.joins[row].when));
    case Table::combination_parts:
      return fmt::format("{} in combination {}", id_of(family, Table::places, family.combination_parts[row].place),
                         id_of(family, Table::combinations, family.combination_parts[row].combination));
    case Table::combination_edits:
      return fmt::format("{} in combination {}: {}", id_of(family, Table::places, family.combination_edits[row].place),
                         id_of(family, Table::combinations, family.combination_edits[row].combination),
                         text(family.combination_edits[row].text));
    case Table::says:
      return row_name(family, Table::cavity_rows, family.says[row].cavity_row);
    case Table::eras:
      return fmt::format("era {}", text(family.eras[row].id));
    case Table::cautions:
      return fmt::format("caution {}", text(family.cautions[row].id));
    default:
      return fmt::format("{} {}", plain_name(table), id_of(family, table, row));
  }
}

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
        items.insert(fmt::format("{} {} {}", item.part == none ? "" : of_part(family, item.part),
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
