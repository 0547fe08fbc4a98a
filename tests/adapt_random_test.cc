// The matching of adapter lists on small random sides, against a naive twin: every matching of the two sides is tried,
// and every pair of ports looked up row by row in the role table of reference/rules/joins.yaml as the packs carry it.
#include <algorithm>
#include <catch2/catch.hpp>
#include <fstream>
#include <iterator>
#include <map>
#include <set>

#include "adapt/adapter.h"
#include "family/words.h"
#include "pack/pack.h"
#include "packed.h"
#include "random_family.h"

using namespace loomproof;
using loomproof::testing::packed;
using namespace loomproof::adapt;
using loomproof::testing::Random;

namespace {

const std::vector<Role> roles = {Role::gives_feed,   Role::gives_earth,  Role::gives_return, Role::gives_signal,
                                 Role::pulls_low,    Role::pulls_high,   Role::takes_feed,   Role::takes_earth,
                                 Role::takes_signal, Role::takes_return, Role::takes_low,    Role::takes_high,
                                 Role::senses_high,  Role::passes};

Side random_side(Random& random, const Family& family, const std::string& id, const std::string& at) {
  Side side;
  side.family = id, side.rows = &family;
  std::set<std::string> used;
  for (uint32_t i = 0, count = random.between(1, 5); i < count; ++i) {
    Strand strand;
    const std::string circuit = "K" + std::to_string(random.below(6));
    if (used.insert(circuit).second) strand.circuit = circuit;  // a side has each circuit once
    if (random.chance(60)) strand.terminal = random.chance(50) ? "30" : "54";
    if (random.chance(70)) strand.function = random.chance(50) ? "lamp" : "pump";
    strand.is_telling = random.chance(75);
    for (uint32_t end = 0, ends = random.between(1, 2); end < ends; ++end)
      strand.ends.push_back({at + std::to_string(i) + "." + std::to_string(end), "BK", not_given});
    for (uint32_t port = 0, ports = random.below(3); port < ports; ++port) {
      Port one;
      one.at = at + std::to_string(i) + "-" + std::to_string(port);
      one.role = roles[random.below(static_cast<uint32_t>(roles.size()))];
      if (random.chance(70)) one.volts = random.chance(70) ? 12000 : 24000;
      if (random.chance(50)) one.amps = static_cast<Quantity>(random.between(1, 4) * 1000);
      one.needed = random.chance(80);
      one.switched = random.chance(15);
      one.met = random.chance(10);
      strand.ports.push_back(one);
    }
    side.strands.push_back(strand);
  }
  return side;
}

// --- the twin
// ----------------------------------------------------------------------------------------------------------

// What a plain wire between two ports does by the table, as far as the record tells: the worst row whose condition
// holds.
Outcome naive_outcome(const Family& family, const Side& left, const Strand& a, const Port& p, const Side& right,
                      const Strand& b, const Port& q) {
  const bool turned = static_cast<uint32_t>(q.role) < static_cast<uint32_t>(p.role);
  const Port &one = turned ? q : p, &other = turned ? p : q;
  const Strand& loads = turned ? a : b;
  Outcome always = Outcome::unset, worst = Outcome::unset;
  for (const Join& row : family.joins) {
    if (row.a != one.role || row.b != other.role) continue;
    const bool volts = one.volts != not_given && other.volts != not_given;
    const bool above = volts && one.volts * 4LL > other.volts * 5LL,
               below = volts && other.volts * 4LL > one.volts * 5LL;
    bool holds = false;
    if (row.when == JoinWhen::always) always = row.outcome;
    if (row.when == JoinWhen::volts_above) holds = above;
    if (row.when == JoinWhen::volts_below) holds = below;
    if (row.when == JoinWhen::volts_differ) holds = above || below;
    if (row.when == JoinWhen::unfused) holds = true;
    if (row.when == JoinWhen::other_terminal)
      holds = !a.terminal.empty() && !b.terminal.empty() ? a.terminal != b.terminal
                                                         : left.family != right.family || a.circuit != b.circuit;
    if (row.when == JoinWhen::current_above) {
      long long sum = 0;
      bool told = one.amps != not_given;
      for (const Port& each : loads.ports)
        if (each.role == other.role && each.switched == other.switched) {
          told = told && each.amps != not_given;
          sum += each.amps;
        }
      holds = told && sum > one.amps;
    }
    if (holds && static_cast<uint32_t>(row.outcome) > static_cast<uint32_t>(worst)) worst = row.outcome;
  }
  // Across contacts what is not grave counts only under a condition.
  const bool grave = always == Outcome::opens_fuse || always == Outcome::destroys || always == Outcome::endangers;
  if (worst == Outcome::unset && (p.switched || q.switched) && !grave) return Outcome::fine;
  return worst == Outcome::unset ? always : worst;
}

// The rank of a pair by name and way, 0 the best; -1 where it is none that a list may propose.
int naive_rank(const Side& left, const Strand& a, const Side& right, const Strand& b, const Meeting& meeting) {
  if (meeting.way > Way::part) return -1;
  int name = -1;
  const bool same_circuit = left.family == right.family && !a.circuit.empty() && a.circuit == b.circuit;
  const bool t_known = !a.terminal.empty() && !b.terminal.empty(), f_known = !a.function.empty() && !b.function.empty();
  const bool t = t_known && a.terminal == b.terminal, f = f_known && a.function == b.function;
  if (same_circuit)
    name = 0;
  else if (a.ports.empty() || b.ports.empty() || !a.is_telling || !b.is_telling)
    name = -1;
  else if (t && f)
    name = 1;
  else if (f && !t_known)
    name = 2;
  else if (t && !f_known)
    name = 3;
  return name < 0 ? -1 : name * 3 + static_cast<int>(meeting.way);
}

struct NaiveEdge {
  size_t a, b;
  int rank;
};
using Chosen = std::set<std::pair<size_t, size_t>>;

// Every matching; of those that have the most pairs of the best rank, then of the next, … what all have in common.
class Exhaustive {
 public:
  explicit Exhaustive(std::vector<NaiveEdge> edges) : edges_(std::move(edges)) { grow(0); }
  const Chosen& common() const { return common_; }

 private:
  void grow(size_t at) {
    if (at == edges_.size()) return weigh();
    grow(at + 1);
    const NaiveEdge& edge = edges_[at];
    for (const auto& [a, b] : now_)
      if (a == edge.a || b == edge.b) return;
    now_.insert({edge.a, edge.b}), ++counts_[edge.rank];
    grow(at + 1);
    now_.erase({edge.a, edge.b}), --counts_[edge.rank];
  }
  void weigh() {
    std::vector<int> weight;
    for (int rank = 0; rank < 12; ++rank) weight.push_back(counts_[rank]);
    if (any_ && weight < best_) return;
    if (!any_ || weight > best_) {
      any_ = true, best_ = weight, common_ = now_;
      return;
    }
    std::erase_if(common_, [&](const auto& pair) { return !now_.contains(pair); });
  }

  std::vector<NaiveEdge> edges_;
  Chosen now_, common_;
  std::map<int, int> counts_;
  std::vector<int> best_;
  bool any_ = false;
};

std::set<std::string> told(const Adapter& list, bool turned) {
  std::set<std::string> all;
  const auto both = [&](const std::string& left, const std::string& right) {
    return turned ? right + " | " + left : left + " | " + right;
  };
  const auto joined = [](const std::vector<std::string>& words) {
    std::string text;
    for (const std::string& each : words) text += each + "; ";
    return text;
  };
  for (const Row& row : list.rows) {
    for (const Line& line : row.lines)
      all.insert("wire " + both(line.left.cavity, line.right.cavity) + " " + milli(line.mm2));
    all.insert("row " + both(row.left_does, row.right_does) + row.by + row.because + joined(row.conditions) +
               joined(row.takes) + std::to_string(static_cast<int>(row.way)));
  }
  for (const Alternatives& each : list.choices) all.insert("choice " + both(joined(each.left), joined(each.right)));
  for (const Refused& each : list.refused) all.insert("refused " + both(each.left, each.right) + each.because);
  for (const auto* open : {&list.unmet, &list.unused})
    for (const Open& each : *open)
      all.insert(std::string(open == &list.unmet ? "unmet " : "unused ") +
                 (each.of_left != turned ? "left " : "right ") + each.cavities + each.does + each.why);
  for (const Material& each : list.material) all.insert(each.what + std::to_string(each.count));
  all.insert(list.is_complete ? "complete" : "not complete");
  return all;
}

}  // namespace

TEST_CASE("no list pairs what clashes, misses what is plain, or guesses") {
  const Family family = packed("croft");
  REQUIRE(family.joins.size() > 250);
  Random random(20240617);
  size_t pairs = 0, direct = 0, choices = 0, refused = 0, plain = 0;
  for (int round = 0; round < 6000; ++round) {
    const bool one_family = random.chance(50);
    const Side left = random_side(random, family, "one", "A");
    const Side right = random_side(random, family, one_family ? "one" : "other", "B");
    const Match made = match(left, right);
    INFO("round " << round);

    std::vector<NaiveEdge> edges;
    std::set<size_t> barred_a, barred_b;  // one circuit, and it clashes
    for (size_t a = 0; a < left.strands.size(); ++a)
      for (size_t b = 0; b < right.strands.size(); ++b) {
        const Strand &one = left.strands[a], &other = right.strands[b];
        const Meeting meeting = meet(left, one, right, other);
        const bool is_circuit = one_family && !one.circuit.empty() && one.circuit == other.circuit;
        if (is_circuit && meeting.way >= Way::not_proven) barred_a.insert(a), barred_b.insert(b);
        if (const int rank = naive_rank(left, one, right, other, meeting); rank >= 0) edges.push_back({a, b, rank});
        // A plain wire: whatever ports it joins get on. And what is held to clash does so somewhere.
        bool all_fine = true;
        for (const Port& p : one.ports)
          for (const Port& q : other.ports)
            all_fine = all_fine && naive_outcome(family, left, one, p, right, other, q) == Outcome::fine;
        if (meeting.way == Way::direct) CHECK(all_fine);
        if (meeting.way == Way::clash || meeting.way == Way::part) CHECK_FALSE(all_fine);
      }
    std::erase_if(edges, [&](const NaiveEdge& edge) { return barred_a.contains(edge.a) || barred_b.contains(edge.b); });

    Chosen proposed;
    for (const Pair& pair : made.pairs) {
      ++pairs, direct += pair.meeting.way == Way::direct;
      CHECK(proposed.insert({pair.left, pair.right}).second);
      CHECK_FALSE(barred_a.contains(pair.left));
      CHECK_FALSE(barred_b.contains(pair.right));
    }
    choices += made.choices.size(), refused += made.refused.size();

    // Nothing is guessed: each pair is in every matching that is best by rank.
    const Exhaustive exhaustive(edges);
    for (const auto& pair : proposed) CHECK(exhaustive.common().contains(pair));
    // Nothing that is plain is missed: a pair that is better for both than any other either has.
    for (const NaiveEdge& edge : edges) {
      const bool is_plain = std::all_of(edges.begin(), edges.end(), [&](const NaiveEdge& other) {
        return (other.a == edge.a && other.b == edge.b) || (other.a != edge.a && other.b != edge.b) ||
               other.rank > edge.rank;
      });
      plain += is_plain;
      if (is_plain) CHECK(proposed.contains({edge.a, edge.b}));
    }
    // What could meet by name is paired, or in a choice, or what it could meet is.
    std::set<size_t> open_a, open_b;
    for (const Choice& choice : made.choices) {
      open_a.insert(choice.left.begin(), choice.left.end()), open_b.insert(choice.right.begin(), choice.right.end());
      for (size_t a : choice.left)
        CHECK_FALSE(std::any_of(proposed.begin(), proposed.end(), [&](auto& p) { return p.first == a; }));
      for (size_t b : choice.right)
        CHECK_FALSE(std::any_of(proposed.begin(), proposed.end(), [&](auto& p) { return p.second == b; }));
    }
    for (const NaiveEdge& edge : edges) {
      const bool is_paired = std::any_of(proposed.begin(), proposed.end(),
                                         [&](auto& p) { return p.first == edge.a || p.second == edge.b; });
      CHECK((is_paired || (open_a.contains(edge.a) && open_b.contains(edge.b))));
    }
  }
  // The rounds are worth something.
  CHECK(pairs > 2000);
  CHECK(direct > 500);
  CHECK(choices > 1000);
  CHECK(refused > 500);
  CHECK(plain > 1000);
}

TEST_CASE("an adapter from B to A is that from A to B turned round") {
  const Family family = packed("croft");
  Random random(77);
  for (int round = 0; round < 3000; ++round) {
    const Side left = random_side(random, family, "one", "A");
    const Side right = random_side(random, family, random.chance(50) ? "one" : "other", "B");
    INFO("round " << round);
    CHECK(told(adapter(left, right), false) == told(adapter(right, left), true));
  }
}
