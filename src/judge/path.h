// The way from one point of an assembly to another, cavity by cavity: the shortest that conducts.
#pragma once
#include <vector>

#include "judge/network.h"

namespace loomproof::judge {

struct Hop {
  Index place = none, point = none;
  // How it was reached from the hop before; all none for the first.
  Index wire = none, inside = none;
  bool is_plugged = false;  // over a pair of mated cavities
  bool is_body = false;     // over battery, engine, chassis or cab metal
};

// `from` is a point of the part in `place`, `to` of any part. Empty where there is no way. Contacts conduct where
// `settings` let them, loads never.
std::vector<Hop> path(const Network& network, Index place, Index from, Index to, const Settings& settings);

// The shortest way between what belongs to one circuit and what belongs to another on a hard net that they share.
std::vector<Hop> way_between(const Network& network, Network::Net net, Index circuit, Index other);

}  // namespace loomproof::judge
