// The fewest operations that turn the wires a loom has into those it should have; ends only, no words. Internal.
//
// Spots are where wire ends can be. Each wire that is wanted is either made of one that is there (its ends moved), or
// added; a wire that is there and serves none is removed. What is counted:
//   1 for each wire added, 1 for each removed,
//   1 for each pair of spots between which ends move (what is crimped together moves together),
//   1 for each splice that ends are led to: it has to be made or opened,
//   1 for each terminal parked: a cavity takes no terminal before the one in it has left, so that a ring of moves needs
//     one of them pulled out first and put in last.
// Ends within one plug whose housing is swapped are all out of it at once: between its cavities they go for nothing,
// and none of them is in anybody's way.
//
// The search is exhaustive within `effort`; what it then has not looked at cannot be better than `least`.
#pragma once
#include <cstdint>
#include <functional>
#include <utility>
#include <vector>

namespace loomproof::repin {

inline constexpr uint32_t nothing = 0xffffffff;

struct Spot {
  bool takes_one = false;  // a cavity: one terminal at a time
  bool is_splice = false;
  uint32_t swapped = nothing;  // the plug whose housing is swapped, by any number
};
struct Line {
  uint32_t a = nothing, b = nothing;  // spots
  uint32_t circuit = 0;
};
using Move = std::pair<uint32_t, uint32_t>;  // from spot, to spot

struct Problem {
  std::vector<Spot> spots;
  std::vector<Line> have, want;
  // Whether the wire have[h] may serve as want[w], `turned`: with have.a as want.b. Only asked where their circuits are
  // equal.
  std::function<bool(size_t h, size_t w, bool turned)> serves;
  // How unwelcome a move is among equally many operations: hard to reach, or needs cutting.
  std::function<uint32_t(const Move&)> burden;
  uint64_t effort = 400000;  // partial choices looked at, for each group of circuits that share spots
};

struct Use {
  uint32_t have = nothing;  // nothing: the wire is added
  bool turned = false;      // have.a serves as want.b
};
struct Solution {
  std::vector<Use> uses;          // by wanted wire
  std::vector<Move> moves;        // each pair once, ascending; without those that go for nothing
  std::vector<Move> parked;       // of these, ascending
  std::vector<uint32_t> splices;  // to be made or opened, ascending
  uint32_t added = 0, removed = 0;
  uint32_t operations = 0;  // all of the above
  uint32_t least = 0;       // no way takes fewer
};
Solution solve(const Problem& problem);

// The fewest moves to park so that the rest can follow one another: the first of the smallest sets, those of least
// burden first. Exact up to `exact_parks` in one knot of rings; beyond that `exact` becomes false.
inline constexpr size_t exact_parks = 5;
std::vector<Move> moves_to_park(const Problem& problem, const std::vector<Move>& moves, bool& exact);

}  // namespace loomproof::repin
