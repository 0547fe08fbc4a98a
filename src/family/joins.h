// What happens when two pin roles share a net, looked up: the rows of rules/joins.yaml as a family carries them.
//
// How rows are read: those of a pair whose condition holds count, and the worst of them is what happens; `always` is
// what happens where none does. An outcome that is unset means that nobody can say. A pair without rows (a pack older
// than the table, a role that this program does not know) is not proven either: never take it for fine.
#pragma once
#include <span>
#include <string_view>

#include "family/family.h"

namespace loomproof {

// The rows of a pair, in either order, `always` first; empty where the family has none. `first` and `second` of
// `suffers` are Join::a and Join::b, whichever was asked for first. Needs Family::joins to be sorted, as it promises.
std::span<const Join> joins_of(const Family& family, Role one, Role other);

// The corpus's word for what a row says happens: "not-proven" where word(Outcome) has none.
std::string_view outcome_word(const Join& join);

}  // namespace loomproof
