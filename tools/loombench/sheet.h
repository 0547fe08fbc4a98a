// Sheets on paper.
#pragma once
#include <string>
#include <string_view>

#include "scope.h"

namespace loomproof::bench {

struct SheetChoice {
  std::string what;  // "PLACE.C1"
  std::string out, paper = "A4";
};
// Writes the sheet of a connector in the scope, whose pack has that checksum. Throws UsageError where the connector is
// not one variant there, EnvironmentError where the file cannot be written.
void make_sheet(const Scope& scope, const SheetChoice& choice, std::string_view checksum);

}  // namespace loomproof::bench
