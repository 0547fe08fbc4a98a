// What breaks readers of packs: one break for one fact, whatever the metal does. And what follows at the far ends of
// the circuits from what was written. The croft, edited in memory.
#include <catch2/catch.hpp>
#include <random>

#include "review/breaks.h"
#include "review/render.h"
#include "review_edits.h"

namespace lt = loomproof::testing;
using namespace loomproof;
using lt::breaks_of;
using lt::croft_after;
using lt::croft_alone;
using lt::croft_with;
using lt::file_of;
using lt::rename_word;
using lt::replace_once;
using lt::words_of;
using Words = std::vector<std::string>;

namespace {

const std::string pump = "./families/croft/looms/pump.yaml", chassis = "./families/croft/looms/chassis.yaml",
                  family_file = "./families/croft/family.yaml";

// A word renamed in every file of the croft.
lt::FixtureFiles renamed(const std::string& was, const std::string& becomes) {
  lt::FixtureFiles files = croft_alone();
  size_t count = 0;
  for (auto& [path, text] : files.files)
    if (path.find("/families/croft/") != std::string::npos) count += rename_word(text, was, becomes);
  REQUIRE(count > 0);
  return files;
}

const Family& croft() {
  return lt::croft_base().families.front().family;
}

// The croft in tables, edited there: for what the compiler would report.
template <typename Edit>
Words breaks_after(Edit edit) {
  Family head = croft();
  edit(head);
  Family base = croft();
  const std::vector<review::Rename> renames = review::apply_renames(base, head);
  Words words;
  for (const review::Break& each : review::find_breaks(base, head, renames))
    words.push_back(std::string(review::word(each.kind)) + ": " + each.words);
  return words;
}
Str text_of(Family& family, const std::string& text) {
  family.strings.push_back(text);
  return static_cast<Str>(family.strings.size() - 1);
}

}  // namespace

TEST_CASE("nothing changed breaks nobody, nor does a change of metal alone") {
  CHECK(breaks_of(croft_after(croft_alone())).empty());
  CHECK(breaks_of(croft_with(pump, "colour: GN/WH", "colour: GN/RD")).empty());
}

TEST_CASE("an id renamed everywhere is one renaming, one break and no change") {
  const auto [was, becomes, words] = GENERATE(table<std::string, std::string, std::string>({
      {"RACK-REF", "RACK-SUPPLY", "circuit RACK-REF renamed RACK-SUPPLY"},
      {"STOP-SOLENOID", "FUEL-STOP", "place STOP-SOLENOID renamed FUEL-STOP"},
      {"exhaust-brake", "motor-brake", "option exhaust-brake renamed motor-brake"},
      {"unit-24-d", "unit-24-e", "part unit-24-d renamed unit-24-e"},
      {"unit-12-on-24", "unit-of-half-volts", "combination unit-12-on-24 renamed unit-of-half-volts"},
  }));
  INFO(was);
  const review::FamilyReview croft = croft_after(renamed(was, becomes));
  CHECK(croft.renamed == Words{words});
  CHECK(breaks_of(croft) == Words{"renamed: " + words});
  CHECK(words_of(croft).empty());
  CHECK(review::summary_of(croft) == "1 renamed");
}

TEST_CASE("ids of every other kind, renamed in the tables") {
  const auto rename_row = [](Family& head, auto& rows, const std::string& was, const std::string& becomes) {
    size_t count = 0;
    for (auto& row : rows)
      if (head.text(row.id) == was) row.id = text_of(head, becomes), ++count;
    REQUIRE(count > 0);
  };
  const auto review_of = [](const Family& head) {
    return review::review({{"croft", &croft(), "a", ""}}, {{"croft", &head, "b", ""}}).families.at(0);
  };
  Family head = croft();
  rename_row(head, head.eras, "d", "e");
  CHECK(breaks_of(review_of(head)) == Words{"renamed: era d renamed e"});
  CHECK(words_of(review_of(head)).empty());
  head = croft();
  rename_row(head, head.option_values, "fitted", "there");
  CHECK(breaks_of(review_of(head)) == Words{"renamed: option value fitted renamed there in exhaust-brake"});
  CHECK(words_of(review_of(head)).empty());
  head = croft();
  rename_row(head, head.housings, "pump-5-plug", "pump-plug");
  for (ChangeItem& item : head.change_items) CHECK(head.text(item.was) != "pump-5-plug");
  CHECK(breaks_of(review_of(head)) == Words{"renamed: housing pump-5-plug renamed pump-plug"});
  CHECK(words_of(review_of(head)).empty());
  // A source is no id that anybody asks for: renamed, and no break.
  head = croft();
  rename_row(head, head.sources, "croft-bulletin-7", "croft-bulletin-seven");
  CHECK(breaks_of(review_of(head)).empty());
  CHECK(review_of(head).renamed == Words{"source croft-bulletin-7 renamed croft-bulletin-seven"});
  CHECK(words_of(review_of(head)).empty());
}

TEST_CASE("designators and what is inside are renamed as one, in whatever places the part is") {
  {
    lt::FixtureFiles files = croft_alone();
    rename_word(file_of(files, pump), "P2", "P9");
    rename_word(file_of(files, family_file), "P2", "P9");
    const review::FamilyReview croft = croft_after(files);
    CHECK(breaks_of(croft) == Words{"renamed: connector P2 renamed P9 in pump"});
    CHECK(words_of(croft).empty());
  }
  {
    lt::FixtureFiles files = croft_alone();
    REQUIRE(rename_word(file_of(files, "./families/croft/components/glow-plug.yaml"), "R1", "HEATER") == 1);
    const review::FamilyReview croft = croft_after(files);
    CHECK(breaks_of(croft) == Words{"renamed: inside element R1 renamed HEATER in glow-plug"});
    CHECK(words_of(croft).empty());
  }
  {
    lt::FixtureFiles files = croft_alone();
    rename_word(file_of(files, pump), "E30", "E39");
    const review::FamilyReview croft = croft_after(files);
    CHECK(breaks_of(croft) == Words{"renamed: earth E30 renamed E39 in pump"});
    CHECK(words_of(croft).empty());
  }
}

TEST_CASE("a designator and a circuit in it, renamed at once, are two facts") {
  lt::FixtureFiles files = renamed("RACK-POS", "RACK-SIG");
  rename_word(file_of(files, pump), "P2", "P7");
  rename_word(file_of(files, family_file), "P2", "P7");
  const review::FamilyReview croft = croft_after(files);
  CHECK(breaks_of(croft) ==
        Words{"renamed: connector P2 renamed P7 in pump", "renamed: circuit RACK-POS renamed RACK-SIG"});
  CHECK(words_of(croft).empty());
}

TEST_CASE("a family renamed is compared with itself, and one that is gone breaks its readers") {
  lt::FixtureFiles files = croft_alone();
  lt::FixtureFiles moved = files;
  moved.files.clear();
  for (auto& [path, text] : files.files) {
    std::string to = path;
    lt::replace_all(to, "/families/croft/", "/families/fell/");
    moved.files[to] = text;
  }
  replace_once(file_of(moved, "./families/fell/family.yaml"), "family: croft", "family: fell");
  replace_once(file_of(moved, "./families/fell/looms/pump.yaml"), "colour: GN/WH", "colour: GN/RD");
  const std::unique_ptr<Compiled> head = lt::compile_files(moved);
  review::Review review = review::review(lt::inputs(lt::croft_base()), lt::inputs(*head));
  REQUIRE(review.families.size() == 1);
  CHECK(review.families[0].id == "fell");
  CHECK(review.families[0].was == "croft");
  CHECK(breaks_of(review.families[0]) == Words{"renamed: family croft renamed fell"});
  CHECK(words_of(review.families[0]) == Words{"RACK-POS recoloured from GN/WH to GN/RD at P1.4"});

  review = review::review(lt::inputs(lt::croft_base()), {});
  REQUIRE(review.families.size() == 1);
  CHECK(breaks_of(review.families[0]) == Words{"gone: family croft is gone"});
}

TEST_CASE("what is gone is told once, with what goes with it") {
  // A connector.
  CHECK(breaks_after([](Family& head) {
          for (Connector& row : head.connectors)
            if (head.text(row.designator) == "C41") row.designator = text_of(head, "C99");
          for (Wire& wire : head.wires)  // and it does other work
            for (const Index end : {wire.from, wire.to})
              if (head.points[end].connector != none &&
                  head.text(head.connectors[head.points[end].connector].designator) == "C99")
                head.points[end].name = text_of(head, "7"), wire.base = none;
          for (ConnectorRow& row : head.connector_rows)
            if (head.text(head.connectors[row.connector].designator) == "C99") row.housing = 0;
        }) == Words{"gone: connector C41 in chassis is gone"});
  // A place with its only part: neither the part nor its connectors are told again.
  const Words place = breaks_after([](Family& head) {
    for (Place& row : head.places)
      if (head.text(row.id) == "PUMP-LOOM") row.id = text_of(head, "OTHER-LOOM"), row.title = row.id;
    std::erase_if(head.plugs, [&](const PlugPair& plug) {
      return head.text(head.places[plug.place_a].id) == "OTHER-LOOM" ||
             head.text(head.places[plug.place_b].id) == "OTHER-LOOM";
    });
    for (Part& part : head.parts)
      if (head.text(part.id) == "pump" && part.kind == PartKind::loom) part.id = text_of(head, "other");
  });
  CHECK(place == Words{"gone: place PUMP-LOOM is gone, and with it loom pump"});
  // Cavities of one housing.
  CHECK(breaks_after([](Family& head) {
          for (Housing& housing : head.housings)
            if (head.text(housing.id) == "unit-plug-35") housing.cavities.count -= 2;
        }) == Words{"gone: cavities 34, 35 of housing unit-plug-35 are gone"});
}

TEST_CASE("an id given to something else") {
  // Two circuits that exchanged their names are one fact.
  const Words exchanged = breaks_after([](Family& head) {
    for (Circuit& row : head.circuits) {
      if (head.text(row.id) == "STOP-SOL")
        row.id = text_of(head, "COOL-SIG");
      else if (head.text(row.id) == "COOL-SIG")
        row.id = text_of(head, "STOP-SOL");
    }
  });
  CHECK(exchanged == Words{"reused: circuits COOL-SIG and STOP-SOL exchanged their names"});
  // One whose name the other took, while it got a new one: the new name is a renaming, the old one means another.
  const Words taken = breaks_after([](Family& head) {
    for (Circuit& row : head.circuits) {
      if (head.text(row.id) == "STOP-SOL")
        row.id = text_of(head, "COOL-SIG");
      else if (head.text(row.id) == "COOL-SIG")
        row.id = text_of(head, "COOL-SIG-NEW");
    }
  });
  CHECK(taken == Words{"reused: circuit COOL-SIG means something else now; what it meant is called COOL-SIG-NEW",
                       "gone: circuit STOP-SOL is gone"});
  // A part in another place.
  CHECK(breaks_after([](Family& head) {
          Index to = none;
          for (Index place = 0; place < head.places.size(); ++place)
            if (head.text(head.places[place].id) == "OIL-SWITCH") to = place;
          for (Part& part : head.parts)
            if (head.text(part.id) == "coolant-sensor") part.place = to;
        }) == Words{"reused: component coolant-sensor moved from COOLANT-SENSOR to OIL-SWITCH"});
  // A value of other volts.
  CHECK(breaks_after([](Family& head) {
          for (OptionValue& value : head.option_values)
            if (head.text(value.id) == "24V") value.supply = 48000;
        }) == Words{"reused: option value 24V in supply meant 24 V, means 48 V"});
  // A drawing numbered otherwise: more than half of its cavities stand elsewhere.
  CHECK(breaks_after([](Family& head) {
          for (Housing& housing : head.housings)
            if (head.text(housing.id) == "unit-plug-35")
              for (Index row = housing.cavities.first; row < housing.cavities.end(); ++row)
                head.housing_cavities[row].x = 5000 - head.housing_cavities[row].x;
        }) == Words{"reused: housing unit-plug-35 means something else now"});
  // Fewer than half, or another colour everywhere, are no other meaning.
  CHECK(breaks_after([](Family& head) {
          for (Housing& housing : head.housings)
            if (head.text(housing.id) == "unit-plug-35")
              for (Index row = housing.cavities.first; row < housing.cavities.first + 10; ++row)
                head.housing_cavities[row].x = 5000 - head.housing_cavities[row].x;
          for (Wire& wire : head.wires) wire.base = wire.base == 0 ? 1 : 0;
        }).empty());
}

TEST_CASE("an option that goes and another that comes with the same values are not one renamed") {
  const Words words = breaks_after([](Family& head) {
    for (Option& option : head.options)
      if (head.text(option.id) == "exhaust-brake") {
        option.id = text_of(head, "sun-roof");
        option.title = option.id;
        const auto axis = static_cast<uint32_t>(&option - head.options.data()) + 1;
        // Nothing hangs on it as it did.
        for (Wire& wire : head.wires) {
          CellSet cells;
          for (const uint32_t cell : head.set(wire.cells).cells())
            for (uint32_t value = 0; value < head.axis_size(axis); ++value)
              cells.insert(head.with_coordinate(cell, axis, value));
          head.cell_sets.push_back(cells);
          wire.cells = static_cast<Cells>(head.cell_sets.size() - 1);
        }
      }
  });
  CHECK(words == Words{"gone: option exhaust-brake is gone"});
}

TEST_CASE("any circuit and any place renamed everywhere is one renaming") {
  std::mt19937 random(31);
  Words ids;
  for (const Circuit& row : croft().circuits) ids.emplace_back(croft().text(row.id));
  const size_t circuits = ids.size();
  for (const Place& row : croft().places) ids.emplace_back(croft().text(row.id));
  for (int i = 0; i < lt::tries(16); ++i) {
    const size_t which = random() % ids.size();
    const std::string &was = ids[which], becomes = was + "-ANEW";
    if (std::count(ids.begin(), ids.end(), was) != 1) continue;  // a place and a circuit of one name
    INFO(was);
    const review::FamilyReview croft = croft_after(renamed(was, becomes));
    CHECK(breaks_of(croft) ==
          Words{"renamed: " + std::string(which < circuits ? "circuit " : "place ") + was + " renamed " + becomes});
    CHECK(words_of(croft).empty());
    CHECK(words_of(croft, true).empty());
  }
}

TEST_CASE("packs in another format break readers once, whatever the number of families") {
  std::vector<review::FamilyInput> base = lt::inputs(lt::croft_base()), head = base;
  base[0].format = head[0].format = "1.3";
  base.push_back(base[0]), base[1].id = "other";
  head.push_back(head[0]), head[1].id = "other";
  CHECK(review::review(base, head).breaks.empty());
  head[0].format = head[1].format = "2.0";
  review::Review review = review::review(base, head);
  REQUIRE(review.breaks.size() == 1);
  CHECK(review.breaks[0].words == "packs are written in format 2.0, were in 1.3: readers of that one refuse them");
  head[0].format = head[1].format = "1.4";
  review = review::review(base, head);
  REQUIRE(review.breaks.size() == 1);
  CHECK(review.breaks[0].words ==
        "packs are written in format 1.4, were in 1.3: readers of that one pass over what it does not have");
  base[0].format = base[1].format = "";  // nobody has any
  CHECK(review::review(base, head).breaks.empty());
}

TEST_CASE("what follows at the far ends is told apart from what was written") {
  lt::FixtureFiles files = croft_alone();
  std::string& text = file_of(files, pump);
  replace_once(text, "from: P1.4,", "from: P1.@,");
  replace_once(text, "from: P1.5,", "from: P1.4,");
  replace_once(text, "from: P1.@,", "from: P1.5,");
  const review::FamilyReview croft = croft_after(files);
  CHECK(words_of(croft) == Words{"RACK-POS and RACK-RTN exchanged P1.4 and P1.5"});
  CHECK(words_of(croft, true) == Words{"PUMP-UNIT.X1.12 meets PUMP.X1.5 in place of PUMP.X1.4",
                                       "PUMP-UNIT.X1.14 meets PUMP.X1.4 in place of PUMP.X1.5",
                                       "PUMP-UNIT.X1.28 meets PUMP.X1.5 in place of PUMP.X1.4"});
  for (const review::Change& change : croft.changes)
    if (change.nature == review::Nature::consequence) {
      CHECK(change.rows == 0);
      CHECK(change.risk == review::Risk::return_);
      CHECK_FALSE(change.head.empty());  // it leads to the row that was written
    }
}

TEST_CASE("nothing follows where both halves of a plug change alike, or a colour does") {
  lt::FixtureFiles files = croft_alone();
  const std::map<std::string, std::string> exchanged{{"4", "5"}, {"5", "4"}};
  lt::read_otherwise(file_of(files, pump), "P1", exchanged);
  lt::read_otherwise(file_of(files, chassis), "C30", exchanged);
  const review::FamilyReview croft = croft_after(files);
  CHECK(words_of(croft).size() == 2);
  CHECK(words_of(croft, true).empty());
  CHECK(words_of(croft_with(pump, "colour: GN/WH", "colour: GN/RD"), true).empty());
}

TEST_CASE("a wire that goes parts what it joined") {
  const review::FamilyReview croft =
      croft_with(pump, "  - {circuit: STOP-SOL,  from: P1.6, to: P3.1, colour: VT/GN, mm2: 1,   length-mm: 290}\n", "");
  CHECK(words_of(croft, true) == Words{"PUMP-UNIT.X1.10 no longer meets STOP-SOLENOID.X1.1"});
}

TEST_CASE("what a pack takes in because something names it follows, as one line a kind") {
  lt::FixtureFiles files = croft_alone();
  replace_once(file_of(files, pump), "P4: {housing: flat-2-plug,", "P4: {housing: radio-a-plug,");
  const review::FamilyReview croft = croft_after(files);
  CHECK(words_of(croft) == Words{"P4 rehoused from flat-2-plug to radio-a-plug"});
  Words shared;
  for (const std::string& words : words_of(croft, true))
    if (words.find(" the pack") != std::string::npos) shared.push_back(words);
  CHECK(shared == Words{"housings radio-a-header, radio-a-plug come into the pack",
                        "sources audio-shells, iso-10487-pages come into the pack"});
  // The other way round they go, and whoever asks for the housings finds none.
  const std::unique_ptr<Compiled> with = lt::compile_files(files);
  const review::FamilyReview back = lt::croft_between(*with, lt::croft_base());
  CHECK(breaks_of(back) == Words{"gone: housing radio-a-header is gone", "gone: housing radio-a-plug is gone"});
}
