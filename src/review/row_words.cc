#include "review/row_words.h"

#include <fmt/format.h>

#include <algorithm>
#include <cstring>
#include <set>

#include "compare/words.h"
#include "family/words.h"

namespace loomproof::review {
namespace {

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

std::string at_point(const Family& family, Index point) {
  return fmt::format("{} of {}", point_name(family, point), name_of_part(family, family.points[point].part));
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

}  // namespace

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

std::string name_of_part(const Family& family, Index part) {
  const Part& row = family.parts[part];
  return fmt::format("{} in {}", family.text(row.id), id_of(family, Table::places, row.place));
}

std::string axis_value(const Family& family, uint32_t axis, Index value) {
  if (axis == 0) return std::string(family.text(family.eras[value].id));
  const Option& option = family.options[axis - 1];
  return fmt::format("{}={}", family.text(option.id),
                     family.text(family.option_values[option.values.first + value].id));
}

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
      return fmt::format("{} {}", word(family.parts[row].kind), name_of_part(family, row));
    case Table::numbers:
      return fmt::format("number {} on the {} of {}", text(family.numbers[row].text), text(family.numbers[row].on),
                         name_of_part(family, family.numbers[row].part));
    case Table::connectors:
      return fmt::format("{} of {}", text(family.connectors[row].designator),
                         name_of_part(family, family.connectors[row].part));
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
                         name_of_part(family, wire.part));
    }
    case Table::insides:
      return fmt::format("{} inside {}", text(family.insides[row].id), name_of_part(family, family.insides[row].part));
    case Table::positions:
      return fmt::format("position {} of {} inside {}", text(family.positions[row].value),
                         text(family.positions[row].switch_id), name_of_part(family, family.positions[row].part));
    case Table::branches:
      return fmt::format("branch {} of {}", text(family.branches[row].id),
                         name_of_part(family, family.branches[row].part));
    case Table::changes: {
      const loomproof::Change& change = family.changes[row];
      return fmt::format("declared between {} and {}: {}", axis_value(family, change.axis, change.left),
                         axis_value(family, change.axis, change.right), text(change.because));
    }
    case Table::change_items:
      return fmt::format("{}, of {}: {}", row_name(family, Table::changes, family.change_items[row].change),
                         family.change_items[row].part != none
                             ? name_of_part(family, family.change_items[row].part)
                             : id_of(family, Table::places, family.change_items[row].place),
                         change_words(family, family.change_items[row]));
    case Table::allowances: {
      const Allowance& allowance = family.allowances[row];
      std::string at = allowance.point != none  ? " at " + at_point(family, allowance.point)
                       : allowance.part != none ? " in " + name_of_part(family, allowance.part)
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

}  // namespace loomproof::review
