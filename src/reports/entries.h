// What stands at each item of a part in one cell, as the text of one cell of a matrix. Internal to the reports.
#pragma once
#include <map>
#include <string>

#include "reports/family_view.h"

namespace loomproof::reports {

// What a row of a matrix is about. A connector stands before its cavities, without a name.
struct Item {
  enum class Group : uint32_t { part, number, where, cavity, splice, earth, lead, inside } group{};
  std::string connector, name;
};
std::string item_words(const Item& item);  // "part", "C1", "C1.12", "S3"
struct ItemLess {                          // connectors and cavities as people count
  bool operator()(const Item& a, const Item& b) const;
};

struct Entry {
  std::string text;
  bool certain = true;  // neither unknown nor disputed
  bool firing = false;
  bool bare = false;  // empty or unknown: says nothing where its connector comes or goes
};
using Entries = std::map<Item, Entry, ItemLess>;

Entries part_entries(const FamilyView& view, Index part, uint32_t cell);
// Which part a place holds, its numbers, and where the place is; nothing where it holds none.
Entries place_entries(const FamilyView& view, Index place, uint32_t cell);

}  // namespace loomproof::reports
