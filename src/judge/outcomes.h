// What whoever judges roles shares: which outcome is worse, which role meets which need.
#pragma once
#include "judge/network.h"

namespace loomproof::judge {

inline bool is_worse(Outcome a, Outcome b) {  // enumerators stand in this order
  return static_cast<uint32_t>(a) > static_cast<uint32_t>(b);
}
// Counts where any permitted state brings it about.
inline bool is_grave(Outcome outcome) {
  return outcome == Outcome::opens_fuse || outcome == Outcome::destroys || outcome == Outcome::endangers;
}

// The roles that meet a need, as bits; 0 for a role that needs nothing.
uint32_t givers_for(Role role);
// What is never there at once cannot clash.
inline bool never_together(When a, When b) {
  return (a == When::stopped && b == When::running) || (a == When::running && b == When::stopped);
}
// Volts that are more than the tolerance of a supply apart: common practice, no source.
inline bool is_well_above(Quantity high, Quantity low) {
  return high > low + low / 4;
}

}  // namespace loomproof::judge
