// The pages of a sheet, from top to bottom.
#include <fmt/format.h>

#include <algorithm>

#include "layout/placer.h"

namespace loomproof::layout {
namespace {

struct Extent {
  double w, h;
};
Extent portrait(Paper paper) {
  switch (paper) {
    case Paper::a3:
      return {841.89, 1190.55};  // ISO 216
    case Paper::letter:
      return {612, 792};
    case Paper::a4:
      break;
  }
  return {595.28, 841.89};
}

using Lines = std::vector<std::vector<std::string>>;

size_t longest(const Lines& cells) {
  size_t count = 1;
  for (const auto& lines : cells) count = std::max(count, lines.size());
  return count;
}

// Light enough for black text, and told from white by a printer that has no colours.
uint32_t fill_of(Cell::Look look) {
  switch (look) {
    case Cell::Look::changed:
      return 0xf2d27a;
    case Cell::Look::uncertain:
      return 0xe9e4f5;
    case Cell::Look::plain:
      break;
  }
  return Shape::no_fill;
}

}  // namespace

Placer::Placer(const Sheet& sheet, double width, double height, const Measure& measure)
    : sheet_(sheet), measure_(measure) {
  display_ = {sheet.title, sheet.description, width, height, {}};
  width_ = width - 2 * margin;
  foot_ = wrap(measure, sheet.foot, width_ - 90, smallest_text, false);
  bottom_ = height - margin - static_cast<double>(foot_.size()) * line_height(smallest_text) - 6;
}

Display Placer::place() {
  new_page();
  lines(sheet_.title, title_size, true);
  for (size_t at = 0; at < sheet_.blocks.size();) at = place_together(at);
  feet();
  return std::move(display_);
}

// One block; of a section its heading with all that stands before its table, on a page of its own rather than parted.
size_t Placer::place_together(size_t at) {
  const auto* const heading = std::get_if<Heading>(&sheet_.blocks[at]);
  if (!heading || !heading->section) {
    std::visit(*this, sheet_.blocks[at]);
    return at + 1;
  }
  size_t end = at + 1;
  while (end < sheet_.blocks.size() && !std::holds_alternative<SheetTable>(sheet_.blocks[end]) &&
         !std::holds_alternative<Heading>(sheet_.blocks[end]))
    ++end;
  const bool is_fresh = y_ <= top();
  const size_t pages = display_.pages.size(), shapes = page().shapes.size(), texts = page().texts.size();
  for (size_t one = at; one < end; ++one) std::visit(*this, sheet_.blocks[one]);
  if (is_fresh || display_.pages.size() == pages) return end;
  if (Page& before = display_.pages[pages - 1]; before.texts.size() != texts) {
    display_.pages.resize(pages);
    before.shapes.resize(shapes), before.texts.resize(texts);
    section_.clear();
    new_page();
    for (size_t one = at; one < end; ++one) std::visit(*this, sheet_.blocks[one]);
  }
  return end;
}

void Placer::new_page() {
  display_.pages.emplace_back();
  y_ = margin;
  if (display_.pages.size() > 1) {
    const std::string words = section_.empty() ? sheet_.title : fmt::format("{} · {}", sheet_.title, section_);
    for (const std::string& line : wrap(measure_, words, width_, smallest_text, true)) {
      text(margin, y_, line, smallest_text, true);
      y_ += line_height(smallest_text);
    }
    y_ += 4;
  }
  head_bottom_ = y_;
}

void Placer::need(double height) {
  if (y_ > top() && y_ + height > bottom_) new_page();
}

void Placer::text(double x, double y, const std::string& what, double size, bool bold) {
  if (!what.empty())
    page().texts.push_back({{x, y, measure_.width(what, size, bold), line_height(size)}, size, bold, what});
}

void Placer::centred(double x, double y, double w, const std::string& what, double size, bool bold) {
  text(x + (w - measure_.width(what, size, bold)) / 2, y, what, size, bold);
}

void Placer::lines(const std::string& what, double size, bool bold, double indent) {
  const std::vector<std::string> all = wrap(measure_, what, width_ - indent, size, bold);
  if (const double whole = static_cast<double>(all.size()) * line_height(size); whole < (bottom_ - margin) / 4)
    if (indent == 0) need(whole);
  for (const std::string& line : all) {
    need(line_height(size));
    text(margin + indent, y_, line, size, bold);
    y_ += line_height(size);
  }
  y_ += 2;
}

void Placer::heading(const std::string& what, double with) {
  const auto count = static_cast<double>(wrap(measure_, what, width_, head_size, true).size());
  need(count * line_height(head_size) + 8 + with);
  y_ += y_ > top() ? 6 : 0;
  lines(what, head_size, true);
}

void Placer::operator()(const Heading& block) {
  section_.clear();  // the page that it begins does not say it twice
  if (!block.section) {
    heading(block.text, 3 * line_height(text_size));
    return;
  }
  need(120);
  if (y_ > top()) {
    y_ += 8;
    page().shapes.push_back({{margin, y_, width_, 0}, Stroke::thick, Shape::no_fill, 0, Corner::none, true});
    y_ += 6;
  }
  section_ = block.text;
  lines(block.text, head_size + 1, true);
}

void Placer::operator()(const Paragraph& paragraph) {
  lines(paragraph.text, text_size, paragraph.bold);
}

void Placer::operator()(const Warning& warning) {
  const auto all = wrap(measure_, warning.text, width_ - 16, head_size, true);
  const double height = static_cast<double>(all.size()) * line_height(head_size) + 12;
  need(height);
  page().shapes.push_back({{margin, y_, width_, height}, Stroke::thick});
  for (size_t line = 0; line < all.size(); ++line)
    text(margin + 8, y_ + 6 + static_cast<double>(line) * line_height(head_size), all[line], head_size, true);
  y_ += height + 5;
  for (const std::string& caution : warning.cautions) lines("• " + caution, text_size, false);
  y_ += 4;
}

void Placer::operator()(const FactList& facts) {
  double label = 0;
  for (const auto& [name, value] : facts.rows) label = std::max(label, measure_.width(name, text_size, true));
  label = std::min(label, width_ / 3);
  for (const auto& [name, value] : facts.rows) {
    need(line_height(text_size));
    const auto names = wrap(measure_, name, label + 0.1, text_size, true);
    text(margin, y_, names[0], text_size, true);
    const double from = y_;
    const size_t on = display_.pages.size();
    lines(value, text_size, false, label + 8);
    y_ -= 1;
    for (size_t line = 1; line < names.size(); ++line) {  // a label that is wider than a third of the page
      const double at = from + static_cast<double>(line) * line_height(text_size);
      if (display_.pages.size() != on || at + line_height(text_size) > bottom_) break;
      text(margin, at, names[line], text_size, true);
      y_ = std::max(y_, at + line_height(text_size) + 1);
    }
  }
  y_ += 4;
}

std::vector<double> Placer::natural_columns(const SheetTable& table) const {
  std::vector<double> widths;
  for (size_t column = 0; column < table.heads.size(); ++column) {
    double widest = measure_.width(table.heads[column], text_size, true);
    for (const auto& row : table.rows) {
      const Cell& cell = row[column];
      widest = std::max(widest, measure_.width(cell.text, text_size, column == 0 || cell.look != Cell::Look::plain));
    }
    widths.push_back(widest + 2 * pad + 0.1);
    if (!table.least.empty()) widths.back() = std::max(widths.back(), table.least[column]);
  }
  return widths;
}

double Placer::natural_width() const {
  double widest = 0;
  for (const Block& block : sheet_.blocks) {
    if (!std::holds_alternative<SheetTable>(block)) continue;
    double sum = 0;
    for (const double column : natural_columns(std::get<SheetTable>(block))) sum += column;
    widest = std::max(widest, sum);
  }
  return widest;
}

// What fits in its even share keeps its width; the others share what is left.
std::vector<double> Placer::columns(const SheetTable& table) const {
  const std::vector<double> natural = natural_columns(table);
  std::vector<double> widths(natural.size(), 0);
  double left = width_;
  size_t open = natural.size();
  for (bool settled = true; settled && open > 0;) {
    settled = false;
    const double share = left / static_cast<double>(open);
    for (size_t column = 0; column < natural.size(); ++column) {
      if (widths[column] > 0 || natural[column] > share) continue;
      widths[column] = natural[column], left -= natural[column], --open;
      settled = true;
      if (open == 0) break;
    }
  }
  for (double& width : widths)
    if (width == 0) width = left / static_cast<double>(open);
  return widths;
}

void Placer::head(const SheetTable& table, const std::vector<double>& widths) {
  Lines cells;
  for (size_t column = 0; column < widths.size(); ++column)
    cells.push_back(wrap(measure_, table.heads[column], widths[column] - 2 * pad, text_size, true));
  const double height = static_cast<double>(longest(cells)) * line_height(text_size) + 2 * pad;
  double x = margin;
  for (size_t column = 0; column < widths.size(); x += widths[column++]) {
    page().shapes.push_back({{x, y_, widths[column], height}, Stroke::thin, 0xe6e6e6});
    for (size_t line = 0; line < cells[column].size(); ++line)
      text(x + pad, y_ + pad + static_cast<double>(line) * line_height(text_size), cells[column][line], text_size,
           true);
  }
  y_ += height;
}

void Placer::operator()(const SheetTable& table) {
  const std::vector<double> widths = columns(table);
  const double line = line_height(text_size);
  size_t head_lines = 1;
  for (size_t column = 0; column < widths.size(); ++column)
    head_lines =
        std::max(head_lines, wrap(measure_, table.heads[column], widths[column] - 2 * pad, text_size, true).size());
  const double head_room = static_cast<double>(head_lines) * line + 2 * pad;
  if (table.heading.empty()) {
    need(head_room + 4 * line);
  } else {
    section_.clear();
    heading(table.heading, head_room + 4 * line);
  }
  head(table, widths);
  const double fresh = bottom_ - margin - 4 - 4 * line_height(smallest_text) - head_room;
  for (const auto& row : table.rows) {
    Lines cells;
    for (size_t column = 0; column < widths.size(); ++column)
      cells.push_back(wrap(measure_, row[column].text, widths[column] - 2 * pad, text_size,
                           column == 0 || row[column].look != Cell::Look::plain));
    const size_t count = longest(cells);
    const auto height = [&](size_t number) { return static_cast<double>(number) * line + 2 * pad; };
    for (size_t done = 0; done < count;) {  // a row taller than a page is continued on the next
      if (y_ + height(height(count) > fresh ? 1 : count) > bottom_) new_page(), head(table, widths);
      size_t now = count - done;
      while (now > 1 && y_ + height(now) > bottom_) --now;
      double x = margin;
      for (size_t column = 0; column < widths.size(); x += widths[column++]) {
        const Cell& cell = row[column];
        page().shapes.push_back({{x, y_, widths[column], height(now)}, Stroke::thin, fill_of(cell.look)});
        for (size_t at = done; at < std::min(done + now, cells[column].size()); ++at)
          text(x + pad, y_ + pad + static_cast<double>(at - done) * line, cells[column][at], text_size,
               column == 0 || cell.look != Cell::Look::plain);
      }
      y_ += height(now);
      done += now;
    }
  }
  y_ += 4;
}

void Placer::feet() {
  const size_t count = display_.pages.size();
  for (size_t number = 0; number < count; ++number) {
    Page& on = display_.pages[number];
    const double from = bottom_ + 6;
    for (size_t line = 0; line < foot_.size(); ++line)
      on.texts.push_back({{margin, from + static_cast<double>(line) * line_height(smallest_text),
                           measure_.width(foot_[line], smallest_text, false), line_height(smallest_text)},
                          smallest_text,
                          false,
                          foot_[line]});
    const std::string words = fmt::format("page {} of {}", number + 1, count);
    const double w = measure_.width(words, smallest_text, false);
    on.texts.push_back({{margin + width_ - w, from, w, line_height(smallest_text)}, smallest_text, false, words});
  }
}

std::optional<Paper> paper_named(std::string_view word) {
  if (word == "A4") return Paper::a4;
  if (word == "A3") return Paper::a3;
  if (word == "Letter") return Paper::letter;
  return {};
}

Display place(const Sheet& sheet, Paper paper, const Measure& measure) {
  const auto [w, h] = portrait(paper);
  Placer upright(sheet, w, h, measure), lying(sheet, h, w, measure);
  const bool is_wide = upright.natural_width() > w - 2 * margin;
  Display tall = upright.place(), wide = lying.place();
  const auto worth = [](const Placer& placer, const Display& display) {
    return std::pair(placer.parted(), display.pages.size());
  };
  const auto standing = worth(upright, tall), across = worth(lying, wide);
  if (across < standing || (is_wide && across == standing)) return wide;
  return tall;
}

}  // namespace loomproof::layout
