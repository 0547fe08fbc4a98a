// The chance of what a meter shows on one net. Wires that no reading depends on fall away, and wires in a row count as
// one; what is left is tried in all ways to be broken, or, where that is too much, with few breaks.
#include <algorithm>
#include <numeric>

#include "identify/chances.h"

namespace loomproof::identify {
namespace {

constexpr size_t all_ways_up_to = 10;  // stretches
constexpr uint32_t most_breaks = 3;    // beyond that

struct Stretch {  // wires in a row
  uint32_t a = 0, b = 0;
  double whole = 1;  // the chance that none is broken
  bool gone = false;
};

std::vector<Stretch> stretches(const Sheet& sheet, uint32_t net, const std::vector<char>& is_read, double rate) {
  std::vector<Stretch> all;
  for (uint32_t edge : sheet.edges_of_net()[net]) {
    const Sheet::Edge& wire = sheet.edges()[edge];
    if (wire.a != wire.b) all.push_back({wire.a, wire.b, 1 - rate, false});
  }
  bool changed = true;
  while (changed) {
    changed = false;
    std::vector<std::vector<size_t>> at(sheet.vertices());
    for (size_t i = 0; i < all.size(); ++i)
      if (!all[i].gone) at[all[i].a].push_back(i), at[all[i].b].push_back(i);
    for (uint32_t vertex = 0; vertex < at.size() && !changed; ++vertex) {
      if (is_read[vertex] || at[vertex].empty() || at[vertex].size() > 2) continue;
      changed = true;
      Stretch& first = all[at[vertex][0]];
      first.gone = true;
      if (at[vertex].size() == 1) continue;  // it leads nowhere
      Stretch& second = all[at[vertex][1]];
      second.gone = true;
      const uint32_t a = first.a == vertex ? first.b : first.a, b = second.a == vertex ? second.b : second.a;
      const double whole = first.whole * second.whole;
      if (a != b) all.push_back({a, b, whole, false});
    }
  }
  std::erase_if(all, [](const Stretch& stretch) { return stretch.gone; });
  return all;
}

class Ways {
 public:
  Ways(const Sheet& sheet, std::vector<Stretch> stretches, const std::vector<const Reading*>& readings, double slip)
      : stretches_(std::move(stretches)), slip_(slip), group_(sheet.vertices()) {
    for (const Reading* reading : readings)
      ends_.push_back({sheet.vertex(reading->question.a), sheet.vertex(reading->question.b), reading->answer == "yes"});
    most_ = stretches_.size() <= all_ways_up_to ? static_cast<uint32_t>(stretches_.size()) : most_breaks;
    broken_.resize(stretches_.size(), 0);
  }

  double sum(size_t next = 0, uint32_t breaks = 0, double weight = 1) {
    if (next == stretches_.size()) return weight * of_readings();
    double sum_here = sum(next + 1, breaks, weight * stretches_[next].whole);
    if (breaks < most_ && stretches_[next].whole < 1) {
      broken_[next] = 1;
      sum_here += sum(next + 1, breaks + 1, weight * (1 - stretches_[next].whole));
      broken_[next] = 0;
    }
    return sum_here;
  }

 private:
  struct Ends {
    uint32_t a = 0, b = 0;
    bool yes = false;
  };
  uint32_t group_of(uint32_t vertex) {
    while (group_[vertex] != vertex) vertex = group_[vertex] = group_[group_[vertex]];
    return vertex;
  }
  double of_readings() {
    std::iota(group_.begin(), group_.end(), 0u);
    for (size_t i = 0; i < stretches_.size(); ++i)
      if (!broken_[i]) group_[group_of(stretches_[i].a)] = group_of(stretches_[i].b);
    double chance = 1;
    for (const Ends& ends : ends_) chance *= (group_of(ends.a) == group_of(ends.b)) == ends.yes ? 1 - slip_ : slip_;
    return chance;
  }

  std::vector<Stretch> stretches_;
  double slip_;
  std::vector<uint32_t> group_;
  std::vector<Ends> ends_;
  std::vector<char> broken_;
  uint32_t most_ = 0;
};

}  // namespace

double chance_of_net(const Sheet& sheet, uint32_t net, const std::vector<const Reading*>& readings, double rate,
                     double slip) {
  std::vector<char> is_read(sheet.vertices(), 0);
  for (const Reading* reading : readings)
    is_read[sheet.vertex(reading->question.a)] = is_read[sheet.vertex(reading->question.b)] = 1;
  return Ways(sheet, stretches(sheet, net, is_read, rate), readings, slip).sum();
}

}  // namespace loomproof::identify
