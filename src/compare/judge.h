// Declared changes held against what is there: what differs and nobody declared, and what is declared and not there, or
// not so. One fault gives one finding: a difference that a declared step got wrong is told with that step alone.
#pragma once
#include <string>
#include <vector>

#include "compare/difference.h"
#include "nets/index.h"

namespace loomproof {

struct Untrue {
  Index item = none;         // into change_items
  std::string words;         // what is the case instead; follows "declared, but "
  std::vector<RowRef> rows;  // that show it; may be empty
  CellSet cells;             // of the left side, in which it is untrue; empty: it applies to no pair of neighbours
};

struct PairVerdict {
  std::vector<Difference> undeclared;
  std::vector<Untrue> untrue;  // by item
  bool is_clean() const { return undeclared.empty() && untrue.empty(); }
};

// Two cells, and the steps (indices of change items) declared between them for the left one. The steps are applied to
// the left side in the order removals, renames of ends (all at once), additions, alterations; the result should be the
// right.
PairVerdict judge_cells(const FamilyIndex& index, uint32_t left_cell, uint32_t right_cell,
                        const std::vector<Index>& items);
PairVerdict judge_cells(const Family& family, uint32_t left_cell, uint32_t right_cell, const std::vector<Index>& items);

struct Undeclared {
  uint32_t axis = 0;                // 0: eras; n: option n-1
  Index left = none, right = none;  // the two values on it, as Change has them
  Difference difference;            // its cells are all left cells in which it is undeclared
};

struct FamilyVerdict {
  std::vector<Undeclared> undeclared;  // by axis, then the two values, then as differences() orders them
  std::vector<Untrue> untrue;          // by item
  uint32_t pairs = 0;                  // of neighbours that were judged
  uint32_t items = 0;                  // declared steps that were judged
};

// All neighbours of a family with all its declared changes. The same fault in several pairs, or in several places that
// hold the same component, is one.
FamilyVerdict judge_family(const FamilyIndex& index);
FamilyVerdict judge_family(const Family& family);

}  // namespace loomproof
