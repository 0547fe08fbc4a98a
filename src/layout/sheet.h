// A pinout sheet: what is on it, and where it stands on pages of paper. Whatever the length of a text and the number of
// cavities, nothing is cut, overlaps, or is smaller than smallest_text.
#pragma once
#include <optional>
#include <string>
#include <utility>
#include <vector>

#include "layout/display.h"
#include "reports/pinout_rows.h"

namespace loomproof::layout {

enum class Paper { a4, a3, letter };
std::optional<Paper> paper_named(std::string_view word);

struct FaceCavity {
  std::string number;
  int32_t x = 0, y = 0;  // as in the housing
  State state{};
  std::string colour;  // "GN/WH"; of several wires "GN/WH +1"
};
struct Face {
  std::vector<FaceCavity> cavities;  // in the order of their numbers
  View given{};                      // the side from which x and y are
  bool round = false;
  std::string words;  // key and latch
};
struct SheetTable {
  std::vector<std::string> heads;
  std::vector<std::vector<std::string>> rows;
};
struct Sheet {
  std::string title, description;
  std::vector<std::pair<std::string, std::string>> facts;
  std::string mark;  // of a firing plug: what stands above everything, with the cautions; else they come last
  std::vector<std::string> cautions;
  Face face;  // without cavities where the housing is not known
  SheetTable table;
  std::string foot;  // where it comes from
};

// The sheet of a connector in cells in which it is the same; `source` names the pack.
Sheet pinout_sheet(const reports::FamilyView& view, Index connector, const reports::Pinout& pinout,
                   std::string_view source);

// Portrait, or landscape where the table is wider than that.
Display place(const Sheet& sheet, Paper paper, const Measure& measure);

}  // namespace loomproof::layout
