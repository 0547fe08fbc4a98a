// Values as the corpus writes them; "none" where nothing is given. Internal.
#pragma once
#include <string>

#include "family/words.h"

namespace loomproof::compare {

inline std::string word_text(std::string_view word) {
  return word.empty() ? "none" : std::string(word);
}
inline std::string string_text(const Family& family, Str str) {
  return word_text(family.text(str));
}
inline std::string quantity_text(Quantity quantity) {
  return word_text(milli(quantity));
}
inline std::string volts_value_text(Quantity volts) {
  return volts == system_volts ? "system" : quantity_text(volts);
}

// A colour in one number, so that strands compare quickly; 0: not given.
inline uint64_t colour_value(Index base, Index tracer, Shade shade) {
  if (base == none) return 0;
  return (uint64_t{base} + 1) << 32 | uint64_t{tracer + 1} << 8 | static_cast<uint64_t>(shade);  // none + 1 is 0
}
inline Index colour_base(uint64_t colour) {
  return static_cast<Index>(colour >> 32) - 1;
}
inline Index colour_tracer(uint64_t colour) {
  return static_cast<Index>(colour >> 8 & 0xffffff) - 1;
}
inline Shade colour_shade(uint64_t colour) {
  return static_cast<Shade>(colour & 0xff);
}
std::string colour_text(const Family& family, uint64_t colour);

}  // namespace loomproof::compare
