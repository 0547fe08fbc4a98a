// Whether two things that are said of one part are about the same: the same circuit at the same end, or the same
// cavity. Internal.
#pragma once
#include <set>

#include "compare/analysis.h"
#include "compare/difference.h"

namespace loomproof::compare {

struct Reach {
  std::set<Index> circuits, ends;

  void add(const ChangeItem& item);
  void add(const Strand& strand);
};
Reach reach_of(const ChangeItem& item);
Reach reach_of(const Difference& difference);

// 2: the same circuit at a shared end; 1: a shared cavity or lead; 0: nothing shared that counts.
int relation(const Family& family, const Reach& a, const Reach& b);
// Whether a declared step says what a difference is, or a part of it.
bool says(const Family& family, const ChangeItem& step, const Difference& difference);
bool share_circuit(const Reach& a, const Reach& b);

}  // namespace loomproof::compare
