// What differs in a place along one axis (eras, or the values of one option), as a matrix. Internal to the reports.
#pragma once
#include <string>
#include <vector>

#include "reports/family_view.h"

namespace loomproof::reports {

enum class Step {
  same,       // as in the value before that was built
  changed,    // otherwise
  uncertain,  // otherwise, but one of the two is unknown or disputed: what is in the vehicle may be the same
};

struct MatrixRow {
  std::string item;                 // "part", "C1", "C1.12", "S3", "F2"
  std::string with;                 // the choice on the other axes for which it holds; "all"
  std::vector<std::string> values;  // one a value of the axis
  std::vector<Step> steps;          // likewise
  bool firing = false;
};

// Only what differs. Choices on the other axes that say the same, as far as they were built, share a row.
std::vector<MatrixRow> matrix(const FamilyView& view, Index place, uint32_t axis);

// What stands in `values` where a place holds nothing of the kind, and where nothing was built.
inline constexpr std::string_view not_there = "not there", not_built = "not built";

}  // namespace loomproof::reports
