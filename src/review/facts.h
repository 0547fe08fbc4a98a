// What a family says row by row, whatever their order, and how two families differ in that. Internal.
#pragma once
#include <string>
#include <utility>
#include <vector>

#include "family/fields.h"
#include "review/row_words.h"

namespace loomproof::review {

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

}  // namespace loomproof::review
