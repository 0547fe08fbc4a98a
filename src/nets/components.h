// Connected components.
#pragma once
#include <utility>
#include <vector>

#include "family/family.h"

namespace loomproof {

// The component of each of `count` vertices, numbered from 0 in the order of their lowest vertices.
std::vector<Index> components(uint32_t count, const std::vector<std::pair<Index, Index>>& edges);

}  // namespace loomproof
