// UTF-8 (RFC 3629) one character at a time, and what counts as invisible text.
#pragma once
#include <cstdint>
#include <string>
#include <string_view>

namespace loomproof {

struct Utf8Char {
  uint32_t code = 0;    // the code point; of a bad byte the byte itself
  uint32_t length = 0;  // bytes; 0 at the end of the text
  bool good = false;    // false: the byte is no UTF-8 (overlong, surrogate, above U+10FFFF, cut short), length is 1
};

Utf8Char utf8_at(std::string_view text, size_t offset);
void append_utf8(std::string& out, uint32_t code);

// Characters that change how text looks or reads without being seen: controls except tab and line ends, DEL, the C1
// controls, direction overrides and isolates (U+202A..202E, U+2066..2069), and U+FEFF.
bool is_invisible_control(uint32_t code);

// The same and other characters that are not seen: zero-width spaces and joiners, marks of direction, the soft hyphen,
// tag characters. They may stand in a text, but never unseen in a terminal.
bool is_unseen(uint32_t code);

// How many columns a terminal gives the character: 0 for combining marks and zero-width characters, 2 for wide ones.
int display_columns(uint32_t code);

}  // namespace loomproof
