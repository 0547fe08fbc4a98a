#include "layout/inks.h"

namespace loomproof::layout {
namespace {

// Of the colours of IEC 60757, close to what print can show; the code beside it is what counts.
struct Ink {
  std::string_view code;
  uint32_t rgb;
};
constexpr Ink inks[] = {{"BK", 0x202020}, {"BN", 0x7b4a21}, {"RD", 0xd02020}, {"OG", 0xf08020}, {"YE", 0xf5dc30},
                        {"GN", 0x209040}, {"BU", 0x2050b0}, {"VT", 0x8040a0}, {"GY", 0x909090}, {"WH", 0xffffff},
                        {"PK", 0xf0a0b8}, {"GD", 0xc8a040}, {"TQ", 0x30b0b0}, {"SR", 0xc8c8d0}};

}  // namespace

Inks inks_of(std::string_view colour) {
  Inks found;
  if (const size_t plus = colour.find(" +"); plus != std::string_view::npos) colour = colour.substr(0, plus);
  if (const size_t shade = colour.rfind(' '); shade != std::string_view::npos) colour = colour.substr(shade + 1);
  if (colour == "GNYE") colour = "GN/YE";
  const size_t slash = colour.find('/');
  for (const Ink& ink : inks) {
    if (colour.substr(0, slash) == ink.code) found.base = ink.rgb;
    if (slash != std::string_view::npos && colour.substr(slash + 1) == ink.code) found.tracer = ink.rgb;
  }
  return found;
}

}  // namespace loomproof::layout
