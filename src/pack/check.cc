#include "pack/check.h"

#include <fmt/format.h>

#include <algorithm>
#include <tuple>

namespace loomproof::pack {
namespace {

// The first value of a field that is not allowed, in one line.
std::string bad_value(Table table, uint32_t row, const Field& field, std::string_view expected, uint32_t value) {
  const std::string name = field.name.empty() ? std::string("value") : fmt::format("`{}`", field.name);
  return fmt::format("{} row {}: {} is {}, {}", table_name(table), row, name, value, expected);
}

// What a field may hold: value + bias < bound, in 32 bits. A bias of 1 lets `none` wrap to 0, which is allowed as well.
struct Bound {
  uint64_t bound = 0;
  uint32_t bias = 0;
  bool allows(uint32_t value) const { return static_cast<uint32_t>(value + bias) < bound; }
};
constexpr Bound anything{uint64_t{1} << 32, 0};

Bound bound_of(const Tables& tables, const Field& field, bool newer) {
  switch (field.kind) {
    case FieldKind::text:
      return {tables.strings, 0};
    case FieldKind::cells:
      return {tables.cell_sets, 0};
    case FieldKind::index:
      return {tables[field.target].count, 0};
    case FieldKind::optional:
      return {uint64_t{tables[field.target].count} + 1, 1};
    case FieldKind::word:
      return newer && field.stand_in != none ? anything : Bound{field.limit, 0};
    case FieldKind::marks:
      return newer ? anything : Bound{field.limit, 0};
    case FieldKind::number:
      return field.limit == 0 ? anything : Bound{field.limit, 0};
    case FieldKind::range:  // first and count are looked at together
    case FieldKind::quantity:
      break;
  }
  return anything;
}

std::string expectation(const Field& field, const Bound& bound) {
  switch (field.kind) {
    case FieldKind::text:
      return fmt::format("but there are {} strings", bound.bound);
    case FieldKind::cells:
      return fmt::format("but there are {} sets of cells", bound.bound);
    case FieldKind::index:
    case FieldKind::optional:
      return fmt::format("but {} has {} rows", table_name(field.target), bound.bound - bound.bias);
    default:
      return "which has no meaning here";
  }
}

uint32_t word_at(const RowBytes& rows, uint32_t row, uint32_t stride, uint32_t offset) {
  uint32_t word;
  std::memcpy(&word, rows.bytes + (size_t{row} * stride + offset) * sizeof(uint32_t), sizeof(word));
  return word;
}

std::string range_fault(const Tables& tables, Table table, const Field& field, uint32_t begin, uint32_t end) {
  const uint32_t stride = row_words(table), size = tables[field.target].count;
  for (uint32_t row = begin; row < end; ++row) {
    const uint32_t first = word_at(tables[table], row, stride, field.offset);
    const uint32_t count = word_at(tables[table], row, stride, field.offset + 1);
    if (first <= size && count <= size - first) continue;
    return fmt::format("{} row {}: `{}` is rows {} to {}, but {} has {} rows", table_name(table), row, field.name,
                       first, uint64_t{first} + count, table_name(field.target), size);
  }
  return {};
}

std::string field_fault(const Tables& tables, Table table, const Field& field, bool newer, uint32_t begin,
                        uint32_t end) {
  if (field.kind == FieldKind::range) return range_fault(tables, table, field, begin, end);
  const Bound bound = bound_of(tables, field, newer);
  if (bound.bound == anything.bound) return {};
  const uint32_t stride = row_words(table);
  bool good = true;  // no early end: the loop is the hot one of opening a pack
  for (uint32_t row = begin; row < end; ++row) good &= bound.allows(word_at(tables[table], row, stride, field.offset));
  if (good) return {};
  uint32_t row = begin;
  while (bound.allows(word_at(tables[table], row, stride, field.offset))) ++row;
  return bad_value(table, row, field, expectation(field, bound), word_at(tables[table], row, stride, field.offset));
}

// Every word of every row means something. In blocks, so that a row's cache lines are read once.
std::string rows_fault(const Tables& tables, bool newer) {
  constexpr uint32_t block = 256;
  for (uint32_t index = 0; index < table_count; ++index) {
    const Table table = static_cast<Table>(index);
    const uint32_t count = tables[table].count;
    for (uint32_t begin = 0; begin < count; begin += std::min(block, count - begin))
      for (const Field& field : fields(table)) {
        std::string fault = field_fault(tables, table, field, newer, begin, begin + std::min(block, count - begin));
        if (!fault.empty()) return fault;
      }
  }
  return {};
}

// Each row lies in the range of the owner that it names, and in no other: walkers number rows from their owner's first.
template <typename Owner, typename Row, typename OwnerOf>
std::string owner_fault(const Tables& tables, Table owner_table, Range Owner::*range, Table row_table,
                        OwnerOf owner_of) {
  const auto owners = tables.view<Owner>(owner_table);
  const auto rows = tables.view<Row>(row_table);
  uint32_t owned = 0;  // cannot overflow: a row that two ranges hold is found at the second
  for (uint32_t owner = 0; owner < owners.size(); ++owner) {
    const Range held = owners[owner].*range;
    for (uint32_t row = held.first; row < held.end(); ++row)
      if (owner_of(rows[row]) != owner)
        return fmt::format("{} row {}: it is in the range of {} row {} and belongs to another", table_name(row_table),
                           row, table_name(owner_table), owner);
    owned += held.count;
  }
  if (owned == rows.size()) return {};
  return fmt::format("{}: {} rows lie in no range of {}", table_name(row_table), rows.size() - owned,
                     table_name(owner_table));
}

std::string owners_fault(const Tables& t) {
  const auto points = t.view<Point>(Table::points);
  const auto of_part = [](const auto& row) { return row.part; };
  const auto of_combination = [](const auto& row) { return row.combination; };
  const auto at_point = [&](const auto& row) { return points[row.point].part; };
  std::string fault;
  const auto ok = [&](std::string found) { return (fault = std::move(found)).empty(); };
#define OWNED(Owner, owners, range, Row, rows, owner_of) \
  ok(owner_fault<Owner, Row>(t, Table::owners, &Owner::range, Table::rows, owner_of))
  OWNED(Option, options, values, OptionValue, option_values, [](const OptionValue& row) { return row.option; }) &&
      OWNED(Housing, housings, cavities, HousingCavity, housing_cavities,
            [](const HousingCavity& row) { return row.housing; }) &&
      OWNED(Housing, housings, closes, Closes, closes, [](const Closes& row) { return row.housing; }) &&
      OWNED(Place, places, where, PlaceWhere, place_where, [](const PlaceWhere& row) { return row.place; }) &&
      OWNED(Part, parts, numbers, PartNumber, numbers, of_part) &&
      OWNED(Part, parts, connectors, Connector, connectors, of_part) &&
      OWNED(Connector, connectors, rows, ConnectorRow, connector_rows,
            [](const ConnectorRow& row) { return row.connector; }) &&
      OWNED(Part, parts, points, Point, points, of_part) && OWNED(Part, parts, splices, Splice, splices, at_point) &&
      OWNED(Part, parts, earths, Earth, earths, at_point) && OWNED(Part, parts, leads, Lead, leads, at_point) &&
      OWNED(Part, parts, wires, Wire, wires, of_part) &&
      OWNED(Part, parts, cavity_rows, CavityRow, cavity_rows, at_point) &&
      OWNED(CavityRow, cavity_rows, says, Say, says, [](const Say& row) { return row.cavity_row; }) &&
      OWNED(Part, parts, pins, Pin, pins, at_point) && OWNED(Part, parts, insides, Inside, insides, of_part) &&
      OWNED(Part, parts, positions, Position, positions, of_part) &&
      OWNED(Part, parts, branches, Branch, branches, of_part) &&
      OWNED(Change, changes, items, ChangeItem, change_items, [](const ChangeItem& row) { return row.change; }) &&
      OWNED(Combination, combinations, parts, CombinationPart, combination_parts, of_combination) &&
      OWNED(Combination, combinations, edits, CombinationEdit, combination_edits, of_combination);
#undef OWNED
  return fault;
}

template <typename Row, typename Good>
std::string each_row(const Tables& tables, Table table, std::string_view rule, Good good) {
  const auto rows = tables.view<Row>(table);
  for (uint32_t row = 0; row < rows.size(); ++row)
    if (!good(rows[row])) return fmt::format("{} row {}: {}", table_name(table), row, rule);
  return {};
}

// Joins are found by binary search, and each pair says first what holds where no condition does.
std::string joins_fault(const Tables& tables) {
  const auto joins = tables.view<Join>(Table::joins);
  for (uint32_t row = 0; row < joins.size(); ++row) {
    const Join join = joins[row], before = row == 0 ? Join{} : joins[row - 1];
    const auto key = [](const Join& one) { return std::tuple(one.a, one.b, one.when); };
    const bool of_same_pair = row != 0 && before.a == join.a && before.b == join.b;
    const bool sorted = row == 0 || key(before) < key(join);
    if (join.a != Role::unset && join.a <= join.b && sorted && of_same_pair != (join.when == JoinWhen::always))
      continue;
    return fmt::format("joins row {}: it is out of order", row);
  }
  return {};
}

// What one row says of rows of other tables agrees with what those say.
std::string sense_fault(const Tables& t) {
  const auto points = t.view<Point>(Table::points);
  const auto connectors = t.view<Connector>(Table::connectors);
  const auto cavities = t.view<HousingCavity>(Table::housing_cavities);
  const auto options = t.view<Option>(Table::options);
  const auto is = [&](PointKind kind) { return [&, kind](const auto& row) { return points[row.point].kind == kind; }; };
  std::string fault;
  const auto ok = [&](std::string found) { return (fault = std::move(found)).empty(); };
  ok(each_row<Point>(t, Table::points, "a cavity belongs to a connector of its part, and nothing else does",
                     [&](const Point& row) {
                       if (row.kind != PointKind::cavity) return row.connector == none;
                       return row.connector != none && connectors[row.connector].part == row.part;
                     })) &&
      ok(each_row<Wire>(
          t, Table::wires, "a wire ends at points of its own part",
          [&](const Wire& row) { return points[row.from].part == row.part && points[row.to].part == row.part; })) &&
      ok(each_row<Inside>(
          t, Table::insides, "an element joins points of its own part",
          [&](const Inside& row) { return points[row.a].part == row.part && points[row.b].part == row.part; })) &&
      ok(each_row<Closes>(t, Table::closes, "a shorting bar joins cavities of its own housing",
                          [&](const Closes& row) {
                            return cavities[row.a].housing == row.housing && cavities[row.b].housing == row.housing;
                          })) &&
      ok(each_row<Splice>(t, Table::splices, "its point is no splice", is(PointKind::splice))) &&
      ok(each_row<Earth>(t, Table::earths, "its point is no earth", is(PointKind::earth))) &&
      ok(each_row<Lead>(t, Table::leads, "its point is no lead", is(PointKind::lead))) &&
      ok(each_row<Change>(
          t, Table::changes, "it is between what is no era and no value of an option", [&](const Change& row) {
            if (row.axis > options.size()) return false;
            const uint32_t size = row.axis == 0 ? t[Table::eras].count : options[row.axis - 1].values.count;
            return row.left < size && row.right < size;
          }));
  return fault;
}

}  // namespace

uint32_t cell_count(const Tables& tables) {
  uint64_t count = tables[Table::eras].count;
  const auto options = tables.view<Option>(Table::options);
  for (uint32_t option = 0; option < options.size() && count != 0 && count <= max_cells; ++option)
    count *= options[option].values.count;
  return count > max_cells ? 0 : static_cast<uint32_t>(count);
}

std::string fault_of(const Tables& tables, bool newer) {
  if (tables.id >= tables.strings || tables.title >= tables.strings) return "the name of the family is no string";
  if (tables.built >= tables.cell_sets) return "the built cells are no set of cells";
  if (tables.cite >= tables[Table::cites].count) return "the source of the family is no citation";
  std::string fault = rows_fault(tables, newer);
  if (fault.empty() && cell_count(tables) == 0)
    fault = fmt::format("eras and options make no cells, or more than {}", max_cells);
  if (fault.empty()) fault = owners_fault(tables);
  if (fault.empty()) fault = sense_fault(tables);
  if (fault.empty()) fault = joins_fault(tables);
  return fault;
}

}  // namespace loomproof::pack
