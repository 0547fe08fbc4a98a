#include "family/joins.h"

#include <algorithm>
#include <utility>

#include "family/words.h"

namespace loomproof {

std::span<const Join> joins_of(const Family& family, Role one, Role other) {
  const std::pair<Role, Role> pair = std::minmax(one, other);
  const auto begin =
      std::lower_bound(family.joins.begin(), family.joins.end(), pair,
                       [](const Join& row, const auto& wanted) { return std::pair(row.a, row.b) < wanted; });
  auto end = begin;
  while (end != family.joins.end() && std::pair(end->a, end->b) == pair) ++end;
  return {family.joins.data() + (begin - family.joins.begin()), static_cast<size_t>(end - begin)};
}

std::string_view outcome_word(const Join& join) {
  return join.outcome == Outcome::unset ? "not-proven" : word(join.outcome);
}

}  // namespace loomproof
