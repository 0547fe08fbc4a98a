// The cavities of a connector in a cell, each with its state and what is at it. The five states stay five: what nobody
// has looked at is unknown, never empty.
#pragma once
#include "family/family.h"
#include "nets/index.h"
#include "nets/lists.h"

namespace loomproof {

// `wired` where a wire ends there, or (components) a pin is there. A pin of a component that is connected to nothing
// inside (`rest: open`, or a pin whose role says so) is empty with the role `open`. role is unset where no pin is.
struct CavityState {
  State state{};
  Role role{};
  friend bool operator==(const CavityState&, const CavityState&) = default;
};

struct Cavity {
  Index connector = none;
  Str number = 0;
  Index housing_cavity = none;  // none where the housing has no such number
  Index point = none;           // none where no row names the cavity, in any cell
  CavityState state;
  std::vector<Index> wires;  // ascending; several are a double crimp, or a fault
  Index pin = none;          // the first, where the corpus names several
  Index cavity_row = none;   // likewise
};

// What cavities of a connector are that no row names.
CavityState rest_state(Rest rest);

// One cavity in one cell. The connector should be there in the cell; where it is not, its rest counts as unknown.
Cavity cavity_at(const FamilyIndex& index, uint32_t cell, Index point);
Cavity cavity_at(const FamilyIndex& index, uint32_t cell, Index connector, Str number);
CavityState cavity_state(const FamilyIndex& index, uint32_t cell, Index point);

// The state of every cavity that a row names, in every cell: cavity_state() at hand. A cavity whose rows hold alike in
// several cells is looked at once for all of them.
class PointStates {
 public:
  explicit PointStates(const FamilyIndex& index);
  CavityState at(Index point, uint32_t cell) const;  // of a cavity

 private:
  struct InCells {
    CellSet cells;
    CavityState state;
  };
  ListsOf<InCells> states_;  // by point
};

// All cavities of a connector in a cell: those of its housing in the housing's order, then any others that rows name.
// Empty where the connector is not there.
std::vector<Cavity> cavities(const FamilyIndex& index, uint32_t cell, Index connector);

// The other ends of the wires at a point, ascending, each once.
std::vector<Index> far_ends(const FamilyIndex& index, uint32_t cell, Index point);
// The cavities, earth points and leads that the wires at a point lead to, through any splices; ascending, each once.
std::vector<Index> ends_reached(const FamilyIndex& index, uint32_t cell, Index point);

}  // namespace loomproof
