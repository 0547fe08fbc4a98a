// What the parts of the judge share about outcomes and roles.
#pragma once
#include "family/family.h"

namespace loomproof::judge {

inline bool is_worse(Outcome a, Outcome b) {  // enumerators stand in this order
  return static_cast<uint32_t>(a) > static_cast<uint32_t>(b);
}
// Counts where any permitted state brings it about.
inline bool is_grave(Outcome outcome) {
  return outcome == Outcome::opens_fuse || outcome == Outcome::destroys || outcome == Outcome::endangers;
}

}  // namespace loomproof::judge
