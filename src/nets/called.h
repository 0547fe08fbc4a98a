// Which cavity a text means: a cavity has its number, and may have another one moulded or in a manual.
#pragma once
#include <string>
#include <string_view>
#include <vector>

#include "nets/cavities.h"

namespace loomproof {

struct Called {
  Str number = 0;          // of the cavity
  bool is_number = false;  // the text is its number
  std::string how;         // otherwise: "moulded A7", "A7 in croft-manual-ab"

  friend bool operator==(const Called&, const Called&) = default;
};

// Every cavity of the connector that the text may mean in a cell: the one that has it as its number first, then those
// that have it moulded or in a manual, in the housing's order. A cavity comes once.
std::vector<Called> cavities_called(const FamilyIndex& index, uint32_t cell, Index connector, std::string_view text);

// The one that is meant: the cavity of that number, else the only one that is called so. 0 where there is none, or
// several.
Str cavity_meant(const std::vector<Called>& called);

// What a cavity is called besides its number: "moulded A7", "A7 in croft-manual-ab". row: into housing_cavities, or
// none.
std::vector<std::string> other_names(const Family& family, Index housing_cavity);

// Those of manuals alone: "A7 in croft-manual-ab, 7b in croft-manual-c".
std::string names_in_manuals(const Family& family, Index housing_cavity);

// What to say where others are called by the number that was asked for, or it was found by another name; else empty.
std::string called_note(const Family& family, const std::vector<Called>& called, std::string_view text);

}  // namespace loomproof
