// What follows at the far ends of the circuits: which pins, leads and earth points are joined through the plugs of a
// whole build, and were not, or the other way round. Nobody wrote that, and it is what the vehicle does. Internal.
#pragma once
#include <string>
#include <vector>

#include "nets/index.h"
#include "review/both.h"
#include "review/review.h"

namespace loomproof::review {

struct Consequence {
  std::string place;                  // of the end that it is told of
  std::string circuit;                // the first on its net in the head
  std::string words;                  // "PUMP-UNIT.X1.20 meets PUMP.X1.5 in place of PUMP.X1.4"
  std::vector<std::string> ends;      // all that it is about, also those that the words only count
  std::vector<std::string> circuits;  // all on the nets that it is about, of both sides
  Risk risk = Risk::other;            // the worst of what runs on these nets
};

// Of one cell that both have. Ends are those that both revisions have there, by place, connector and cavity: what comes
// or goes itself is told as that. Families by their names alone, so `base` has those of the head.
std::vector<Consequence> find_consequences(const FamilyIndex& base, const FamilyIndex& head, const CellPair& pair);

}  // namespace loomproof::review
