// Many short lists in two arrays: what belongs to each of 0 … count-1.
#pragma once
#include <span>
#include <vector>

#include "family/family.h"

namespace loomproof {

template <typename Item>
class ListsOf {
 public:
  ListsOf() = default;
  // `each(put)` calls put(owner, item) for every item, and is called twice; a list keeps the order of the calls.
  template <typename Each>
  ListsOf(uint32_t count, Each&& each) : first_(count + 1, 0) {
    each([this](Index owner, const Item&) { ++first_[owner + 1]; });
    for (uint32_t owner = 0; owner < count; ++owner) first_[owner + 1] += first_[owner];
    items_.resize(first_[count]);
    std::vector<Index> next(first_.begin(), first_.end() - 1);
    each([this, &next](Index owner, const Item& item) { items_[next[owner]++] = item; });
  }
  uint32_t count() const { return first_.empty() ? 0 : static_cast<uint32_t>(first_.size()) - 1; }
  std::span<const Item> of(Index owner) const {
    return {items_.data() + first_[owner], items_.data() + first_[owner + 1]};
  }

 private:
  std::vector<Index> first_;
  std::vector<Item> items_;
};
using Lists = ListsOf<Index>;

}  // namespace loomproof
