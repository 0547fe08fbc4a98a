// Words, cell arithmetic and the names of sets of cells. The names are held against an independent reading of them: the
// test parses the text back and compares what it denotes with the set that was named.
#include "family/family.h"

#include <catch2/catch.hpp>
#include <set>
#include <sstream>

#include "family/fields.h"
#include "family/words.h"
#include "random_family.h"

using namespace loomproof;
using loomproof::testing::FamilyBuilder;
using loomproof::testing::Random;

namespace {

FamilyBuilder croft_axes() {
  FamilyBuilder build;
  for (const char* era : {"a", "b", "c", "d"}) build.era(era);
  build.option("exhaust-brake", {"none", "fitted"});
  build.option("supply", {"12V", "24V"});
  return build;
}

CellSet where(const Family& family, const std::string& eras, int brake, int supply) {  // -1: either
  CellSet set;
  for (uint32_t cell = 0; cell < family.cell_count(); ++cell) {
    const std::string_view era = family.text(family.eras[family.coordinate(cell, 0)].id);
    const bool in = eras.find(era) != std::string::npos &&
                    (brake < 0 || family.coordinate(cell, 1) == static_cast<uint32_t>(brake)) &&
                    (supply < 0 || family.coordinate(cell, 2) == static_cast<uint32_t>(supply));
    if (in) set.insert(cell);
  }
  return set;
}

std::vector<std::string> split(const std::string& text, const std::string& separator) {
  std::vector<std::string> parts;
  size_t from = 0;
  for (size_t at; (at = text.find(separator, from)) != std::string::npos; from = at + separator.size())
    parts.push_back(text.substr(from, at - from));
  parts.push_back(text.substr(from));
  return parts;
}

uint32_t era_index(const Family& family, const std::string& id) {
  for (uint32_t i = 0; i < family.eras.size(); ++i)
    if (family.text(family.eras[i].id) == id) return i;
  FAIL("no era " << id);
  return 0;
}

// What one box of a name says about an axis, read word by word: "eras a..b, d" or "supply 12V or 24V".
struct Reading {
  std::vector<std::set<uint32_t>> allowed;  // by axis; empty: not named
};

void read_eras(const Family& family, const std::string& text, Reading& reading) {
  const std::vector<std::string> ends = split(text, "..");
  const uint32_t first = era_index(family, ends.front()), last = era_index(family, ends.back());
  REQUIRE(first <= last);
  for (uint32_t era = first; era <= last; ++era) reading.allowed[0].insert(era);
}

Reading read_box(const Family& family, const std::string& box) {
  Reading reading{std::vector<std::set<uint32_t>>(family.axis_count())};
  if (box == "all") return reading;
  bool in_eras = false;
  for (const std::string& term : split(box, ", ")) {
    const size_t space = term.find(' ');
    const std::string head = term.substr(0, space);
    if (space == std::string::npos || head == "era" || head == "eras") {
      REQUIRE((in_eras || space != std::string::npos));
      in_eras = true;
      read_eras(family, space == std::string::npos ? term : term.substr(space + 1), reading);
      continue;
    }
    in_eras = false;
    uint32_t axis = 0;
    for (uint32_t option = 0; option < family.options.size(); ++option)
      if (family.text(family.options[option].id) == head) axis = option + 1;
    REQUIRE(axis != 0);
    for (const std::string& id : split(term.substr(space + 1), " or ")) {
      const Range values = family.options[axis - 1].values;
      const size_t before = reading.allowed[axis].size();
      for (Index value = 0; value < values.count; ++value)
        if (family.text(family.option_values[values.first + value].id) == id) reading.allowed[axis].insert(value);
      REQUIRE(reading.allowed[axis].size() == before + 1);
    }
  }
  return reading;
}

bool allows(const Family& family, const Reading& reading, uint32_t cell) {
  for (uint32_t axis = 0; axis < family.axis_count(); ++axis)
    if (!reading.allowed[axis].empty() && !reading.allowed[axis].count(family.coordinate(cell, axis))) return false;
  return true;
}

CellSet denoted(const Family& family, const std::string& text, const CellSet& universe) {
  CellSet set;
  if (text == "none") return set;
  for (const std::string& box : split(text, "; ")) {
    const Reading reading = read_box(family, box);
    for (uint32_t cell : universe.cells())
      if (allows(family, reading, cell)) set.insert(cell);
  }
  return set;
}

// No value is written that the set does not have, and an axis that is left out is whole in that box.
void check_honest(const Family& family, const std::string& text, const CellSet& cells, const CellSet& universe) {
  if (text == "none") return;
  for (const std::string& box : split(text, "; ")) {
    const Reading reading = read_box(family, box);
    for (uint32_t axis = 0; axis < family.axis_count(); ++axis) {
      std::set<uint32_t> named, whole;
      for (uint32_t cell : universe.cells()) whole.insert(family.coordinate(cell, axis));
      for (uint32_t cell : cells.cells())
        if (allows(family, reading, cell)) named.insert(family.coordinate(cell, axis));
      CHECK(named == (reading.allowed[axis].empty() ? whole : reading.allowed[axis]));
    }
  }
}

template <typename Enum>
void check_words(std::initializer_list<std::string_view> expected) {
  REQUIRE(expected.size() == word_count<Enum>);
  uint32_t index = 0;
  for (std::string_view text : expected) {
    const Enum value = static_cast<Enum>(index++);
    CHECK(word(value) == text);
    Enum parsed = static_cast<Enum>(index % word_count<Enum>);
    const Enum before = parsed;
    CHECK(parse_word(text, parsed) == !text.empty());
    CHECK(parsed == (text.empty() ? before : value));
  }
  CHECK(word(static_cast<Enum>(word_count<Enum>)).empty());
  Enum untouched{};
  CHECK_FALSE(parse_word("no such word", untouched));
  CHECK_FALSE(parse_word("", untouched));
  CHECK(untouched == Enum{});
}

}  // namespace

// The words as the corpus format writes them (project's own format description), and DIN 72552 / IEC 60757 play no
// part.
TEST_CASE("every enumeration has the corpus's words", "[family]") {
  check_words<SourceKind>({"standard", "manual", "measurement", "handbook", "practice", "memory", "invented"});
  check_words<CircuitClass>({"feed", "earth", "return", "reference", "signal", "drive", "bus", "shield", "firing"});
  check_words<Outcome>({"", "fine", "dead", "misreads", "stays-on", "opens-fuse", "destroys", "endangers"});
  check_words<Verdict>({"fits", "fits-with-loose-ends", "does-not-work", "destroys-a-part", "endangers-people"});
  check_words<Contact>({"pin", "receptacle", "none"});
  check_words<View>({"wire-side", "mating-side"});
  check_words<PartKind>({"loom", "component"});
  check_words<State>({"wired", "empty", "sealed", "disputed", "unknown"});
  check_words<Rest>({"", "empty", "unknown", "open"});
  check_words<PointKind>({"cavity", "splice", "earth", "lead", "inner"});
  check_words<EarthNode>({"", "battery", "engine", "chassis", "cab"});
  check_words<Shade>({"", "light", "dark"});
  check_words<When>({"always", "stopped", "running"});
  check_words<ClosedBy>({"", "coil", "hand", "temperature", "pressure"});
  check_words<Suffers>({"nobody", "first", "second", "both", "wire", "people"});
  check_words<JoinWhen>({"always", "other-terminal", "volts-differ", "volts-above", "volts-below", "current-above",
                         "unfused", "other-circuit", "other-line", "earthed-twice"});
  check_words<InsideKind>({"strap", "fuse", "link", "contact", "coil", "motor", "lamp", "heater", "resistor", "diode",
                           "squib", "capacitor"});
  CHECK(word(Role::gives_feed) == "gives-feed");
  CHECK(word(Role::takes_low) == "takes-low");
  CHECK(word(Role::senses_high) == "senses-high");
  CHECK(word(Role::unknown) == "unknown");
  CHECK(word(Role::unset).empty());
  CHECK(word(CircuitClass::return_) == "return");
  CHECK(word(Contact::none_) == "none");
  CHECK(word(ChangeKind::re_roled) == "re-roled");
  CHECK(word(ChangeKind::inside_changed) == "inside-changed");
  CHECK(word(ChangeKind::no_longer_known) == "no-longer-known");
}

TEST_CASE("cells are numbered with eras slowest, then options in order", "[family]") {
  const Family family = croft_axes().family;
  REQUIRE(family.cell_count() == 16);
  CHECK(family.axis_size(0) == 4);
  CHECK(family.axis_size(2) == 2);
  uint32_t cell = 0;
  for (uint32_t era = 0; era < 4; ++era)
    for (uint32_t brake = 0; brake < 2; ++brake)
      for (uint32_t supply = 0; supply < 2; ++supply, ++cell) {
        CHECK(family.coordinate(cell, 0) == era);
        CHECK(family.coordinate(cell, 1) == brake);
        CHECK(family.coordinate(cell, 2) == supply);
        CHECK(family.with_coordinate(0, 0, era) == era * 4);
        CHECK(family.with_coordinate(cell, 2, 0) == cell - supply);
        CHECK(family.with_coordinate(family.with_coordinate(cell, 1, 1), 1, brake) == cell);
      }
  CHECK(Family{}.cell_count() == 0);
}

TEST_CASE("a family of one era and no option has one cell, called all", "[family]") {
  FamilyBuilder build;
  build.era("a");
  const CellSet one = CellSet::of(0);
  CHECK(build.family.cell_count() == 1);
  CHECK(cells_text(build.family, one, one) == "all");
  CHECK(cells_text(build.family, CellSet(), one) == "none");
  CHECK(cell_text(build.family, 0) == "era a");
  CHECK(cells_slug(build.family, one, one) == "all");
}

TEST_CASE("sets of cells are named by boxes", "[family][cells]") {
  const Family family = croft_axes().family;
  const CellSet all = CellSet::first(16);
  const auto text = [&](const CellSet& cells) { return cells_text(family, cells, all); };
  CHECK(text(all) == "all");
  CHECK(text(where(family, "ab", -1, -1)) == "eras a..b");
  CHECK(text(where(family, "abd", -1, -1)) == "eras a..b, d");
  CHECK(text(where(family, "ac", 1, -1)) == "eras a, c, exhaust-brake fitted");
  CHECK(text(where(family, "b", 1, 1)) == "era b, exhaust-brake fitted, supply 24V");
  CHECK(text(where(family, "abcd", -1, 0)) == "supply 12V");
  CHECK(text(where(family, "ab", -1, -1) | where(family, "abcd", -1, 0)) == "eras a..b; eras c..d, supply 12V");
  CHECK(cell_text(family, 6) == "era b, exhaust-brake fitted, supply 12V");
}

TEST_CASE("an axis is left out only where the set holds all the universe has on it", "[family][cells]") {
  const Family family = croft_axes().family;
  const CellSet universe = where(family, "abc", -1, -1) | where(family, "d", -1, 1);  // d was built for 24 V alone
  const auto text = [&](const CellSet& cells) { return cells_text(family, cells, universe); };
  CHECK(text(universe) == "all");
  CHECK(text(where(family, "d", -1, -1)) == "era d, supply 24V");
  CHECK(text(where(family, "cd", -1, -1)) == "eras c..d");
  CHECK(text(where(family, "abcd", -1, 0)) == "eras a..c, supply 12V");
  CHECK(text(where(family, "abcd", 0, 1)) == "exhaust-brake none, supply 24V");
  CHECK(text(CellSet::first(16) - universe) == "none");  // what was not built has no name
}

TEST_CASE("several values of an option are joined with or", "[family][cells]") {
  FamilyBuilder build;
  build.era("a");
  build.option("supply", {"12V", "24V", "36V"});
  CellSet two = CellSet::of(0);
  two.insert(2);
  CHECK(cells_text(build.family, two, CellSet::first(3)) == "supply 12V or 36V");
  CHECK(cells_slug(build.family, two, CellSet::first(3)) == "supply-12v.36v");
}

// The two cells differ in every axis and what lies between was not built, but two farther cells were: here merging
// along any single axis looks right and is not.
TEST_CASE("opposite corners are named apart", "[family][cells]") {
  FamilyBuilder build;
  build.era("a");
  build.era("b");
  for (const char* option : {"p", "q", "r"}) build.option(option, {"0", "1"});
  CellSet corners = CellSet::of(0);
  corners.insert(15);
  CellSet universe = corners;
  universe.insert(3);
  const std::string text = cells_text(build.family, corners, universe);
  CHECK(denoted(build.family, text, universe) == corners);
}

TEST_CASE("a name denotes exactly its set, for random sets in random universes", "[family][cells]") {
  Random random(4711);
  for (int round = 0; round < 1500; ++round) {
    FamilyBuilder build;
    const uint32_t eras = random.between(1, 5);
    for (uint32_t era = 0; era < eras; ++era) build.era(std::string(1, static_cast<char>('a' + era)));
    for (uint32_t option = 0, options = random.below(4); option < options; ++option) {
      std::vector<std::string> values;
      for (uint32_t v = 0, last = random.between(1, 3); v < last; ++v) values.push_back("v" + std::to_string(v));
      build.option("o" + std::to_string(option), values);
    }
    const uint32_t built = random.between(20, 100), kept = random.between(5, 95);
    CellSet universe, cells;
    for (uint32_t cell = 0; cell < build.family.cell_count(); ++cell) {
      if (random.chance(built)) universe.insert(cell);
      if (random.chance(kept)) cells.insert(cell);
    }
    const std::string text = cells_text(build.family, cells, universe);
    INFO(text);
    REQUIRE(denoted(build.family, text, universe) == (cells & universe));
    check_honest(build.family, text, cells & universe, universe);
    REQUIRE(cells_text(build.family, cells, universe) == text);
  }
}

TEST_CASE("sets that are boxes are named by one box", "[family][cells]") {
  Random random(99);
  const Family family = croft_axes().family;
  for (int round = 0; round < 300; ++round) {
    CellSet universe, box;
    std::vector<CellSet> planes;
    for (uint32_t axis = 0; axis < family.axis_count(); ++axis) {
      CellSet plane;
      std::vector<uint32_t> kept;
      for (uint32_t value = 0; value < family.axis_size(axis); ++value) kept.push_back(random.below(2));
      for (uint32_t cell = 0; cell < 16; ++cell)
        if (kept[family.coordinate(cell, axis)]) plane.insert(cell);
      planes.push_back(plane);
    }
    box = planes[0] & planes[1] & planes[2];
    for (uint32_t cell = 0; cell < 16; ++cell)
      if (random.chance(70)) universe.insert(cell);
    CHECK(cells_text(family, box, universe).find(';') == std::string::npos);
  }
}

TEST_CASE("the largest number of cells is named in reasonable time", "[family][cells]") {
  Random random(5);
  FamilyBuilder build;
  build.era("a");
  build.era("b");
  for (int option = 0; option < 8; ++option) build.option("o" + std::to_string(option), {"0", "1"});
  REQUIRE(build.family.cell_count() == max_cells);
  CellSet cells;
  const CellSet all = CellSet::first(max_cells);
  for (uint32_t cell = 0; cell < max_cells; ++cell)
    if (random.chance(50)) cells.insert(cell);
  const std::string text = cells_text(build.family, cells, all);
  CHECK(denoted(build.family, text, all) == cells);
  const std::string slug = cells_slug(build.family, cells, all);
  CHECK(slug.size() <= 96);
}

TEST_CASE("slugs are file names, and differ where the sets differ", "[family][cells]") {
  const Family family = croft_axes().family;
  const CellSet all = CellSet::first(16);
  CHECK(cells_slug(family, where(family, "ab", 1, -1), all) == "a-b_exhaust-brake-fitted");
  CHECK(cells_slug(family, where(family, "abd", -1, 1), all) == "a-b.d_supply-24v");
  std::set<std::string> slugs;
  for (uint32_t bits = 0; bits < 65536; bits += 7) {
    CellSet set;
    for (uint32_t cell = 0; cell < 16; ++cell)
      if (bits >> cell & 1) set.insert(cell);
    const std::string slug = cells_slug(family, set, all);
    CHECK(slug.find_first_not_of("abcdefghijklmnopqrstuvwxyz0123456789.-_") == std::string::npos);
    CHECK(slugs.insert(slug).second);
  }
  FamilyBuilder odd;
  odd.era("../É/x");
  odd.era("b");
  const std::string slug = cells_slug(odd.family, CellSet::of(0), CellSet::first(2));
  CHECK(slug.find('/') == std::string::npos);
  CHECK(slug.front() != '.');
}

TEST_CASE("quantities are written exactly", "[family]") {
  CHECK(milli(750) == "0.75");
  CHECK(milli(500) == "0.5");
  CHECK(milli(1500) == "1.5");
  CHECK(milli(12000) == "12");
  CHECK(milli(1) == "0.001");
  CHECK(milli(0) == "0");
  CHECK(milli(-750) == "-0.75");
  CHECK(milli(INT32_MAX) == "2147483.647");
  CHECK(milli(not_given).empty());
  CHECK(milli(system_volts) == "-2147483.647");  // INT32_MIN + 1: no overflow
  CHECK(volts_text(12000) == "12 V");
  CHECK(volts_text(system_volts) == "system");
  CHECK(volts_text(not_given).empty());
  CHECK(month_text(1998 * 12) == "1998-01");
  CHECK(month_text(2003 * 12 + 11) == "2003-12");
  CHECK(month_text(not_given).empty());
}

// Colour codes: IEC 60757. Base and tracer are fields of their own, so their order is the loom's, not the table's.
TEST_CASE("points and colours have names", "[family]") {
  FamilyBuilder build = croft_axes();
  const Index green = build.colour("GN", "green"), white = build.colour("WH", "white");
  const Index loom = build.begin_part("loom", PartKind::loom, build.place("P"), CellSet::first(16));
  const Index c1 = build.connector("C1", build.housing("h", 12), Rest::empty, CellSet::first(16));
  const Index cavity = build.cavity(c1, "12"), splice = build.point(PointKind::splice, "S3");
  const Index wire =
      build.wire(build.circuit("X", "x", CircuitClass::signal), cavity, splice, green, white, 500, CellSet::first(16));
  build.end_part();
  Family& family = build.family;
  CHECK(point_name(family, cavity) == "C1.12");
  CHECK(point_name(family, splice) == "S3");
  CHECK(point_name(family, none).empty());
  CHECK(colour_code(family, family.wires[wire]) == "GN/WH");
  CHECK(colour_name(family, family.wires[wire]) == "green with white tracer");
  family.wires[wire].tracer = none;
  family.wires[wire].shade = Shade::light;
  CHECK(colour_code(family, family.wires[wire]) == "light GN");
  CHECK(colour_name(family, family.wires[wire]) == "light green");
  family.wires[wire].base = none;
  CHECK(colour_code(family, family.wires[wire]).empty());
  CHECK(connector_of(family, family.parts[loom], family.connectors[c1].designator) == c1);
  CHECK(connector_of(family, family.parts[loom], family.parts[loom].id) == none);
}

TEST_CASE("parts and connector rows are found by cell", "[family]") {
  FamilyBuilder build = croft_axes();
  const CellSet early = where(build.family, "ab", -1, -1), late = where(build.family, "d", -1, -1);
  const Index place = build.place("P"), housing = build.housing("h", 2);
  const Index first = build.begin_part("unit-a", PartKind::component, place, early);
  const Index x1 = build.connector("X1", housing, Rest::open, early - where(build.family, "a", 1, -1));
  build.end_part();
  const Index second = build.begin_part("unit-d", PartKind::component, place, late);
  build.end_part();
  const Family& family = build.family;
  CHECK(part_in(family, place, 0) == first);
  CHECK(part_in(family, place, 15) == second);
  CHECK(part_in(family, place, 8) == none);
  CHECK(connector_row_in(family, x1, 0) == family.connectors[x1].rows.first);
  CHECK(connector_row_in(family, x1, 2) == none);
}

TEST_CASE("the description of the fields follows the tables", "[family][fields]") {
  Family family;
  uint32_t tables = 0;
  each_table(family, [&](Table table, auto& rows) {
    CHECK(static_cast<uint32_t>(table) == tables++);
    using Row = typename std::decay_t<decltype(rows)>::value_type;
    CHECK(row_words(table) * 4 == sizeof(Row));
    CHECK_FALSE(table_name(table).empty());
    for (const Field& field : fields(table))
      if (field.stand_in != none) CHECK(field.stand_in < field.limit);
  });
  CHECK(tables == table_count);
}

TEST_CASE("families are equal by content, whatever the numbers of texts and sets", "[family]") {
  const Family family = loomproof::testing::random_family(1);
  CHECK(family == loomproof::testing::random_family(1));
  CHECK_FALSE(family == loomproof::testing::random_family(2));
  Family renumbered = family;
  std::swap(renumbered.strings[1], renumbered.strings[2]);
  CHECK_FALSE(renumbered == family);
  const auto turn = [](Str& text) { text = text == 1 ? 2 : text == 2 ? 1 : text; };
  turn(renumbered.id);
  turn(renumbered.title);
  each_table(renumbered, [&](Table table, auto& rows) {
    for (auto& row : rows)
      for (const Field& field : fields(table))
        if (field.kind == FieldKind::text) turn(reinterpret_cast<uint32_t*>(&row)[field.offset]);
  });
  CHECK(renumbered == family);
}

TEST_CASE("any change of any word of any row makes families differ", "[family]") {
  const Family family = loomproof::testing::random_family(3);
  Family other = family;
  each_table(other, [&](Table table, auto& rows) {
    if (table == Table::cites || table == Table::source_refs) return;  // seen through the rows that cite them
    for (auto& row : rows) {
      const auto before = row;
      for (const Field& field : fields(table)) {
        if (field.kind == FieldKind::text || field.kind == FieldKind::cells) continue;
        reinterpret_cast<uint32_t*>(&row)[field.offset] ^= 0x40000000;
        CHECK_FALSE(family == other);
        row = before;
      }
    }
  });
  CHECK(family == other);
}
