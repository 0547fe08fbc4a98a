// What somebody did to a loom after it left the factory: a list of edits, each about the loom as it is recorded.
//
// The compact text of an edit, for command lines and job files; ends are cavities (C1.12), splices (S3), earth points
// (E1) and leads (L-HEAT), and a third word in brackets may be left out:
//
//   cut C1.12 [C21.2]           the wires there (or only those that lead there) are cut
//   moved C1.12 C1.28           the wire end of the first sits in the second; two such edits may exchange ends
//   tapped C1.3 C9.1            a branch leads from the wire (or splice) at the first to the second
//   bridged C1.1 C1.2           the two are joined
//   added C1.7 E1               a wire that the record does not have
//   high-resistance E1 [C1.4]   what ends there does so through a resistance; `ohm` has to follow
//   earth-gone E1               the ring is on no metal; what is crimped in it still holds together
//   plug-gone C7                the plug is cut off, its wires hang
//   strap-missing E2 [B2.1]     the earth leads that end there are gone; also a strap or link inside a component
//
// `circuit ID`, `colour BN` (or BK/WH, light BU/YE) and `mm2 1.5` may follow tapped, bridged and added; `ohm 4` follows
// high-resistance.
#pragma once
#include <optional>
#include <span>
#include <string>
#include <string_view>
#include <vector>

#include "nets/index.h"

namespace loomproof::found {

enum class EditKind : uint32_t {
  cut,
  moved,
  tapped,
  bridged,
  added,
  high_resistance,
  earth_gone,
  plug_gone,
  strap_missing
};
inline constexpr uint32_t edit_kinds = static_cast<uint32_t>(EditKind::strap_missing) + 1;
std::string_view word(EditKind kind);  // "high-resistance"

// A point of the part; or, where no row of the family names it, a cavity of one of its connectors.
struct End {
  Index point = none;
  Index connector = none;  // of a cavity, whether it has a point or not
  Str number = 0;
  bool given() const { return point != none || connector != none; }
  friend bool operator==(const End&, const End&) = default;
};

struct Edit {
  EditKind kind{};
  End from, to;
  Index connector = none;  // plug_gone
  Index inside = none;     // strap_missing of a component: into insides
  Index circuit = none;    // tapped, bridged, added; none: that of what is at `from`, else at `to`
  Index base = none, tracer = none;
  Shade shade{};
  Quantity mm2 = not_given, ohm = not_given;
  friend bool operator==(const Edit&, const Edit&) = default;
};

// Why something cannot be: one line, and where a name was wrong, the names that there are.
struct Fault {
  std::string line;                // "CHASSIS-LOOM has no end \"C1.99\""; empty: no fault
  std::string kind;                // what a wrong name would be of: "end of chassis"; empty where no name is wrong
  std::string wanted;              // the wrong name, to be held against `known`
  std::vector<std::string> known;  // in the order of the tables
  bool any() const { return !line.empty(); }
};

// An edit of a part in a cell from its text. The fault is set, and the edit of no meaning, where it is none.
Edit parse_edit(const FamilyIndex& index, Index part, uint32_t cell, std::string_view text, Fault& fault);

// The ends that a part has in a cell, by their names: every cavity of every connector, splices, earth points, leads.
std::vector<std::string> end_names(const FamilyIndex& index, Index part, uint32_t cell);
// The end of that name; nothing where there is none.
std::optional<End> end_of(const FamilyIndex& index, Index part, uint32_t cell, std::string_view name);

std::string end_name(const Family& family, const End& end);     // "C1.12"
std::string edit_text(const Family& family, const Edit& edit);  // the compact text again
// For people: "the wire end of C1.12 sits in C1.28". One clause, no full stop.
std::string edit_words(const Family& family, const Edit& edit);

}  // namespace loomproof::found
