#include "source/utf8.h"

#include <iterator>

namespace loomproof {
namespace {

bool is_continuation(unsigned char byte) {
  return (byte & 0xC0) == 0x80;
}

struct Range {
  uint32_t first, last;
};

bool within(uint32_t code, const Range* ranges, size_t count) {
  for (size_t i = 0; i < count; ++i) {
    if (code >= ranges[i].first && code <= ranges[i].last) return true;
  }
  return false;
}

// The blocks of combining marks and zero-width characters that corpus text can reasonably hold (Unicode 15, general
// categories Mn and Cf, whole blocks only).
constexpr Range zero_width[] = {{0x0300, 0x036F}, {0x0483, 0x0489}, {0x1AB0, 0x1AFF}, {0x1DC0, 0x1DFF},
                                {0x200B, 0x200F}, {0x20D0, 0x20FF}, {0xFE00, 0xFE0F}, {0xFE20, 0xFE2F}};
// East Asian wide and fullwidth blocks (Unicode 15, UAX #11), and the emoji planes.
constexpr Range wide[] = {{0x1100, 0x115F},   {0x2E80, 0x303E},   {0x3041, 0x33FF},  {0x3400, 0x4DBF},
                          {0x4E00, 0x9FFF},   {0xA000, 0xA4CF},   {0xAC00, 0xD7A3},  {0xF900, 0xFAFF},
                          {0xFE30, 0xFE6F},   {0xFF00, 0xFF60},   {0xFFE0, 0xFFE6},  {0x1F300, 0x1F64F},
                          {0x1F900, 0x1F9FF}, {0x20000, 0x2FFFD}, {0x30000, 0x3FFFD}};

}  // namespace

Utf8Char utf8_at(std::string_view text, size_t offset) {
  if (offset >= text.size()) return {};
  const auto byte = [&](size_t i) { return static_cast<unsigned char>(text[offset + i]); };
  const unsigned char first = byte(0);
  const Utf8Char bad{first, 1, false};
  if (first < 0x80) return {first, 1, true};

  uint32_t length = 0;
  uint32_t code = 0;
  uint32_t least = 0;  // a smaller code point in this many bytes is overlong
  if (first >= 0xC2 && first <= 0xDF) {
    length = 2, code = first & 0x1Fu, least = 0x80;
  } else if (first >= 0xE0 && first <= 0xEF) {
    length = 3, code = first & 0x0Fu, least = 0x800;
  } else if (first >= 0xF0 && first <= 0xF4) {
    length = 4, code = first & 0x07u, least = 0x10000;
  } else {
    return bad;
  }
  if (text.size() - offset < length) return bad;
  for (uint32_t i = 1; i < length; ++i) {
    if (!is_continuation(byte(i))) return bad;
    code = code << 6 | (byte(i) & 0x3Fu);
  }
  const bool surrogate = code >= 0xD800 && code <= 0xDFFF;
  if (code < least || code > 0x10FFFF || surrogate) return bad;
  return {code, length, true};
}

void append_utf8(std::string& out, uint32_t code) {
  const auto put = [&out](uint32_t byte) { out.push_back(static_cast<char>(byte)); };
  if (code < 0x80) {
    put(code);
  } else if (code < 0x800) {
    put(0xC0 | code >> 6), put(0x80 | (code & 0x3F));
  } else if (code < 0x10000) {
    put(0xE0 | code >> 12), put(0x80 | (code >> 6 & 0x3F)), put(0x80 | (code & 0x3F));
  } else {
    put(0xF0 | code >> 18), put(0x80 | (code >> 12 & 0x3F)), put(0x80 | (code >> 6 & 0x3F)), put(0x80 | (code & 0x3F));
  }
}

bool is_invisible_control(uint32_t code) {
  if (code < 0x20) return code != '\t' && code != '\n' && code != '\r';
  if (code >= 0x7F && code <= 0x9F) return true;
  return (code >= 0x202A && code <= 0x202E) || (code >= 0x2066 && code <= 0x2069) || code == 0xFEFF;
}

bool is_unseen(uint32_t code) {
  if (code < 0x20) return true;
  constexpr Range unseen[] = {{0xAD, 0xAD},     {0x61C, 0x61C},   {0x180B, 0x180F}, {0x200B, 0x200F},
                              {0x2028, 0x202E}, {0x2060, 0x206F}, {0xFFF9, 0xFFFB}, {0xE0000, 0xE0FFF}};
  return is_invisible_control(code) || within(code, unseen, std::size(unseen));
}

int display_columns(uint32_t code) {
  if (code < 0x300) return 1;
  if (within(code, zero_width, std::size(zero_width))) return 0;
  return within(code, wide, std::size(wide)) ? 2 : 1;
}

}  // namespace loomproof
