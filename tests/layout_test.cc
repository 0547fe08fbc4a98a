// Sheets placed on paper, without drawing: generated faces and tables, and one sheet whole.
#include <algorithm>
#include <catch2/catch.hpp>
#include <cstdlib>
#include <fstream>
#include <random>
#include <sstream>

#include "layout/sheet.h"

using namespace loomproof;
using namespace loomproof::layout;

namespace {

// Every character as wide as the widest common one of a sans serif, more where it is bold.
class Fixed : public Measure {
 public:
  double width(std::string_view text, double size, bool bold) const override {
    const auto characters = std::count_if(text.begin(), text.end(), [](char c) { return (c & 0xC0) != 0x80; });
    return static_cast<double>(characters) * size * (bold ? 0.7 : 0.62);
  }
};

bool overlap(const Box& a, const Box& b) {
  constexpr double touch = 0.05;
  return a.x + touch < b.x + b.w && b.x + touch < a.x + a.w && a.y + touch < b.y + b.h && b.y + touch < a.y + a.h;
}
bool inside(const Box& a, const Box& b) {
  return a.x > b.x - 0.05 && a.y > b.y - 0.05 && a.x + a.w < b.x + b.w + 0.05 && a.y + a.h < b.y + b.h + 0.05;
}

// Everything that is true of every sheet. Two shapes may lie apart or one within the other, never across.
void hold_properties(const Display& display) {
  REQUIRE(!display.pages.empty());
  const Box paper{20, 20, display.width - 40, display.height - 40};
  size_t wrong = 0;
  std::ostringstream said;
  for (const Page& page : display.pages) {
    REQUIRE(!page.texts.empty());
    for (size_t a = 0; a < page.texts.size(); ++a) {
      const TextRun& run = page.texts[a];
      if (!inside(run.box, paper) || run.size < smallest_text || run.box.h < run.size) {
        said << "\"" << run.text << "\" is outside or too small"
             << "\n";
        ++wrong;
      }
      for (size_t b = a + 1; b < page.texts.size(); ++b) {
        if (!overlap(run.box, page.texts[b].box)) continue;
        said << "\"" << run.text << "\" over \"" << page.texts[b].text << "\""
             << "\n";
        ++wrong;
      }
      for (const Shape& shape : page.shapes) {
        if (shape.fill == 0x000000 && overlap(run.box, shape.box)) {
          said << "\"" << run.text << "\" under the black corner"
               << "\n";
          ++wrong;
        }
        if (shape.stroke == Stroke::none || !overlap(run.box, shape.box) || inside(run.box, shape.box)) continue;
        said << "\"" << run.text << "\" across a frame"
             << "\n";
        ++wrong;
      }
    }
    for (size_t a = 0; a < page.shapes.size(); ++a) {
      wrong += !inside(page.shapes[a].box, paper);
      for (size_t b = a + 1; b < page.shapes.size(); ++b) {
        const Box &one = page.shapes[a].box, &other = page.shapes[b].box;
        if (!overlap(one, other) || inside(one, other) || inside(other, one)) continue;
        said << "shapes " << a << " and " << b << " cross"
             << "\n";
        ++wrong;
      }
    }
  }
  INFO(said.str());
  CHECK(wrong == 0);
}

class Maker {
 public:
  explicit Maker(uint32_t seed) : random_(seed) {}
  size_t below(size_t count) { return random_() % count; }
  std::string name(size_t longest) {
    std::string text;
    for (size_t left = 1 + below(longest); left > 0; --left) text += below(9) == 0 ? ' ' : "aiMWgö"[below(5)];
    return text;
  }
  Sheet sheet(size_t ways, size_t longest) {
    Sheet made;
    made.title = name(longest), made.description = "generated", made.foot = name(2 * longest);
    for (size_t fact = 0; fact < 6; ++fact) made.facts.emplace_back("Fact", name(longest));
    if (below(2)) made.mark = "FIRING CIRCUIT. " + name(100);
    for (size_t caution = 0; caution < 5; ++caution) made.cautions.push_back(name(600));
    made.face.round = below(3) == 0;
    const size_t rows = 1 + below(4);
    static const char* const colours[] = {"GN/WH", "BU", "light BU/YE", "GNYE", "", "BK +1"};
    for (size_t way = 0; way < ways; ++way) {
      FaceCavity cavity{below(9) ? std::to_string(way + 1) : name(8), 0, 0, static_cast<State>(below(5)),
                        colours[below(6)]};
      cavity.x = static_cast<int32_t>(way / rows * 400 + (way % rows) * below(2) * 100);
      cavity.y = static_cast<int32_t>(way % rows * 350);
      if (made.face.round)
        cavity.x = static_cast<int32_t>(way % 7 * 510 + way), cavity.y = static_cast<int32_t>(way * 97);
      made.face.cavities.push_back(cavity);
    }
    made.table.heads = {"Cavity", "State", "Circuit", "Function", "Colour", "mm²", "Far ends", "Source", "Note"};
    for (size_t way = 0; way < ways; ++way) {
      made.table.rows.emplace_back();
      for (size_t cell = 0; cell < 9; ++cell) made.table.rows.back().push_back(below(4) ? name(12) : name(longest));
    }
    return made;
  }

 private:
  std::mt19937 random_;
};

Sheet small() {
  Sheet sheet;
  sheet.title = "REAR-LOOM C7: Rear loom", sheet.description = "Pinout sheet of REAR-LOOM C7.";
  sheet.facts = {{"Family", "Quill"}, {"Cavities", "5, of which one in each state"}};
  sheet.cautions = {"Disconnect the battery first."};
  sheet.face.words = "key: A";
  const char* const colours[] = {"GN/WH", "", "", "", ""};
  for (int32_t way = 0; way < 5; ++way)
    sheet.face.cavities.push_back(
        {std::to_string(way + 1), way % 3 * 500, way / 3 * 600, static_cast<State>(way), colours[way]});
  sheet.table = {{"Cavity", "State", "Function"},
                 {{"1", "wired", "Tail lamp"},
                  {"2", "empty", ""},
                  {"3", "sealed", ""},
                  {"4", "disputed", ""},
                  {"5", "unknown", ""}}};
  sheet.foot = "Quill (quill), pack 0123";
  return sheet;
}

size_t count_runs(const Display& display, const std::string& text) {
  size_t count = 0;
  for (const Page& page : display.pages)
    for (const TextRun& run : page.texts) count += run.text == text;
  return count;
}

}  // namespace

TEST_CASE("nothing overlaps, leaves its page or is too small, from 2 to 120 ways") {
  const Fixed measure;
  for (uint32_t seed = 0; seed < 60; ++seed) {
    Maker maker(seed);
    const size_t ways = seed < 2 ? 2 : seed < 4 ? 120 : 2 + maker.below(119);
    const size_t longest = seed % 3 == 0 ? 200 : 40;
    const Sheet sheet = maker.sheet(ways, longest);
    for (const Paper paper : {Paper::a4, Paper::a3, Paper::letter}) {
      INFO("seed " << seed << ", " << ways << " ways, paper " << static_cast<int>(paper));
      hold_properties(place(sheet, paper, measure));
    }
  }
}

TEST_CASE("what is on a sheet is all on its pages") {
  const Fixed measure;
  for (uint32_t seed = 0; seed < 10; ++seed) {
    Maker maker(seed);
    const Sheet sheet = maker.sheet(30, 200);
    const Display display = place(sheet, Paper::a4, measure);
    size_t wanted = 0, drawn = 0;
    const auto letters = [](const std::string& text) {
      return static_cast<size_t>(std::count_if(text.begin(), text.end(), [](char c) { return c == 'M' || c == 'W'; }));
    };
    for (const auto& row : sheet.table.rows)
      for (const std::string& cell : row) wanted += letters(cell);
    for (const auto& [name, value] : sheet.facts) wanted += letters(value);
    for (const std::string& text : sheet.cautions) wanted += letters(text);
    for (const FaceCavity& cavity : sheet.face.cavities) {
      wanted += 2 * (letters(cavity.number) + (cavity.state == State::wired ? letters(cavity.colour) : 0));
      if (&cavity == &sheet.face.cavities.front()) wanted += letters(cavity.number);  // in the legend
    }
    wanted += letters(sheet.title) + letters(sheet.mark) + letters(sheet.foot) * display.pages.size();
    for (const Page& page : display.pages)
      for (const TextRun& run : page.texts) drawn += letters(run.text);
    // "IEC" has none; "FIRING" none; of our own words only these hold such letters
    CHECK(drawn == wanted);
    CHECK(count_runs(display, "Cavity") >= 1);
  }
}

TEST_CASE("heads are repeated, pages are counted") {
  const Fixed measure;
  Maker maker(7);
  const Sheet sheet = maker.sheet(120, 12);
  const Display display = place(sheet, Paper::a4, measure);
  REQUIRE(display.pages.size() > 2);
  const std::string last =
      "page " + std::to_string(display.pages.size()) + " of " + std::to_string(display.pages.size());
  CHECK(count_runs(display, last) == 1);
  size_t with_rows = 0;
  for (const Page& page : display.pages)
    with_rows +=
        std::any_of(page.texts.begin(), page.texts.end(), [](const TextRun& run) { return run.text == "Far ends"; });
  CHECK(with_rows == count_runs(display, "Far ends"));
  CHECK(with_rows >= 2);
}

// The mating side is the mirror image of the wire side: left and right change, up and down do not.
TEST_CASE("both views, mirrored") {
  const Fixed measure;
  const Display display = place(small(), Paper::a4, measure);
  std::vector<Box> ones, twos, fours;
  for (const TextRun& run : display.pages.at(0).texts) {
    if (!run.bold || run.size != 8) continue;
    if (run.text == "1") ones.push_back(run.box);
    if (run.text == "2") twos.push_back(run.box);
    if (run.text == "4") fours.push_back(run.box);
  }
  REQUIRE(ones.size() >= 2);
  CHECK(ones[0].x < twos[0].x);
  CHECK(ones[1].x > twos[1].x);
  CHECK(ones[0].y < fours[0].y);
  CHECK(ones[1].y < fours[1].y);
  CHECK(count_runs(display, "Face, seen from the wire side") == 1);
  CHECK(count_runs(display, "Face, seen from the mating side") == 1);
}

TEST_CASE("the mark of a firing plug and its cautions stand before the faces and the table") {
  const Fixed measure;
  Sheet sheet = small();
  sheet.mark = "FIRING CIRCUIT";
  const Display display = place(sheet, Paper::a4, measure);
  const auto& texts = display.pages.at(0).texts;
  const auto at = [&](const std::string& text) {
    return std::find_if(texts.begin(), texts.end(), [&](const TextRun& run) { return run.text == text; }) -
           texts.begin();
  };
  CHECK(at("FIRING CIRCUIT") == 1);
  CHECK(at("• Disconnect the battery first.") == 2);
  CHECK(at("Cavity") < static_cast<std::ptrdiff_t>(texts.size()));
  CHECK(at("Read the cautions below the table before a hand or a probe goes near the plug.") ==
        static_cast<std::ptrdiff_t>(texts.size()));
}

TEST_CASE("a sheet as a whole") {
  const std::string path = std::string(LOOMPROOF_SOURCE_DIR) + "/tests/fixtures/layout/small.txt";
  const std::string got = dump(place(small(), Paper::a4, Fixed()));
  if (std::getenv("UPDATE_EXPECTED")) std::ofstream(path) << got;
  std::stringstream expected;
  expected << std::ifstream(path).rdbuf();
  CHECK(got == expected.str());
}
