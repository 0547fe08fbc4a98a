// The words of the corpus for every enumeration, and the texts that everything shares: points, colours, cells.
#pragma once
#include <string>
#include <string_view>
#include <vector>

#include "family/family.h"

namespace loomproof {

// The corpus's word for a value ("takes-feed", "return", "stays-on"); empty for `unset`.
std::string_view word(SourceKind);
std::string_view word(CircuitClass);
std::string_view word(Outcome);
std::string_view word(Verdict);  // in the corpus; judge::word() is for people
std::string_view word(Contact);
std::string_view word(View);
std::string_view word(PartKind);
std::string_view word(State);
std::string_view word(Rest);
std::string_view word(PointKind);
std::string_view word(EarthNode);
std::string_view word(Shade);
std::string_view word(Role);
std::string_view word(When);
std::string_view word(InsideKind);
std::string_view word(ClosedBy);
std::string_view word(ChangeKind);
std::string_view word(Suffers);
std::string_view word(JoinWhen);

// The value of a word; false and untouched where there is none.
template <typename Enum>
bool parse_word(std::string_view text, Enum& value);

// How many values an enumeration has; a number from a pack that is not below it has no word here.
template <typename Enum>
inline constexpr uint32_t word_count = 0;
#define LOOMPROOF_LAST(Enum, last) \
  template <>                      \
  inline constexpr uint32_t word_count<Enum> = static_cast<uint32_t>(Enum::last) + 1
LOOMPROOF_LAST(SourceKind, invented);
LOOMPROOF_LAST(CircuitClass, firing);
LOOMPROOF_LAST(Outcome, endangers);
LOOMPROOF_LAST(Verdict, endangers_people);
LOOMPROOF_LAST(Contact, none_);
LOOMPROOF_LAST(View, mating_side);
LOOMPROOF_LAST(PartKind, component);
LOOMPROOF_LAST(State, unknown);
LOOMPROOF_LAST(Rest, open);
LOOMPROOF_LAST(PointKind, inner);
LOOMPROOF_LAST(EarthNode, cab);
LOOMPROOF_LAST(Shade, dark);
LOOMPROOF_LAST(Role, unknown);
LOOMPROOF_LAST(When, running);
LOOMPROOF_LAST(InsideKind, capacitor);
LOOMPROOF_LAST(ClosedBy, pressure);
LOOMPROOF_LAST(ChangeKind, restated);
LOOMPROOF_LAST(Suffers, people);
LOOMPROOF_LAST(JoinWhen, earthed_twice);
#undef LOOMPROOF_LAST

std::string point_name(const Family& family, Index point);        // "C1.12", "S3", "E1"
std::string colour_code(const Family& family, const Wire& wire);  // "GN/WH", "light BU/YE"; empty if not given
std::string colour_name(const Family& family, const Wire& wire);  // "green with white tracer"
std::string milli(Quantity quantity);                             // 750 -> "0.75"; empty if not given
std::string volts_text(Quantity volts);                           // "system", "12 V"
std::string month_text(Quantity month);                           // "1998-01"; empty if not given

// Names a set of cells in the words of the family: "eras a..b, exhaust-brake fitted". Only cells in `universe` count;
// an axis is left out only where the set holds everything that the universe has on it. Several boxes are joined with ";
// ".
std::string cells_text(const Family& family, const CellSet& cells, const CellSet& universe);
inline std::string cells_text(const Family& family, const CellSet& cells) {
  return cells_text(family, cells, family.set(family.built));
}
// One cell in full: "era b, exhaust-brake fitted, supply 24V".
std::string cell_text(const Family& family, uint32_t cell);
// For file names: "a-b_exhaust-brake-fitted"; only [a-z0-9.-_].
std::string cells_slug(const Family& family, const CellSet& cells, const CellSet& universe);

}  // namespace loomproof
