// Whether tables of rows hold together. Works on bytes, so that a family about to be written and a pack just opened are
// held to the same rules by the same code.
#pragma once
#include <array>
#include <cstddef>
#include <cstdint>
#include <cstring>
#include <string>

#include "family/fields.h"

namespace loomproof::pack {

// The rows of one table as bytes; rows need no alignment.
struct RowBytes {
  const unsigned char* bytes = nullptr;
  uint32_t count = 0;
};

template <typename Row>
struct RowView {
  RowBytes rows;
  uint32_t size() const { return rows.count; }
  Row operator[](uint32_t index) const {
    Row row;
    std::memcpy(&row, rows.bytes + size_t{index} * sizeof(Row), sizeof(Row));
    return row;
  }
};

struct Tables {
  std::array<RowBytes, table_count> tables{};
  uint32_t strings = 0, cell_sets = 0;  // how many
  Str id = 0, title = 0;
  Cells built = 0;
  CiteId cite = 0;

  const RowBytes& operator[](Table table) const { return tables[static_cast<uint32_t>(table)]; }
  RowBytes& operator[](Table table) { return tables[static_cast<uint32_t>(table)]; }
  template <typename Row>
  RowView<Row> view(Table table) const {
    return {(*this)[table]};
  }
};

// The cells of the family: eras times option values; 0 where there is no era, an option without values, or too many.
uint32_t cell_count(const Tables& tables);

// What does not hold together, in one line; empty where all does. `newer`: words that have a stand-in may be unknown.
std::string fault_of(const Tables& tables, bool newer);

}  // namespace loomproof::pack
