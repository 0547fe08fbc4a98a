// Declared changes applied to the strands of the left side. Internal.
//
// The order is: removals, renames of ends (all at once), additions, alterations. What a step touched is kept, so that
// what then still differs from the right side can be laid at its door.
#pragma once
#include <map>
#include <set>
#include <string>
#include <vector>

#include "compare/analysis.h"

namespace loomproof::compare {

// Whether a declared step is about strands; else it is about a thing or a place.
bool is_about_strands(const Family& family, const ChangeItem& item);

struct Touch {  // of one strand: the steps that put it there, moved its ends or altered it
  Index added_by = none, moved_a_by = none, moved_b_by = none;
  std::vector<std::pair<size_t, Index>> altered_by;  // property, step
  bool any_but(const std::set<Index>& steps) const;  // whether any other step touched it
};

// Steps that remove some, but not all, of the strands of one circuit between the same two ends. Which ones goes unsaid:
// it is those that turn out to be gone.
struct RemovalChoice {
  std::vector<size_t> strands;
  std::vector<Index> steps;
};

struct Patched {
  std::vector<Strand> strands;
  std::vector<Touch> touches;       // by strand
  std::vector<size_t> origin;       // by strand: its index on the left side; `alone` where added
  std::map<Index, size_t> removed;  // step -> the left strand that it removed
  std::vector<RemovalChoice> choices;
  std::map<Index, std::string> refused;  // step -> why it could not be applied
  std::set<Index> contested;             // of these, those that another step contradicts or says as well
};

// `steps`: indices of change items that are about strands of this part, ascending. `right` lends its values to the
// texts of alterations; a text that the right side does not know equals nothing there.
// Where steps contradict each other, those in `true_steps` (which say what a comparison finds by itself) are in the
// right.
Patched patch(const Family& family, const std::vector<Strand>& left, const std::vector<Strand>& right,
              const std::vector<Index>& steps, const std::set<Index>& true_steps);

}  // namespace loomproof::compare
