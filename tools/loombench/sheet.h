// Sheets on paper.
#pragma once
#include <string>
#include <string_view>

#include "layout/sheet.h"
#include "scope.h"

namespace loomproof::bench {

struct SheetChoice {
  std::string what;         // "PLACE.C1", or "PLACE": all connectors of what it holds
  std::string between;      // "eras" or an option: what differs in a place
  bool plug_check = false;  // to check by eye, with boxes to tick
  std::string out, paper = "A4";
};
// Writes a sheet from the scope, whose pack has that checksum. Throws UsageError where what is asked for is not one
// variant there, EnvironmentError where the font is missing or the file cannot be written.
void make_sheet(const Scope& scope, const SheetChoice& choice, std::string_view checksum);

// A sheet as a file, SVG or PDF by its name. Throws likewise.
void write_sheet(const layout::Sheet& sheet, std::string_view paper, const std::string& out);
// Throws UsageError where the name or the paper will not do: before the work is done.
void check_sheet_choice(std::string_view paper, std::string_view out);

}  // namespace loomproof::bench
