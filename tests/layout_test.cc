// Sheets placed on paper, without drawing: generated faces and tables, and one sheet whole.
#include <algorithm>
#include <catch2/catch.hpp>
#include <cstdlib>
#include <fstream>
#include <sstream>

#include "random_sheet.h"

using namespace loomproof;
using namespace loomproof::layout;
using namespace loomproof::testing;

namespace {

bool overlap(const Box& a, const Box& b) {
  constexpr double touch = 0.05;
  return a.x + touch < b.x + b.w && b.x + touch < a.x + a.w && a.y + touch < b.y + b.h && b.y + touch < a.y + a.h;
}
bool inside(const Box& a, const Box& b) {
  return a.x > b.x - 0.05 && a.y > b.y - 0.05 && a.x + a.w < b.x + b.w + 0.05 && a.y + a.h < b.y + b.h + 0.05;
}

// Whether a slanting line meets a box: one of its points in small steps lies in it.
bool meets(const Shape& line, const Box& box) {
  for (int step = 0; step <= 400; ++step) {
    const double x = line.box.x + line.box.w * step / 400, y = line.box.y + line.box.h * step / 400;
    if (x > box.x && x < box.x + box.w && y > box.y && y < box.y + box.h) return true;
  }
  return false;
}

// Everything that is true of every sheet. Two shapes may lie apart or one within the other, never across; a line that
// links two faces goes behind what is in its way, so that it crosses no text that can be seen.
std::vector<std::string> faults_of(const Page& page, const Box& paper) {
  std::vector<std::string> faults;
  for (size_t a = 0; a < page.texts.size(); ++a) {
    const TextRun& run = page.texts[a];
    if (!inside(run.box, paper) || run.size < smallest_text || run.box.h < run.size)
      faults.push_back("\"" + run.text + "\" is outside or too small");
    for (size_t b = a + 1; b < page.texts.size(); ++b)
      if (overlap(run.box, page.texts[b].box))
        faults.push_back("\"" + run.text + "\" over \"" + page.texts[b].text + "\"");
    for (size_t at = 0; at < page.shapes.size(); ++at) {
      const Shape& shape = page.shapes[at];
      if (shape.line) {
        if (!meets(shape, run.box)) continue;
        const bool hidden = std::any_of(
            page.shapes.begin() + static_cast<std::ptrdiff_t>(at), page.shapes.end(),
            [&](const Shape& over) { return !over.line && over.fill != Shape::no_fill && inside(run.box, over.box); });
        if (!hidden) faults.push_back("a line through \"" + run.text + "\"");
        continue;
      }
      if ((shape.fill == 0x000000 || shape.fill == 0x404040) && overlap(run.box, shape.box))
        faults.push_back("\"" + run.text + "\" on black");
      if (shape.stroke != Stroke::none && overlap(run.box, shape.box) && !inside(run.box, shape.box))
        faults.push_back("\"" + run.text + "\" across a frame");
    }
  }
  for (size_t a = 0; a < page.shapes.size(); ++a) {
    const Box& one = page.shapes[a].box;
    if (!inside({std::min(one.x, one.x + one.w), std::min(one.y, one.y + one.h), std::abs(one.w), std::abs(one.h)},
                paper))
      faults.push_back("a shape outside");
    for (size_t b = a + 1; b < page.shapes.size(); ++b) {
      const Box& other = page.shapes[b].box;
      if (page.shapes[a].line || page.shapes[b].line) continue;
      if (overlap(one, other) && !inside(one, other) && !inside(other, one))
        faults.push_back("shapes " + std::to_string(a) + " and " + std::to_string(b) + " cross");
    }
  }
  return faults;
}

// Of a page what is its own, above the foot that says where it comes from.
std::vector<TextRun> body_of(const Page& page) {
  std::vector<TextRun> body;
  for (const TextRun& run : page.texts)
    if (run.box.y < page.texts.back().box.y - 0.01) body.push_back(run);
  return body;
}

// No heading, warning or table's head is the last on its page: what it leads stands there with it. Only what ends the
// whole sheet leads nothing.
std::vector<std::string> left_alone(const Page& page) {
  std::vector<std::string> faults;
  const std::vector<TextRun> body = body_of(page);
  if (body.back().bold && body.back().size >= 10) faults.push_back("\"" + body.back().text + "\" leads nothing");
  for (const Shape& shape : page.shapes)
    if (shape.fill == 0xe6e6e6 && std::none_of(body.begin(), body.end(), [&](const TextRun& run) {
          return run.box.y >= shape.box.y + shape.box.h - 0.05;
        }))
      faults.push_back("a table's head without a row");
  return faults;
}

void hold_properties(const Display& display) {
  REQUIRE(!display.pages.empty());
  const Box paper{20, 20, display.width - 40, display.height - 40};
  for (size_t number = 0; number < display.pages.size(); ++number) {
    REQUIRE(!display.pages[number].texts.empty());
    std::vector<std::string> faults = faults_of(display.pages[number], paper);
    for (const std::string& fault : left_alone(display.pages[number])) faults.push_back(fault);
    INFO("page " << number + 1 << ": " << (faults.empty() ? "" : faults.front()));
    CHECK(faults.empty());
  }
}

Sheet small() {
  Sheet sheet;
  sheet.title = "REAR-LOOM C7: Rear loom", sheet.description = "Pinout sheet of REAR-LOOM C7.";
  Face face;
  face.words = "key: two ribs above", face.key = key_of("two ribs above");
  const char* const colours[] = {"GN/WH", "", "", "", ""};
  for (int32_t way = 0; way < 5; ++way)
    face.cavities.push_back(
        {std::to_string(way + 1), way % 3 * 500, way / 3 * 600, static_cast<State>(way), colours[way], {}});
  sheet.blocks = {FactList{{{"Family", "Quill"}, {"Cavities", "5, of which one in each state"}}},
                  BothFaces{face},
                  Legend{},
                  SheetTable{"Cavities",
                             {"Cavity", "State", "Function"},
                             {{"1", "wired", "Tail lamp"},
                              {"2", "empty", ""},
                              {"3", "sealed", ""},
                              {"4", "disputed", ""},
                              {"5", "unknown", ""}}},
                  Heading{"Cautions"},
                  Paragraph{"• Disconnect the battery first."}};
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

TEST_CASE("linked faces: nothing overlaps, and no line goes through a text") {
  const Fixed measure;
  size_t lines = 0;
  for (uint32_t seed = 0; seed < 100; ++seed) {
    Maker maker(seed);
    const size_t ways = 2 + maker.below(seed < 90 ? 8 : 80);
    const Display display = place(maker.linked(ways), Paper::a4, measure);
    INFO("seed " << seed << ", " << ways << " ways");
    hold_properties(display);
    for (const Page& page : display.pages)
      for (const Shape& shape : page.shapes) lines += shape.line && shape.box.h > 1;
  }
  CHECK(lines > 50);
}

TEST_CASE("what is on a sheet is all on its pages") {
  const Fixed measure;
  const auto letters = [](const std::string& text) {
    return static_cast<size_t>(std::count_if(text.begin(), text.end(), [](char c) { return c == 'M' || c == 'W'; }));
  };
  for (uint32_t seed = 0; seed < 10; ++seed) {
    Maker maker(seed);
    Sheet sheet = maker.sheet(30, 200);
    for (Block& block : sheet.blocks)
      if (auto* const faces = std::get_if<BothFaces>(&block)) faces->face.title.clear();
    std::erase_if(sheet.blocks, [](const Block& block) {  // on every page again, and in words of our own
      const auto* const heading = std::get_if<Heading>(&block);
      return (heading && heading->section) || std::holds_alternative<Legend>(block);
    });
    const Display display = place(sheet, Paper::a4, measure);
    size_t wanted = (letters(sheet.title) + letters(sheet.foot)) * display.pages.size(), drawn = 0;
    for (const Block& block : sheet.blocks) {
      if (const auto* const facts = std::get_if<FactList>(&block))
        for (const auto& [name, value] : facts->rows) wanted += letters(name) + letters(value);
      if (const auto* const heading = std::get_if<Heading>(&block)) wanted += letters(heading->text);
      if (const auto* const paragraph = std::get_if<Paragraph>(&block)) wanted += letters(paragraph->text);
      if (const auto* const warning = std::get_if<Warning>(&block)) {
        wanted += letters(warning->text);
        for (const std::string& caution : warning->cautions) wanted += letters(caution);
      }
      if (const auto* const table = std::get_if<SheetTable>(&block)) {
        wanted += letters(table->heading);
        for (const auto& row : table->rows)
          for (const Cell& cell : row) wanted += letters(cell.text);
      }
      if (const auto* const faces = std::get_if<BothFaces>(&block)) {
        for (const FaceCavity& cavity : faces->face.cavities)
          wanted += 2 * (letters(cavity.number) + (cavity.state == State::wired ? letters(cavity.colour) : 0));
      }
    }
    for (const Page& page : display.pages)
      for (const TextRun& run : page.texts) drawn += letters(run.text);
    CHECK(drawn == wanted);
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

TEST_CASE("a legend tells what occurs on the faces of its sheet, and nothing else") {
  const char* const looks[] = {"plain frame, wired", "dashed frame, empty", "double frame, sealed",
                               "thick frame, disputed", "double dashed frame, unknown"};
  for (uint32_t mask = 1; mask < 32; ++mask) {
    Face face;
    for (int32_t state = 0; state < 5; ++state)
      if (mask >> state & 1)
        face.cavities.push_back({std::to_string(state), state * 500, 0, static_cast<State>(state), {}, {}});
    Sheet sheet;
    sheet.blocks = {Legend{}, BothFaces{face}};
    std::string text;
    const Display display = place(sheet, Paper::a4, Fixed());
    for (const TextRun& run : display.pages.at(0).texts) text += run.text + " ";
    INFO(text);
    for (size_t state = 0; state < 5; ++state)
      CHECK((text.find(looks[state]) != std::string::npos) == (mask >> state & 1));
    CHECK(text.find("IEC 60757") == std::string::npos);
    CHECK(text.find("the key") == std::string::npos);
    CHECK(text.find("moved") == std::string::npos);
  }
}

// Whatever stands before it, and so wherever on a page it begins: a heading has with it its face and its table's head,
// and a table's head two rows; and no row is alone on the last page.
TEST_CASE("a heading, its face and the start of its table stay together") {
  const Fixed measure;
  size_t moved = 0;
  for (size_t before = 0; before < 66; ++before)
    for (size_t rows = 1; rows < 6; ++rows)
      for (const int kind : {0, 1, 2, 3, 4}) {
        Sheet sheet;
        sheet.title = "Sheet", sheet.foot = "foot";
        for (size_t line = 0; line < before; ++line) sheet.blocks.emplace_back(Paragraph{"before", false});
        SheetTable table{kind == 2 ? "Leads" : "", {"Head", "Other"}, {}};
        for (size_t row = 0; row < rows; ++row) table.rows.push_back({"row", "other"});
        Maker maker(1);
        Face face = maker.face(4);
        face.title = "Face";
        if (kind != 2) sheet.blocks.push_back(Heading{"Leads", kind < 2});
        if (kind == 1) sheet.blocks.push_back(BothFaces{face});
        if (kind == 3) sheet.blocks.push_back(Warning{"Warns", {}});
        if (kind == 4) sheet.blocks.emplace_back(Paragraph{std::string(800, 'p'), false});  // some eight lines
        sheet.blocks.push_back(table);
        // So much behind it that no page is saved by setting all closer, which would hide where it began.
        for (size_t line = 0; line < 35; ++line) sheet.blocks.emplace_back(Paragraph{"behind", false});
        const Display display = place(sheet, Paper::a4, measure);
        INFO("after " << before << " lines, " << rows << " rows, kind " << kind);
        hold_properties(display);
        for (const Page& page : display.pages) {
          const auto count = [&](const std::string& text) {
            return std::count_if(page.texts.begin(), page.texts.end(),
                                 [&](const TextRun& run) { return run.text.substr(0, text.size()) == text; });
          };
          if (count("Leads") > 0 && kind == 4) CHECK(count("ppp") > 0);
          if (count("Leads") > 0 && kind != 4) {
            CHECK(count("Head") == 1);
            CHECK(count("row") >= static_cast<long>(std::min<size_t>(rows, 2)));
            CHECK(count("Face") == (kind == 1 ? 2 : 0));
            moved += display.pages.size() > 1;
          }
          if (rows > 1) CHECK(count("row") != 1);
        }
      }
  CHECK(moved > 50);
}

// Fifty rows have room with the usual gaps; a few more are set closer rather than put on a page of their own.
TEST_CASE("no last page for a row or two") {
  const Fixed measure;
  for (size_t rows = 30; rows < 160; ++rows) {
    Sheet sheet;
    sheet.title = "Sheet", sheet.foot = "foot";
    SheetTable table{"", {"Head"}, {}};
    for (size_t row = 0; row < rows; ++row) table.rows.push_back({"row"});
    sheet.blocks.push_back(table);
    const Display display = place(sheet, Paper::a4, measure);
    const auto& last = display.pages.back().texts;
    const auto on_last = std::count_if(last.begin(), last.end(), [](const TextRun& run) { return run.text == "row"; });
    INFO(rows << " rows, " << display.pages.size() << " pages");
    CHECK(on_last > 4);
  }
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

// Common practice, no source: what a plug's key looks like is said in words, of which these are drawn.
TEST_CASE("keys that are drawn, and others") {
  CHECK(key_of("one rib above").form == Key::Form::ribs);
  CHECK(key_of("two ribs below").count == 2);
  CHECK_FALSE(key_of("two ribs below").above);
  CHECK(key_of("bevelled corner at cavity 12").at == "12");
  CHECK(key_of("a notch between cavities 8 and 1").and_at == "1");
  CHECK(key_of("a flat below").form == Key::Form::flat);
  for (const char* const words :
       {"", "one wide rib", "two ribs above the latch", "a rib above", "a notch between cavities 8"})
    CHECK(key_of(words).form == Key::Form::words);
}

// The cut corner is the one at its cavity in both views; two ribs stand above in both.
TEST_CASE("a key is drawn where it is, from either side") {
  const Fixed measure;
  Face face;
  for (int32_t way = 0; way < 6; ++way)
    face.cavities.push_back({std::to_string(way + 1), way % 3 * 500, way / 3 * 600, State::empty, {}, {}});
  face.key = key_of("bevelled corner at cavity 6");
  CHECK(picture(face, View::wire_side, measure).pages[0].shapes[0].bevel == Corner::low_right);
  CHECK(picture(face, View::mating_side, measure).pages[0].shapes[0].bevel == Corner::low_left);
  face.key = key_of("two ribs above");
  for (const View view : {View::wire_side, View::mating_side}) {
    const std::vector<Shape> shapes = picture(face, view, measure).pages[0].shapes;
    CHECK(std::abs(shapes[1].box.y + shapes[1].box.h - shapes[0].box.y) < 0.01);
    CHECK(std::abs(shapes[2].box.y - shapes[1].box.y) < 0.01);
  }
}

TEST_CASE("the warning and its cautions stand before the faces and the table, in its own frame") {
  const Fixed measure;
  Sheet sheet = small();
  sheet.blocks.insert(sheet.blocks.begin(), Warning{"FIRING CIRCUIT", {"Never a probe."}});
  const Display display = place(sheet, Paper::a4, measure);
  const auto& texts = display.pages.at(0).texts;
  CHECK(texts.at(1).text == "FIRING CIRCUIT");
  CHECK(texts.at(2).text == "• Never a probe.");
  CHECK(display.pages[0].shapes.at(0).stroke == Stroke::thick);
}

TEST_CASE("landscape where that takes fewer pages, or as many and the table is wide") {
  const Fixed measure;
  Sheet sheet = small();
  CHECK(place(sheet, Paper::a4, measure).width < place(sheet, Paper::a4, measure).height);
  sheet.blocks.push_back(SheetTable{"", {"A", "B"}, {{std::string(60, 'a'), std::string(60, 'b')}}});
  const Display wide = place(sheet, Paper::a4, measure);
  CHECK(wide.width > wide.height);
}

TEST_CASE("SVG: escaped, said in words, and as wide as measured") {
  Sheet sheet = small();
  sheet.title = "<script>alert(\"1\")</script> & more";
  const std::string svg = to_svg(place(sheet, Paper::a4, Fixed()));
  CHECK(svg.find("<script") == std::string::npos);
  CHECK(svg.find("&lt;script&gt;alert(&quot;1&quot;)&lt;/script&gt; &amp; more</title>") != std::string::npos);
  CHECK(svg.find("textLength") != std::string::npos);
  CHECK(svg.find("role=\"graphics-document\"") != std::string::npos);
}

TEST_CASE("a sheet as a whole") {
  const std::string path = std::string(LOOMPROOF_SOURCE_DIR) + "/tests/fixtures/layout/small.txt";
  const std::string got = dump(place(small(), Paper::a4, Fixed()));
  if (std::getenv("UPDATE_EXPECTED")) std::ofstream(path) << got;
  std::stringstream expected;
  expected << std::ifstream(path).rdbuf();
  CHECK(got == expected.str());
}
