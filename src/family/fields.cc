#include "family/fields.h"

#include <cstddef>
#include <type_traits>

#include "family/words.h"

namespace loomproof {
namespace {

constexpr uint32_t all_marks = function_single | function_memory | colour_single | colour_memory | mm2_single |
                               mm2_memory | ohm_single | ohm_memory | amps_single | amps_memory;

// What an enumerator that is not known yet is read as. The enumerations without a line here have no stand-in: a new
// value of theirs changes what a row is, so that an older program must not read the pack.
template <typename Enum>
constexpr uint32_t stand_in = none;
template <>
constexpr uint32_t stand_in<State> = static_cast<uint32_t>(State::unknown);
template <>
constexpr uint32_t stand_in<Rest> = static_cast<uint32_t>(Rest::unknown);
template <>
constexpr uint32_t stand_in<Role> = static_cast<uint32_t>(Role::unknown);
template <>
constexpr uint32_t stand_in<Outcome> = static_cast<uint32_t>(Outcome::endangers);
template <>
constexpr uint32_t stand_in<SourceKind> = static_cast<uint32_t>(SourceKind::memory);
template <>
constexpr uint32_t stand_in<Verdict> = static_cast<uint32_t>(Verdict::endangers_people);
template <>
constexpr uint32_t stand_in<Suffers> = static_cast<uint32_t>(Suffers::people);

template <typename Enum>
constexpr Field word_field(std::string_view name, size_t bytes) {
  return {name, static_cast<uint32_t>(bytes / 4), FieldKind::word, {}, word_count<Enum>, stand_in<Enum>};
}
constexpr Field field(std::string_view name, size_t bytes, FieldKind kind, Table target = {}, uint32_t limit = 0) {
  return {name, static_cast<uint32_t>(bytes / 4), kind, target, limit};
}

template <typename Row, size_t count>
constexpr bool covers(const std::array<Field, count>& all) {
  uint32_t next = 0;
  for (const Field& one : all) {
    if (one.offset != next) return false;
    next += one.kind == FieldKind::range ? 2 : 1;
  }
  return next * sizeof(uint32_t) == sizeof(Row);
}

template <Table table>
struct Described;

#define ROWS(table, RowType, ...)                                                                                \
  template <>                                                                                                    \
  struct Described<Table::table> {                                                                               \
    using Row = RowType;                                                                                         \
    static constexpr auto all = std::to_array<Field>({__VA_ARGS__});                                             \
    static_assert(std::is_trivially_copyable_v<Row> && alignof(Row) == alignof(uint32_t), "plain 32-bit words"); \
    static_assert(covers<Row>(all), "each word of the row is described, in order");                              \
  }
#define ONE(kind, ...) field("", 0, FieldKind::kind __VA_OPT__(, ) __VA_ARGS__)
#define TEXT(member) field(#member, offsetof(Row, member), FieldKind::text)
#define CELLS(member) field(#member, offsetof(Row, member), FieldKind::cells)
#define INDEX(member, table) field(#member, offsetof(Row, member), FieldKind::index, Table::table)
#define OPTIONAL(member, table) field(#member, offsetof(Row, member), FieldKind::optional, Table::table)
#define RANGE(member, table) field(#member, offsetof(Row, member), FieldKind::range, Table::table)
#define WORD(member) word_field<decltype(Row::member)>(#member, offsetof(Row, member))
#define FLAG(member) field(#member, offsetof(Row, member), FieldKind::number, {}, 2)
#define NUMBER(member, limit) field(#member, offsetof(Row, member), FieldKind::number, {}, limit)
#define MARKS(member) field(#member, offsetof(Row, member), FieldKind::marks, {}, all_marks + 1)
#define QUANTITY(member) field(#member, offsetof(Row, member), FieldKind::quantity)
#define CITE INDEX(cite, cites)

ROWS(cites, Cite, RANGE(sources, source_refs), FLAG(own), FLAG(independent));
ROWS(source_refs, Index, ONE(index, Table::sources));
ROWS(circuit_refs, Index, ONE(index, Table::circuits));
ROWS(place_refs, Index, ONE(index, Table::places));
ROWS(housing_refs, Index, ONE(index, Table::housings));
ROWS(string_refs, Str, ONE(text));

ROWS(eras, Era, TEXT(id), TEXT(title), QUANTITY(from), QUANTITY(to), QUANTITY(number_from), QUANTITY(run_out));
ROWS(options, Option, TEXT(id), TEXT(title), RANGE(values, option_values), FLAG(independent));
ROWS(option_values, OptionValue, INDEX(option, options), TEXT(id), TEXT(title), QUANTITY(supply));

ROWS(sources, Source, TEXT(id), TEXT(title), WORD(kind), TEXT(number), TEXT(edition), TEXT(section), TEXT(checked),
     TEXT(by), TEXT(on), TEXT(with), TEXT(sha256));
ROWS(colours, Colour, TEXT(code), TEXT(name), NUMBER(order, 0), CITE);
ROWS(terminals, Terminal, TEXT(designation), TEXT(meaning), MARKS(marks), CITE);
ROWS(functions, Function, TEXT(id), TEXT(meaning), MARKS(marks), CITE);
ROWS(conductors, Conductor, QUANTITY(mm2), QUANTITY(mohm_per_m), QUANTITY(amps), MARKS(marks), CITE,
     INDEX(amps_cite, cites));
ROWS(fuses, Fuse, TEXT(type), QUANTITY(amps), TEXT(colour), MARKS(marks), CITE);
ROWS(cautions, Caution, TEXT(id), TEXT(text), RANGE(when, string_refs));

ROWS(circuits, Circuit, TEXT(id), TEXT(title), WORD(kind), OPTIONAL(function, functions), OPTIONAL(terminal, terminals),
     QUANTITY(volts), QUANTITY(amps), WORD(if_stays_on), WORD(if_dead), RANGE(joins, circuit_refs), CITE);
ROWS(aparts, Apart, INDEX(circuit, circuits), INDEX(other, circuits), RANGE(places, place_refs), WORD(outcome),
     TEXT(because), CITE);

ROWS(housings, Housing, TEXT(id), TEXT(title), RANGE(cavities, housing_cavities), RANGE(mates, housing_refs),
     RANGE(closes, closes), WORD(view), FLAG(round), TEXT(colour), TEXT(key), TEXT(latch), CITE);
ROWS(housing_cavities, HousingCavity, INDEX(housing, housings), TEXT(number), TEXT(moulded), WORD(contact), QUANTITY(x),
     QUANTITY(y), QUANTITY(mm2_min), QUANTITY(mm2_max), QUANTITY(amps));
ROWS(closes, Closes, INDEX(housing, housings), INDEX(a, housing_cavities), INDEX(b, housing_cavities));

ROWS(places, Place, TEXT(id), TEXT(title), CELLS(cells), FLAG(optional), FLAG(undocumented), RANGE(where, place_where),
     CITE);
ROWS(place_where, PlaceWhere, INDEX(place, places), TEXT(where), CELLS(cells), CITE);
ROWS(plugs, PlugPair, INDEX(place_a, places), TEXT(a), INDEX(place_b, places), TEXT(b), CELLS(cells));
ROWS(builds, Cells, ONE(cells));

ROWS(parts, Part, TEXT(id), TEXT(title), WORD(kind), OPTIONAL(place, places), CELLS(cells), RANGE(numbers, numbers),
     RANGE(connectors, connectors), RANGE(points, points), RANGE(splices, splices), RANGE(earths, earths),
     RANGE(leads, leads), RANGE(wires, wires), RANGE(cavity_rows, cavity_rows), RANGE(pins, pins),
     RANGE(insides, insides), RANGE(positions, positions), RANGE(branches, branches), CITE);
ROWS(numbers, PartNumber, INDEX(part, parts), TEXT(text), TEXT(on), TEXT(supersedes), CELLS(cells), CITE);
ROWS(connectors, Connector, INDEX(part, parts), TEXT(designator), RANGE(rows, connector_rows));
ROWS(connector_rows, ConnectorRow, INDEX(connector, connectors), INDEX(housing, housings), TEXT(where), WORD(rest),
     TEXT(loose), CELLS(cells), CITE);
ROWS(points, Point, INDEX(part, parts), WORD(kind), OPTIONAL(connector, connectors), TEXT(name));
ROWS(splices, Splice, INDEX(point, points), TEXT(where), TEXT(branch), CELLS(cells), CITE);
ROWS(earths, Earth, INDEX(point, points), TEXT(where), TEXT(ring), WORD(to), OPTIONAL(circuit, circuits), CELLS(cells),
     CITE);
ROWS(leads, Lead, INDEX(point, points), TEXT(title), OPTIONAL(circuit, circuits), WORD(role), QUANTITY(volts),
     QUANTITY(amps), CELLS(cells), CITE);
ROWS(wires, Wire, INDEX(part, parts), INDEX(circuit, circuits), INDEX(from, points), INDEX(to, points),
     OPTIONAL(base, colours), OPTIONAL(tracer, colours), WORD(shade), QUANTITY(mm2), QUANTITY(length_mm),
     FLAG(double_crimp), TEXT(spare), MARKS(marks), CELLS(cells), CITE);
ROWS(cavity_rows, CavityRow, INDEX(point, points), WORD(state), RANGE(says, says), TEXT(note), CELLS(cells), CITE);
ROWS(says, Say, INDEX(cavity_row, cavity_rows), WORD(state), OPTIONAL(circuit, circuits), CITE);
ROWS(pins, Pin, INDEX(point, points), OPTIONAL(circuit, circuits), WORD(role), QUANTITY(volts), QUANTITY(amps),
     FLAG(optional), WORD(when), FLAG(through_load), TEXT(coded_low), TEXT(coded_high), TEXT(coded_open),
     TEXT(pair_with), TEXT(polarity), TEXT(protocol), TEXT(line), TEXT(ends), MARKS(marks), CELLS(cells), CITE);
ROWS(insides, Inside, INDEX(part, parts), TEXT(id), WORD(kind), INDEX(a, points), INDEX(b, points), QUANTITY(ohm),
     QUANTITY(amps), QUANTITY(volts), FLAG(rests_closed), FLAG(rests_known), WORD(closed_by), TEXT(coil), CELLS(cells),
     CITE);
ROWS(positions, Position, INDEX(part, parts), TEXT(switch_id), TEXT(value), RANGE(closes, string_refs));
ROWS(branches, Branch, INDEX(part, parts), TEXT(id), RANGE(connectors, string_refs));

ROWS(changes, Change, NUMBER(axis, 0), NUMBER(left, 0), NUMBER(right, 0), TEXT(because), RANGE(items, change_items),
     CITE);
ROWS(change_items, ChangeItem, INDEX(change, changes), WORD(kind), CELLS(cells), OPTIONAL(part, parts),
     OPTIONAL(place, places), OPTIONAL(connector, connectors), OPTIONAL(circuit, circuits),
     OPTIONAL(circuit_b, circuits), OPTIONAL(from, points), OPTIONAL(to, points), OPTIONAL(base, colours),
     OPTIONAL(tracer, colours), WORD(shade), QUANTITY(mm2), WORD(role), FLAG(step), TEXT(what), TEXT(of), TEXT(was),
     TEXT(becomes));
ROWS(allowances, Allowance, TEXT(rule), TEXT(because), OPTIONAL(part, parts), OPTIONAL(point, points), CELLS(cells),
     CITE);
ROWS(joins, Join, WORD(a), WORD(b), WORD(when), WORD(outcome), WORD(suffers), TEXT(because), CITE);
ROWS(combinations, Combination, TEXT(id), TEXT(title), CELLS(others), WORD(best), WORD(worst), WORD(outcome),
     RANGE(suffers, place_refs), TEXT(because), RANGE(parts, combination_parts), RANGE(edits, combination_edits), CITE);
ROWS(combination_parts, CombinationPart, INDEX(combination, combinations), INDEX(place, places), OPTIONAL(part, parts),
     CELLS(cells), FLAG(is_left_off));
ROWS(combination_edits, CombinationEdit, INDEX(combination, combinations), INDEX(place, places), TEXT(text));
ROWS(in_manuals, InManual, INDEX(cavity, housing_cavities), TEXT(number), CITE);

}  // namespace

std::string_view table_name(Table table) {
  switch (table) {
#define TABLE(name, RowOf) \
  case Table::name:        \
    return #name;
#include "family/tables.def"
#undef TABLE
  }
  return {};
}

std::span<const Field> fields(Table table) {
  switch (table) {
#define TABLE(name, RowOf) \
  case Table::name:        \
    return Described<Table::name>::all;
#include "family/tables.def"
#undef TABLE
  }
  return {};
}

uint32_t row_words(Table table) {
  switch (table) {
#define TABLE(name, RowOf) \
  case Table::name:        \
    return sizeof(Described<Table::name>::Row) / sizeof(uint32_t);
#include "family/tables.def"
#undef TABLE
  }
  return 0;
}

}  // namespace loomproof
