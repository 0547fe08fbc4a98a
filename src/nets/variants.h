// Variants: the built cells of a part, cells together where the part says the very same in them.
//
// Same content means equal rows whatever their tags; who says so (cite) and the part's numbers do not count, who says
// what of a disputed cavity does. It is stricter than the comparison by meaning: rows that say one thing in two ways
// differ.
#pragma once
#include "family/family.h"
#include "nets/index.h"

namespace loomproof {

struct Variant {
  Index part = none;
  CellSet cells;
};

// In the order of their lowest cells; none for a part that was never built.
std::vector<Variant> variants(const Family& family, Index part);

// The same for one connector alone: its own row and what is at its cavities (wires with their far ends, pins, states).
// Only the cells in which the connector is there.
std::vector<Variant> connector_variants(const FamilyIndex& index, Index connector);

}  // namespace loomproof
