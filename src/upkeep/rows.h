// One-line rows as text: `- {circuit: A, from: C1.1}`, `C1: {housing: x}`, `- [A.C1, B.C1]`, with what stands before
// and behind them. Private to src/upkeep.
#pragma once
#include <optional>
#include <string>
#include <string_view>
#include <vector>

namespace loomproof::upkeep {

struct RowCell {
  std::string key;    // empty in a list
  std::string value;  // as written, without blanks around it
};

struct Row {
  size_t indent = 0;
  std::string key;  // of `KEY: {…}`; empty for `- {…}`
  bool is_map = true;
  std::vector<RowCell> cells;
  std::string comment;  // from its `#`; empty for none
};

// Nothing where the line is no such row, whole and with nothing unusual in it.
std::optional<Row> parse_row(std::string_view line);

// Where a comment begins in a line: a `#` outside quotes, at the line's start or behind a blank; npos for none.
size_t comment_begin(std::string_view line);

}  // namespace loomproof::upkeep
