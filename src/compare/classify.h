// From what an analysis found to differences as a person would tell them. Internal.
#pragma once
#include "compare/analysis.h"
#include "compare/difference.h"
#include "compare/things.h"

namespace loomproof::compare {

// `before`: the left strands as they were given to analyse(). What the analysis lists is told, nothing else.
std::vector<Difference> classify_strands(const Side& left, const Side& right, const std::vector<Strand>& before,
                                         const Analysis& analysis);
Difference classify_thing(const Side& left, const ThingDifference& found);

// Another part in a place, or the same part elsewhere; `none` where the place is empty.
void compare_place(const FamilyIndex& index, Index place, uint32_t left_cell, uint32_t right_cell,
                   std::vector<Difference>& found);

// The order within a part.
void sort_differences(std::vector<Difference>& differences);

}  // namespace loomproof::compare
