// Tables in CSV as RFC 4180 has them, read strictly: every cell knows where it stands, and what is no such table is one
// fault with its place. The separator may be a comma, a semicolon or a tab; lines may end in CR, LF or both; a byte
// order mark is passed over. Blanks around cells that have no quotes are no part of them.
#pragma once
#include <cstdint>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

namespace loomproof::upkeep {

struct TextPlace {
  uint32_t line = 1, column = 1;  // characters, from 1
};

struct CsvCell {
  std::string text;
  TextPlace place;
};
using CsvRow = std::vector<CsvCell>;

struct CsvTable {
  char separator = ',';
  CsvRow headings;
  std::vector<CsvRow> rows;  // each as wide as the headings; rows without any text are left out
};

struct CsvFault {
  TextPlace place;
  std::string text;
};

struct CsvLimits {
  uint32_t cell_bytes = 4000, columns = 200, rows = 5000;
};

// separator: 0 for the one that stands most often in the first line. The fault is the first one; the table is then not
// to be used.
std::optional<CsvFault> read_csv(std::string_view bytes, char separator, CsvTable& table, const CsvLimits& limits = {});

}  // namespace loomproof::upkeep
