// What is on paper, in points (1/72 inch) from the top left corner of a page. Drawing adds nothing to it, so that
// layout is tested without drawing.
#pragma once
#include <cstdint>
#include <string>
#include <string_view>
#include <vector>

namespace loomproof::layout {

inline constexpr double smallest_text = 7;

struct Box {
  double x = 0, y = 0, w = 0, h = 0;
};
enum class Stroke { none, thin, thick, dashed };
enum class Corner { none, top_left, top_right, low_left, low_right };
struct Shape {
  Box box;
  Stroke stroke{};
  uint32_t fill = no_fill;  // 0xRRGGBB
  double radius = 0;        // of its corners
  Corner bevel{};           // the corner that is cut off, by `bevel_size`
  bool line = false;        // from the top left corner to the other; w and h may be negative
  static constexpr uint32_t no_fill = 0xffffffff;
};
inline constexpr double bevel_size = 7;
struct TextRun {
  Box box;
  double size = 0;
  bool bold = false;
  std::string text;  // one line of UTF-8 without control characters
};
struct Page {
  std::vector<Shape> shapes;   // drawn first, in this order
  std::vector<TextRun> texts;  // in reading order
};
struct Display {
  std::string title, description;
  double width = 0, height = 0;
  std::vector<Page> pages;
};

// How wide a text is with the font that it will be drawn with.
class Measure {
 public:
  virtual ~Measure() = default;
  virtual double width(std::string_view text, double size, bool bold) const = 0;
};

inline double line_height(double size) {
  return size * 1.25;
}

// Lines of at most `width`: parted at spaces, and within words that are wider than a line. At least one line.
std::vector<std::string> wrap(const Measure& measure, std::string_view text, double width, double size, bool bold);

// A display as SVG, its pages below each other. Text stays text, each run as wide as it was measured; title and
// description stand in it in words. `role`: "graphics-document" of a sheet, "img" of a picture on a page.
std::string to_svg(const Display& display, std::string_view role = "graphics-document");

// A display as text, for tests that hold whole sheets.
std::string dump(const Display& display);

}  // namespace loomproof::layout
