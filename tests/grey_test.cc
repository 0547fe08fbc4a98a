// Sheets without colour, as most printers give them: text that can be read, states and changes that can be told apart.
#include <array>
#include <catch2/catch.hpp>
#include <cmath>
#include <set>

#include "family/words.h"
#include "layout/sheets.h"
#include "packed.h"
#include "random_sheet.h"

using namespace loomproof;
using namespace loomproof::testing;

namespace {

// W3C, Web Content Accessibility Guidelines 2.1, "relative luminance" and "contrast ratio"; success criterion 1.4.3
// asks 4.5 : 1 of text. A grey that keeps the luminance keeps the contrast.
double linear(uint32_t channel) {
  const double part = channel / 255.0;
  return part <= 0.03928 ? part / 12.92 : std::pow((part + 0.055) / 1.055, 2.4);
}
double luminance(uint32_t rgb) {
  return 0.2126 * linear(rgb >> 16 & 255) + 0.7152 * linear(rgb >> 8 & 255) + 0.0722 * linear(rgb & 255);
}
double contrast_with_black(uint32_t rgb) {
  return (luminance(rgb) + 0.05) / 0.05;
}

// The grey, 0 to 255, that a colour becomes by the luma weights of ITU-R BT.601, which many drivers take.
double grey(uint32_t rgb) {
  return 0.299 * (rgb >> 16 & 255) + 0.587 * (rgb >> 8 & 255) + 0.114 * (rgb & 255);
}
constexpr double visible_step = 20;  // of grey; our own bound, no source

bool overlap(const Box& a, const Box& b) {
  return a.x + 0.05 < b.x + b.w && b.x + 0.05 < a.x + a.w && a.y + 0.05 < b.y + b.h && b.y + 0.05 < a.y + a.h;
}
bool covers(const Box& over, const Box& what) {
  return over.x <= what.x + 0.05 && over.y <= what.y + 0.05 && over.x + over.w >= what.x + what.w - 0.05 &&
         over.y + over.h >= what.y + what.h - 0.05;
}

// The fills that can be seen behind a text: those not hidden by another.
std::set<uint32_t> fills_behind(const Page& page, const Box& text) {
  std::set<uint32_t> fills;
  for (const Shape& shape : page.shapes) {
    if (shape.line || shape.fill == Shape::no_fill || !overlap(shape.box, text)) continue;
    if (covers(shape.box, text)) fills.clear();
    fills.insert(shape.fill);
  }
  return fills;
}

void hold_contrast(const Display& display, size_t& shaded) {
  for (const Page& page : display.pages)
    for (const TextRun& run : page.texts)
      for (const uint32_t fill : fills_behind(page, run.box)) {
        INFO("\"" << run.text << "\" on " << std::hex << fill);
        CHECK(contrast_with_black(fill) >= 4.5);
        CHECK((grey(fill) + 0.5) / 255 > 0.5);
        shaded += fill != 0xffffff;
      }
}

// How a cavity looks to an eye that sees no colours: the strokes of its frames, the grey behind its text.
struct Look {
  std::vector<Stroke> frames;
  double grey_behind = 0;
  std::string word;
};
Look look_of(State state, const std::string& link) {
  Face face;
  face.cavities = {{"9", 0, 0, State::empty, {}, {}}, {"2", 900, 0, state, {}, link}};
  const Display display = picture(face, View::wire_side, Fixed());
  const Page& page = display.pages.at(0);
  const TextRun& number =
      *std::find_if(page.texts.begin(), page.texts.end(), [](auto& run) { return run.text == "2"; });
  Look look;
  for (const Shape& shape : page.shapes) {
    if (!covers(shape.box, number.box) || covers(shape.box, {page.texts[0].box})) continue;
    look.frames.push_back(shape.stroke);
    if (shape.fill != Shape::no_fill) look.grey_behind = grey(shape.fill);
  }
  look.word = page.texts.back().text;
  return look;
}

}  // namespace

// Black on white is 21 : 1 by definition; the grey 767676 is the darkest that W3C's own technique G18 passes on white.
TEST_CASE("the measure of contrast itself") {
  CHECK(contrast_with_black(0xffffff) == Approx(21));
  CHECK(1.05 / (luminance(0x767676) + 0.05) == Approx(4.54).margin(0.01));
  CHECK(contrast_with_black(0x202020) < 4.5);
}

TEST_CASE("every text can be read on what is behind it") {
  size_t shaded = 0;
  for (uint32_t seed = 0; seed < 25; ++seed) {
    Maker maker(seed);
    hold_contrast(place(maker.sheet(2 + maker.below(60), 40), Paper::a4, Fixed()), shaded);
    hold_contrast(place(maker.linked(2 + maker.below(10)), Paper::a4, Fixed()), shaded);
  }
  CHECK(shaded > 1000);
}

// Moved or not: by frames alone, and by words alone.
TEST_CASE("states of cavities are told apart without colour, in two ways") {
  constexpr std::array states{State::wired, State::empty, State::sealed, State::disputed, State::unknown};
  for (const std::string link : {"", "A"}) {
    std::set<std::vector<Stroke>> frames;
    std::set<std::string> words;
    for (const State state : states) {
      const Look look = look_of(state, link);
      INFO(word(state));
      CHECK_FALSE(look.frames.empty());
      frames.insert(look.frames), words.insert(look.word);
    }
    CHECK(frames.size() == states.size());
    CHECK(words.size() == states.size());
  }
}

TEST_CASE("a moved cavity is shaded, and has its letter") {
  for (const State state : {State::wired, State::empty, State::sealed, State::disputed}) {
    const Look still = look_of(state, ""), moved = look_of(state, "A");
    CHECK(still.grey_behind - moved.grey_behind >= visible_step);
  }
}

TEST_CASE("shaded cells of a table differ from paper and from its head's grey or by their symbol") {
  Sheet sheet;
  sheet.title = "Sheet";
  sheet.blocks.push_back(SheetTable{
      "", {"Head"}, {{Cell(Cell::Look::changed, "▲ a")}, {Cell(Cell::Look::uncertain, "△ b")}, {Cell("c")}}});
  const Display display = place(sheet, Paper::a4, Fixed());
  std::vector<double> greys;
  for (const Shape& shape : display.pages.at(0).shapes)
    greys.push_back(shape.fill == Shape::no_fill ? 255 : grey(shape.fill));
  REQUIRE(greys.size() == 4);
  CHECK(greys[3] - greys[1] >= visible_step);
  CHECK(greys[3] - greys[2] >= visible_step);
  CHECK(greys[2] - greys[1] >= visible_step / 2);
}

// Every chart of the corpus: a symbol on all that is shaded, and on nothing else.
TEST_CASE("what changed has its symbol as well as its shading") {
  size_t changed = 0, plain = 0;
  for (const char* const name : {"croft", "trailer-12v"}) {
    const Family family = packed(name);
    const reports::FamilyView view(family);
    for (Index place_at = 0; place_at < family.places.size(); ++place_at)
      for (uint32_t axis = 0; axis <= family.options.size(); ++axis)
        for (const Block& block : difference_chart(view, place_at, axis, "pack").blocks) {
          const auto* const table = std::get_if<SheetTable>(&block);
          if (!table) continue;
          for (const auto& row : table->rows)
            for (const Cell& cell : row) {
              const bool full = cell.text.rfind("▲ ", 0) == 0, open = cell.text.rfind("△ ", 0) == 0;
              CHECK(full == (cell.look == Cell::Look::changed));
              CHECK(open == (cell.look == Cell::Look::uncertain));
              ++(cell.look == Cell::Look::plain ? plain : changed);
            }
        }
  }
  CHECK(changed > 100);
  CHECK(plain > 100);
}
