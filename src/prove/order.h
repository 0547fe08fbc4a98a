// Checks put in an order in which plugs change seldom.
#pragma once
#include <vector>

#include "prove/sheet.h"

namespace loomproof::prove {

// Sorts the checks by the pair of hands that they take, and the pairs so that one hand stays where it can. Up to
// `exact_pairs` pairs no order takes fewer plugs in hand. Returns how many are taken, the first ones with them.
inline constexpr size_t exact_pairs = 12;
size_t order(std::vector<Check>& checks);

}  // namespace loomproof::prove
