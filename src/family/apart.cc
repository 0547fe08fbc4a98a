#include "family/apart.h"

#include <algorithm>
#include <vector>

namespace loomproof {

std::string apart_words(const Family& family, Index circuit) {
  std::vector<std::string> all;
  for (const Apart& row : family.aparts) {
    if (circuit == none || (row.circuit != circuit && row.other != circuit)) continue;
    std::string words(family.text(family.circuits[row.circuit == circuit ? row.other : row.circuit].id));
    bool first = true;
    for (Index place : rows(family.place_refs, row.places)) {
      words += first ? " in " : " and ";
      words += family.text(family.places[place].id);
      first = false;
    }
    all.push_back(std::move(words));
  }
  std::sort(all.begin(), all.end());
  all.erase(std::unique(all.begin(), all.end()), all.end());
  std::string text;
  for (const std::string& words : all) text += (text.empty() ? "" : ", ") + words;
  return text;
}

}  // namespace loomproof
