// Cells in which every row of a family holds alike: what is found in one of them is so in all, and need be looked at
// once.
#pragma once
#include <vector>

#include "family/family.h"

namespace loomproof {

struct CellClass {
  uint32_t cell = 0;  // the lowest: it stands for the others
  CellSet cells;
};

// The built cells, parted by every set of cells in the family; in the order of their lowest cells.
std::vector<CellClass> cell_classes(const Family& family);

}  // namespace loomproof
