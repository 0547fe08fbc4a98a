// How a tree lies in memory; private to src/yaml. Nodes stand in the order of the text (parents before children).
#pragma once
#include <deque>
#include <string>
#include <utility>
#include <vector>

#include "yaml/tree.h"

namespace loomproof::yaml {

inline constexpr uint32_t no_node = ~0u;

struct Cell {
  enum Flag : uint16_t {
    value_quoted = 1,  // in quotes or a block
    value_stored = 2,  // the text differs from its bytes: `first` is its index in Storage::texts
    key_quoted = 4,    //
    key_stored = 8,    // the text of the key is found in Storage::key_texts
    refused = 16,      //
    has_key = 32,      //
  };
  uint32_t begin = 0, end = 0;          // bytes of the value
  uint32_t key_begin = 0, key_end = 0;  // bytes of the key
  uint32_t next = no_node;              // the next entry of the same parent
  uint32_t first = no_node;             // the first entry, or the index of a stored text
  uint32_t count = 0;                   // entries
  Kind kind = Kind::null;
  uint16_t flags = 0;
  bool has(Flag flag) const { return (flags & flag) != 0; }
  bool operator==(const Cell&) const = default;
  // Whether the key may be of so many bytes: rules most keys out without a look at their text.
  bool may_have_key_of(size_t bytes) const {
    return (flags & (key_stored | key_quoted)) != 0 || key_end - key_begin == bytes;
  }
};
static_assert(sizeof(Cell) <= 40, "a corpus of 64 MB has ten million nodes");

struct Storage {
  std::string_view bytes;  // the file's
  FileId file = no_file;
  std::vector<Cell> cells;
  std::deque<std::string> texts;                         // a deque: growth moves nothing
  std::vector<std::pair<uint32_t, uint32_t>> key_texts;  // (cell, index in texts), by cell

  std::string_view text(const Cell& cell) const;
  std::string_view key(uint32_t index) const;
};

}  // namespace loomproof::yaml
