#include "family/family.h"

#include <algorithm>
#include <array>
#include <cstring>

#include "family/fields.h"

namespace loomproof {

uint32_t Family::axis_size(uint32_t axis) const {
  return axis == 0 ? static_cast<uint32_t>(eras.size()) : options[axis - 1].values.count;
}

uint32_t Family::cell_count() const {
  uint32_t count = 1;
  for (uint32_t axis = 0; axis < axis_count(); ++axis) count *= axis_size(axis);
  return count;
}

namespace {

// Cells are numbered in mixed radix: eras are the slowest axis, then the options in their order.
uint32_t stride(const Family& family, uint32_t axis) {
  uint32_t cells = 1;
  for (uint32_t faster = axis + 1; faster < family.axis_count(); ++faster) cells *= family.axis_size(faster);
  return cells;
}

bool same_cite(const Family& a, CiteId cite_a, const Family& b, CiteId cite_b) {
  if (cite_a >= a.cites.size() || cite_b >= b.cites.size()) return cite_a == cite_b;
  const Cite &left = a.cites[cite_a], &right = b.cites[cite_b];
  const auto of_a = rows(a.source_refs, left.sources), of_b = rows(b.source_refs, right.sources);
  return left.own == right.own && left.independent == right.independent &&
         std::equal(of_a.begin(), of_a.end(), of_b.begin(), of_b.end());
}

bool same_cells(const Family& a, Cells cells_a, const Family& b, Cells cells_b) {
  if (cells_a >= a.cell_sets.size() || cells_b >= b.cell_sets.size()) return cells_a == cells_b;
  return a.set(cells_a) == b.set(cells_b);
}

// Texts, sets of cells and citations are compared by what they are; their numbers are the producer's affair.
bool same_field(const Field& field, const Family& a, uint32_t value_a, const Family& b, uint32_t value_b) {
  switch (field.kind) {
    case FieldKind::text:
      return a.text(value_a) == b.text(value_b);
    case FieldKind::cells:
      return same_cells(a, value_a, b, value_b);
    case FieldKind::index:
      return field.target == Table::cites ? same_cite(a, value_a, b, value_b) : value_a == value_b;
    default:
      return value_a == value_b;
  }
}

template <typename Row>
bool same_rows(Table table, const Family& a, const std::vector<Row>& rows_a, const Family& b,
               const std::vector<Row>& rows_b) {
  if (rows_a.size() != rows_b.size()) return false;
  for (size_t i = 0; i < rows_a.size(); ++i) {
    std::array<uint32_t, sizeof(Row) / sizeof(uint32_t)> words_a, words_b;
    std::memcpy(words_a.data(), &rows_a[i], sizeof(Row));
    std::memcpy(words_b.data(), &rows_b[i], sizeof(Row));
    for (const Field& field : fields(table)) {
      if (!same_field(field, a, words_a[field.offset], b, words_b[field.offset])) return false;
      if (field.kind == FieldKind::range && words_a[field.offset + 1] != words_b[field.offset + 1]) return false;
    }
  }
  return true;
}

}  // namespace

uint32_t Family::coordinate(uint32_t cell, uint32_t axis) const {
  return cell / stride(*this, axis) % axis_size(axis);
}

uint32_t Family::with_coordinate(uint32_t cell, uint32_t axis, uint32_t value) const {
  const uint32_t step = stride(*this, axis);
  return cell - coordinate(cell, axis) * step + value * step;
}

Index part_in(const Family& family, Index place, uint32_t cell) {
  for (Index part = 0; part < family.parts.size(); ++part)
    if (family.parts[part].place == place && family.holds(family.parts[part].cells, cell)) return part;
  return none;
}

Index connector_row_in(const Family& family, Index connector, uint32_t cell) {
  const Range range = family.connectors[connector].rows;
  for (Index row = range.first; row < range.end(); ++row)
    if (family.holds(family.connector_rows[row].cells, cell)) return row;
  return none;
}

Index connector_of(const Family& family, const Part& part, Str designator) {
  for (Index connector = part.connectors.first; connector < part.connectors.end(); ++connector)
    if (family.connectors[connector].designator == designator) return connector;
  return none;
}

bool operator==(const Family& a, const Family& b) {
  if (a.text(a.id) != b.text(b.id) || a.text(a.title) != b.text(b.title)) return false;
  if (a.supply != b.supply || !same_cells(a, a.built, b, b.built) || !same_cite(a, a.cite, b, b.cite)) return false;
  bool same = true;
#define TABLE(name, Row)                                                                                 \
  if (Table::name != Table::cites && Table::name != Table::source_refs) /* reached by citations alone */ \
    same = same && same_rows(Table::name, a, a.name, b, b.name);
#include "family/tables.def"
#undef TABLE
  return same;
}

bool go_together(const Family& family, Index circuit, Index other) {
  const auto declares = [&](Index from, Index to) {
    const Rows<Index> all = rows(family.circuit_refs, family.circuits[from].joins);
    return std::find(all.begin(), all.end(), to) != all.end();
  };
  return circuit == other || declares(circuit, other) || declares(other, circuit);
}

}  // namespace loomproof
