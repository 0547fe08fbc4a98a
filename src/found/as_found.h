// A part as it was found: the part as recorded in one cell, with edits carried out, as another part of the same family.
// Whatever works on family tables works on it unchanged.
//
// How an edit looks in the tables: a cut wire is not there, and the cavities that it leaves are sealed (a terminal with
// a stub); a branch begins at a splice of its own; a resistance stands between two inner points in the middle of a
// short piece of wire, so that it is no hard join; wires of a plug that is gone end at inner points ("end of C7.3"); an
// earth ring that is gone leaves a point that is no earth. What an end leaves empty is known to be empty.
#pragma once
#include "found/edits.h"

namespace loomproof::found {

// Why these edits cannot all be true of the part in the cell, in one line; empty where they can.
Fault fault_of(const FamilyIndex& index, Index part, uint32_t cell, std::span<const Edit> edits);

// Appends that part to the family and returns its index: same place, id and title followed by " as found", holding in
// `cell` alone; the recorded part stays as it is. Its points, connectors and rows are its own: nothing refers to those
// of the recorded part. An index of the family has to be made anew. Throws std::logic_error where fault_of() has one.
Index add_as_found(Family& family, Index part, uint32_t cell, std::span<const Edit> edits);

}  // namespace loomproof::found
