// Differences by meaning between two sides: two cells of a family, or two parts.
//
// What counts as a difference is what a hand or a meter could find, or what somebody knows: circuits at ends, colours,
// cross-sections, double crimps, spares; housings, their rest, where things sit; states of cavities; pins with all they
// give or need; what is inside; which part a place holds. What does not: part numbers, titles, citations, marks of
// weaker evidence, lengths, branches, notes, who says what of a disputed cavity, and which plugs may meet.
//
// Connectors, splices, earth points and leads that come or go with wires (or pins) that end there are implied by those.
// A cavity that becomes wired, or is so no longer, is told by what comes or goes there and never again as its state.
#pragma once
#include <compare>
#include <string>
#include <vector>

#include "family/family.h"
#include "family/fields.h"

namespace loomproof {

struct RowRef {
  Table table{};
  Index row = none;
  friend auto operator<=>(const RowRef&, const RowRef&) = default;
};

struct Difference {
  // As a declared change would say it (see ChangeItem); its change and texts are left out, for the texts need not be
  // strings of the family. Always set: part and place. Of `replugged` and `respliced` it repeats the first step.
  ChangeItem item;
  std::vector<ChangeItem> steps;       // of replugged one a cavity, of respliced one a wire; else none
  std::string what, of, was, becomes;  // as ChangeItem's
  std::string note;                    // what is unknown about it; empty where nothing is
  CellSet cells;                       // the cells of the left side in which it was found
  std::vector<RowRef> left, right;     // the rows that say so, in the order of tables
};

}  // namespace loomproof
