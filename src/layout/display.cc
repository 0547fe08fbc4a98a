#include "layout/display.h"

#include <fmt/format.h>

namespace loomproof::layout {
namespace {

size_t next_character(std::string_view text, size_t at) {
  ++at;
  while (at < text.size() && (static_cast<unsigned char>(text[at]) & 0xC0) == 0x80) ++at;
  return at;
}

std::string_view stroke_word(Stroke stroke) {
  constexpr std::string_view words[] = {"none", "thin", "thick", "dashed"};
  return words[static_cast<size_t>(stroke)];
}

std::string box_words(const Box& box) {
  return fmt::format("{:.1f} {:.1f} {:.1f} {:.1f}", box.x, box.y, box.w, box.h);
}

}  // namespace

std::vector<std::string> wrap(const Measure& measure, std::string_view text, double width, double size, bool bold) {
  std::vector<std::string> lines;
  std::string line;
  const auto fits = [&](const std::string& what) { return measure.width(what, size, bold) <= width; };
  for (size_t at = 0; at < text.size();) {
    size_t end = text.find(' ', at);
    if (end == std::string_view::npos) end = text.size();
    const std::string_view word = text.substr(at, end - at);
    at = end + 1;
    if (word.empty()) continue;
    const std::string longer = line.empty() ? std::string(word) : line + " " + std::string(word);
    if (fits(longer)) {
      line = longer;
      continue;
    }
    if (!line.empty()) lines.push_back(std::move(line));
    line.clear();
    if (fits(std::string(word))) {
      line = word;
      continue;
    }
    for (size_t from = 0; from < word.size();) {
      const size_t to = next_character(word, from);
      const std::string piece(word.substr(from, to - from));
      if (!line.empty() && !fits(line + piece)) lines.push_back(std::move(line)), line.clear();
      line += piece;
      from = to;
    }
  }
  if (!line.empty() || lines.empty()) lines.push_back(std::move(line));
  return lines;
}

std::string dump(const Display& display) {
  std::string text =
      fmt::format("{}\n{}\n{:.1f} x {:.1f}\n", display.title, display.description, display.width, display.height);
  for (size_t page = 0; page < display.pages.size(); ++page) {
    text += fmt::format("page {}\n", page + 1);
    for (const Shape& shape : display.pages[page].shapes)
      text += fmt::format("  {} {} {}{}{}{}\n", shape.line ? "line" : "shape", box_words(shape.box),
                          stroke_word(shape.stroke),
                          shape.fill == Shape::no_fill ? "" : fmt::format(" #{:06x}", shape.fill),
                          shape.radius == 0 ? "" : fmt::format(" radius {:.1f}", shape.radius),
                          shape.bevel == Corner::none ? "" : " bevel " + std::to_string(static_cast<int>(shape.bevel)));
    for (const TextRun& run : display.pages[page].texts)
      text += fmt::format("  text {} {}{} {}\n", box_words(run.box), run.size, run.bold ? " bold" : "", run.text);
  }
  return text;
}

}  // namespace loomproof::layout
