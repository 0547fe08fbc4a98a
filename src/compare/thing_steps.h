// Declared steps about things: housings, positions, ratings of what is no strand, insides, states of cavities.
// Internal.
#pragma once
#include <string>
#include <vector>

#include "compare/judge.h"
#include "compare/side.h"

namespace loomproof::compare {

// Adds what differs undeclared to `found`, and the steps that are untrue to `verdict`.
void judge_things(const Side& left, const Side& right, const PointMap& moves, const std::vector<Index>& steps,
                  std::vector<Difference>& found, PairVerdict& verdict);

// The same for the steps about a place itself (`replaced`, `relocated`), given what differs there.
void judge_place(const Family& family, const std::vector<Difference>& actual, uint32_t left_cell,
                 const std::vector<Index>& steps, PairVerdict& verdict);

}  // namespace loomproof::compare
