// The nearest of a set of names, for "did you mean".
#pragma once
#include <span>
#include <string>
#include <string_view>
#include <vector>

namespace loomproof {

// Edits (insert, delete, replace, exchange of neighbours) between a and b, at most `limit` + 1.
int edit_distance(std::string_view a, std::string_view b, int limit);
// The nearest candidate within a distance that grows with the length (none for 1 character, 1 up to 4, then a third);
// empty if none. Ties go to the first in byte order. Case alone counts as no distance.
std::string_view nearest(std::string_view wanted, std::span<const std::string_view> candidates);

// What may be written without asking; empty if nothing is that sure.
//
// For a name that somebody chose: the only candidate that differs in upper and lower case alone, or has `-` for `_`. A
// letter or digit that differs may be another wire.
std::string_view surely_named(std::string_view wanted, std::span<const std::string_view> candidates);
// For a word from a fixed list: that, or the only one an edit away, of five letters at least, no digit on either side,
// where every other is three edits away or more.
std::string_view surely_meant(std::string_view wanted, std::span<const std::string_view> candidates);

}  // namespace loomproof
