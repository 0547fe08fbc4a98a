// Where rows hold, as a command line says it: eras and options as the corpus writes them.
#pragma once
#include <string>
#include <vector>

#include "family/family.h"

namespace loomproof::upkeep {

struct TagsRead {
  CellSet cells;     // of the whole family
  std::string text;  // "eras: [a, c..], with: {supply: 24V}"; empty where nothing was said
  std::string problem;
};

// eras: "c..", "a, c..d"; empty: all. with: "supply=24V", "exhaust-brake=none,fitted".
TagsRead read_tags(const Family& family, const std::string& eras, const std::vector<std::string>& with);

}  // namespace loomproof::upkeep
