// Ids that only changed their name. Internal.
#pragma once
#include <string>
#include <vector>

#include "family/family.h"

namespace loomproof::review {

struct Rename {
  std::string kind;  // "circuit", "loom", "place" …
  std::string was, becomes;
  std::string within;  // of a splice, earth, lead or connector: its part; of an option value: its option
};

// What is gone and what is new and does the same work is one thing renamed: more than half of its uses are the same,
// and no other is more alike. `base` gets the new names, so that nothing later sees a difference.
std::vector<Rename> apply_renames(Family& base, const Family& head);

}  // namespace loomproof::review
