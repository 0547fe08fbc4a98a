// A new row as the corpus writes it: `{circuit: A, from: C1.1}`. Private to src/upkeep.
#pragma once
#include <string>
#include <string_view>

#include "upkeep/pinout_table.h"

namespace loomproof::upkeep {

class RowText {
 public:
  void add(std::string_view key, std::string_view value);  // nothing where the value is empty
  void add_marks(uint32_t marks);
  void add_tags(std::string_view tags);  // as they stand in a row
  std::string text() const { return "{" + cells_ + "}"; }

 private:
  std::string cells_;
};

// A text as a value in a row: in quotes wherever YAML might take it for something else.
std::string quoted(std::string_view text);

// "a", "[a, b]", "{of: [a, b], independent: true}"
std::string source_text(const Citation& citation);

}  // namespace loomproof::upkeep
