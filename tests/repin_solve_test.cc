// The least number of operations, held against a search that knows nothing of how it is found: every state that loom
// work can reach, cheapest first (Dijkstra). And on pure permutations, against the count that any sorter needs.
#include <algorithm>
#include <catch2/catch.hpp>
#include <cstdlib>
#include <map>
#include <numeric>
#include <queue>
#include <set>

#include "random_family.h"
#include "repin/solve.h"

using namespace loomproof::repin;
using loomproof::testing::Random;

namespace {

// --- the other search
// -------------------------------------------------------------------------------------------------

// A case in which wires are told apart by circuit and size alone: a wire serves where the circuit is the same and it is
// at least as thick.
struct Case {
  Problem problem;
  std::vector<uint32_t> have_size, want_size;
};

struct Piece {
  uint32_t a, b, circuit, size;
  bool a_fixed = false, b_fixed = false;  // crimped together with what was there
  friend auto operator<=>(const Piece&, const Piece&) = default;
};
struct State {
  std::vector<Piece> pieces;  // sorted, each with a <= b
  uint32_t open = 0;          // splices that are open, by bit
  friend auto operator<=>(const State&, const State&) = default;
};

class Walk {
 public:
  explicit Walk(const Case& one) : one_(one), spots_(static_cast<uint32_t>(one.problem.spots.size())) {}
  uint32_t cost();

 private:
  static constexpr uint32_t hangs = 2;  // places for terminals that are parked
  const Spot& spot(uint32_t at) const { return one_.problem.spots[at]; }
  bool can_hold(const State& state, uint32_t at) const;
  std::vector<uint32_t> wants_at(uint32_t at) const {
    std::vector<uint32_t> wants;
    for (uint32_t w = 0; w < one_.problem.want.size(); ++w)
      if (one_.problem.want[w].a == at || one_.problem.want[w].b == at) wants.push_back(w);
    return wants;
  }
  bool is_goal(const State& state) const;
  bool serves(const Piece& piece, uint32_t want) const {
    return piece.circuit == one_.problem.want[want].circuit && piece.size >= one_.want_size[want];
  }
  bool assign(const std::vector<Piece>& pieces, const std::vector<uint32_t>& wants, size_t next, uint32_t used,
              bool whole) const;
  void moves(const State& state, uint32_t cost);
  // Once crimped together, nothing is taken apart again: that would be a second terminal for nothing.
  void crimp(State& next, const State& before, uint32_t at) const {
    const auto is_here = [at](const Piece& piece) { return piece.a == at || piece.b == at; };
    if (at >= spots_ || !spot(at).takes_one || spot(at).swapped != nothing) return;
    if (std::none_of(before.pieces.begin(), before.pieces.end(), is_here)) return;
    for (Piece& piece : next.pieces) {
      if (piece.a == at) piece.a_fixed = true;
      if (piece.b == at) piece.b_fixed = true;
    }
  }
  void reach(State state, uint32_t cost) {
    for (Piece& piece : state.pieces)
      if (piece.b < piece.a) std::swap(piece.a, piece.b), std::swap(piece.a_fixed, piece.b_fixed);
    std::sort(state.pieces.begin(), state.pieces.end());
    const auto [entry, fresh] = costs_.emplace(state, cost);
    if (!fresh && entry->second <= cost) return;
    entry->second = cost;
    queue_.emplace(cost, std::move(state));
  }

  const Case& one_;
  uint32_t spots_;
  std::map<State, uint32_t> costs_;
  std::priority_queue<std::pair<uint32_t, State>, std::vector<std::pair<uint32_t, State>>, std::greater<>> queue_;
};

// Whether each piece can serve as a wanted wire of its own; `whole`: with its ends where they are.
bool Walk::assign(const std::vector<Piece>& pieces, const std::vector<uint32_t>& wants, size_t next, uint32_t used,
                  bool whole) const {
  if (next == pieces.size()) return true;
  const Piece& piece = pieces[next];
  for (size_t i = 0; i < wants.size(); ++i) {
    if (used >> i & 1 || !serves(piece, wants[i])) continue;
    const Line& want = one_.problem.want[wants[i]];
    const bool there = (piece.a == want.a && piece.b == want.b) || (piece.a == want.b && piece.b == want.a);
    if ((!whole || there) && assign(pieces, wants, next + 1, used | 1u << i, whole)) return true;
  }
  return false;
}

// A cavity holds one terminal: one wire, or several that are to be crimped together there.
bool Walk::can_hold(const State& state, uint32_t at) const {
  if (at >= spots_ || !spot(at).takes_one || spot(at).swapped != nothing) return true;
  std::vector<Piece> here;
  for (const Piece& piece : state.pieces)
    if (piece.a == at || piece.b == at) here.push_back(piece);
  if (here.size() < 2) return true;
  return assign(here, wants_at(at), 0, 0, false);
}

bool Walk::is_goal(const State& state) const {
  if (state.pieces.size() != one_.problem.want.size()) return false;
  std::vector<uint32_t> wants(one_.problem.want.size());
  std::iota(wants.begin(), wants.end(), 0u);
  return assign(state.pieces, wants, 0, 0, true);
}

void Walk::moves(const State& state, uint32_t cost) {
  const auto closed = [&](uint32_t at) { return at < spots_ && spot(at).is_splice && !(state.open >> at & 1); };
  for (uint32_t at = 0; at < spots_; ++at)
    if (closed(at)) {
      State next = state;
      next.open |= 1u << at;
      reach(std::move(next), cost + 1);
    }
  for (size_t i = 0; i < state.pieces.size(); ++i) {
    State next = state;
    next.pieces.erase(next.pieces.begin() + static_cast<std::ptrdiff_t>(i));
    reach(std::move(next), cost + 1);
  }
  if (state.pieces.size() < 5)
    for (uint32_t w = 0; w < one_.problem.want.size(); ++w) {
      const Line& want = one_.problem.want[w];
      if (closed(want.a) || closed(want.b)) continue;
      State next = state;
      next.pieces.push_back({want.a, want.b, want.circuit, one_.want_size[w]});
      crimp(next, state, want.a), crimp(next, state, want.b);
      if (can_hold(next, want.a) && can_hold(next, want.b)) reach(std::move(next), cost + 1);
    }
  for (uint32_t from = 0; from < spots_ + hangs; ++from) {
    std::vector<size_t> here;
    for (size_t i = 0; i < state.pieces.size(); ++i)
      if ((state.pieces[i].a == from && !state.pieces[i].a_fixed) ||
          (state.pieces[i].b == from && !state.pieces[i].b_fixed))
        here.push_back(i);
    for (uint32_t subset = 1; subset < 1u << here.size(); ++subset)
      for (uint32_t to = 0; to < spots_ + hangs; ++to) {
        if (to == from || closed(to)) continue;
        State next = state;
        for (size_t i = 0; i < here.size(); ++i)
          if (subset >> i & 1) (next.pieces[here[i]].a == from ? next.pieces[here[i]].a : next.pieces[here[i]].b) = to;
        const auto is_loop = [](const Piece& piece) { return piece.a == piece.b; };  // no use of a wire
        if (to < spots_ && spot(to).swapped != nothing) {  // out of the plug, into its cavity for good
          std::vector<Piece> moved;
          for (size_t i = 0; i < here.size(); ++i)
            if (subset >> i & 1) moved.push_back(next.pieces[here[i]]);
          if (!assign(moved, wants_at(to), 0, 0, false)) continue;
        }
        if (!can_hold(next, to) || std::any_of(next.pieces.begin(), next.pieces.end(), is_loop)) continue;
        crimp(next, state, to);
        const bool free =
            from < spots_ && to < spots_ && spot(from).swapped != nothing && spot(from).swapped == spot(to).swapped;
        reach(std::move(next), cost + (free ? 0 : 1));
      }
  }
}

uint32_t Walk::cost() {
  State start;
  for (size_t h = 0; h < one_.problem.have.size(); ++h) {
    const Line& line = one_.problem.have[h];
    start.pieces.push_back({line.a, line.b, line.circuit, one_.have_size[h]});
  }
  reach(std::move(start), 0);
  while (!queue_.empty()) {
    auto [cost, state] = queue_.top();
    queue_.pop();
    if (costs_.at(state) < cost) continue;
    if (is_goal(state)) return cost;
    moves(state, cost);
  }
  return nothing;
}

void finish(Case& one) {
  one.problem.serves = [sizes = one.have_size, wanted = one.want_size](size_t h, size_t w, bool) {
    return sizes[h] >= wanted[w];
  };
  one.problem.burden = [](const Move&) { return 1u; };
}

// Four cavities of which two may be in a plug whose housing is swapped, an earth point, perhaps a splice.
Case random_case(Random& random) {
  Case one;
  const bool swap = random.chance(25), splice = random.chance(40), doubles = random.chance(30);
  for (uint32_t i = 0; i < 4; ++i) one.problem.spots.push_back({true, false, swap && i < 2 ? 0u : nothing});
  one.problem.spots.push_back({});
  if (splice) one.problem.spots.push_back({false, true, nothing});
  const auto lines = [&](std::vector<Line>& list, std::vector<uint32_t>& sizes) {
    std::vector<uint32_t> taken(one.problem.spots.size(), 0);
    for (uint32_t i = random.between(1, 3); i > 0; --i) {
      const uint32_t a = random.below(static_cast<uint32_t>(taken.size())),
                     b = random.below(static_cast<uint32_t>(taken.size()));
      const auto full = [&](uint32_t spot) {
        return one.problem.spots[spot].takes_one && taken[spot] > (doubles ? 1u : 0u);
      };
      if (a == b || full(a) || full(b)) continue;
      ++taken[a], ++taken[b];
      list.push_back({a, b, random.below(2)});
      sizes.push_back(random.chance(80) ? 1 : 2);
    }
  };
  lines(one.problem.have, one.have_size);
  if (random.chance(50)) {  // the same wires with their cavities permuted: rings
    std::vector<uint32_t> to{0, 1, 2, 3, 4, 5};
    for (uint32_t i = 3; i > 0; --i) std::swap(to[i], to[random.below(i + 1)]);
    for (const Line& line : one.problem.have) one.problem.want.push_back({to[line.a], to[line.b], line.circuit});
    one.want_size = one.have_size;
  } else {
    lines(one.problem.want, one.want_size);
  }
  finish(one);
  return one;
}

// Wires from `count` cavities of one plug to as many earth points; the wanted ones permute the cavities.
Case permutation(const std::vector<uint32_t>& to, uint32_t circuits) {
  Case one;
  const auto count = static_cast<uint32_t>(to.size());
  for (uint32_t i = 0; i < count; ++i) one.problem.spots.push_back({true});
  for (uint32_t i = 0; i < count; ++i) one.problem.spots.push_back({});
  for (uint32_t i = 0; i < count; ++i) {
    one.problem.have.push_back({i, count + i, i % circuits});
    one.problem.want.push_back({to[i], count + i, i % circuits});
  }
  one.have_size.assign(count, 1), one.want_size.assign(count, 1);
  finish(one);
  return one;
}

}  // namespace

TEST_CASE("no state that loom work can reach is cheaper") {
  Random random(7);
  std::map<std::string, uint32_t> kinds;
  const uint32_t rounds =
      std::getenv("REPIN_ROUNDS") ? static_cast<uint32_t>(std::atoi(std::getenv("REPIN_ROUNDS"))) : 800;
  for (uint32_t round = 0; round < rounds; ++round) {
    const Case one = random_case(random);
    const Solution solution = solve(one.problem);
    INFO("round " << round);
    std::string text;
    for (size_t h = 0; h < one.problem.have.size(); ++h) {
      const Line& l = one.problem.have[h];
      text += "have " + std::to_string(l.a) + "-" + std::to_string(l.b) + " c" + std::to_string(l.circuit) + " s" +
              std::to_string(one.have_size[h]) + "; ";
    }
    for (size_t w = 0; w < one.problem.want.size(); ++w) {
      const Line& l = one.problem.want[w];
      text += "want " + std::to_string(l.a) + "-" + std::to_string(l.b) + " c" + std::to_string(l.circuit) + " s" +
              std::to_string(one.want_size[w]) + "; ";
    }
    for (const Spot& spot : one.problem.spots)
      text += spot.swapped != nothing ? "swapped " : spot.is_splice ? "splice " : spot.takes_one ? "cavity " : "earth ";
    INFO(text);
    CHECK(solution.least == solution.operations);
    CHECK(solution.operations == Walk(one).cost());
    kinds["moves"] += !solution.moves.empty(), kinds["parked"] += !solution.parked.empty();
    kinds["splices"] += !solution.splices.empty(), kinds["added"] += solution.added > 0;
    kinds["removed"] += solution.removed > 0;
    kinds["swapped"] += one.problem.spots[0].swapped != nothing;
  }
  for (const char* kind : {"moves", "parked", "splices", "added", "removed", "swapped"}) {
    INFO(kind << ": " << kinds[kind]);
    CHECK(kinds[kind] > 5);
  }
}

// Sorting a permutation in place through one spare place: each ring of length k >= 2 takes k + 1 moves, fixed elements
// none, so n - fixed + rings in all. Knuth, The Art of Computer Programming, vol. 1, 1.3.3 treats permutations as
// rings; that one spare place costs one further move a ring is derived here: a ring's first move has to go to the spare
// place, since every other place is full. Cited from memory.
TEST_CASE("permutations take n - fixed + rings operations") {
  for (uint32_t count = 2; count <= 7; ++count) {
    std::vector<uint32_t> to(count);
    std::iota(to.begin(), to.end(), 0u);
    do {
      uint32_t fixed = 0, rings = 0;
      std::vector<char> seen(count, false);
      for (uint32_t i = 0; i < count; ++i) {
        if (to[i] == i) ++fixed;
        if (seen[i] || to[i] == i) continue;
        ++rings;
        for (uint32_t j = i; !seen[j]; j = to[j]) seen[j] = true;
      }
      const Solution solution = solve(permutation(to, count).problem);
      REQUIRE(solution.operations == count - fixed + rings);
      REQUIRE(solution.least == solution.operations);
      REQUIRE(solution.parked.size() == rings);
    } while (std::next_permutation(to.begin(), to.end()));
  }
}

TEST_CASE("among equally many moves, those with fewer rings are found") {
  // Four wires of one circuit to one earth point: any may go to any cavity. Straight assignment can leave two rings.
  Case one;
  for (uint32_t i = 0; i < 8; ++i) one.problem.spots.push_back({true});
  one.problem.spots.push_back({});
  for (uint32_t i = 0; i < 4; ++i) {
    one.problem.have.push_back({i, 8, 0});
    one.problem.want.push_back({i + 2, 8, 0});
  }
  one.have_size.assign(4, 1), one.want_size.assign(4, 1);
  finish(one);
  const Solution solution = solve(one.problem);
  CHECK(solution.operations == 2);
  CHECK(solution.parked.empty());
}

TEST_CASE("many interchangeable wires stay within the effort, with a bound") {
  Case one;
  for (uint32_t i = 0; i < 28; ++i) one.problem.spots.push_back({true});
  one.problem.spots.push_back({});
  for (uint32_t i = 0; i < 14; ++i) {
    one.problem.have.push_back({i, 28, 0});
    one.problem.want.push_back({i + 14, 28, 0});
  }
  one.have_size.assign(14, 1), one.want_size.assign(14, 1);
  finish(one);
  const Solution solution = solve(one.problem);
  CHECK(solution.operations == 14);
  CHECK(solution.least <= 14);
}
