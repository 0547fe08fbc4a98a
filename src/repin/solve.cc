#include "repin/solve.h"

#include <algorithm>
#include <boost/graph/adjacency_list.hpp>
#include <boost/graph/strong_components.hpp>
#include <map>
#include <numeric>

namespace loomproof::repin {
namespace {

bool goes_for_nothing(const Problem& problem, const Move& move) {
  const uint32_t plug = problem.spots[move.first].swapped;
  return move.first == move.second || (plug != nothing && plug == problem.spots[move.second].swapped);
}

// A move into a cavity waits for every move out of it.
bool waits_for(const Problem& problem, const Move& move, const Move& other) {
  return problem.spots[move.second].takes_one && problem.spots[move.second].swapped == nothing &&
         other.first == move.second;
}

// Depth first over the moves that are not parked; the first ring found, or none.
class RingFinder {
 public:
  RingFinder(const Problem& problem, const std::vector<Move>& moves, const std::vector<char>& parked)
      : problem_(problem), moves_(moves), parked_(parked), colour_(moves.size(), 0) {}
  std::vector<size_t> ring() {
    for (size_t move = 0; move < moves_.size(); ++move)
      if (colour_[move] == 0 && !parked_[move] && visit(move)) return ring_;
    return {};
  }

 private:
  bool visit(size_t move) {
    colour_[move] = 1;
    path_.push_back(move);
    for (size_t other = 0; other < moves_.size(); ++other) {
      if (parked_[other] || !waits_for(problem_, moves_[move], moves_[other])) continue;
      if (colour_[other] == 1) {
        ring_.assign(std::find(path_.begin(), path_.end(), other), path_.end());
        return true;
      }
      if (colour_[other] == 0 && visit(other)) return true;
    }
    path_.pop_back();
    colour_[move] = 2;
    return false;
  }

  const Problem& problem_;
  const std::vector<Move>& moves_;
  const std::vector<char>& parked_;
  std::vector<char> colour_;  // 0 new, 1 on the path, 2 done
  std::vector<size_t> path_, ring_;
};

// Some move of every ring has to be parked: tries each of one ring, then the rest with one fewer left to park.
bool park_at_most(const Problem& problem, const std::vector<Move>& moves, std::vector<char>& parked, size_t count) {
  std::vector<size_t> ring = RingFinder(problem, moves, parked).ring();
  if (ring.empty()) return true;
  if (count == 0) return false;
  std::sort(ring.begin(), ring.end(), [&](size_t a, size_t b) {
    const uint32_t burden_a = problem.burden(moves[a]), burden_b = problem.burden(moves[b]);
    return burden_a != burden_b ? burden_a < burden_b : a < b;
  });
  for (size_t move : ring) {
    parked[move] = true;
    if (park_at_most(problem, moves, parked, count - 1)) return true;
    parked[move] = false;
  }
  return false;
}

void park_in_knot(const Problem& problem, const std::vector<Move>& moves, std::vector<Move>& list, bool& exact) {
  std::vector<char> parked(moves.size(), false);
  bool done = false;
  for (size_t count = 1; count <= exact_parks && !done; ++count) done = park_at_most(problem, moves, parked, count);
  while (!done) {  // too many rings: one move of each as it is found
    const std::vector<size_t> ring = RingFinder(problem, moves, parked).ring();
    if (ring.empty()) break;
    parked[ring.front()] = true;
    exact = false;
  }
  for (size_t move = 0; move < moves.size(); ++move)
    if (parked[move]) list.push_back(moves[move]);
}

// Among equally many operations a wire that is there is moved, and parked on the way, before a new one is made.
constexpr uint32_t added_burden = 1 << 20;

struct Option {
  Use use;
  uint32_t moved = 0;  // ends
};

// One group of circuits that share spots with no other: which wire serves as which.
class Search {
 public:
  Search(const Problem& problem, std::vector<uint32_t> have, std::vector<uint32_t> want);
  void run();
  const std::vector<Use>& best() const { return best_; }  // by `want` of the group
  uint32_t least() const { return finished_ ? best_operations_ : floor_; }

 private:
  struct Totals {
    uint32_t operations = 0, added = 0, burden = 0;
  };
  void options();
  void descend(size_t next);
  void leaf();
  uint32_t floor_from(size_t next) const;
  void put(const Move& move, int step);
  void put(const Line& want, const Use& use, int step);
  Totals totals() const;
  bool is_worse(uint32_t floor) const {
    return floor > best_operations_ || (floor == best_operations_ && (!by_burden_ || burden_ >= best_burden_));
  }

  const Problem& problem_;
  std::vector<uint32_t> have_, want_;
  std::vector<std::vector<Option>> options_;  // by wanted wire, the cheapest first
  std::vector<uint32_t> cheapest_from_;       // sums of the cheapest options from each wanted wire on
  std::vector<uint32_t> ends_at_;             // wires of the group at each spot
  std::vector<char> used_;
  std::vector<Use> now_, best_;
  std::map<Move, int> moves_;
  std::map<uint32_t, int> splices_;
  uint32_t used_count_ = 0, added_ = 0, burden_ = 0;
  uint32_t best_operations_ = nothing, best_burden_ = nothing;
  uint32_t floor_ = 0;
  uint64_t looked_ = 0;
  bool by_burden_ = false, finished_ = true;
};

Search::Search(const Problem& problem, std::vector<uint32_t> have, std::vector<uint32_t> want)
    : problem_(problem),
      have_(std::move(have)),
      want_(std::move(want)),
      ends_at_(problem.spots.size(), 0),
      used_(problem.have.size(), false) {
  for (uint32_t h : have_) ++ends_at_[problem_.have[h].a], ++ends_at_[problem_.have[h].b];
  options();
}

void Search::options() {
  for (uint32_t w : want_) {
    const Line& want = problem_.want[w];
    std::vector<Option> all;
    for (uint32_t h : have_) {
      const Line& have = problem_.have[h];
      if (have.circuit != want.circuit) continue;
      for (const bool turned : {false, true}) {
        if (!problem_.serves(h, w, turned) || (turned && (have.a == have.b || want.a == want.b))) continue;
        const Move a{have.a, turned ? want.b : want.a}, b{have.b, turned ? want.a : want.b};
        const uint32_t moved = !goes_for_nothing(problem_, a) + !goes_for_nothing(problem_, b);
        all.push_back({{h, turned}, moved});
      }
    }
    std::stable_sort(all.begin(), all.end(), [](const Option& x, const Option& y) { return x.moved < y.moved; });
    all.push_back({{}, 1});
    options_.push_back(std::move(all));
  }
  // What moves from a spot that several wires share may be counted for another of them.
  cheapest_from_.assign(want_.size() + 1, 0);
  for (size_t i = want_.size(); i-- > 0;) {
    uint32_t cheapest = 1;
    for (const Option& option : options_[i]) {
      if (option.use.have == nothing) continue;
      const Line &have = problem_.have[option.use.have], &want = problem_.want[want_[i]];
      uint32_t sure = 0;
      for (const bool first : {true, false}) {
        const uint32_t from = first ? have.a : have.b;
        const uint32_t to = first != option.use.turned ? want.a : want.b;
        if (!goes_for_nothing(problem_, {from, to}) && ends_at_[from] < 2) ++sure;
      }
      cheapest = std::min(cheapest, sure);
    }
    cheapest_from_[i] = cheapest_from_[i + 1] + cheapest;
  }
}

uint32_t Search::floor_from(size_t next) const {
  const auto unused = static_cast<uint32_t>(have_.size()) - used_count_;
  const auto left = static_cast<uint32_t>(want_.size() - next);
  return static_cast<uint32_t>(moves_.size() + splices_.size()) + added_ + cheapest_from_[next] +
         (unused > left ? unused - left : 0);
}

void Search::put(const Move& move, int step) {
  if (move.first == move.second) return;
  if (problem_.spots[move.second].is_splice && (splices_[move.second] += step) == 0) splices_.erase(move.second);
  if (goes_for_nothing(problem_, move)) return;
  int& count = moves_[move];
  if (step > 0 && count == 0) burden_ += problem_.burden(move);
  count += step;
  if (count > 0) return;
  burden_ -= problem_.burden(move);
  moves_.erase(move);
}

void Search::put(const Line& want, const Use& use, int step) {
  if (use.have == nothing) {
    added_ += static_cast<uint32_t>(step);
    burden_ += static_cast<uint32_t>(step) * added_burden;
    for (uint32_t end : {want.a, want.b})
      if (problem_.spots[end].is_splice && (splices_[end] += step) == 0) splices_.erase(end);
    return;
  }
  const Line& have = problem_.have[use.have];
  used_[use.have] = step > 0;
  used_count_ += static_cast<uint32_t>(step);
  put({have.a, use.turned ? want.b : want.a}, step);
  put({have.b, use.turned ? want.a : want.b}, step);
}

void Search::descend(size_t next) {
  if (++looked_ > problem_.effort && best_operations_ != nothing) {
    if (!by_burden_) finished_ = false;
    return;
  }
  if (is_worse(floor_from(next))) return;
  if (next == want_.size()) return leaf();
  for (const Option& option : options_[next]) {
    if (option.use.have != nothing && used_[option.use.have]) continue;
    now_[next] = option.use;
    put(problem_.want[want_[next]], option.use, 1);
    descend(next + 1);
    put(problem_.want[want_[next]], option.use, -1);
  }
}

void Search::leaf() {
  std::vector<Move> moves;
  for (const auto& [move, count] : moves_) moves.push_back(move);
  bool exact = true;
  const std::vector<Move> parked = moves_to_park(problem_, moves, exact);
  if (!exact) finished_ = false;
  const uint32_t operations = floor_from(want_.size()) + static_cast<uint32_t>(parked.size());
  if (is_worse(operations)) return;
  best_operations_ = operations, best_burden_ = burden_;
  best_ = now_;
}

void Search::run() {
  now_.assign(want_.size(), {});
  floor_ = floor_from(0);
  descend(0);
  by_burden_ = true;  // again, for the least unwelcome among equally many
  looked_ = 0;
  descend(0);
}

// Groups of circuits that share spots, each as the numbers of its wires; circuits that are as wanted are left out and
// their uses set.
class Groups {
 public:
  explicit Groups(const Problem& problem) : problem_(problem) {}
  struct Group {
    std::vector<uint32_t> have, want;
  };
  std::vector<Group> split(std::vector<Use>& uses);

 private:
  bool is_as_wanted(const Group& circuit, std::vector<Use>& uses) const;
  const Problem& problem_;
};

bool Groups::is_as_wanted(const Group& circuit, std::vector<Use>& uses) const {
  if (circuit.have.size() != circuit.want.size()) return false;
  std::vector<char> used(circuit.have.size(), false);
  std::vector<Use> found(circuit.want.size());
  for (size_t i = 0; i < circuit.want.size(); ++i) {
    const Line& want = problem_.want[circuit.want[i]];
    bool served = false;
    for (size_t j = 0; j < circuit.have.size() && !served; ++j) {
      const Line& have = problem_.have[circuit.have[j]];
      const bool straight = have.a == want.a && have.b == want.b, turned = have.a == want.b && have.b == want.a;
      if (used[j] || (!straight && !turned) || !problem_.serves(circuit.have[j], circuit.want[i], !straight)) continue;
      used[j] = served = true;
      found[i] = {circuit.have[j], !straight};
    }
    if (!served) return false;
  }
  for (size_t i = 0; i < circuit.want.size(); ++i) uses[circuit.want[i]] = found[i];
  return true;
}

std::vector<Groups::Group> Groups::split(std::vector<Use>& uses) {
  std::map<uint32_t, Group> circuits;
  for (uint32_t h = 0; h < problem_.have.size(); ++h) circuits[problem_.have[h].circuit].have.push_back(h);
  for (uint32_t w = 0; w < problem_.want.size(); ++w) circuits[problem_.want[w].circuit].want.push_back(w);
  std::vector<uint32_t> owner(problem_.spots.size());
  std::iota(owner.begin(), owner.end(), 0u);
  const auto root = [&](uint32_t spot) {
    while (owner[spot] != spot) spot = owner[spot];
    return spot;
  };
  std::vector<const Group*> changed;
  for (const auto& [id, circuit] : circuits) {
    if (is_as_wanted(circuit, uses)) continue;
    changed.push_back(&circuit);
    uint32_t first = nothing;
    const auto join = [&](const Line& line) {
      for (uint32_t end : {line.a, line.b}) {
        if (first == nothing) first = end;
        owner[root(end)] = root(first);
      }
    };
    for (uint32_t h : circuit.have) join(problem_.have[h]);
    for (uint32_t w : circuit.want) join(problem_.want[w]);
  }
  std::map<uint32_t, Group> groups;
  for (const Group* circuit : changed) {
    const Line& any = circuit->have.empty() ? problem_.want[circuit->want[0]] : problem_.have[circuit->have[0]];
    Group& group = groups[root(any.a)];
    group.have.insert(group.have.end(), circuit->have.begin(), circuit->have.end());
    group.want.insert(group.want.end(), circuit->want.begin(), circuit->want.end());
  }
  std::vector<Group> all;
  for (auto& [id, group] : groups) all.push_back(std::move(group));
  return all;
}

}  // namespace

std::vector<Move> moves_to_park(const Problem& problem, const std::vector<Move>& moves, bool& exact) {
  // Moves that wait for each other in rings; each such knot is a matter of its own.
  boost::adjacency_list<boost::vecS, boost::vecS, boost::directedS> waits(moves.size());
  for (size_t move = 0; move < moves.size(); ++move)
    for (size_t other = 0; other < moves.size(); ++other)
      if (waits_for(problem, moves[move], moves[other])) boost::add_edge(move, other, waits);
  std::vector<size_t> knot_of(moves.size());
  const size_t knots =
      moves.empty() ? 0
                    : boost::strong_components(waits, boost::make_iterator_property_map(
                                                          knot_of.begin(), boost::get(boost::vertex_index, waits)));
  std::vector<Move> list;
  for (size_t knot = 0; knot < knots; ++knot) {
    std::vector<Move> tied;
    for (size_t move = 0; move < moves.size(); ++move)
      if (knot_of[move] == knot) tied.push_back(moves[move]);
    if (tied.size() > 1) park_in_knot(problem, tied, list, exact);
  }
  std::sort(list.begin(), list.end());
  return list;
}

Solution solve(const Problem& problem) {
  Solution solution;
  solution.uses.resize(problem.want.size());
  uint32_t least = 0;
  for (const Groups::Group& group : Groups(problem).split(solution.uses)) {
    Search search(problem, group.have, group.want);
    search.run();
    least += search.least();
    for (size_t i = 0; i < group.want.size(); ++i) solution.uses[group.want[i]] = search.best()[i];
  }
  std::vector<char> used(problem.have.size(), false);
  for (size_t w = 0; w < problem.want.size(); ++w) {
    const Use& use = solution.uses[w];
    const Line& want = problem.want[w];
    const auto lead_to = [&](const Move& move) {
      if (move.first == move.second) return;
      if (problem.spots[move.second].is_splice) solution.splices.push_back(move.second);
      if (!goes_for_nothing(problem, move)) solution.moves.push_back(move);
    };
    if (use.have == nothing) {
      ++solution.added;
      for (uint32_t end : {want.a, want.b})
        if (problem.spots[end].is_splice) solution.splices.push_back(end);
      continue;
    }
    const Line& have = problem.have[use.have];
    used[use.have] = true;
    lead_to({have.a, use.turned ? want.b : want.a});
    lead_to({have.b, use.turned ? want.a : want.b});
  }
  const auto once = [](auto& list) {
    std::sort(list.begin(), list.end());
    list.erase(std::unique(list.begin(), list.end()), list.end());
  };
  once(solution.moves), once(solution.splices);
  bool exact = true;
  solution.parked = moves_to_park(problem, solution.moves, exact);
  solution.removed = static_cast<uint32_t>(std::count(used.begin(), used.end(), char{false}));
  solution.operations =
      static_cast<uint32_t>(solution.moves.size() + solution.parked.size() + solution.splices.size()) + solution.added +
      solution.removed;
  solution.least = least;
  return solution;
}

}  // namespace loomproof::repin
