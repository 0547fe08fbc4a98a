// Sheets to check plugs by eye, for every part of the corpus.
#include <algorithm>
#include <catch2/catch.hpp>
#include <cstdlib>
#include <fstream>
#include <map>
#include <sstream>

#include "layout/sheet_parts.h"
#include "layout/sheets.h"
#include "nets/variants.h"
#include "packed.h"

using namespace loomproof;
using namespace loomproof::layout;
using namespace loomproof::testing;

namespace {

constexpr const char* tick = "☐";

// What a sheet says, block by block.
class Words {
 public:
  void operator()(const Heading& block) { text_ += "\n# " + block.text + "\n"; }
  void operator()(const Paragraph& block) { text_ += block.text + "\n"; }
  void operator()(const Warning& block) {
    text_ += "[" + block.text + "]\n";
    for (const std::string& caution : block.cautions) text_ += "  " + caution + "\n";
  }
  void operator()(const FactList& block) {
    for (const auto& [name, value] : block.rows) text_ += name + ": " + value + "\n";
  }
  void operator()(const BothFaces& block) {
    text_ += "(both faces:";
    for (const FaceCavity& cavity : block.face.cavities) text_ += " " + cavity.number;
    text_ += ")\n";
  }
  void operator()(const LinkedFaces&) { text_ += "(linked faces)\n"; }
  void operator()(const Legend&) { text_ += "(legend)\n"; }
  void operator()(const SheetTable& block) {
    for (const std::string& head : block.heads) text_ += "| " + head + " ";
    text_ += "|\n";
    for (const auto& row : block.rows) {
      for (const Cell& cell : row) text_ += "| " + cell.text + (cell.text.empty() ? "" : " ");
      text_ += "|\n";
    }
  }
  std::string take() { return std::move(text_); }

 private:
  std::string text_;
};

std::string words_of(const Sheet& sheet) {
  Words words;
  for (const Block& block : sheet.blocks) std::visit(words, block);
  return sheet.title + "\n" + sheet.description + "\n" + words.take() + sheet.foot + "\n";
}

Sheet sheet_of(const reports::FamilyView& view, std::string_view place, std::string_view designator) {
  const Family& family = view.family();
  for (Index part = 0; part < family.parts.size(); ++part) {
    if (view.place_id(part) != place) continue;
    for (const Variant& variant : variants(family, part))
      for (const ShownConnector& one : connectors_shown(view, part, variant.cells))
        if (view.text(family.connectors[one.connector].designator) == designator)
          return plug_check_sheet(view, one.connector, one.pinout, "pack 0123");
  }
  FAIL("no such connector");
  return {};
}

bool has_head(const SheetTable& table, const char* head) {
  return std::find(table.heads.begin(), table.heads.end(), head) != table.heads.end();
}

bool has_box(const std::vector<Cell>& row) {
  return std::any_of(row.begin(), row.end(), [](const Cell& cell) { return cell.text == tick; });
}

}  // namespace

TEST_CASE("plug-check sheets as a whole: an ordinary plug, one with gaps in what is known, one that fires") {
  const Family croft = packed("croft"), radio = packed("audio-iso10487");
  const reports::FamilyView view(croft), audio(radio);
  std::string got;
  for (const Sheet& sheet :
       {sheet_of(view, "TAIL-LOOM", "T1"), sheet_of(audio, "RADIO", "A"), sheet_of(view, "BELT-LOOM", "Y1")})
    got += words_of(sheet) + "\n----\n";
  const std::string path = std::string(LOOMPROOF_SOURCE_DIR) + "/tests/fixtures/layout/plug-check.txt";
  if (std::getenv("UPDATE_EXPECTED")) std::ofstream(path) << got;
  std::stringstream expected;
  expected << std::ifstream(path).rdbuf();
  CHECK(got == expected.str());
}

// A box says "as recorded": only where something is recorded, and never where a plug would have to be opened that
// fires.
TEST_CASE("each cavity once, with a box where there is something to be the same as") {
  size_t boxes = 0, open = 0, firing = 0, seals = 0;
  for (const char* const name : {"croft", "trailer-12v", "trailer-24v", "diagnostic-j1962", "audio-iso10487"}) {
    const Family family = packed(name);
    const reports::FamilyView view(family);
    for (Index part = 0; part < family.parts.size(); ++part)
      for (const Variant& variant : variants(family, part)) {
        const std::vector<ShownConnector> shown = connectors_shown(view, part, variant.cells);
        if (shown.empty()) continue;
        const Sheet sheet = plug_check_sheet(view, part, variant.cells, "pack");
        size_t at = 0;
        for (const Block& block : sheet.blocks) {
          const auto* const table = std::get_if<SheetTable>(&block);
          if (!table || table->heads[0] != "Cavity") continue;
          REQUIRE(at < shown.size());
          const ShownConnector& one = shown[at++];
          INFO(name << " " << view.connector_name(one.connector));
          std::map<std::string, State> states;
          for (const reports::PinoutRow& row : one.pinout.rows) states.emplace(row.cavity, row.state);
          CHECK(table->rows.size() == states.size());
          const bool fires = one.danger != reports::Danger::ordinary;
          CHECK(has_head(*table, "What I see") != fires);
          for (const auto& row : table->rows) {
            const State state = states.at(row[0].text.substr(0, row[0].text.find(' ')));
            const bool is_known = state != State::unknown && state != State::disputed;
            CHECK(has_box(row) == (is_known && !fires));
            (fires ? firing : is_known ? boxes : open) += 1;
            seals += state == State::sealed;
          }
        }
        CHECK(at == shown.size());
      }
  }
  CHECK(boxes > 500);
  CHECK(open > 20);
  CHECK(firing > 5);
  CHECK(seals > 0);
}

TEST_CASE("what may fire: cautions first, looked at from outside only") {
  const Family family = packed("croft");
  const reports::FamilyView view(family);
  const Sheet sheet = sheet_of(view, "BELT-LOOM", "Y1");
  const auto* const warning = std::get_if<Warning>(&sheet.blocks.at(0));
  REQUIRE(warning);
  CHECK(warning->text.find("FIRING CIRCUIT") == 0);
  CHECK(warning->cautions.size() > 3);
  bool told = false;
  for (const Block& block : sheet.blocks) {
    if (const auto* const words = std::get_if<Paragraph>(&block))
      told = told || words->text.find("never unplugged, opened or probed") != std::string::npos;
    if (const auto* const table = std::get_if<SheetTable>(&block))
      for (const auto& row : table->rows)
        for (const char* const inside : {"Terminals", "Seals", "Secondary lock", "Bar while open"})
          CHECK(row[0].text != inside);
  }
  CHECK(told);
}
