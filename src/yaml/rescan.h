// Where a piece of YAML ends, found by reading our own bytes: yaml-cpp gives start marks only. Private to src/yaml.
// The text is known to be valid up to the mark; every function stays within it whatever follows.
#pragma once
#include <cstdint>
#include <string_view>

namespace loomproof::yaml {

inline constexpr uint32_t not_found = ~0u;

// Past white space, line ends and comments.
uint32_t skip_blank(std::string_view bytes, uint32_t offset);
// Past the characters of an anchor, alias or tag that begins at `offset`.
uint32_t end_of_property(std::string_view bytes, uint32_t offset);
// Past the closing quote; not_found when the quote is never closed.
uint32_t end_of_quoted(std::string_view bytes, uint32_t begin);
// Past a plain scalar whose folded text is `value` (it may run over several lines).
uint32_t end_of_plain(std::string_view bytes, uint32_t begin, std::string_view value);
// Past the last line of a block scalar (`|`, `>`), without its line end. `parent_column`: where the collection that
// holds it begins, from 0; -1 for none.
uint32_t end_of_block(std::string_view bytes, uint32_t begin, int parent_column);
// Past the bracket that closes a flow collection; `offset` is where its last entry ends.
uint32_t end_of_flow(std::string_view bytes, uint32_t offset);
// The innermost bracket that opens from `from` on and is still open at `until`; else a quote that runs over the end of
// its line; not_found where there is neither. The text need not be valid: this is a guess at what broke it.
uint32_t still_open(std::string_view bytes, uint32_t from, uint32_t until);
// Bytes from the line's beginning to `offset`.
int column_of(std::string_view bytes, uint32_t offset);

}  // namespace loomproof::yaml
