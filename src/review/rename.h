// Ids that only changed their name. Internal.
#pragma once
#include <string>
#include <vector>

#include "family/family.h"
#include "review/names.h"

namespace loomproof::review {

struct Rename {
  NameKind kind{};
  std::string called;  // the kind in the words of the corpus: "circuit", "splice", "connector"
  std::string was, becomes;
  std::string within;  // of a connector or of what is inside: its part; of an option value: its option
};

// What is gone and what is new and does the same work is one thing renamed: at least half of its uses are the same,
// and no other is more alike. `base` gets the new names, so that nothing later sees a difference. A component that
// several places hold is renamed once.
std::vector<Rename> apply_renames(Family& base, const Family& head);

// "circuit RACK-REF renamed RACK-SUPPLY", "connector P1 renamed P7 in pump".
std::string rename_words(const Rename& rename);

}  // namespace loomproof::review
