// Differences of things: what comes, goes, or has other traits. Internal.
#pragma once
#include <set>
#include <string>
#include <vector>

#include "compare/side.h"

namespace loomproof::compare {

struct ThingDifference {
  ThingKey key;
  std::string of;  // the trait; empty where the thing comes or goes, and for what has one trait alone
  ChangeKind kind{};
  std::string was, becomes;
  std::vector<RowRef> left, right;
};

// `moves`: where pins of the left side went.
std::vector<ThingDifference> thing_differences(const Side& left, const Side& right, const PointMap& moves,
                                               const std::set<ThingKey>& keys);

// The text of one trait on one side as a declared change would say it: "none" where there is no such thing or trait.
std::string trait_text(const Side& side, const ThingKey& key, std::string_view of, ChangeKind kind,
                       const PointMap& moves = {});

// What kind of change it is that a cavity's state is another.
ChangeKind state_change(const std::string& was, const std::string& becomes);

}  // namespace loomproof::compare
