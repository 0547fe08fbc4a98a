// All readings of one part together, and how likely they are where one candidate lies on the bench.
#pragma once
#include <map>

#include "identify/chances.h"

namespace loomproof::identify {

struct Evidence {
  std::vector<Reading> readings;  // in their order
  std::set<std::string> settled;  // plugs whose cavity 1 is settled
  std::set<Question> open;        // asked, without an answer
  std::set<std::string> plugged;  // plugs in which something is plugged in all the time
};

// The logarithm of the likelihood. A plug whose cavity 1 is not settled may have been read mirrored or turned: summed
// over all such views with at most two plugs read wrongly at a time.
double log_likelihood(const Chances& chances, const Family& family, const Sheet& sheet, const Evidence& evidence);
double log_likelihood_of_none(const Chances& chances, const Evidence& evidence);

// By plug that is not settled and was read by cavity numbers: how likely each view is, given the candidate. A view that
// the housing does not allow has none.
using ViewChances = std::map<std::string, std::array<double, 3>>;
ViewChances views(const Chances& chances, const Family& family, const Sheet& sheet, const Evidence& evidence);

// What contradicts itself: two answers to one question, or an open pair that others join. Pairs of places in
// Evidence::readings, the later one first.
struct Contradiction {
  size_t reading = 0, earlier = 0;
  bool by_path = false;  // other readings join what this one has open
};
std::vector<Contradiction> contradictions(const Evidence& evidence);

}  // namespace loomproof::identify
