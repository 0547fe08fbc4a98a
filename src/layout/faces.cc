// Faces of connectors: cells at their true places, key and states, and links between faces.
#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>

#include "family/words.h"
#include "layout/inks.h"
#include "layout/placer.h"

namespace loomproof::layout {
namespace {

constexpr std::array<std::string_view, 5> state_looks = {"plain frame", "dashed frame", "double frame", "thick frame",
                                                         "grey, double dashed frame"};  // by State

constexpr double cell_h = 30, cell_gap = 3, around = 8, rib_w = 10, rib_h = 4;
constexpr uint32_t key_ink = 0x404040, linked_fill = 0xf2d27a;

std::string label_of(const FaceCavity& cavity) {
  if (cavity.state == State::wired && !cavity.colour.empty()) return cavity.colour;
  return std::string(word(cavity.state));
}

std::string piece_words(const FaceDrawing& drawing, size_t number, size_t count) {
  if (count == 1) return drawing.words;
  return fmt::format("{}: piece {} of {}, left to right, then down", drawing.words, number, count);
}

std::string of_the_body(const Face& face) {
  return face.words.empty() ? std::string() : "Of the body: " + face.words;
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

std::string side_words(View view) {
  return view == View::wire_side ? "wire side" : "mating side";
}

// Cuts `words` behind `start`; nothing where it does not begin so.
std::optional<std::string_view> behind(std::string_view words, std::string_view start) {
  if (words.substr(0, start.size()) != start) return {};
  return words.substr(start.size());
}

}  // namespace

// The forms that the words of a housing's key are known to take; any other stays words.
Key key_of(std::string_view words) {
  Key key;
  for (const std::string_view where : {"above", "below"}) {
    const auto form = [&](Key::Form of, int count) { key = {of, where == "above", count, {}, {}}; };
    if (words == fmt::format("one rib {}", where)) form(Key::Form::ribs, 1);
    if (words == fmt::format("two ribs {}", where)) form(Key::Form::ribs, 2);
    if (words == fmt::format("a flat {}", where)) form(Key::Form::flat, 1);
  }
  if (const auto at = behind(words, "bevelled corner at cavity "))
    key = {Key::Form::bevel, true, 1, std::string(*at), {}};
  if (const auto at = behind(words, "a notch beside cavity ")) key = {Key::Form::notch, true, 1, std::string(*at), {}};
  if (const auto at = behind(words, "a notch between cavities "))
    if (const size_t and_at = at->find(" and "); and_at != std::string_view::npos)
      key = {Key::Form::notch, true, 1, std::string(at->substr(0, and_at)), std::string(at->substr(and_at + 5))};
  return key;
}

double Placer::cell_width(const Face& face) const {
  double width = 34;
  for (const FaceCavity& cavity : face.cavities)
    width = std::max({width, measure_.width(label_of(cavity), smallest_text, false) + 8,
                      measure_.width(cavity.number, text_size, true) + 14,
                      cavity.link.empty() ? 0
                                          : measure_.width(cavity.number, text_size, true) + 18 +
                                                2 * measure_.width(cavity.link, smallest_text, true)});
  return width;
}

// The face in pieces that each have room on a page; one as a rule.
FaceDrawing Placer::drawing_of(const Face& face, View view, double scale) const {
  FaceDrawing drawing;
  drawing.face = &face;
  drawing.cell_w = cell_width(face);
  drawing.words = fmt::format("{}, seen from the {}{}", face.title.empty() ? "Face" : face.title, side_words(view),
                              face.round ? " (a round body)" : "");
  for (const FaceCavity& cavity : face.cavities) {
    drawing.xs.push_back((view == face.given ? 1 : -1) * cavity.x * scale);
    drawing.ys.push_back(cavity.y * scale);
  }
  const double down_room =
      sure_room_ - heading_height(piece_words(drawing, 99, 99)) - 2 * around - 12 - cell_h - 2 * (rib_h + 1);
  const auto across = stretches(drawing.xs, width_ - drawing.cell_w - 2 * around),
             down = stretches(drawing.ys, down_room);
  drawing.pieces.resize(across.size() * down.size());
  for (size_t at = 0; at < face.cavities.size(); ++at)
    drawing.pieces[stretch_of(down, drawing.ys[at]) * across.size() + stretch_of(across, drawing.xs[at])].push_back(at);
  std::erase_if(drawing.pieces, [](const auto& piece) { return piece.empty(); });
  return drawing;
}

FacePiece Placer::piece_of(const FaceDrawing& drawing, size_t number) const {
  double left = HUGE_VAL, right = -HUGE_VAL, low = HUGE_VAL, high = -HUGE_VAL;
  for (const size_t at : drawing.pieces[number]) {
    left = std::min(left, drawing.xs[at]), right = std::max(right, drawing.xs[at] + drawing.cell_w);
    low = std::min(low, drawing.ys[at]), high = std::max(high, drawing.ys[at] + cell_h);
  }
  FacePiece piece;
  piece.body = {left - around, low - around, right - left + 2 * around, high - low + 2 * around};
  piece.radius = 3;
  if (drawing.pieces.size() > 1) return piece;
  if (drawing.face->key.form == Key::Form::ribs) (drawing.face->key.above ? piece.above : piece.below) = rib_h + 1;
  if (!drawing.face->round) return piece;
  const double x = (left + right) / 2, y = (low + high) / 2;
  double radius = 0;
  for (const size_t at : drawing.pieces[number])
    for (const double corner_x : {drawing.xs[at], drawing.xs[at] + drawing.cell_w})
      for (const double corner_y : {drawing.ys[at], drawing.ys[at] + cell_h})
        radius = std::max(radius, std::hypot(corner_x - x, corner_y - y) + around);
  if (2 * radius > std::min(width_, sure_room_ - heading_height(drawing.words) - 8 - rib_h)) return piece;
  piece.body = {x - radius, y - radius, 2 * radius, 2 * radius};
  piece.radius = radius;
  return piece;
}

void Placer::draw(const FaceDrawing& drawing, size_t number, double x, double y, Links* links) {
  const FacePiece piece = piece_of(drawing, number);
  const double left = x - piece.body.x, down = y + piece.above - piece.body.y;
  Shape body{{x, y + piece.above, piece.body.w, piece.body.h}, Stroke::thin, Shape::no_fill, piece.radius};
  const Key& key = drawing.face->key;
  if (key.form == Key::Form::bevel && drawing.pieces.size() == 1)
    for (size_t at = 0; at < drawing.face->cavities.size(); ++at) {
      if (drawing.face->cavities[at].number != key.at) continue;
      const bool to_left = drawing.xs[at] + drawing.cell_w / 2 < piece.body.x + piece.body.w / 2;
      const bool up = drawing.ys[at] + cell_h / 2 <= piece.body.y + piece.body.h / 2;
      body.bevel =
          up ? (to_left ? Corner::top_left : Corner::top_right) : (to_left ? Corner::low_left : Corner::low_right);
    }
  page().shapes.push_back(body);
  if (drawing.pieces.size() == 1) draw_key(drawing, piece, x, y);
  for (const size_t at : drawing.pieces[number]) {
    const FaceCavity& one = drawing.face->cavities[at];
    cavity(drawing, one, left + drawing.xs[at], down + drawing.ys[at]);
    if (links && !one.link.empty())
      links->emplace(one.link, Linked{display_.pages.size() - 1,
                                      {left + drawing.xs[at], down + drawing.ys[at], drawing.cell_w, cell_h}});
  }
}

// x, y: the top left corner of the piece with the room for its ribs.
void Placer::draw_key(const FaceDrawing& drawing, const FacePiece& piece, double x, double y) {
  const Key& key = drawing.face->key;
  const double top_edge = y + piece.above, middle = x + piece.body.w / 2;
  const bool round = piece.radius > 3;
  if (key.form == Key::Form::ribs)
    for (int rib = 0; rib < key.count; ++rib) {
      const double at = middle - rib_w / 2 + (rib - (key.count - 1) / 2.0) * (rib_w + 8);
      page().shapes.push_back(
          {{at, key.above ? top_edge - rib_h : top_edge + piece.body.h, rib_w, rib_h}, Stroke::thin, key_ink});
    }
  if (key.form == Key::Form::flat && round) {
    const double r = piece.radius, off = 4, half = std::sqrt(r * r - (r - off) * (r - off));
    page().shapes.push_back({{middle - half, key.above ? top_edge + off : top_edge + piece.body.h - off, 2 * half, 0},
                             Stroke::thick,
                             Shape::no_fill,
                             0,
                             Corner::none,
                             true});
  }
  if (key.form != Key::Form::notch || !round) return;
  double towards_x = 0, towards_y = 0;
  size_t found = 0;
  for (size_t at = 0; at < drawing.face->cavities.size(); ++at) {
    const std::string& number = drawing.face->cavities[at].number;
    if (number != key.at && (key.and_at.empty() || number != key.and_at)) continue;
    towards_x += drawing.xs[at] + drawing.cell_w / 2 - piece.body.x - piece.radius;
    towards_y += drawing.ys[at] + cell_h / 2 - piece.body.y - piece.radius;
    ++found;
  }
  const double length = std::hypot(towards_x, towards_y);
  if (found != (key.and_at.empty() ? 1u : 2u) || length < 1) return;
  const double out = (piece.radius - 3.5) / length;
  page().shapes.push_back(
      {{middle + towards_x * out - 2, top_edge + piece.radius + towards_y * out - 2, 4, 4}, Stroke::thin, key_ink});
}

void Placer::pieces(const FaceDrawing& drawing) {
  parted_ += drawing.pieces.size() > 1;
  for (size_t number = 0; number < drawing.pieces.size(); ++number) {
    const double height = piece_of(drawing, number).height();
    heading(piece_words(drawing, number + 1, drawing.pieces.size()), height + 4);
    draw(drawing, number, margin, y_);
    y_ += height + 4;
  }
}

void Placer::operator()(const BothFaces& block) {
  const Face& face = block.face;
  if (face.cavities.empty()) return;
  const double scale = scale_of(face.cavities, cell_width(face));
  if (scale == 0) {
    lines("No face is drawn: two cavities are recorded at one place.", text_size, false);
    return;
  }
  const FaceDrawing wire = drawing_of(face, View::wire_side, scale),
                    mating = drawing_of(face, View::mating_side, scale);
  const double beside = margin + width_ / 2 + 10, half = width_ / 2 - 10;
  const FacePiece piece = piece_of(wire, 0);
  if (wire.pieces.size() == 1 && mating.pieces.size() == 1 && piece.body.w <= half &&
      measure_.width(mating.words, head_size, true) <= half && measure_.width(wire.words, head_size, true) <= half) {
    const std::string words = of_the_body(face);
    heading(wire.words, piece.height() + 4 + (words.empty() ? 0 : start_of(words, text_size, false)));
    text(beside, page().texts.back().box.y, mating.words, head_size, true);
    draw(wire, 0, margin, y_);
    draw(mating, 0, beside, y_);
    y_ += piece.height() + 4;
  } else {
    pieces(wire);
    pieces(mating);
  }
  if (!face.words.empty()) lines(of_the_body(face), text_size, false);
}

// Side by side, as many as a row of the page has room for.
void Placer::linked_row(const std::vector<FaceDrawing>& drawings, bool titles_below, Links& links) {
  for (size_t from = 0; from < drawings.size();) {
    if (drawings[from].pieces.size() > 1) {
      pieces(drawings[from++]);
      continue;
    }
    size_t to = from;
    double height = 0, title = 0;
    std::vector<double> slots;
    std::vector<std::vector<std::string>> titles;
    for (double left = width_; to < drawings.size() && drawings[to].pieces.size() == 1; ++to) {
      const FacePiece piece = piece_of(drawings[to], 0);
      const double slot = std::max(piece.body.w, std::min(width_, 110.0));
      if (to > from && slot > left) break;
      titles.push_back(wrap(measure_, drawings[to].words, slot, text_size, true));
      slots.push_back(slot);
      height = std::max(height, piece.height());
      title = std::max(title, static_cast<double>(titles.back().size()) * line_height(text_size) + 4);
      left -= slot + 14;
    }
    need(height + title + 6);
    double x = margin;
    for (size_t at = from; at < to; ++at) {
      const FacePiece piece = piece_of(drawings[at], 0);
      const double body_y = titles_below ? y_ : y_ + title + height - piece.height();
      const auto& words = titles[at - from];
      for (size_t line = 0; line < words.size(); ++line) {
        const double words_h = static_cast<double>(words.size()) * line_height(text_size);
        const double first = titles_below ? body_y + piece.height() + 4 : body_y - 4 - words_h;
        text(x, first + static_cast<double>(line) * line_height(text_size), words[line], text_size, true);
      }
      draw(drawings[at], 0, x, body_y, &links);
      x += slots[at - from] + 14;
    }
    y_ += height + title + 6;
    from = to;
  }
}

void Placer::operator()(const LinkedFaces& block) {
  std::vector<FaceDrawing> before, after;
  for (const auto& [faces, drawings] : {std::pair(&block.before, &before), std::pair(&block.after, &after)})
    for (const Face& face : *faces) {
      const double scale = face.cavities.empty() ? 0 : scale_of(face.cavities, cell_width(face));
      if (scale > 0) drawings->push_back(drawing_of(face, View::wire_side, scale));
    }
  if (before.empty() || after.empty()) return;
  // Lines are drawn where all stands on one page in two rows; else the letters alone link.
  constexpr double between = 34;
  const double words =
      static_cast<double>(wrap(measure_, block.heading, width_, text_size, true).size()) * line_height(text_size) + 4;
  double heights = between + 60 + words, widths[2] = {-14, -14};
  bool whole = true;
  size_t side = 0;
  for (const auto* drawings : {&before, &after}) {
    double tallest = 0;
    for (const FaceDrawing& drawing : *drawings) {
      whole = whole && drawing.pieces.size() == 1;
      const FacePiece piece = piece_of(drawing, 0);
      tallest = std::max(tallest, piece.height());
      widths[side] += std::max(piece.body.w, 110.0) + 14;
    }
    heights += tallest;
    ++side;
  }
  whole = whole && std::max(widths[0], widths[1]) <= width_ && heights <= sure_room_;
  double tallest = 0;  // of those that may stand in the first row
  for (const FaceDrawing& drawing : before) tallest = std::max(tallest, piece_of(drawing, 0).height());
  need(std::min(whole ? heights : words + tallest + 60, sure_room_));
  lines(block.heading, text_size, true);
  const size_t on = display_.pages.size() - 1, first = page().shapes.size();
  Links from, to;
  linked_row(before, false, from);
  y_ += whole ? between : 6;
  linked_row(after, true, to);
  if (!whole) return;
  std::vector<Shape> links;
  for (const auto& [letter, start] : from)
    for (auto [end, last] = to.equal_range(letter); end != last; ++end) {
      const Box &a = start.cell, &b = end->second.cell;
      if (start.page != on || end->second.page != on) continue;
      const double x = a.x + a.w / 2, y = a.y + a.h;
      links.push_back({{x, y, b.x + b.w / 2 - x, b.y - y}, Stroke::thin, Shape::no_fill, 0, Corner::none, true});
    }
  std::vector<Shape>& shapes = display_.pages[on].shapes;
  shapes.insert(shapes.begin() + static_cast<std::ptrdiff_t>(first), links.begin(), links.end());
}

void Placer::cavity(const FaceDrawing& drawing, const FaceCavity& cavity, double x, double y) {
  const Box box{x, y, drawing.cell_w, cell_h};
  Shape frame{box, Stroke::thin, cavity.link.empty() ? 0xffffffu : linked_fill};
  if (cavity.state == State::empty || cavity.state == State::unknown) frame.stroke = Stroke::dashed;
  if (cavity.state == State::disputed) frame.stroke = Stroke::thick;
  if (cavity.state == State::unknown) frame.fill = 0xdddddd;
  page().shapes.push_back(frame);
  if (cavity.state == State::sealed || cavity.state == State::unknown)
    page().shapes.push_back({{x + 2, y + 2, box.w - 4, box.h - 4}, frame.stroke});
  if (&cavity == &drawing.face->cavities.front())
    page().shapes.push_back({{x + 2, y + 2, 5, 5}, Stroke::none, 0x000000});
  const double down = cavity.state == State::wired ? 0 : 4;  // where no swatch stands below
  centred(x, y + 2 + down, box.w, cavity.number, text_size, true);
  if (!cavity.link.empty())
    text(x + box.w - 4 - measure_.width(cavity.link, smallest_text, true), y + 2.5 + down, cavity.link, smallest_text,
         true);
  centred(x, y + 12.5 + down, box.w, label_of(cavity), smallest_text, false);
  if (cavity.state != State::wired) return;
  const auto [base, tracer] = inks_of(cavity.colour);
  if (base == Shape::no_fill) return;
  const Box swatch{x + 4, y + 22.5, box.w - 8, 5};
  page().shapes.push_back({swatch, Stroke::thin, base});
  if (tracer != Shape::no_fill)
    page().shapes.push_back({{swatch.x, swatch.y + 1.6, swatch.w, 1.8}, Stroke::none, tracer});
}

void Placer::operator()(const Legend&) {
  std::vector<const Face*> faces;
  for (const Block& block : sheet_.blocks) {
    if (const auto* both = std::get_if<BothFaces>(&block)) faces.push_back(&both->face);
    if (const auto* linked = std::get_if<LinkedFaces>(&block))
      for (const auto* side : {&linked->before, &linked->after})
        for (const Face& face : *side) faces.push_back(&face);
  }
  if (const std::string words = legend_words(faces); !words.empty()) lines(words, text_size, false);
}

std::string legend_words(const std::vector<const Face*>& faces) {
  bool occurs[state_looks.size()] = {}, coloured = false, linked = false, keyed = false, any = false, one = true;
  std::string first;
  for (const Face* const face : faces) {
    keyed = keyed || face->key.form != Key::Form::words;
    for (const FaceCavity& cavity : face->cavities) {
      occurs[static_cast<size_t>(cavity.state)] = true;
      coloured = coloured || (cavity.state == State::wired && !cavity.colour.empty());
      linked = linked || !cavity.link.empty();
    }
    if (face->cavities.empty()) continue;
    one = one && (!any || face->cavities.front().number == first);
    if (!any) first = face->cavities.front().number;
    any = true;
  }
  if (!any) return {};
  std::string words = one ? fmt::format("On the faces: black corner, cavity {}", first)
                          : std::string("On the faces: black corner, the first cavity");
  for (size_t state = 0; state < state_looks.size(); ++state)
    if (occurs[state]) words += fmt::format("; {}, {}", state_looks[state], word(static_cast<State>(state)));
  if (keyed) words += "; dark grey or cut corner, the key";
  if (linked) words += "; shaded with a letter, moved: the same letter before and after";
  words += ".";
  if (coloured) words += " Colours: base/tracer, codes of IEC 60757.";
  return words;
}

Display picture(const Face& face, View view, const Measure& measure) {
  Sheet sheet;
  Placer placer(sheet, 20000, 20000, measure);
  placer.display_.pages.emplace_back();
  const double scale = face.cavities.empty() ? 0 : scale_of(face.cavities, placer.cell_width(face));
  Display& display = placer.display_;
  display.title = fmt::format("{}, seen from the {}", face.title, side_words(view));
  display.width = display.height = 1;
  if (scale == 0) return std::move(display);
  const FaceDrawing drawing = placer.drawing_of(face, view, scale);
  const FacePiece piece = placer.piece_of(drawing, 0);
  placer.draw(drawing, 0, 2, 2);
  display.width = piece.body.w + 4, display.height = piece.height() + 4;
  for (const FaceCavity& cavity : face.cavities)
    display.description +=
        fmt::format("{}{} {}", display.description.empty() ? "Cavities: " : ", ", cavity.number, label_of(cavity));
  if (!face.words.empty()) display.description += ". " + of_the_body(face);
  return std::move(display);
}

}  // namespace loomproof::layout
