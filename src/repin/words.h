// The words of steps, and the lists of what they take. Internal.
#pragma once
#include "repin/work.h"

namespace loomproof::repin {

// Sets words and how of a step; checks are there already.
void tell(const Job& job, const Work& work, const Task& task, Step& step);
// Adds what all tasks together take to the lists of the plan.
void list_material(const Job& job, const Work& work, Plan& plan);

}  // namespace loomproof::repin
