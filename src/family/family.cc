#include "family/family.h"

#include <cstring>
#include <type_traits>

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

template <typename Row>
bool same_rows(const std::vector<Row>& a, const std::vector<Row>& b) {
  static_assert(
      std::is_trivially_copyable_v<Row> && sizeof(Row) % sizeof(uint32_t) == 0 && alignof(Row) == alignof(uint32_t),
      "rows are plain 32-bit words without padding");
  return a.size() == b.size() && (a.empty() || std::memcmp(a.data(), b.data(), a.size() * sizeof(Row)) == 0);
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
  return a.id == b.id && a.title == b.title && a.built == b.built && a.cite == b.cite && a.strings == b.strings &&
         a.cell_sets == b.cell_sets && same_rows(a.cites, b.cites) && same_rows(a.source_refs, b.source_refs) &&
         same_rows(a.circuit_refs, b.circuit_refs) && same_rows(a.place_refs, b.place_refs) &&
         same_rows(a.housing_refs, b.housing_refs) && same_rows(a.string_refs, b.string_refs) &&
         same_rows(a.eras, b.eras) && same_rows(a.options, b.options) && same_rows(a.option_values, b.option_values) &&
         same_rows(a.sources, b.sources) && same_rows(a.colours, b.colours) && same_rows(a.terminals, b.terminals) &&
         same_rows(a.functions, b.functions) && same_rows(a.conductors, b.conductors) &&
         same_rows(a.cautions, b.cautions) && same_rows(a.circuits, b.circuits) && same_rows(a.aparts, b.aparts) &&
         same_rows(a.housings, b.housings) && same_rows(a.housing_cavities, b.housing_cavities) &&
         same_rows(a.closes, b.closes) && same_rows(a.places, b.places) && same_rows(a.place_where, b.place_where) &&
         same_rows(a.plugs, b.plugs) && same_rows(a.builds, b.builds) && same_rows(a.parts, b.parts) &&
         same_rows(a.numbers, b.numbers) && same_rows(a.connectors, b.connectors) &&
         same_rows(a.connector_rows, b.connector_rows) && same_rows(a.points, b.points) &&
         same_rows(a.splices, b.splices) && same_rows(a.earths, b.earths) && same_rows(a.leads, b.leads) &&
         same_rows(a.wires, b.wires) && same_rows(a.cavity_rows, b.cavity_rows) && same_rows(a.says, b.says) &&
         same_rows(a.pins, b.pins) && same_rows(a.insides, b.insides) && same_rows(a.positions, b.positions) &&
         same_rows(a.branches, b.branches) && same_rows(a.changes, b.changes) &&
         same_rows(a.change_items, b.change_items) && same_rows(a.allowances, b.allowances);
}

}  // namespace loomproof
