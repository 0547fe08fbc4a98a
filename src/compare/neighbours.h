// Neighbours: built cells that differ in one axis alone and have no built cell between them on it.
#pragma once
#include <vector>

#include "family/family.h"

namespace loomproof {

struct Pair {
  uint32_t axis = 0;             // 0: eras; n: option n-1
  uint32_t left = 0, right = 0;  // cells; left has the value listed earlier
};

// By axis, then by left cell. Options whose values are separate designs have none on their axis.
std::vector<Pair> neighbours(const Family& family);

}  // namespace loomproof
