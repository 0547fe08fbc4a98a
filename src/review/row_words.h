// Rows of a family in words that do not depend on how rows are numbered or ordered. Internal.
#pragma once
#include <string>
#include <string_view>
#include <vector>

#include "family/fields.h"

namespace loomproof::review {

// How a table is treated.
enum class Use : uint8_t {
  list,    // reached through its owner: lists of names
  owned,   // told by the rows that own it
  record,  // compared here, all of it
  metal    // compared by meaning; here only the fields that comparison passes over
};
Use use_of(Table table);
bool is_list(Table table);  // of names: reached through its owner

// A field of a row as text, references by name and sets of cells by their words.
std::string field_text(const Family& family, Table table, Index row, const Field& field);

// What tells a row from the others of its table: "circuit RACK-POS", "wire RACK-POS between C1.12 and C21.2 of
// chassis".
std::string row_name(const Family& family, Table table, Index row);
std::string name_of_part(const Family& family, Index part);                // "pump in PUMP-LOOM"
std::string axis_value(const Family& family, uint32_t axis, Index value);  // "c", "supply=24V"

// The cite of a row; none where its table has none.
CiteId cite_of(const Family& family, Table table, Index row);
// Sources of a citation by id, and whether they are independent.
std::string cite_text(const Family& family, CiteId cite);

// The words of a row as they stand in memory.
std::vector<uint32_t> words_of(const Family& family, Table table, Index row);
Index row_count(const Family& family, Table table);

}  // namespace loomproof::review
