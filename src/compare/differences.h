// Differences between two sides. In a fixed order: place by place, and within a part by kind, circuit and end.
#pragma once
#include "compare/difference.h"
#include "nets/index.h"

namespace loomproof {

// All that differs between two cells. A place whose part is another is `replaced`, and what is in it not compared
// further.
std::vector<Difference> differences(const FamilyIndex& index, uint32_t left_cell, uint32_t right_cell);
std::vector<Difference> differences(const Family& family, uint32_t left_cell, uint32_t right_cell);

// All that differs between two parts, each in a cell in which it is there. Points and connectors are those of the left
// part where it has them, and of the right part where only that one has.
std::vector<Difference> differences(const FamilyIndex& index, Index left_part, uint32_t left_cell, Index right_part,
                                    uint32_t right_cell);
std::vector<Difference> differences(const Family& family, Index left_part, uint32_t left_cell, Index right_part,
                                    uint32_t right_cell);

}  // namespace loomproof
