// Rows: collections in brackets that begin and end on one line, behind `- ` or `KEY: `, and hold nothing but plain and
// simply quoted text. Nine tenths of a corpus are rows, and yaml-cpp matches expressions at every character of them. So
// rows are read here, and yaml-cpp is given a shorter text in which each run of them is one empty collection. Whether a
// run stands where a value stands, and not in a block of text, yaml-cpp itself says: by its event for that empty
// collection. Whatever is not plainly a row is left to yaml-cpp. Private to src/yaml.
#pragma once
#include <string>
#include <vector>

#include "yaml/storage.h"

namespace loomproof::yaml {

// Rows of one indentation and one shape with nothing between them but blank lines and comments: entries of one
// collection, if the first of them is.
struct RowRun {
  uint32_t open = 0;        // the bracket that opens the first row
  uint32_t resume = 0;      // past the bracket that closes the last row
  uint32_t short_open = 0;  // where the empty collection begins in the shorter text
  bool keyed = false;       // `KEY: {…}`, not `- {…}`
};

// What was read, for the counts of what rules have judged.
struct RowCounts {
  uint64_t keys = 0;
  uint64_t scalars = 0;
  uint64_t collections = 0;
  uint32_t deepest = 0;  // collections within each other
};

// `bytes` are UTF-8 without control characters. No text in a row is longer than `scalar_bytes`.
std::vector<RowRun> find_rows(std::string_view bytes, uint32_t scalar_bytes);

// The text with each run replaced by an empty collection.
std::string without_rows(std::string_view bytes, const std::vector<RowRun>& runs);

// Where the row after the one that ends at `end` begins; both are of the same run.
struct RowPlace {
  uint32_t key_begin = 0, key_end = 0;  // of a keyed row
  uint32_t open = 0;
};
RowPlace next_row(std::string_view bytes, uint32_t end);

// Reads the row whose own cell is the last one of `storage`, appends the cells of what it holds, and says where it
// ends. Keys that stand twice go to the report.
uint32_t append_row(Storage& storage, Report& report, RowCounts& counts);

}  // namespace loomproof::yaml
