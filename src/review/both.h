// Two revisions of one family in one set of tables, so that the comparison by meaning, which compares two parts of one
// family, compares a part with itself as it was.
//
// The rows of the base keep their numbers. Those of the head stand behind them; their circuits, colours and places are
// the base's where it has them under the same name. Sets of cells stay in the numbering of their own revision, so the
// two may have other eras and options: every question is about one part in one cell of its own.
#pragma once
#include <array>
#include <vector>

#include "family/fields.h"

namespace loomproof::review {

struct Both {
  Family family;
  std::array<Index, table_count> offset{};  // by table: where the rows of the head begin
  std::vector<Index> circuits;              // by circuit of the head: its row here
};
Both put_together(const Family& base, const Family& head);

// Built cells of both revisions that are one: the same choice on every axis that both have.
struct CellPair {
  uint32_t base = 0, head = 0;
  friend auto operator<=>(const CellPair&, const CellPair&) = default;
};
std::vector<CellPair> cell_pairs(const Family& base, const Family& head);

}  // namespace loomproof::review
