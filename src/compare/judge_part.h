// The declared steps of one part that is there on both sides. Internal.
#pragma once
#include <vector>

#include "compare/judge.h"
#include "compare/side.h"

namespace loomproof::compare {

// `steps`: the change items about this part, ascending. Adds to `verdict`.
void judge_part(const Side& left, const Side& right, const std::vector<Index>& steps, PairVerdict& verdict);

}  // namespace loomproof::compare
