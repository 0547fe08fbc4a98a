#include <fmt/format.h>

#include <iterator>

#include "diag/render.h"
#include "source/utf8.h"

namespace loomproof {

std::string printable(std::string_view text) {
  std::string out;
  out.reserve(text.size());
  for (size_t offset = 0; offset < text.size();) {
    const Utf8Char character = utf8_at(text, offset);
    if (!character.good) {
      fmt::format_to(std::back_inserter(out), "\\x{:02X}", character.code);
    } else if (character.code == '\t') {
      out += ' ';
    } else if (character.code == '\n') {
      out += "\\n";
    } else if (is_unseen(character.code)) {
      const auto* const form = character.code < 0x80 ? "\\x{:02X}" : "\\u{{{:04X}}}";
      fmt::format_to(std::back_inserter(out), fmt::runtime(form), character.code);
    } else {
      out += text.substr(offset, character.length);
    }
    offset += character.length;
  }
  return out;
}

}  // namespace loomproof
