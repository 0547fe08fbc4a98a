// Display lists as SVG, written by hand: small, the same to the byte, and its text can be marked, searched and read
// out.
#include <fmt/format.h>

#include <cmath>

#include "layout/display.h"

namespace loomproof::layout {
namespace {

// Tenths of a point, without what says nothing: "12", "12.5".
std::string tenths(double value) {
  const auto whole = static_cast<long long>(std::llround(value * 10));
  std::string text = whole < 0 ? "-" : "";
  text += std::to_string(std::llabs(whole) / 10);
  if (whole % 10 != 0) text += "." + std::to_string(std::llabs(whole) % 10);
  return text;
}

std::string svg_text(std::string_view text) {
  std::string out;
  for (const char c : text) {
    if (c == '<')
      out += "&lt;";
    else if (c == '>')
      out += "&gt;";
    else if (c == '&')
      out += "&amp;";
    else if (c == '"')
      out += "&quot;";
    else
      out += c;
  }
  return out;
}

std::string path_of(const Shape& shape) {
  const auto [x, y, w, h] = shape.box;
  if (shape.line) return fmt::format("M{} {}l{} {}", tenths(x), tenths(y), tenths(w), tenths(h));
  const double cut = shape.bevel == Corner::none ? 0 : bevel_size;
  const auto cut_at = [&](Corner corner) { return shape.bevel == corner ? cut : 0.0; };
  const double tl = cut_at(Corner::top_left), tr = cut_at(Corner::top_right), lr = cut_at(Corner::low_right),
               ll = cut_at(Corner::low_left);
  if (cut == 0) return fmt::format("M{} {}h{}v{}h{}z", tenths(x), tenths(y), tenths(w), tenths(h), tenths(-w));
  return fmt::format("M{} {}H{}L{} {}V{}L{} {}H{}L{} {}V{}z", tenths(x + tl), tenths(y), tenths(x + w - tr),
                     tenths(x + w), tenths(y + tr), tenths(y + h - lr), tenths(x + w - lr), tenths(y + h),
                     tenths(x + ll), tenths(x), tenths(y + h - ll), tenths(y + tl));
}

std::string element_of(const Shape& shape) {
  std::string looks;
  if (shape.fill != Shape::no_fill) looks += fmt::format(" fill=\"#{:06x}\"", shape.fill);
  if (shape.stroke == Stroke::none) looks += " stroke=\"none\"";
  if (shape.stroke == Stroke::thick) looks += " stroke-width=\"1.8\"";
  if (shape.stroke == Stroke::dashed) looks += " stroke-dasharray=\"2.5 2\"";
  if (shape.line || shape.radius <= 0 || shape.bevel != Corner::none)
    return fmt::format("<path d=\"{}\"{}/>\n", path_of(shape), looks);
  const Box& box = shape.box;
  return fmt::format("<rect x=\"{}\" y=\"{}\" width=\"{}\" height=\"{}\" rx=\"{}\"{}/>\n", tenths(box.x), tenths(box.y),
                     tenths(box.w), tenths(box.h), tenths(shape.radius), looks);
}

std::string page_elements(const Page& page) {
  std::string text;
  for (const Shape& shape : page.shapes) text += element_of(shape);
  text += "<g fill=\"#000\" stroke=\"none\">\n";
  const TextRun* last = nullptr;
  for (const TextRun& run : page.texts) {
    if (!last || last->size != run.size || last->bold != run.bold)
      text += fmt::format("{}<g font-size=\"{}\"{}>\n", last ? "</g>\n" : "", tenths(run.size),
                          run.bold ? " font-weight=\"bold\"" : "");
    last = &run;
    const std::string length = run.text.size() < 3 ? "" : fmt::format(" textLength=\"{}\"", tenths(run.box.w));
    text += fmt::format("<text x=\"{}\" y=\"{}\"{}>{}</text>\n", tenths(run.box.x), tenths(run.box.y + run.size),
                        length, svg_text(run.text));
  }
  return text + (last ? "</g>\n</g>\n" : "</g>\n");
}

}  // namespace

std::string to_svg(const Display& display, std::string_view role) {
  const double height = display.height * static_cast<double>(display.pages.size());
  const bool sheet = role != "img";
  std::string text = fmt::format(
      "<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"{0}{4}\" height=\"{1}{4}\" viewBox=\"0 0 {0} {1}\" "
      "role=\"{2}\" aria-label=\"{3}\" font-family=\"'DejaVu Sans',Verdana,sans-serif\" fill=\"none\" stroke=\"#000\" "
      "stroke-width=\"0.6\">\n",
      tenths(display.width), tenths(height), role, svg_text(display.title), sheet ? "pt" : "");
  text += fmt::format("<title>{}</title>\n<desc>{}</desc>\n", svg_text(display.title), svg_text(display.description));
  text += fmt::format("<path d=\"M0 0h{}v{}h{}z\" fill=\"#fff\" stroke=\"none\"/>\n", tenths(display.width),
                      tenths(height), tenths(-display.width));
  for (size_t page = 0; page < display.pages.size(); ++page) {
    const double down = display.height * static_cast<double>(page);
    if (page > 0) {
      text += fmt::format("<path d=\"M0 {}h{}\" stroke=\"#999\"/>\n", tenths(down), tenths(display.width));
      text += fmt::format("<g transform=\"translate(0 {})\">\n", tenths(down));
    }
    text += page_elements(display.pages[page]);
    if (page > 0) text += "</g>\n";
  }
  return text + "</svg>\n";
}

}  // namespace loomproof::layout
