// Which variants go together: all fillings of the places that are open, the best kept.
#pragma once
#include <cstdint>
#include <vector>

#include "judge/judgement.h"

namespace loomproof::judge {

struct Filling {
  Assembly assembly;
  Verdict best{}, worst{};
  uint32_t conflicts = 0;  // of parts with each other
  uint32_t reasons = 0;    // the certain ones
};

struct Search {
  std::vector<Filling>
      fillings;         // by best case, then conflicts: where `is_complete`, none is better in these. Then by reasons
  uint64_t judged = 0;  // fillings that were judged; the others were ruled out by what clashes in them
  bool is_complete = true;  // false: there was more to try than `most_steps` choices
};

// `candidates` by place: what may stand there; a place with an empty list holds nothing, `none` among others leaves it
// empty. First each build of the factory is improved place by place, then whatever could still be better is tried.
Search fill(Judge& judge, Shelf& shelf, const std::vector<std::vector<VariantId>>& candidates, size_t keep,
            uint64_t most_steps = 50'000);

}  // namespace loomproof::judge
