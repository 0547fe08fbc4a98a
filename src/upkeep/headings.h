// Which column of a pinout table says what, by its heading in English or German. The headings of our own tables are
// among them, so that what `loomproof build` writes can be taken in again.
#pragma once
#include <array>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "upkeep/csv.h"

namespace loomproof::upkeep {

enum class Column : uint8_t {
  family,
  part,
  holds_in,
  connector,
  cavity,
  from,
  to,
  to_connector,
  to_cavity,
  state,
  circuit,
  title,
  function,
  colour,
  tracer,
  mm2,
  awg,
  length_mm,
  role,
  volts,
  max_a,
  double_crimp,
  source,
  note,
  function_evidence,
  colour_evidence,
  mm2_evidence
};
inline constexpr size_t column_count = 27;
std::string_view word(Column column);  // as our own tables have it

struct Headings {
  std::array<int, column_count> at{};  // by Column: its place in a row; -1 for none
  std::vector<std::string> aside;      // headings that say nothing that is taken in

  bool has(Column column) const { return at[static_cast<size_t>(column)] >= 0; }
};

// The columns to be ignored are left aside. The fault is one of them that the table does not have, a heading that
// stands twice, or two that say the same.
std::optional<CsvFault> read_headings(const CsvTable& table, const std::vector<std::string>& ignored,
                                      Headings& headings);

}  // namespace loomproof::upkeep
