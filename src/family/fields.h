// What every 32-bit word of every row means: a text, a set of cells, an index into which table, a word of which
// enumeration. One description serves whatever treats rows alike: the comparison of families and the check of packs.
#pragma once
#include <array>
#include <cstdint>
#include <span>
#include <string_view>

#include "family/family.h"

namespace loomproof {

enum class Table : uint32_t {
#define TABLE(name, Row) name,
#include "family/tables.def"
#undef TABLE
};
inline constexpr uint32_t table_count = 0
#define TABLE(name, Row) +1
#include "family/tables.def"
#undef TABLE
    ;

enum class FieldKind : uint8_t {
  text,      // into strings
  cells,     // into cell_sets
  index,     // into `target`
  optional,  // into `target`, or none
  range,     // two words: first and count, within `target`
  word,      // an enumeration of `limit` values
  number,    // a whole number below `limit`; 0: any
  marks,     // bits below `limit`, a power of two
  quantity,  // any signed whole number
};

struct Field {
  std::string_view name;
  uint32_t offset = 0;  // in words from the start of the row
  FieldKind kind{};
  Table target{};
  uint32_t limit = 0;
  // What stands for a value of the enumeration that this program does not know yet; none: there is no safe stand-in.
  uint32_t stand_in = none;
};

std::string_view table_name(Table table);
// The fields of a table's rows, in the order of their words, none left out.
std::span<const Field> fields(Table table);
uint32_t row_words(Table table);

// visit(Table, std::vector<Row>&) for every table, in the order of tables.def.
template <typename AnyFamily, typename Visit>
void each_table(AnyFamily& family, Visit&& visit) {
#define TABLE(name, Row) visit(Table::name, family.name);
#include "family/tables.def"
#undef TABLE
}

}  // namespace loomproof
