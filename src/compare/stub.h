// A changes file for what nobody declared, ready to paste.
#pragma once
#include <string>
#include <vector>

#include "compare/judge.h"

namespace loomproof {

// YAML in the form of changes/*.yaml, one change with all steps, limited with `eras` and `with` where they are not
// found in every pair of neighbours between the two values. `because` is left empty: only a person knows it, and
// `check` refuses the file until it is filled. Those of other pairs of values are passed over; empty where nothing
// remains.
std::string declare_stub(const Family& family, uint32_t axis, Index left, Index right,
                         const std::vector<Undeclared>& undeclared);
// The same for differences found between two cells, for that pair alone.
std::string declare_stub(const Family& family, uint32_t left_cell, uint32_t right_cell,
                         const std::vector<Difference>& differences);

}  // namespace loomproof
