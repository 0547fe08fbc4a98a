#include "identify/planner.h"

#include <algorithm>
#include <cmath>
#include <limits>
#include <map>
#include <set>

namespace loomproof::identify {
namespace {

constexpr size_t exact_up_to = 10;  // candidates
constexpr size_t played_up_to = 40;
constexpr size_t looked_ahead_at = 12;  // trials
constexpr size_t second_trials = 150;

double bits_of(double share) {
  return share > 0 ? -share * std::log2(share) : 0;
}

double hand_cost(const TrialTable& table, const Trial& trial, const std::vector<uint32_t>& in_hand) {
  double cost = trial.cost;
  for (uint32_t hand : trial.hands)
    if (std::find(in_hand.begin(), in_hand.end(), hand) == in_hand.end()) cost += table.other_hand;
  return cost;
}

// Weights of the outcomes, those of candidates that may show any spread over all; and how much of them is spread.
struct Split {
  std::vector<double> weight;
  double spread = 0, total = 0;
};

Split split(const std::vector<double>& weight, const Trial& trial) {
  Split parts;
  parts.weight.assign(trial.outcomes, 0);
  for (size_t i = 0; i < weight.size(); ++i) {
    parts.total += weight[i];
    if (trial.outcome[i] == not_told) {
      parts.spread += weight[i];
    } else {
      parts.weight[trial.outcome[i]] += weight[i];
    }
  }
  return parts;
}

double bits_of(const std::vector<double>& weight, const Trial& trial) {
  const Split parts = split(weight, trial);
  if (parts.total <= 0 || trial.outcomes < 2) return 0;
  const double outcomes = trial.outcomes, other = trial.wrong / (outcomes - 1);
  const double spread = parts.spread / parts.total;
  double bits = -spread * std::log2(outcomes);
  const double noise = bits_of(1 - trial.wrong) + (outcomes - 1) * bits_of(other);
  bits -= (1 - spread) * noise;
  for (double told : parts.weight) {
    const double share = told / parts.total;
    bits += bits_of(share * (1 - trial.wrong) + (1 - spread - share) * other + spread / outcomes);
  }
  return std::max(bits, 0.0);
}

// The weights after an outcome.
std::vector<double> after(const std::vector<double>& weight, const Trial& trial, uint16_t outcome) {
  std::vector<double> left(weight.size());
  const double other = trial.wrong / std::max(trial.outcomes - 1.0, 1.0);
  for (size_t i = 0; i < weight.size(); ++i) {
    const double chance = trial.outcome[i] == not_told  ? 1.0 / trial.outcomes
                          : trial.outcome[i] == outcome ? 1 - trial.wrong
                                                        : other;
    left[i] = weight[i] * chance;
  }
  return left;
}

struct Rated {
  size_t trial = no_trial;
  double bits = 0, cost = 1;
  double rate() const { return bits / cost; }
};

// Best first; ties in the order of the table.
std::vector<Rated> rated(const TrialTable& table, const std::vector<double>& weight, const std::vector<size_t>& open,
                         const std::vector<uint32_t>& in_hand) {
  std::vector<Rated> all;
  for (size_t trial : open) {
    const double bits = bits_of(weight, table.trials[trial]);
    if (bits > 1e-9) all.push_back({trial, bits, hand_cost(table, table.trials[trial], in_hand)});
  }
  std::stable_sort(all.begin(), all.end(), [](const Rated& a, const Rated& b) { return a.rate() > b.rate() + 1e-12; });
  return all;
}

// The best of the first few, each with the best that may follow it.
Rated best_of_two(const TrialTable& table, const std::vector<double>& weight, const std::vector<Rated>& firsts) {
  if (firsts.empty()) return {};
  double total = 0;
  for (double one : weight) total += one;
  Rated best;
  double best_rate = -1;
  std::vector<size_t> seconds;
  for (size_t i = 0; i < firsts.size() && i < second_trials; ++i) seconds.push_back(firsts[i].trial);
  for (size_t i = 0; i < firsts.size() && i < looked_ahead_at; ++i) {
    const Trial& trial = table.trials[firsts[i].trial];
    double bits = firsts[i].bits, cost = firsts[i].cost;
    for (uint16_t outcome = 0; outcome < trial.outcomes; ++outcome) {
      const std::vector<double> left = after(weight, trial, outcome);
      double share = 0;
      for (double one : left) share += one;
      share /= total;
      if (share < 1e-6) continue;
      Rated second;
      for (size_t other : seconds) {
        if (other == firsts[i].trial) continue;
        const Rated one{other, bits_of(left, table.trials[other]), hand_cost(table, table.trials[other], trial.hands)};
        if (one.rate() > second.rate() + 1e-12) second = one;
      }
      if (second.trial == no_trial || second.bits < 1e-9) continue;
      bits += share * second.bits, cost += share * second.cost;
    }
    const double rate = bits / cost;
    if (rate > best_rate + 1e-12) best_rate = rate, best = firsts[i];
  }
  return best;
}

class Builder {
 public:
  explicit Builder(const TrialTable& table) : table_(table) {}

  Procedure run() {
    std::vector<uint32_t> all(table_.weight.size());
    std::vector<size_t> open(table_.trials.size());
    for (uint32_t i = 0; i < all.size(); ++i) all[i] = i;
    for (size_t i = 0; i < open.size(); ++i) open[i] = i;
    for (double weight : table_.weight) total_ += weight;
    grow(std::move(all), std::move(open), {}, total_, 0, 0);
    bound();
    return std::move(made_);
  }

 private:
  bool separates(const Trial& trial, const std::vector<uint32_t>& candidates) const {
    uint16_t first = not_told;
    for (uint32_t candidate : candidates) {
      const uint16_t outcome = trial.outcome[candidate];
      if (outcome == not_told) continue;
      if (first == not_told) first = outcome;
      if (outcome != first) return true;
    }
    return false;
  }
  std::vector<uint32_t> left_after(const Trial& trial, const std::vector<uint32_t>& candidates,
                                   uint16_t outcome) const {
    std::vector<uint32_t> left;
    for (uint32_t candidate : candidates)
      if (trial.outcome[candidate] == outcome || trial.outcome[candidate] == not_told) left.push_back(candidate);
    return left;
  }
  bool shows(const Trial& trial, const std::vector<uint32_t>& candidates, uint16_t outcome) const {
    return std::any_of(candidates.begin(), candidates.end(),
                       [&](uint32_t candidate) { return trial.outcome[candidate] == outcome; });
  }

  // A candidate that may show any outcome goes on in every branch, its weight spread over them.
  size_t grow(std::vector<uint32_t> candidates, std::vector<size_t> open, const std::vector<uint32_t>& in_hand,
              double weight, double depth, double cost) {
    const size_t node = made_.nodes.size();
    made_.nodes.push_back({no_trial, candidates, {}});
    std::erase_if(open, [&](size_t trial) { return !separates(table_.trials[trial], candidates); });
    const size_t trial = open.empty() ? no_trial : choose(candidates, open, in_hand);
    if (trial == no_trial) {
      made_.expected += weight / total_ * depth;
      made_.expected_cost += weight / total_ * cost;
      made_.worst = std::max(made_.worst, depth);
      return node;
    }
    made_.nodes[node].trial = trial;
    const Trial& asked = table_.trials[trial];
    double told = 0;
    for (uint32_t candidate : candidates)
      if (asked.outcome[candidate] != not_told) told += table_.weight[candidate];
    for (uint16_t outcome = 0; outcome < asked.outcomes; ++outcome) {
      if (!shows(asked, candidates, outcome)) continue;
      double here = 0;
      for (uint32_t candidate : candidates)
        if (asked.outcome[candidate] == outcome) here += table_.weight[candidate];
      const double share = told > 0 ? here / told : 0;
      const size_t child = grow(left_after(asked, candidates, outcome), open, asked.hands, weight * share, depth + 1,
                                cost + hand_cost(table_, asked, in_hand));
      made_.nodes[node].branches.emplace_back(outcome, child);
    }
    return node;
  }

  bool are_told(const std::vector<uint32_t>& candidates, const std::vector<size_t>& open) const {
    return std::all_of(open.begin(), open.end(), [&](size_t trial) {
      return std::all_of(candidates.begin(), candidates.end(),
                         [&](uint32_t candidate) { return table_.trials[trial].outcome[candidate] != not_told; });
    });
  }
  std::vector<Rated> rated_for(const std::vector<uint32_t>& candidates, const std::vector<size_t>& open,
                               const std::vector<uint32_t>& in_hand, std::vector<double>& weight) const {
    weight.assign(table_.weight.size(), 0);
    for (uint32_t candidate : candidates) weight[candidate] = table_.weight[candidate];
    return rated(table_, weight, open, in_hand);
  }

  size_t choose(const std::vector<uint32_t>& candidates, const std::vector<size_t>& open,
                const std::vector<uint32_t>& in_hand) {
    if (candidates.size() <= exact_up_to && are_told(candidates, open)) return exact(candidates, open, in_hand).trial;
    std::vector<double> weight;
    const std::vector<Rated> firsts = rated_for(candidates, open, in_hand, weight);
    if (firsts.empty()) return open.front();
    if (candidates.size() > played_up_to) return best_of_two(table_, weight, firsts).trial;
    size_t best = no_trial;
    double least = std::numeric_limits<double>::infinity();
    for (size_t i = 0; i < firsts.size() && i < looked_ahead_at; ++i) {
      const double cost = played(firsts[i].trial, candidates, open, in_hand);
      if (cost < least - 1e-12) least = cost, best = firsts[i].trial;
    }
    return best;
  }

  // The weighed cost of a trial and of all that follows it where every later one is the best by itself, and few
  // candidates are solved.
  double played(size_t trial, const std::vector<uint32_t>& candidates, const std::vector<size_t>& open,
                const std::vector<uint32_t>& in_hand) {
    const Trial& asked = table_.trials[trial];
    double weight = 0;
    for (uint32_t candidate : candidates) weight += table_.weight[candidate];
    double cost = weight * hand_cost(table_, asked, in_hand);
    for (uint16_t outcome = 0; outcome < asked.outcomes; ++outcome) {
      if (!shows(asked, candidates, outcome)) continue;
      const std::vector<uint32_t> left = left_after(asked, candidates, outcome);
      std::vector<size_t> still;
      for (size_t other : open)
        if (other != trial && separates(table_.trials[other], left)) still.push_back(other);
      if (still.empty()) continue;
      if (left.size() <= exact_up_to && are_told(left, still)) {
        cost += exact(left, still, asked.hands).cost;
        continue;
      }
      std::vector<double> weights;
      const std::vector<Rated> firsts = rated_for(left, still, asked.hands, weights);
      if (!firsts.empty()) cost += played(firsts[0].trial, left, still, asked.hands);
    }
    return cost;
  }

  struct Solved {
    double cost = 0;
    size_t trial = no_trial;
  };

  // Dynamic programming over the subsets of these candidates, with what is in hand.
  Solved exact(const std::vector<uint32_t>& candidates, const std::vector<size_t>& open,
               const std::vector<uint32_t>& in_hand) {
    subset_ = candidates;
    distinct_.clear();
    std::set<std::pair<std::vector<uint16_t>, std::pair<double, std::vector<uint32_t>>>> seen;
    for (size_t trial : open) {  // of trials that part them alike, with the same hands, the cheapest and first
      const Trial& row = table_.trials[trial];
      std::vector<uint16_t> parts;
      std::map<uint16_t, uint16_t> number;
      for (uint32_t candidate : candidates)
        parts.push_back(number.emplace(row.outcome[candidate], static_cast<uint16_t>(number.size())).first->second);
      if (seen.insert({parts, {row.cost, row.hands}}).second) distinct_.push_back({trial, parts, number.size()});
    }
    solved_.clear();
    return solve((1u << candidates.size()) - 1, in_hand);
  }

  Solved solve(uint32_t set, const std::vector<uint32_t>& in_hand) {
    const auto key = std::make_pair(set, in_hand);
    if (const auto known = solved_.find(key); known != solved_.end()) return known->second;
    double weight = 0;
    for (size_t i = 0; i < subset_.size(); ++i)
      if (set >> i & 1) weight += table_.weight[subset_[i]];
    Solved best;
    best.cost = std::numeric_limits<double>::infinity();
    for (const auto& [trial, parts, count] : distinct_) {
      std::vector<uint32_t> sets(count, 0);
      for (size_t i = 0; i < parts.size(); ++i)
        if (set >> i & 1) sets[parts[i]] |= 1u << i;
      if (std::find(sets.begin(), sets.end(), set) != sets.end()) continue;  // it parts nothing here
      double cost = weight * hand_cost(table_, table_.trials[trial], in_hand);
      for (uint32_t part : sets)
        if (part && cost < best.cost) cost += solve(part, table_.trials[trial].hands).cost;
      if (cost < best.cost - 1e-12) best = {cost, trial};
    }
    if (best.trial == no_trial) best.cost = 0;
    return solved_[key] = best;
  }

  // Groups that no trial parts, by their weights, against the most outcomes that any trial has on them.
  void bound() {
    std::map<std::vector<uint32_t>, double> groups;
    for (const Procedure::Node& node : made_.nodes)
      if (node.trial == no_trial) {
        double weight = 0;
        for (uint32_t candidate : node.candidates) weight += table_.weight[candidate];
        groups[node.candidates] = weight;
      }
    double sum = 0, bits = 0;
    for (const auto& [group, weight] : groups) sum += weight;
    for (const auto& [group, weight] : groups) bits += bits_of(weight / sum);
    size_t most = 2;
    for (const Trial& trial : table_.trials) {
      std::set<uint16_t> shown(trial.outcome.begin(), trial.outcome.end());
      shown.erase(not_told);
      most = std::max(most, shown.size());
    }
    made_.bound = bits / std::log2(static_cast<double>(most));
  }

  struct Distinct {
    size_t trial;
    std::vector<uint16_t> parts;
    size_t count;
  };

  const TrialTable& table_;
  Procedure made_;
  double total_ = 0;
  std::vector<uint32_t> subset_;
  std::vector<Distinct> distinct_;
  std::map<std::pair<uint32_t, std::vector<uint32_t>>, Solved> solved_;
};

}  // namespace

double expected_bits(const TrialTable& table, const Trial& trial) {
  return bits_of(table.weight, trial);
}

NextTrial next_trial(const TrialTable& table, const std::vector<char>& is_open, const std::vector<uint32_t>& in_hand) {
  std::vector<size_t> open;
  for (size_t i = 0; i < table.trials.size(); ++i)
    if (is_open[i]) open.push_back(i);
  const Rated best = best_of_two(table, table.weight, rated(table, table.weight, open, in_hand));
  return {best.trial, best.bits, best.cost};
}

Procedure procedure(const TrialTable& table) {
  return Builder(table).run();
}

}  // namespace loomproof::identify
