// The canonical layout of a corpus file. Text only: what a file says and its comments stay, its blanks and the order of
// keys within a row do not matter to any reader.
//
// - Rows on one line that stand side by side have their columns one below the other; what is rare stands behind them as
//   it comes. Keys of a row stand in one order.
// - Pins and cavities stand in the order of their numbers, where no comment stands between them.
// - No blanks at line ends, no two empty lines in a row, one line end at the end; lines end in LF.
// Everything else (text over several lines, rows over several lines, comments) stays as it is.
#pragma once
#include <string>
#include <string_view>

namespace loomproof::upkeep {

std::string tidied(std::string_view text);

// Cavity numbers as a hand counts them: 2 before 10, 2a behind 2, C2.1 before C10.1.
bool numbers_before(std::string_view a, std::string_view b);

}  // namespace loomproof::upkeep
