// What to ask next, over plain tables: against published figures (tests/published/information.csv, source beside each)
// and against the exact optimum by dynamic programming.
#include "identify/planner.h"

#include <algorithm>
#include <catch2/catch.hpp>
#include <cmath>
#include <functional>
#include <map>
#include <string>

#include "published/table.h"
#include "random_family.h"

using namespace loomproof::identify;
using loomproof::testing::Random;

namespace {

double published(const std::string& topic, const std::string& item) {
  for (const auto& row : loomproof::testing::published_table("information.csv"))
    if (row.at("topic") == topic && row.at("item") == item) return std::stod(row.at("value"));
  FAIL(topic << ": " << item);
  return 0;
}

Trial trial(std::vector<uint16_t> outcome, double cost = 1) {
  Trial made;
  made.outcomes = *std::max_element(outcome.begin(), outcome.end()) + 1u;
  made.outcomes = std::max(made.outcomes, 2u);
  made.outcome = std::move(outcome);
  made.cost = cost;
  return made;
}

double bits(const std::vector<double>& weight, const std::vector<uint16_t>& outcome) {
  return expected_bits({weight, {}, 0}, trial(outcome));
}

// Twelve coins, one of them too heavy or too light: 24 candidates. 0: the left pan sinks; 1: balance; 2: the right.
std::vector<uint16_t> weighing(const std::vector<int>& side) {  // by coin: -1 left, 0 aside, 1 right
  std::vector<uint16_t> outcome;
  for (size_t coin = 0; coin < 12; ++coin)
    for (const int heavy : {1, -1}) outcome.push_back(static_cast<uint16_t>(1 + side[coin] * heavy));
  return outcome;
}

// The least expected cost there is: every trial at every subset.
double optimum(const TrialTable& table) {
  std::map<uint32_t, double> solved;
  const std::function<double(uint32_t)> solve = [&](uint32_t set) -> double {
    if (const auto known = solved.find(set); known != solved.end()) return known->second;
    double weight = 0, best = 1e9;
    for (size_t i = 0; i < table.weight.size(); ++i)
      if (set >> i & 1) weight += table.weight[i];
    for (const Trial& one : table.trials) {
      std::map<uint16_t, uint32_t> parts;
      for (size_t i = 0; i < table.weight.size(); ++i)
        if (set >> i & 1) parts[one.outcome[i]] |= 1u << i;
      if (parts.size() < 2) continue;
      double cost = weight * one.cost;
      for (const auto& [outcome, part] : parts) cost += solve(part);
      best = std::min(best, cost);
    }
    return solved[set] = best > 1e8 ? 0 : best;
  };
  double total = 0;
  for (double weight : table.weight) total += weight;
  return solve((1u << table.weight.size()) - 1) / total;
}

TrialTable random_table(Random& random, uint32_t candidates) {
  TrialTable table;
  for (uint32_t i = 0; i < candidates; ++i) table.weight.push_back(1 + random.below(5));
  for (uint32_t i = 0, count = random.between(8, 30); i < count; ++i) {
    std::vector<uint16_t> outcome;
    const uint32_t share = random.between(10, 50), kinds = random.between(1, 2);
    for (uint32_t c = 0; c < candidates; ++c)
      outcome.push_back(random.chance(share) ? static_cast<uint16_t>(1 + random.below(kinds)) : 0);
    table.trials.push_back(trial(std::move(outcome), random.between(1, 3)));
  }
  return table;
}

// Walks the procedure with every candidate in turn, and counts.
double walked_cost(const TrialTable& table, const Procedure& made) {
  double cost = 0, total = 0;
  for (uint32_t candidate = 0; candidate < table.weight.size(); ++candidate) {
    size_t node = 0;
    double here = 0;
    while (made.nodes[node].trial != no_trial) {
      const Trial& asked = table.trials[made.nodes[node].trial];
      here += asked.cost;
      size_t next = node;
      for (const auto& [outcome, child] : made.nodes[node].branches)
        if (outcome == asked.outcome[candidate]) next = child;
      REQUIRE(next != node);
      node = next;
    }
    const auto& left = made.nodes[node].candidates;
    REQUIRE(std::find(left.begin(), left.end(), candidate) != left.end());
    cost += table.weight[candidate] * here, total += table.weight[candidate];
  }
  return cost / total;
}

}  // namespace

TEST_CASE("entropies are those of the definition") {
  CHECK(bits({1, 1}, {0, 1}) == Approx(published("entropy", "H(1/2 1/2)")).margin(1e-6));
  CHECK(bits({9, 1}, {0, 1}) == Approx(published("entropy", "H(9/10 1/10)")).margin(1e-6));
  CHECK(bits({3, 1}, {0, 1}) == Approx(published("entropy", "H(3/4 1/4)")).margin(1e-6));
  CHECK(bits({1, 1, 1}, {0, 0, 0}) == Approx(0).margin(1e-12));
}

// With a chance of error e the trial is a binary symmetric channel, 1 - H(e) bits of it (Shannon 1948).
TEST_CASE("what goes wrong is taken off") {
  Trial noisy = trial({0, 1});
  noisy.wrong = 0.1;
  CHECK(expected_bits({{1, 1}, {}, 0}, noisy) == Approx(1 - published("entropy", "H(9/10 1/10)")).margin(1e-6));
  noisy.outcome = {not_told, not_told};
  CHECK(expected_bits({{1, 1}, {}, 0}, noisy) == Approx(0).margin(1e-12));
}

TEST_CASE("twelve coins: what a first weighing tells, and three weighings in all") {
  const std::vector<double> even(24, 1);
  for (int pan = 1; pan <= 6; ++pan) {
    std::vector<int> side(12, 0);
    for (int i = 0; i < pan; ++i) side[i] = -1, side[6 + i] = 1;
    const std::string item = std::to_string(pan) + " against " + std::to_string(pan);
    CHECK(bits(even, weighing(side)) == Approx(published("twelve coins", item)).margin(1e-6));
  }
  TrialTable table{even, {}, 0};
  std::vector<int> side(12, 0);
  const std::function<void(size_t, int)> all = [&](size_t coin, int sum) {
    if (coin == side.size()) {
      const auto first = std::find_if(side.begin(), side.end(), [](int one) { return one != 0; });
      if (sum == 0 && first != side.end() && *first == -1) table.trials.push_back(trial(weighing(side)));
      return;
    }
    for (const int one : {-1, 0, 1}) {
      side[coin] = one;
      all(coin + 1, sum + one);
    }
    side[coin] = 0;
  };
  all(0, 0);
  CHECK(table.trials.size() > 30'000);
  const Procedure made = procedure(table);
  CHECK(made.worst == published("twelve coins", "weighings at worst"));
  CHECK(made.expected <= 3);
  CHECK(made.bound == Approx(published("twelve coins", "hypotheses (bits)") / std::log2(3)).margin(1e-6));
  CHECK(walked_cost(table, made) == Approx(made.expected));
}

// The information that an attribute has on the class: that on the rows, less that within each class.
TEST_CASE("the classic decision-tree data set") {
  struct Day {
    uint16_t outlook, temperature, humidity, wind, play;
  };
  const Day days[] = {{0, 0, 0, 0, 0}, {0, 0, 0, 1, 0}, {1, 0, 0, 0, 1}, {2, 1, 0, 0, 1}, {2, 2, 1, 0, 1},
                      {2, 2, 1, 1, 0}, {1, 2, 1, 1, 1}, {0, 1, 0, 0, 0}, {0, 2, 1, 0, 1}, {2, 1, 1, 0, 1},
                      {0, 1, 1, 1, 1}, {1, 1, 0, 1, 1}, {1, 0, 1, 0, 1}, {2, 1, 0, 1, 0}};
  const auto gain = [&](uint16_t Day::*attribute) {
    std::vector<uint16_t> outcome;
    for (const Day& day : days) outcome.push_back(day.*attribute);
    double sum = bits(std::vector<double>(14, 1), outcome);
    for (const uint16_t play : {0, 1}) {
      std::vector<double> weight;
      double count = 0;
      for (const Day& day : days) weight.push_back(day.play == play), count += day.play == play;
      sum -= count / 14 * bits(weight, outcome);
    }
    return sum;
  };
  CHECK(gain(&Day::play) == Approx(published("tennis", "class")).margin(1e-6));
  CHECK(gain(&Day::outlook) == Approx(published("tennis", "outlook")).margin(1e-5));
  CHECK(gain(&Day::temperature) == Approx(published("tennis", "temperature")).margin(1e-6));
  CHECK(gain(&Day::humidity) == Approx(published("tennis", "humidity")).margin(1e-6));
  CHECK(gain(&Day::wind) == Approx(published("tennis", "wind")).margin(1e-6));
}

TEST_CASE("a single fault in a chain is found by halving") {
  for (const uint16_t faults : {2, 3, 4, 5, 8, 16}) {
    TrialTable table{std::vector<double>(faults, 1), {}, 0};
    for (uint16_t probe = 1; probe < faults; ++probe) {
      std::vector<uint16_t> outcome;
      for (uint16_t fault = 0; fault < faults; ++fault) outcome.push_back(fault < probe);
      table.trials.push_back(trial(std::move(outcome)));
    }
    CHECK(procedure(table).worst == published("half split", std::to_string(faults)));
  }
}

TEST_CASE("few candidates are solved exactly, more within a tenth of the optimum") {
  Random random(11);
  double sum = 0, sum_of_optima = 0, worst = 1;
  for (int run = 0; run < 150; ++run) {
    const uint32_t candidates = random.between(3, 14);
    const TrialTable table = random_table(random, candidates);
    const Procedure made = procedure(table);
    const double best = optimum(table);
    INFO("run " << run << ", " << candidates << " candidates");
    CHECK(made.expected_cost == Approx(walked_cost(table, made)));
    CHECK(made.expected_cost >= best - 1e-9);
    if (candidates <= 10) CHECK(made.expected_cost == Approx(best));
    CHECK(made.expected >= made.bound - 1e-9);
    if (candidates <= 10 || best == 0) continue;
    sum += made.expected_cost, sum_of_optima += best, worst = std::max(worst, made.expected_cost / best);
  }
  CHECK(sum <= 1.03 * sum_of_optima);
  CHECK(worst <= 1.10);
}

TEST_CASE("ties go to the first, and what tells nothing is never asked") {
  const TrialTable table{{1, 1, 1}, {trial({0, 0, 0}), trial({0, 1, 1}), trial({1, 0, 0}), trial({0, 0, 1})}, 0};
  CHECK(next_trial(table, {1, 1, 1, 1}, {}).trial == 1);
  CHECK(next_trial(table, {1, 0, 1, 0}, {}).trial == 2);
  CHECK(next_trial(table, {1, 0, 0, 0}, {}).trial == no_trial);
}

TEST_CASE("a plug in hand is used up before another is taken") {
  TrialTable table{{1, 1, 1, 1}, {trial({0, 0, 1, 1}), trial({0, 0, 1, 1}), trial({0, 1, 0, 1})}, 3};
  table.trials[0].hands = {0}, table.trials[1].hands = {1}, table.trials[2].hands = {1};
  CHECK(next_trial(table, {1, 1, 1}, {}).trial == 1);  // the other one of that plug may follow
  CHECK(next_trial(table, {1, 1, 0}, {0}).trial == 0);
  CHECK(procedure(table).expected_cost == Approx(5));
}
