// Firing circuits (airbag, belt tensioner): where nobody may be led with a tester, or be told to work.
#pragma once
#include <vector>

#include "nets/index.h"

namespace loomproof {

bool is_firing(const Family& family, Index circuit);  // false for none
// Whether a point carries one in any cell, by its wires, pins, what is said of it, or what is inside.
bool carries_firing(const FamilyIndex& index, Index point);
// By connector: whether it may carry one: it or another with one of its housings does, in any cell.
std::vector<bool> connectors_that_may_fire(const FamilyIndex& index);

}  // namespace loomproof
