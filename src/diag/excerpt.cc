#include "diag/excerpt.h"

#include <algorithm>

#include "diag/render.h"
#include "source/utf8.h"

namespace loomproof {
namespace {

constexpr uint32_t most_lines = 3;
constexpr std::string_view cut_mark = "…";

// One character of a source line as it is shown.
struct Glyph {
  std::string text;
  size_t columns = 0;
  uint32_t offset = 0;  // in the line
};

std::vector<Glyph> glyphs_of(std::string_view line) {
  std::vector<Glyph> glyphs;
  for (size_t offset = 0; offset < line.size();) {
    const Utf8Char character = utf8_at(line, offset);
    Glyph glyph{printable(line.substr(offset, character.length)), 0, static_cast<uint32_t>(offset)};
    const bool as_is = glyph.text == line.substr(offset, character.length);
    // What is shown in place of an unseen character is ASCII.
    glyph.columns = as_is ? static_cast<size_t>(display_columns(character.code)) : glyph.text.size();
    glyphs.push_back(std::move(glyph));
    offset += character.length;
  }
  return glyphs;
}

struct Window {
  size_t first = 0, last = 0;  // glyphs shown: [first, last)
};

size_t columns_of(const std::vector<Glyph>& glyphs, size_t first, size_t last) {
  size_t columns = 0;
  for (size_t i = first; i < last; ++i) columns += glyphs[i].columns;
  return columns;
}

// The span stands in the window with as much before and after it as there is room for.
Window window_around(const std::vector<Glyph>& glyphs, size_t begin, size_t end, size_t width) {
  if (columns_of(glyphs, 0, glyphs.size()) <= width) return {0, glyphs.size()};
  const size_t room = width > 2 ? width - 2 : 1;  // for a cut mark on each side
  Window window{begin, begin};
  size_t used = 0;
  while (window.last < end && used + glyphs[window.last].columns <= room) used += glyphs[window.last++].columns;
  for (bool grown = true; grown;) {
    grown = false;
    if (window.first > 0 && used + glyphs[window.first - 1].columns <= room) {
      used += glyphs[--window.first].columns;
      grown = true;
    }
    if (window.last < glyphs.size() && used + glyphs[window.last].columns <= room) {
      used += glyphs[window.last++].columns;
      grown = true;
    }
  }
  return window;
}

ExcerptLine draw(uint32_t number, std::string_view line, uint32_t begin, uint32_t end, size_t width) {
  const std::vector<Glyph> glyphs = glyphs_of(line);
  const auto glyph_at = [&](uint32_t offset) {
    const auto found = std::lower_bound(glyphs.begin(), glyphs.end(), offset,
                                        [](const Glyph& glyph, uint32_t wanted) { return glyph.offset < wanted; });
    return static_cast<size_t>(found - glyphs.begin());
  };
  const size_t from = glyph_at(begin);
  const size_t to = std::max(from, glyph_at(end));
  const Window window = window_around(glyphs, from, to, width);

  ExcerptLine out;
  out.number = number;
  const bool cut_before = window.first > 0;
  if (cut_before) out.text += cut_mark;
  for (size_t i = window.first; i < window.last; ++i) out.text += glyphs[i].text;
  if (window.last < glyphs.size()) out.text += cut_mark;
  out.underline_from = (cut_before ? 1 : 0) + columns_of(glyphs, window.first, std::max(from, window.first));
  out.underline_width = std::max<size_t>(1, columns_of(glyphs, from, std::min(to, window.last)));
  return out;
}

}  // namespace

std::vector<ExcerptLine> excerpt(const SourceFile& file, const Span& span, size_t width) {
  const uint32_t first = file.at(span.begin).line;
  const uint32_t last = span.end > span.begin ? file.at(span.end - 1).line : first;
  std::vector<ExcerptLine> lines;
  for (uint32_t number = first; number <= last && number < first + most_lines; ++number) {
    const uint32_t line_begin = file.line_begin(number);
    const std::string_view line = file.line(number);
    uint32_t begin = span.begin > line_begin ? span.begin - line_begin : 0;
    if (number != first) begin = static_cast<uint32_t>(std::min(line.find_first_not_of(" \t"), line.size()));
    const auto line_size = static_cast<uint32_t>(line.size());
    const uint32_t end = std::min(span.end > line_begin ? span.end - line_begin : 0, line_size);
    lines.push_back(draw(number, line, std::min(begin, line_size), end, width));
  }
  return lines;
}

}  // namespace loomproof
