// The pages of a sheet, from top to bottom.
#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>

#include "family/words.h"
#include "layout/sheet.h"

namespace loomproof::layout {
namespace {

constexpr double margin = 34, text_size = 8, head_size = 10, title_size = 14, pad = 2.5;

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

// Of the colours of IEC 60757, close to what print can show; the code beside it is what counts.
struct Ink {
  std::string_view code;
  uint32_t rgb;
};
constexpr Ink inks[] = {{"BK", 0x202020}, {"BN", 0x7b4a21}, {"RD", 0xd02020}, {"OG", 0xf08020}, {"YE", 0xf5dc30},
                        {"GN", 0x209040}, {"BU", 0x2050b0}, {"VT", 0x8040a0}, {"GY", 0x909090}, {"WH", 0xffffff},
                        {"PK", 0xf0a0b8}, {"GD", 0xc8a040}, {"TQ", 0x30b0b0}, {"SR", 0xc8c8d0}};

// Base and tracer of "light BU/YE +1"; no_fill for what has no ink.
std::pair<uint32_t, uint32_t> inks_of(std::string_view colour) {
  std::pair<uint32_t, uint32_t> found{Shape::no_fill, Shape::no_fill};
  if (const size_t plus = colour.find(" +"); plus != std::string_view::npos) colour = colour.substr(0, plus);
  if (const size_t shade = colour.rfind(' '); shade != std::string_view::npos) colour = colour.substr(shade + 1);
  if (colour == "GNYE") colour = "GN/YE";
  const size_t slash = colour.find('/');
  for (const Ink& ink : inks) {
    if (colour.substr(0, slash) == ink.code) found.first = ink.rgb;
    if (slash != std::string_view::npos && colour.substr(slash + 1) == ink.code) found.second = ink.rgb;
  }
  return found;
}

constexpr std::array<std::string_view, 5> state_looks = {"plain frame", "dashed frame", "double frame", "thick frame",
                                                         "grey, dashed frame"};  // by State

class Placer {
 public:
  Placer(const Sheet& sheet, Paper paper, const Measure& measure) : sheet_(sheet), measure_(measure) {
    const Extent extent = portrait(paper);
    display_ = {sheet.title, sheet.description, extent.w, extent.h, {}};
    double natural = 0;
    for (const double column : natural_columns()) natural += column;
    if (natural > extent.w - 2 * margin) std::swap(display_.width, display_.height);
    width_ = display_.width - 2 * margin;
    foot_ = wrap(measure, sheet.foot, width_ - 90, smallest_text, false);
    bottom_ = display_.height - margin - static_cast<double>(foot_.size()) * line_height(smallest_text) - 6;
  }

  Display place() {
    new_page();
    paragraph(sheet_.title, title_size, true);
    if (!sheet_.mark.empty()) cautions();
    facts();
    if (sheet_.mark.empty() && !sheet_.cautions.empty())
      paragraph("Read the cautions below the table before a hand or a probe goes near the plug.", text_size, true);
    faces();
    legend();
    table();
    if (sheet_.mark.empty() && !sheet_.cautions.empty()) cautions();
    feet();
    return std::move(display_);
  }

 private:
  Page& page() { return display_.pages.back(); }
  void new_page() {
    display_.pages.emplace_back();
    y_ = margin;
  }
  // A new page where that much has no room any more.
  void need(double height) {
    if (y_ > margin && y_ + height > bottom_) new_page();
  }
  void text(double x, double y, const std::string& what, double size, bool bold) {
    if (!what.empty())
      page().texts.push_back({{x, y, measure_.width(what, size, bold), line_height(size)}, size, bold, what});
  }
  void centred(double x, double y, double w, const std::string& what, double size, bool bold) {
    text(x + (w - measure_.width(what, size, bold)) / 2, y, what, size, bold);
  }
  void paragraph(const std::string& what, double size, bool bold, double indent = 0) {
    const std::vector<std::string> lines = wrap(measure_, what, width_ - indent, size, bold);
    if (const double whole = static_cast<double>(lines.size()) * line_height(size); whole < (bottom_ - margin) / 4)
      if (indent == 0) need(whole);
    for (const std::string& line : lines) {
      need(line_height(size));
      text(margin + indent, y_, line, size, bold);
      y_ += line_height(size);
    }
    y_ += 2;
  }
  void heading(const std::string& what, double with) {
    need(line_height(head_size) + 6 + with);
    y_ += y_ > margin ? 6 : 0;
    paragraph(what, head_size, true);
  }

  void cautions() {
    if (sheet_.mark.empty())
      heading("Cautions", 2 * line_height(text_size));
    else
      bordered_mark();
    for (const std::string& caution : sheet_.cautions) paragraph("• " + caution, text_size, false);
    y_ += 4;
  }
  void bordered_mark() {
    const auto lines = wrap(measure_, sheet_.mark, width_ - 16, head_size, true);
    const double height = static_cast<double>(lines.size()) * line_height(head_size) + 12;
    need(height);
    page().shapes.push_back({{margin, y_, width_, height}, Stroke::thick});
    for (size_t line = 0; line < lines.size(); ++line)
      text(margin + 8, y_ + 6 + static_cast<double>(line) * line_height(head_size), lines[line], head_size, true);
    y_ += height + 5;
  }
  void facts() {
    double label = 0;
    for (const auto& [name, value] : sheet_.facts) label = std::max(label, measure_.width(name, text_size, true));
    for (const auto& [name, value] : sheet_.facts) {
      need(line_height(text_size));
      text(margin, y_, name, text_size, true);
      paragraph(value, text_size, false, label + 8);
      y_ -= 1;
    }
    y_ += 4;
  }

  void faces();
  struct Drawing {
    std::string words;
    std::vector<double> xs, ys;               // of each cavity's cell, its top left corner
    std::vector<std::vector<size_t>> pieces;  // cavities
  };
  struct Piece {
    Box box;
    double radius;
  };
  Drawing drawing_of(View view, double scale) const;
  Piece piece_of(const Drawing& drawing, size_t number) const;
  void draw(const Drawing& drawing, size_t number, double x);
  void cavity(const FaceCavity& cavity, double x, double y);
  void legend();
  std::vector<double> natural_columns() const;
  std::vector<double> columns() const;
  void head(const std::vector<double>& widths);
  void table();
  void feet();

  const Sheet& sheet_;
  const Measure& measure_;
  Display display_;
  double width_ = 0, y_ = 0, bottom_ = 0;
  double cell_w_ = 0;
  std::vector<std::string> foot_;
};

constexpr double cell_h = 30, cell_gap = 3, around = 6;

std::string label_of(const FaceCavity& cavity) {
  if (cavity.state == State::wired && !cavity.colour.empty()) return cavity.colour;
  return std::string(word(cavity.state));
}

// The scale at which no two cells touch, points a 1/100 mm; 0 where two cavities have the same place.
double scale_of(const std::vector<FaceCavity>& cavities, double cell_w) {
  double scale = 1e-6;
  for (size_t a = 0; a < cavities.size(); ++a)
    for (size_t b = a + 1; b < cavities.size(); ++b) {
      const double dx = std::abs(static_cast<double>(cavities[a].x) - cavities[b].x);
      const double dy = std::abs(static_cast<double>(cavities[a].y) - cavities[b].y);
      if (dx == 0 && dy == 0) return 0;
      const double across = dx == 0 ? HUGE_VAL : (cell_w + cell_gap) / dx;
      const double down = dy == 0 ? HUGE_VAL : (cell_h + cell_gap) / dy;
      scale = std::max(scale, std::min(across, down));
    }
  return scale;
}

// Where sorted places are parted so that each stretch has room: the first place of each stretch.
std::vector<double> stretches(std::vector<double> places, double room) {
  std::sort(places.begin(), places.end());
  std::vector<double> starts;
  for (const double place : places)
    if (starts.empty() || place - starts.back() > room) starts.push_back(place);
  return starts;
}

size_t stretch_of(const std::vector<double>& starts, double place) {
  return static_cast<size_t>(std::upper_bound(starts.begin(), starts.end(), place) - starts.begin()) - 1;
}

// The face in pieces that each have room on a page; one as a rule.
Placer::Drawing Placer::drawing_of(View view, double scale) const {
  const Face& face = sheet_.face;
  Drawing drawing;
  drawing.words = fmt::format("Face, seen from the {}{}", view == View::wire_side ? "wire side" : "mating side",
                              face.round ? " (a round body)" : "");
  for (const FaceCavity& cavity : face.cavities) {
    drawing.xs.push_back((view == face.given ? 1 : -1) * cavity.x * scale);
    drawing.ys.push_back(cavity.y * scale);
  }
  const double down_room = bottom_ - margin - 2 * line_height(head_size) - 2 * around - 12 - cell_h;
  const auto across = stretches(drawing.xs, width_ - cell_w_ - 2 * around), down = stretches(drawing.ys, down_room);
  drawing.pieces.resize(across.size() * down.size());
  for (size_t at = 0; at < face.cavities.size(); ++at)
    drawing.pieces[stretch_of(down, drawing.ys[at]) * across.size() + stretch_of(across, drawing.xs[at])].push_back(at);
  std::erase_if(drawing.pieces, [](const auto& piece) { return piece.empty(); });
  return drawing;
}

Placer::Piece Placer::piece_of(const Drawing& drawing, size_t number) const {
  double left = HUGE_VAL, right = -HUGE_VAL, top = HUGE_VAL, low = -HUGE_VAL;
  for (const size_t at : drawing.pieces[number]) {
    left = std::min(left, drawing.xs[at]), right = std::max(right, drawing.xs[at] + cell_w_);
    top = std::min(top, drawing.ys[at]), low = std::max(low, drawing.ys[at] + cell_h);
  }
  Piece piece{{left - around, top - around, right - left + 2 * around, low - top + 2 * around}, 3};
  if (!sheet_.face.round || drawing.pieces.size() > 1) return piece;
  const double x = (left + right) / 2, y = (top + low) / 2;
  double radius = 0;
  for (const size_t at : drawing.pieces[number])
    for (const double corner_x : {drawing.xs[at], drawing.xs[at] + cell_w_})
      for (const double corner_y : {drawing.ys[at], drawing.ys[at] + cell_h})
        radius = std::max(radius, std::hypot(corner_x - x, corner_y - y) + around);
  if (2 * radius > std::min(width_, bottom_ - margin - 4 * line_height(head_size))) return piece;
  return {{x - radius, y - radius, 2 * radius, 2 * radius}, radius};
}

void Placer::draw(const Drawing& drawing, size_t number, double x) {
  const Piece piece = piece_of(drawing, number);
  page().shapes.push_back({{x, y_, piece.box.w, piece.box.h}, Stroke::thin, Shape::no_fill, piece.radius});
  for (const size_t at : drawing.pieces[number])
    cavity(sheet_.face.cavities[at], x + drawing.xs[at] - piece.box.x, y_ + drawing.ys[at] - piece.box.y);
}

void Placer::faces() {
  const std::vector<FaceCavity>& cavities = sheet_.face.cavities;
  if (cavities.empty()) return;
  cell_w_ = 34;
  for (const FaceCavity& cavity : cavities)
    cell_w_ = std::max({cell_w_, measure_.width(label_of(cavity), smallest_text, false) + 8,
                        measure_.width(cavity.number, text_size, true) + 14});
  const double scale = scale_of(cavities, cell_w_);
  if (scale == 0) {
    paragraph("No face is drawn: two cavities are recorded at one place.", text_size, false);
    return;
  }
  const Drawing wire = drawing_of(View::wire_side, scale), mating = drawing_of(View::mating_side, scale);
  const double beside = margin + width_ / 2 + 10, half = width_ / 2 - 10;
  const Box box = piece_of(wire, 0).box;
  if (wire.pieces.size() == 1 && mating.pieces.size() == 1 && box.w <= half &&
      measure_.width(mating.words, head_size, true) <= half) {
    heading(wire.words, box.h + 4);
    text(beside, page().texts.back().box.y, mating.words, head_size, true);
    draw(wire, 0, margin);
    draw(mating, 0, beside);
    y_ += box.h + 4;
  } else {
    for (const Drawing* drawing : {&wire, &mating})
      for (size_t number = 0; number < drawing->pieces.size(); ++number) {
        const double height = piece_of(*drawing, number).box.h;
        heading(drawing->pieces.size() == 1 ? drawing->words
                                            : fmt::format("{}: piece {} of {}, left to right, then down",
                                                          drawing->words, number + 1, drawing->pieces.size()),
                height + 4);
        draw(*drawing, number, margin);
        y_ += height + 4;
      }
  }
  if (!sheet_.face.words.empty()) paragraph("Of the body: " + sheet_.face.words, text_size, false);
}

void Placer::cavity(const FaceCavity& cavity, double x, double y) {
  const Box box{x, y, cell_w_, cell_h};
  Shape frame{box, Stroke::thin, 0xffffff};
  if (cavity.state == State::empty || cavity.state == State::unknown) frame.stroke = Stroke::dashed;
  if (cavity.state == State::disputed) frame.stroke = Stroke::thick;
  if (cavity.state == State::unknown) frame.fill = 0xdddddd;
  page().shapes.push_back(frame);
  if (cavity.state == State::sealed) page().shapes.push_back({{x + 2, y + 2, box.w - 4, box.h - 4}, Stroke::thin});
  if (&cavity == &sheet_.face.cavities.front()) page().shapes.push_back({{x + 2, y + 2, 5, 5}, Stroke::none, 0x000000});
  centred(x, y + 2, box.w, cavity.number, text_size, true);
  centred(x, y + 12.5, box.w, label_of(cavity), smallest_text, false);
  if (cavity.state != State::wired) return;
  const auto [base, tracer] = inks_of(cavity.colour);
  if (base == Shape::no_fill) return;
  const Box swatch{x + 4, y + 22.5, box.w - 8, 5};
  page().shapes.push_back({swatch, Stroke::thin, base});
  if (tracer != Shape::no_fill)
    page().shapes.push_back({{swatch.x, swatch.y + 1.6, swatch.w, 1.8}, Stroke::none, tracer});
}

// Of what occurs, and nothing else.
void Placer::legend() {
  if (sheet_.face.cavities.empty()) return;
  std::string words = fmt::format("On the faces: black corner, cavity {}", sheet_.face.cavities.front().number);
  bool coloured = false;
  for (size_t state = 0; state < state_looks.size(); ++state) {
    bool occurs = false;
    for (const FaceCavity& cavity : sheet_.face.cavities) {
      occurs = occurs || cavity.state == static_cast<State>(state);
      coloured = coloured || (cavity.state == State::wired && !cavity.colour.empty());
    }
    if (occurs) words += fmt::format("; {}, {}", state_looks[state], word(static_cast<State>(state)));
  }
  words += ".";
  if (coloured) words += " Colours: base/tracer, codes of IEC 60757.";
  paragraph(words, text_size, false);
}

std::vector<double> Placer::natural_columns() const {
  std::vector<double> widths;
  for (size_t column = 0; column < sheet_.table.heads.size(); ++column) {
    double widest = measure_.width(sheet_.table.heads[column], text_size, true);
    for (const auto& row : sheet_.table.rows)
      widest = std::max(widest, measure_.width(row[column], text_size, column == 0));
    widths.push_back(widest + 2 * pad + 0.1);
  }
  return widths;
}

// What fits in its even share keeps its width; the others share what is left.
std::vector<double> Placer::columns() const {
  const std::vector<double> natural = natural_columns();
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

using Lines = std::vector<std::vector<std::string>>;

size_t longest(const Lines& cells) {
  size_t count = 1;
  for (const auto& lines : cells) count = std::max(count, lines.size());
  return count;
}

void Placer::head(const std::vector<double>& widths) {
  Lines cells;
  for (size_t column = 0; column < widths.size(); ++column)
    cells.push_back(wrap(measure_, sheet_.table.heads[column], widths[column] - 2 * pad, text_size, true));
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

void Placer::table() {
  const std::vector<double> widths = columns();
  const double line = line_height(text_size), head_room = 3 * line + 2 * pad;
  heading("Cavities", head_room + 4 * line);
  head(widths);
  const double fresh = bottom_ - margin - head_room;
  for (const auto& row : sheet_.table.rows) {
    Lines cells;
    for (size_t column = 0; column < widths.size(); ++column)
      cells.push_back(wrap(measure_, row[column], widths[column] - 2 * pad, text_size, column == 0));
    const size_t count = longest(cells);
    const auto height = [&](size_t lines) { return static_cast<double>(lines) * line + 2 * pad; };
    for (size_t done = 0; done < count;) {  // a row taller than a page is continued on the next
      if (y_ + height(height(count) > fresh ? 1 : count) > bottom_) new_page(), head(widths);
      size_t now = count - done;
      while (now > 1 && y_ + height(now) > bottom_) --now;
      double x = margin;
      for (size_t column = 0; column < widths.size(); x += widths[column++]) {
        page().shapes.push_back({{x, y_, widths[column], height(now)}, Stroke::thin});
        for (size_t at = done; at < std::min(done + now, cells[column].size()); ++at)
          text(x + pad, y_ + pad + static_cast<double>(at - done) * line, cells[column][at], text_size, column == 0);
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
    const double top = bottom_ + 6;
    for (size_t line = 0; line < foot_.size(); ++line)
      on.texts.push_back({{margin, top + static_cast<double>(line) * line_height(smallest_text),
                           measure_.width(foot_[line], smallest_text, false), line_height(smallest_text)},
                          smallest_text,
                          false,
                          foot_[line]});
    const std::string words = fmt::format("page {} of {}", number + 1, count);
    const double w = measure_.width(words, smallest_text, false);
    on.texts.push_back({{margin + width_ - w, top, w, line_height(smallest_text)}, smallest_text, false, words});
  }
}

}  // namespace

Display place(const Sheet& sheet, Paper paper, const Measure& measure) {
  return Placer(sheet, paper, measure).place();
}

}  // namespace loomproof::layout
