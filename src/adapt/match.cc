#include "adapt/match.h"

#include <algorithm>
#include <numeric>

namespace loomproof::adapt {
namespace {

struct Edge {
  size_t a = 0, b = 0;  // left and right strand
  Ground ground{};
  Meeting meeting;
};

class Matcher {
 public:
  Matcher(const Side& left, const Side& right)
      : left_(left), right_(right), state_a_(left.strands.size()), state_b_(right.strands.size()) {}

  Match match();

 private:
  enum class Is : uint8_t { loose, paired, open };  // open: in a choice

  void find_edges();
  void keep_apart();
  void pair_up(Ground ground, Way way);
  void offer_by_role();
  bool helps(const Edge& edge) const;
  void add_choices(const std::vector<Edge>& edges);

  const Side &left_, &right_;
  std::vector<Edge> edges_;  // by left, then right strand
  std::vector<Edge> open_;
  std::vector<Is> state_a_, state_b_;
  Match match_;
};

void Matcher::find_edges() {
  for (size_t a = 0; a < left_.strands.size(); ++a)
    for (size_t b = 0; b < right_.strands.size(); ++b) {
      const Strand &one = left_.strands[a], &other = right_.strands[b];
      Edge edge{a, b, ground(left_, one, right_, other), meet(left_, one, right_, other)};
      // What leads to nothing in the record is known by its circuit alone.
      if ((one.ports.empty() || other.ports.empty()) && edge.ground != Ground::circuit) continue;
      if (edge.meeting.way != Way::no_use) edges_.push_back(std::move(edge));
    }
}

// Two that are one circuit and must not be joined are paired with nothing else either: whatever is like them is no
// better known.
void Matcher::keep_apart() {
  for (const Edge& edge : edges_) {
    if (edge.meeting.way < Way::not_proven || edge.ground != Ground::circuit) continue;
    state_a_[edge.a] = Is::open, state_b_[edge.b] = Is::open;
    match_.refused.push_back({edge.a, edge.b, edge.ground, edge.meeting});
  }
}

void Matcher::pair_up(Ground ground, Way way) {
  std::vector<const Edge*> at_rank;
  std::vector<size_t> degree_a(state_a_.size(), 0), degree_b(state_b_.size(), 0);
  for (const Edge& edge : edges_) {
    if (edge.ground != ground || edge.meeting.way != way) continue;
    if (state_a_[edge.a] == Is::paired || state_b_[edge.b] == Is::paired) continue;
    at_rank.push_back(&edge);
    ++degree_a[edge.a], ++degree_b[edge.b];
  }
  // What is in a choice already may still want one of these: that makes it part of the choice, not free.
  std::vector<const Edge*> unclear;
  std::vector<Edge> clear;
  for (const Edge* edge : at_rank) {
    const bool alone = degree_a[edge->a] == 1 && degree_b[edge->b] == 1;
    if (alone && state_a_[edge->a] == Is::loose && state_b_[edge->b] == Is::loose)
      clear.push_back(*edge);
    else
      unclear.push_back(edge);
  }
  for (const Edge* edge : unclear) {
    state_a_[edge->a] = Is::open, state_b_[edge->b] = Is::open;
    open_.push_back(*edge);
  }
  for (const Edge& edge : clear) {
    state_a_[edge.a] = Is::paired, state_b_[edge.b] = Is::paired;
    match_.pairs.push_back({edge.a, edge.b, edge.ground, edge.meeting});
  }
}

bool Matcher::helps(const Edge& edge) const {
  const auto has_need = [](const Strand& strand) {
    return std::any_of(strand.ports.begin(), strand.ports.end(), [](const Port& port) { return needs(port); });
  };
  return has_need(left_.strands[edge.a]) || has_need(right_.strands[edge.b]);
}

// For needs that no name meets: what could, by role and volts.
void Matcher::offer_by_role() {
  std::vector<Edge> partial, role;
  for (const Edge& edge : edges_) {
    if (edge.ground > Ground::partial || edge.meeting.way > Way::part || !helps(edge)) continue;
    if (state_a_[edge.a] != Is::loose || state_b_[edge.b] != Is::loose) continue;
    if (edge.ground == Ground::partial)
      partial.push_back(edge);
    else if (edge.meeting.way == Way::direct)
      role.push_back(edge);
  }
  add_choices(partial);
  // A strand with a name to choose by is not offered by its role as well.
  std::erase_if(role, [&](const Edge& edge) {
    return std::any_of(partial.begin(), partial.end(),
                       [&](const Edge& named) { return named.a == edge.a || named.b == edge.b; });
  });
  add_choices(role);
}

// One choice for all strands that edges hold together.
void Matcher::add_choices(const std::vector<Edge>& edges) {
  std::vector<size_t> root(state_a_.size() + state_b_.size());
  std::iota(root.begin(), root.end(), size_t{0});
  const auto find = [&](size_t node) {
    while (root[node] != node) node = root[node] = root[root[node]];
    return node;
  };
  for (const Edge& edge : edges) root[find(edge.a)] = find(state_a_.size() + edge.b);
  std::vector<size_t> of_root(root.size(), root.size());
  const auto add = [](std::vector<size_t>& list, size_t strand) {
    if (std::find(list.begin(), list.end(), strand) == list.end()) list.push_back(strand);
  };
  for (const Edge& edge : edges) {
    size_t& at = of_root[find(edge.a)];
    if (at == root.size()) {
      at = match_.choices.size();
      match_.choices.push_back({{}, {}, edge.ground});
    }
    Choice& choice = match_.choices[at];
    choice.ground = std::max(choice.ground, edge.ground);
    add(choice.left, edge.a), add(choice.right, edge.b);
  }
  for (Choice& choice : match_.choices) {
    std::sort(choice.left.begin(), choice.left.end());
    std::sort(choice.right.begin(), choice.right.end());
  }
}

Match Matcher::match() {
  find_edges();
  keep_apart();
  for (const Ground rank : {Ground::circuit, Ground::both, Ground::function, Ground::terminal})
    for (const Way way : {Way::direct, Way::relay, Way::part}) pair_up(rank, way);
  add_choices(open_);
  offer_by_role();
  for (const Edge& edge : edges_) {
    if (edge.meeting.way < Way::not_proven || edge.ground < Ground::terminal || edge.ground == Ground::circuit)
      continue;
    if (state_a_[edge.a] != Is::loose || state_b_[edge.b] != Is::loose) continue;
    match_.refused.push_back({edge.a, edge.b, edge.ground, edge.meeting});
  }
  const auto before = [](const Pair& x, const Pair& y) {
    return std::pair(x.left, x.right) < std::pair(y.left, y.right);
  };
  std::sort(match_.pairs.begin(), match_.pairs.end(), before);
  std::sort(match_.refused.begin(), match_.refused.end(), before);
  return std::move(match_);
}

}  // namespace

Ground ground(const Side& left, const Strand& a, const Side& right, const Strand& b) {
  if (left.family == right.family && !a.circuit.empty() && a.circuit == b.circuit) return Ground::circuit;
  const auto agree = [](const std::string& x, const std::string& y) { return !x.empty() && x == y; };
  const auto differ = [](const std::string& x, const std::string& y) { return !x.empty() && !y.empty() && x != y; };
  const bool terminal = agree(a.terminal, b.terminal), function = agree(a.function, b.function);
  if (!terminal && !function) return Ground::role;
  if (differ(a.terminal, b.terminal) || differ(a.function, b.function)) return Ground::partial;
  if (!a.is_telling || !b.is_telling) return Ground::partial;
  if (terminal && function) return Ground::both;
  return function ? Ground::function : Ground::terminal;
}

Match match(const Side& left, const Side& right) {
  return Matcher(left, right).match();
}

}  // namespace loomproof::adapt
