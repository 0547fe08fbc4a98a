#include "prove/order.h"

#include <algorithm>
#include <map>

namespace loomproof::prove {
namespace {

using Hands = std::vector<std::string>;  // one or two, sorted

Hands hands_of(const Check& check) {
  Hands hands{hand_of(check.a)};
  if (!check.b.empty()) hands.push_back(hand_of(check.b));
  std::sort(hands.begin(), hands.end(), natural_less);
  hands.erase(std::unique(hands.begin(), hands.end()), hands.end());
  return hands;
}

size_t newly_taken(const Hands& before, const Hands& after) {
  return static_cast<size_t>(std::count_if(after.begin(), after.end(), [&](const std::string& hand) {
    return std::find(before.begin(), before.end(), hand) == before.end();
  }));
}

bool hands_less(const Hands& a, const Hands& b) {
  return std::lexicographical_compare(a.begin(), a.end(), b.begin(), b.end(), natural_less);
}

// Dynamic programming over the pairs done and the last of them.
std::vector<size_t> fewest(const std::vector<Hands>& pairs) {
  const size_t count = pairs.size();
  constexpr size_t never = static_cast<size_t>(-1) / 2;
  std::vector<std::vector<size_t>> taken(size_t{1} << count, std::vector<size_t>(count, never));
  std::vector<std::vector<size_t>> before = taken;
  for (size_t i = 0; i < count; ++i) taken[size_t{1} << i][i] = pairs[i].size();
  for (size_t done = 1; done < taken.size(); ++done)
    for (size_t last = 0; last < count; ++last) {
      if (taken[done][last] >= never) continue;
      for (size_t next = 0; next < count; ++next) {
        if (done >> next & 1) continue;
        const size_t with = done | size_t{1} << next;
        const size_t now = taken[done][last] + newly_taken(pairs[last], pairs[next]);
        if (now < taken[with][next]) taken[with][next] = now, before[with][next] = last;
      }
    }
  const size_t all = taken.size() - 1;
  size_t last = 0;
  for (size_t i = 1; i < count; ++i)
    if (taken[all][i] < taken[all][last]) last = i;
  std::vector<size_t> order;
  for (size_t done = all; done != 0;) {
    order.push_back(last);
    const size_t earlier = before[done][last];
    done &= ~(size_t{1} << last);
    last = earlier;
  }
  std::reverse(order.begin(), order.end());
  return order;
}

// The next pair is one that shares most; of those one whose other hand fewest pairs need.
std::vector<size_t> nearest_next(const std::vector<Hands>& pairs) {
  std::vector<size_t> left, order;
  for (size_t i = 0; i < pairs.size(); ++i) left.push_back(i);
  while (!left.empty()) {
    const auto cost = [&](size_t pair) {
      const size_t taken = order.empty() ? pairs[pair].size() : newly_taken(pairs[order.back()], pairs[pair]);
      size_t needed = static_cast<size_t>(-1);
      for (const std::string& hand : pairs[pair]) {
        const auto uses = static_cast<size_t>(std::count_if(left.begin(), left.end(), [&](size_t other) {
          return std::find(pairs[other].begin(), pairs[other].end(), hand) != pairs[other].end();
        }));
        needed = std::min(needed, uses);
      }
      return std::pair(taken, needed);
    };
    const auto best = std::min_element(left.begin(), left.end(), [&](size_t a, size_t b) { return cost(a) < cost(b); });
    order.push_back(*best);
    left.erase(best);
  }
  return order;
}

}  // namespace

size_t order(std::vector<Check>& checks) {
  if (checks.empty()) return 0;
  std::vector<Hands> pairs;
  for (const Check& check : checks) pairs.push_back(hands_of(check));
  std::sort(pairs.begin(), pairs.end(), hands_less);
  pairs.erase(std::unique(pairs.begin(), pairs.end()), pairs.end());
  const std::vector<size_t> by = pairs.size() <= exact_pairs ? fewest(pairs) : nearest_next(pairs);
  std::map<Hands, size_t> rank;
  size_t taken = 0;
  for (size_t i = 0; i < by.size(); ++i) {
    rank[pairs[by[i]]] = i;
    taken += i == 0 ? pairs[by[i]].size() : newly_taken(pairs[by[i - 1]], pairs[by[i]]);
  }
  std::stable_sort(checks.begin(), checks.end(), [&](const Check& a, const Check& b) {
    const size_t x = rank[hands_of(a)], y = rank[hands_of(b)];
    if (x != y) return x < y;
    return a.a != b.a ? natural_less(a.a, b.a) : natural_less(a.b, b.b);
  });
  return taken;
}

}  // namespace loomproof::prove
