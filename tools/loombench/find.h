// loombench find: which recorded plugs look like the one in hand.
#pragma once
#include "answer.h"
#include "identify/plugs.h"

namespace loomproof::bench {

struct FindChoice {
  identify::PlugLooks looks;
  size_t keep = 20;
};
struct Find {
  Answer answer;
  size_t count = 0;
};
Find find_plug(const std::vector<PackFile>& packs, const FindChoice& choice);

}  // namespace loomproof::bench
