// What a family says, row by row, in words that do not depend on how rows are numbered or ordered. Internal.
#pragma once
#include <map>
#include <string>
#include <vector>

#include "family/fields.h"

namespace loomproof::review {

// A field of a row as text, references by name and sets of cells by their words.
std::string field_text(const Family& family, Table table, Index row, const Field& field);

// What tells a row from the others of its table: "circuit RACK-POS", "wire RACK-POS between C1.12 and C21.2 of
// chassis".
std::string row_name(const Family& family, Table table, Index row);

// The whole family as sorted lines, one a row: equal where two families say the same, in whatever order.
std::vector<std::string> all_facts(const Family& family);

struct FactChange {
  Table table{};
  std::string name;   // row_name()
  std::string field;  // empty: the row comes or goes
  std::string was, becomes;
  Index base = none, head = none;  // rows
  CellSet cells;                   // of the head, for rows that the comparison by meaning covers; else empty
};

// Differences of the tables that the comparison by meaning leaves alone, and of the fields that it passes over in those
// that it compares. `pairs` are the cells that the two have in common: (base, head).
std::vector<FactChange> fact_changes(const Family& base, const Family& head,
                                     const std::vector<std::pair<uint32_t, uint32_t>>& pairs);

// Declared changes that say the same but for their reason: `base` gets the reason of the head, so that they are one row
// of both, and the two are told.
std::vector<FactChange> restate_reasons(Family& base, const Family& head);

// The cite of a row; none where its table has none.
CiteId cite_of(const Family& family, Table table, Index row);
// Sources of a citation by id, and whether they are independent.
std::string cite_text(const Family& family, CiteId cite);

// The words of a row as they stand in memory.
std::vector<uint32_t> words_of(const Family& family, Table table, Index row);
Index row_count(const Family& family, Table table);

}  // namespace loomproof::review
