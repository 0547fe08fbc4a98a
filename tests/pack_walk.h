// Reads everything that a pack holds, as a program that trusts it would: every index followed, every text read. Used by
// the tests and by the fuzzer; sanitizers say whether it stayed inside.
#pragma once
#include "family/fields.h"
#include "family/words.h"
#include "pack/pack.h"

namespace loomproof::testing {

inline uint64_t walk_rows(const Family& family) {
  uint64_t sum = 0;
  std::array<size_t, table_count> sizes{};
  each_table(family, [&](Table table, const auto& rows) { sizes[static_cast<uint32_t>(table)] = rows.size(); });
  const auto follow = [&](const Field& field, uint32_t value, uint32_t next) {
    const size_t size = sizes[static_cast<uint32_t>(field.target)];
    switch (field.kind) {
      case FieldKind::text:
        for (char c : family.strings.at(value)) sum += static_cast<unsigned char>(c);
        break;
      case FieldKind::cells:
        sum += family.cell_sets.at(value).count();
        break;
      case FieldKind::index:
        if (value >= size) throw std::out_of_range("index");
        break;
      case FieldKind::optional:
        if (value != none && value >= size) throw std::out_of_range("index");
        break;
      case FieldKind::range:
        if (value > size || next > size - value) throw std::out_of_range("range");
        break;
      case FieldKind::word:
        if (value >= field.limit) throw std::out_of_range("word");
        break;
      default:
        sum += value;
    }
  };
  each_table(family, [&](Table table, const auto& rows) {
    for (const auto& row : rows) {
      std::array<uint32_t, sizeof(row) / sizeof(uint32_t)> words;
      std::memcpy(words.data(), &row, sizeof(row));
      for (const Field& field : fields(table))
        follow(field, words[field.offset], field.kind == FieldKind::range ? words[field.offset + 1] : 0);
    }
  });
  return sum;
}

// Names everything: points, colours, cells.
inline uint64_t walk_names(const Family& family) {
  uint64_t sum = family.text(family.id).size() + family.text(family.title).size();
  for (Index point = 0; point < family.points.size(); ++point) sum += point_name(family, point).size();
  for (const Part& part : family.parts)
    for (const Wire& wire : rows(family.wires, part.wires))
      sum += colour_name(family, wire).size() + point_name(family, wire.from).size() + milli(wire.mm2).size();
  for (const Pin& pin : family.pins) sum += volts_text(pin.volts).size() + word(pin.role).size();
  for (const Era& era : family.eras) sum += month_text(era.from).size();
  for (size_t set = 0; set < family.cell_sets.size() && set < 8; ++set)
    sum += cells_text(family, family.cell_sets[set]).size();
  for (uint32_t cell = 0; cell < family.cell_count() && cell < 8; ++cell) sum += cell_text(family, cell).size();
  for (Index place = 0; place < family.places.size(); ++place) sum += part_in(family, place, 0);
  for (Index connector = 0; connector < family.connectors.size(); ++connector)
    sum += connector_row_in(family, connector, 0);
  return sum;
}

inline uint64_t walk(const pack::Pack& pack) {
  const Family family = pack::load(pack);
  uint64_t sum = walk_rows(family) + walk_names(family) + pack.checksum().size() + pack.minor();
  for (const Point& point : family.points) {
    if (point.kind != PointKind::cavity) continue;
    const Index found =
        pack.find_point(family.text(family.parts[point.part].id),
                        family.text(family.connectors[point.connector].designator), family.text(point.name));
    if (found >= family.points.size()) throw std::out_of_range("cavity");
    sum += found;
  }
  return sum;
}

}  // namespace loomproof::testing
