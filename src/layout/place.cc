// The pages of a sheet, from top to bottom.
#include <fmt/format.h>

#include <algorithm>
#include <tuple>

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

}  // namespace

Placer::Placer(const Sheet& sheet, double width, double height, const Measure& measure, bool close)
    : sheet_(sheet), measure_(measure), row_pad_(close ? 1 : pad), gap_(close ? 0.5 : 1) {
  display_ = {sheet.title, sheet.description, width, height, {}};
  width_ = width - 2 * margin;
  foot_ = wrap(measure, sheet.foot, width_ - 90, smallest_text, false);
  bottom_ = height - margin - static_cast<double>(foot_.size()) * line_height(smallest_text) - 6;
  const auto tall = [&](const std::string& what, double size) {
    return static_cast<double>(wrap(measure, what, width_, size, true).size()) * line_height(size);
  };
  double section = 0, repeated = tall(sheet.title, smallest_text);
  for (const Block& block : sheet.blocks)
    if (const auto* const heading = std::get_if<Heading>(&block); heading && heading->section) {
      section = std::max(section, tall(heading->text, head_size + 1) + 16);
      repeated = std::max(repeated, tall(page_head(heading->text), smallest_text));
    }
  sure_room_ = bottom_ - margin - std::max(tall(sheet.title, title_size) + 2 + section, repeated + 4 + section);
}

std::string Placer::page_head(const std::string& section) const {
  return section.empty() ? sheet_.title : fmt::format("{} · {}", sheet_.title, section);
}

Display Placer::place() {
  new_page();
  lines(sheet_.title, title_size, true);
  title_bottom_ = y_;
  for (size_t at = 0; at < sheet_.blocks.size();) at = place_together(at);
  end_page();
  feet();
  return std::move(display_);
}

// Back to what was there at a mark.
void Placer::back_to(const Mark& mark) {
  display_.pages.resize(mark.pages);
  page().shapes.resize(mark.shapes), page().texts.resize(mark.texts);
  filled_.resize(mark.pages - 1);
  y_ = mark.y, head_bottom_ = mark.head_bottom, section_ = mark.section, parted_ = mark.parted;
}

Placer::Mark Placer::mark() const {
  const Page& last = display_.pages.back();
  return {display_.pages.size(), last.shapes.size(), last.texts.size(), y_, head_bottom_, section_, parted_};
}

// What a heading or a warning leads stands with it: of a section all that stands before its table, and the table's
// start; else where what follows begins. Placed on a page of its own where it would be parted otherwise, as far as a
// page has room for it.
size_t Placer::place_together(size_t at) {
  const std::vector<Block>& blocks = sheet_.blocks;
  size_t body = at, end = at + 1;
  bool is_section = false;
  for (; body < blocks.size(); ++body) {
    const auto* const heading = std::get_if<Heading>(&blocks[body]);
    if (!heading && !std::holds_alternative<Warning>(blocks[body])) break;
    is_section = is_section || (heading && heading->section);
  }
  const auto is_table = [&](size_t one) {
    return one < blocks.size() && std::holds_alternative<SheetTable>(blocks[one]);
  };
  if (body > at) end = body == blocks.size() || is_table(body) ? body : body + 1;
  if (is_section)
    while (end < blocks.size() && !is_table(end) && !std::holds_alternative<Heading>(blocks[end])) ++end;
  // Whether it stands as it should: its parts together, and room for the start of its table.
  struct Stands {
    bool together, with_table;
  };
  const auto put = [&]() -> Stands {
    Mark lead = mark();
    const size_t first = display_.pages.size();
    for (size_t one = at; one < end; ++one) {
      std::visit(*this, blocks[one]);
      if (one + 1 == body) lead = mark();
    }
    const Page& led = display_.pages[lead.pages - 1];
    const bool alone = display_.pages.size() > lead.pages && led.texts.size() == lead.texts;
    bool has_room = true;
    if (is_table(end)) {
      const auto& table = std::get<SheetTable>(blocks[end]);
      has_room = y_ + start_of(table, columns(table)) <= bottom_;
    }
    return {is_section ? display_.pages.size() == first : !alone, has_room};
  };
  const bool is_fresh = y_ <= top() || (display_.pages.size() == 1 && y_ <= title_bottom_);
  // Next to nothing above it: a page of its own would gain no room worth leaving this one empty.
  const bool is_near_top = y_ - top() < (bottom_ - top()) / 8;
  const Mark before = mark();
  const Stands here = put();
  if (body == at || is_fresh || (here.together && (here.with_table || (is_section && is_near_top)))) return end;
  const bool began_overleaf = display_.pages[before.pages - 1].texts.size() == before.texts;
  if (began_overleaf) return end;
  const auto put_overleaf = [&] {
    back_to(before);
    section_.clear();
    new_page();
    return put();
  };
  const Stands overleaf = put_overleaf();
  if (here.together && is_section && !(overleaf.together && overleaf.with_table)) back_to(before), put();
  return end;
}

// A page that is left with less than a third of it used.
void Placer::end_page() {
  filled_.resize(display_.pages.size(), 0);
  filled_.back() = (y_ - margin) / (bottom_ - margin);
}

size_t Placer::sparse() const {
  return static_cast<size_t>(std::count_if(filled_.begin(), filled_.end(), [](double part) { return part < 0.34; }));
}

void Placer::new_page() {
  if (!display_.pages.empty()) end_page();
  display_.pages.emplace_back();
  y_ = margin;
  if (display_.pages.size() > 1) {
    for (const std::string& line : wrap(measure_, page_head(section_), width_, smallest_text, true)) {
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

// The room that a text takes before it may be parted: all of it, or of a long one its first line.
double Placer::start_of(const std::string& what, double size, bool bold) const {
  const double whole = static_cast<double>(wrap(measure_, what, width_, size, bold).size()) * line_height(size);
  return whole < (bottom_ - margin) / 4 ? whole : line_height(size);
}

void Placer::lines(const std::string& what, double size, bool bold, double indent) {
  if (indent == 0) need(start_of(what, size, bold));
  for (const std::string& line : wrap(measure_, what, width_ - indent, size, bold)) {
    need(line_height(size));
    text(margin + indent, y_, line, size, bold);
    y_ += line_height(size);
  }
  y_ += 2 * gap_;
}

double Placer::heading_height(const std::string& what) const {
  return static_cast<double>(wrap(measure_, what, width_, head_size, true).size()) * line_height(head_size) + 8;
}

void Placer::heading(const std::string& what, double with) {
  need(heading_height(what) + with);
  y_ += y_ > top() ? 6 * gap_ : 0;
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
    y_ += 8 * gap_;
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
  need(height + 5 + (warning.cautions.empty() ? 0 : start_of("• " + warning.cautions[0], text_size, false)));
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
  y_ += 4 * gap_;
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

namespace {

struct Placed {
  Display display;
  size_t parted = 0, sparse = 0;
  bool is_wide = false;  // its tables want more room than the page has across
};

// Set closer where that saves a page that has next to nothing on it.
Placed place_on(const Sheet& sheet, double w, double h, const Measure& measure) {
  Placer placer(sheet, w, h, measure);
  Display display = placer.place();
  Placed placed{std::move(display), placer.parted(), placer.sparse(), placer.natural_width() > w - 2 * margin};
  if (placed.display.pages.size() == 1 || placed.sparse == 0) return placed;
  Placer closer(sheet, w, h, measure, true);
  Display saved = closer.place();
  if (saved.pages.size() >= placed.display.pages.size()) return placed;
  return {std::move(saved), closer.parted(), closer.sparse(), placed.is_wide};
}

}  // namespace

Display place(const Sheet& sheet, Paper paper, const Measure& measure) {
  const auto [w, h] = portrait(paper);
  Placed upright = place_on(sheet, w, h, measure), lying = place_on(sheet, h, w, measure);
  const auto worth = [](const Placed& placed) {
    return std::tuple(placed.parted, placed.display.pages.size(), placed.sparse);
  };
  const bool lies = worth(lying) < worth(upright) || (upright.is_wide && worth(lying) == worth(upright));
  return std::move(lies ? lying : upright).display;
}

}  // namespace loomproof::layout
