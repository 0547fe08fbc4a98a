// Differences and declared changes in plain words: "RACK-POS moved from C1.12 to C1.28". One clause, no full stop;
// where something about it is unknown, that follows in brackets.
#pragma once
#include <string>

#include "compare/difference.h"

namespace loomproof {

std::string difference_words(const Family& family, const Difference& difference);
// The same for one declared step. Of `replugged` and `respliced` it tells that step alone.
std::string change_words(const Family& family, const ChangeItem& item);

// A declared step as the difference that it claims; cells and rows are left empty.
Difference claim_of(const Family& family, const ChangeItem& item);

}  // namespace loomproof
