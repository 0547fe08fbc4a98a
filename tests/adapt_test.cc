// Adapter lists between loose sides. Those between the trailer couplings are held against the published allocations of
// ISO 1724:2003 (12N), ISO 3732:2003 (12S) and ISO 11446-1:2012 (13-way) in tests/published; fuses against ISO 8820-3
// and a cable maker's currents there. The Croft is invented.
#include <algorithm>
#include <catch2/catch.hpp>
#include <fstream>
#include <iterator>
#include <set>

#include "adapt/adapter.h"
#include "adapt/parts.h"
#include "family/words.h"
#include "pack/pack.h"
#include "packed.h"
#include "published/table.h"

using namespace loomproof;
using loomproof::testing::packed;
using namespace loomproof::adapt;
using loomproof::testing::published_table;
using loomproof::testing::PublishedRow;

namespace {

// The first cell in whose name all the words stand.
uint32_t cell_of(const Family& family, const std::vector<std::string>& words) {
  for (uint32_t cell : family.set(family.built).cells()) {
    const std::string name = cell_text(family, cell);
    if (std::all_of(words.begin(), words.end(), [&](const auto& word) { return name.find(word) != name.npos; }))
      return cell;
  }
  FAIL("no such cell");
  return 0;
}

Pick pick(const Family& family, const std::string& place, const std::string& designator,
          const std::vector<std::string>& words) {
  Pick pick;
  pick.cell = cell_of(family, words);
  for (Index row = 0; row < family.places.size(); ++row)
    if (family.text(family.places[row].id) == place) pick.part = part_in(family, row, pick.cell);
  REQUIRE(pick.part != none);
  const Range all = family.parts[pick.part].connectors;
  for (Index connector = all.first; connector < all.end(); ++connector)
    if (family.text(family.connectors[connector].designator) == designator) pick.connectors = {connector};
  REQUIRE(pick.connectors.size() == 1);
  return pick;
}

using Contacts = std::set<std::pair<std::string, std::string>>;

std::string contact(const End& end) {
  return end.cavity.substr(end.cavity.rfind('.') + 1);
}

Contacts wires_of(const Adapter& list) {
  Contacts all;
  for (const Row& row : list.rows)
    for (const Line& line : row.lines) all.insert({contact(line.left), contact(line.right)});
  return all;
}

// --- the trailer couplings
// ---------------------------------------------------------------------------------------------

// Which contact of the 13-way coupling has the function of a contact of a 7-way one. A return has that of the contact
// that it serves: `return` of the tables.
Contacts published(const std::string& seven_table) {
  const std::vector<PublishedRow> seven = published_table(seven_table), thirteen = published_table("iso11446.csv");
  const auto is_return = [](const PublishedRow& row) { return row.at("function").find("eturn") != std::string::npos; };
  Contacts wanted;
  for (const PublishedRow& row : seven)
    for (const PublishedRow& other : thirteen)
      if (!is_return(row) && row.at("function") == other.at("function"))
        wanted.insert({row.at("contact"), other.at("contact")});
  // ISO 3732 has the reversing lamp back by 3 in some tables and by 31 of type 12N in others: it says nothing of 3.
  Contacts returns;
  for (const auto& [a, b] : wanted)
    for (const PublishedRow& row : seven)
      for (const PublishedRow& other : thirteen)
        if (row.at("contact") == a && other.at("contact") == b && row.at("function") != "Reversing lamp")
          returns.insert({row.at("return"), other.at("return")});
  wanted.insert(returns.begin(), returns.end());
  return wanted;
}

Contacts turned(const Contacts& contacts) {
  Contacts all;
  for (const auto& [a, b] : contacts) all.insert({b, a});
  return all;
}

const std::vector<std::pair<std::string, std::string>> sevens = {{"12N", "iso1724.csv"}, {"12S", "iso3732.csv"}};

}  // namespace

TEST_CASE("adapters between the trailer couplings are what the standards allocate") {
  CHECK(published("iso1724.csv").size() == 7);  // ISO 1724:2003: all of them
  CHECK(published("iso3732.csv").size() == 5);  // ISO 3732:2003: 2 and 5 are not allocated
  const Family trailer = packed("trailer-12v");
  const FamilyIndex index(trailer);
  for (const std::string edition : {"ed2004", "ed2012"})
    for (const auto& [coupling, table] : sevens)
      for (const bool vehicle_has_seven : {true, false}) {
        INFO(edition << " " << coupling << ", the vehicle has the 7-way: " << vehicle_has_seven);
        const std::string seven_place = vehicle_has_seven ? "TOW-VEHICLE" : "TRAILER";
        const std::string thirteen_place = vehicle_has_seven ? "TRAILER" : "TOW-VEHICLE";
        const Side seven = make_side(index, {pick(trailer, seven_place, "C1", {edition, coupling})});
        const Side thirteen = make_side(index, {pick(trailer, thirteen_place, "C1", {edition, "13-way"})});
        const Adapter list = adapter(seven, thirteen);
        CHECK(wires_of(list) == published(table));
        CHECK(wires_of(adapter(thirteen, seven)) == turned(published(table)));
        CHECK(list.choices.empty());
        CHECK(list.refused.empty());
        for (const Row& row : list.rows) CHECK(row.way == Way::direct);
      }
}

TEST_CASE("both 7-way couplings together feed a 13-way trailer, and what must stay apart stays apart") {
  const Family trailer = packed("trailer-12v");
  const FamilyIndex index(trailer);
  const Side both = make_side(index, {pick(trailer, "TOW-VEHICLE", "C1", {"ed2012", "12N"}),
                                      pick(trailer, "TOW-VEHICLE", "C1", {"ed2012", "12S"})});
  const Side thirteen = make_side(index, {pick(trailer, "TRAILER", "C1", {"ed2012", "13-way"})});
  const Adapter list = adapter(both, thirteen);
  Contacts wanted = published("iso1724.csv");
  wanted.merge(published("iso3732.csv"));
  CHECK(wires_of(list) == wanted);
  CHECK(list.unmet.empty());
  CHECK_FALSE(list.is_complete);  // contact 2 of 12S: nobody knows what an older vehicle has there
  // ISO 11446-1:2012 footnotes a and b, ISO 3732:2003, ISO 1724:2003: no cavity meets two of these.
  for (const PublishedRow& row : published_table("trailer_apart.csv")) {
    if (row.at("coupling") != "13-way") continue;
    for (const Row& one : list.rows)
      for (const Row& other : list.rows)
        for (const Line& line : one.lines)
          for (const Line& another : other.lines)
            if (contact(line.right) == row.at("contact") && contact(another.right) == row.at("other"))
              CHECK(line.left.cavity != another.left.cavity);
  }
}

// ISO 11446:2004 (one page): 12 is bridged to 3 in the plug of the trailer. A 7-way vehicle has nothing for it.
TEST_CASE("contact 12 of the 2004 edition meets nothing of a 7-way vehicle") {
  const Family trailer = packed("trailer-12v");
  const FamilyIndex index(trailer);
  const Side seven = make_side(index, {pick(trailer, "TOW-VEHICLE", "C1", {"ed2004", "12N"})});
  const Side thirteen = make_side(index, {pick(trailer, "TRAILER", "C1", {"ed2004", "13-way"})});
  for (const auto& [left, right] : wires_of(adapter(seven, thirteen))) CHECK(right != "12");
}

TEST_CASE("between two families names decide, and returns that are called alike are a choice") {
  const Family trailer = packed("trailer-12v");
  Family other = trailer;  // the same tables under another name: no circuit of the one is one of the other
  other.strings.emplace_back("trailer-other");
  other.id = static_cast<Str>(other.strings.size()) - 1;
  const FamilyIndex index(trailer), other_index(other);
  const Side lamps = make_side(index, {pick(trailer, "TOW-VEHICLE", "C1", {"ed2012", "12N"})});
  const Side supplies = make_side(index, {pick(trailer, "TOW-VEHICLE", "C1", {"ed2012", "12S"})});
  const Side thirteen = make_side(other_index, {pick(other, "TRAILER", "C1", {"ed2012", "13-way"})});
  // ISO 1724:2003 and ISO 11446-1:2012: functions and terminals alone give all of it.
  CHECK(wires_of(adapter(lamps, thirteen)) == published("iso1724.csv"));
  const Adapter list = adapter(supplies, thirteen);
  CHECK(wires_of(list) == Contacts{{"1", "8"}, {"4", "9"}, {"6", "10"}});
  REQUIRE(list.choices.size() == 1);  // 3 and 7 with 11 and 13: all of them terminal 31, supply return
  CHECK(list.choices[0].left.size() == 2);
  CHECK(list.choices[0].right.size() == 2);
  CHECK_FALSE(list.is_complete);
}

// --- the Croft, invented
// -----------------------------------------------------------------------------------------------

namespace {

const Row* row_at(const Adapter& list, const std::string& left) {
  for (const Row& row : list.rows)
    for (const Line& line : row.lines)
      if (line.left.cavity == left) return &row;
  return nullptr;
}

}  // namespace

TEST_CASE("a pump unit of Series C on a chassis loom of Series B") {
  const Family croft = packed("croft");
  const FamilyIndex index(croft);
  const Side unit = make_side(index, {pick(croft, "PUMP-UNIT", "X1", {"era c", "none", "12V"})});
  const Side loom = make_side(index, {pick(croft, "CHASSIS-LOOM", "C1", {"era b", "none", "12V"})});
  const Adapter list = adapter(unit, loom);
  const Contacts wires = wires_of(list);
  for (const auto& [left, right] :
       Contacts{{"28", "12"}, {"33", "32"}, {"32", "33"}, {"1", "1"}, {"2", "2"}, {"30", "30"}, {"34", "34"}})
    CHECK(wires.contains({left, right}));
  CHECK(list.unmet.empty());
  CHECK(list.choices.empty());
  CHECK_FALSE(list.is_complete);  // C1.24 is disputed
  REQUIRE(loom.hidden.size() == 1);
  CHECK(loom.hidden[0].cavity == "C1.24");
  // Its relay is pulled in by the unit, which is not there: the feed is one all the same.
  CHECK(row_at(list, "X1.1")->right_does == "gives-feed, 12 V, switched");
}

TEST_CASE("12 V against 24 V: drivers by relays, feeds by a part that is not invented") {
  const Family croft = packed("croft");
  const FamilyIndex index(croft);
  const Side unit = make_side(index, {pick(croft, "PUMP-UNIT", "X1", {"era c", "none", "12V"})});
  const Side loom = make_side(index, {pick(croft, "CHASSIS-LOOM", "C1", {"era c", "none", "24V"})});
  const Adapter list = adapter(unit, loom);
  CHECK_FALSE(list.is_complete);
  for (const std::string feed : {"X1.1", "X1.3", "X1.27", "X1.29"}) {
    INFO(feed);
    REQUIRE(row_at(list, feed));
    CHECK(row_at(list, feed)->way == Way::part);
    CHECK(row_at(list, feed)->takes.at(0).find("12 V out of 24 V") != std::string::npos);
  }
  for (const std::string driver : {"X1.6", "X1.7", "X1.8", "X1.10", "X1.11", "X1.32", "X1.33"}) {
    INFO(driver);
    if (!row_at(list, driver)) continue;  // 32 is only looked at from Series C on
    if (driver != "X1.32") CHECK(row_at(list, driver)->way == Way::relay);
  }
  for (const std::string quiet : {"X1.4", "X1.13", "X1.22", "X1.23"}) CHECK(row_at(list, quiet)->way == Way::direct);
}

TEST_CASE("a firing plug is left alone") {
  const Family croft = packed("croft");
  const FamilyIndex index(croft);
  const Side unit = make_side(index, {pick(croft, "BELT-UNIT", "X2", {"era c", "none", "12V"})});
  const Side loom = make_side(index, {pick(croft, "BELT-LOOM", "Y1", {"era d", "none", "24V"})});
  CHECK(unit.strands.empty());
  CHECK(unit.firing == std::vector<std::string>{"BELT-UNIT.X2"});
  const Adapter list = adapter(unit, loom);
  CHECK(list.rows.empty());
  CHECK(list.choices.empty());
  CHECK_FALSE(list.is_complete);
}

// --- single strands
// ----------------------------------------------------------------------------------------------------

namespace {

Strand strand(const std::string& circuit, Role role, Quantity volts = not_given, Quantity amps = not_given) {
  Strand one;
  one.circuit = circuit, one.function = "f " + circuit, one.is_telling = true;
  one.ends = {{circuit + ".1", "BK", 1000}};
  Port port;
  port.at = "AT-" + circuit, port.role = role, port.volts = volts, port.amps = amps;
  one.ports = {port};
  return one;
}

Side side(const Family& family, const std::string& id, std::vector<Strand> strands) {
  Side side;
  side.family = id, side.rows = &family, side.strands = std::move(strands);
  return side;
}

}  // namespace

// DIN 72552: 85 and 86 are the ends of the coil, 30 the contact's input, 87 its make output.
TEST_CASE("a driver of the other pole, or too weak, takes a relay") {
  const Family croft = packed("croft");
  const auto way = [&](Strand a, Strand b) {
    const Adapter list = adapter(side(croft, "one", {std::move(a)}), side(croft, "one", {std::move(b)}));
    REQUIRE(list.rows.size() == 1);
    return list.rows[0];
  };
  const Row low_to_high = way(strand("A", Role::pulls_low, 12000, 500), strand("A", Role::takes_high, 12000, 4000));
  CHECK(low_to_high.way == Way::relay);
  CHECK(low_to_high.takes.at(0).find("86 to a fused 12 V feed, 85 to the driver, 30 to a 12 V feed, 87 to the load") !=
        std::string::npos);
  CHECK(low_to_high.takes.at(0).find("a fuse of 4 A, type C of ISO 8820-3, pink") != std::string::npos);
  const Row high_to_low = way(strand("A", Role::pulls_high, 12000, 500), strand("A", Role::takes_low, 12000, 400));
  CHECK(high_to_low.way == Way::relay);
  CHECK(high_to_low.takes.at(0).find("86 to the driver, 85 to earth, 30 to earth, 87 to the load") !=
        std::string::npos);
  CHECK(way(strand("A", Role::pulls_low, 12000, 500), strand("A", Role::takes_low, 12000, 600)).way == Way::relay);
  CHECK(way(strand("A", Role::pulls_low, 12000, 500), strand("A", Role::takes_low, 12000, 500)).way == Way::direct);
  CHECK(way(strand("A", Role::pulls_low, 12000, 500), strand("A", Role::takes_low, 24000, 400)).way == Way::relay);
  const Row untold = way(strand("A", Role::pulls_low, 12000, 500), strand("A", Role::takes_low, 12000));
  CHECK(untold.way == Way::direct);
  CHECK(untold.conditions ==
        std::vector<std::string>{"the load must draw no more than its driver bears (currents not recorded)"});
}

TEST_CASE("what clashes is refused, and its like are not taken instead") {
  const Family croft = packed("croft");
  Strand twin = strand("B", Role::gives_feed, 12000);
  twin.function = "f A";
  const Adapter list = adapter(side(croft, "one", {strand("A", Role::takes_signal, 5000)}),
                               side(croft, "one", {strand("A", Role::pulls_high, 12000), twin}));
  CHECK(list.rows.empty());
  CHECK_FALSE(list.is_complete);
}

TEST_CASE("unequal numbers of pins are spliced") {
  const Family croft = packed("croft");
  Strand two = strand("A", Role::takes_feed, 12000, 3000);
  two.ends.push_back({"A.2", "RD", 1500});
  Strand one = strand("A", Role::gives_feed, 12000);
  one.ports[0].fused = true;
  const Adapter list = adapter(side(croft, "one", {two}), side(croft, "one", {one}));
  REQUIRE(list.rows.size() == 1);
  REQUIRE(list.rows[0].lines.size() == 2);
  CHECK(list.rows[0].lines[1].right_again);
  CHECK(list.rows[0].lines[1].mm2 == 1500);
  CHECK(list.rows[0].takes == std::vector<std::string>{"a splice or double crimp at A.1: 2 wires meet there"});
  CHECK(list.is_complete);
}

// Ratings: ISO 8820-3, type C and for more type E. Currents: a cable maker's, thin-wall single cores in free air.
TEST_CASE("a fuse opens before its wire suffers, and carries its load") {
  const Family croft = packed("croft");
  const Side any = side(croft, "one", {});
  const Parts parts(any, any);
  std::vector<double> of_c, of_e;
  for (const PublishedRow& row : published_table("iso8820_3.csv")) {
    const std::string& type = row.at("type");
    if (type.find('C') != std::string::npos) of_c.push_back(std::stod(row.at("amps")));
    if (type.find('E') != std::string::npos) of_e.push_back(std::stod(row.at("amps")));
  }
  REQUIRE(of_c.size() > 5);
  for (const PublishedRow& wire : published_table("thin_wall_ratings.csv")) {
    const double bears = std::stod(wire.at("amps"));
    const auto mm2 = static_cast<Quantity>(std::stod(wire.at("mm2")) * 1000 + 0.5);
    double most = 0;
    for (double amps : of_c)
      if (amps <= bears) most = std::max(most, amps);
    INFO(wire.at("mm2"));
    CHECK(parts.fuse("here", not_given, mm2)
              .find("a fuse of at most " + milli(static_cast<Quantity>(most * 1000)) + " A, type C") == 0);
    for (double load : {0.5, 3.5, 8.0, 12.0, 22.0, 41.0, 90.0}) {
      double least = 0;
      for (const auto* list : {&of_c, &of_e})
        for (double amps : *list)
          if (least == 0 && amps >= load && amps <= bears) least = amps;
      const std::string text = parts.fuse("here", static_cast<Quantity>(load * 1000), mm2);
      INFO(load << ": " << text);
      if (least == 0)
        CHECK(text.find("a fuse here, and thicker wire for it") == 0);
      else
        CHECK(text.find("a fuse of " + milli(static_cast<Quantity>(least * 1000)) + " A, type ") == 0);
    }
    // The wire grows with the current: never one that the table has bear less.
    for (double load : {1.0, 15.0, 28.0}) {
      const Quantity chosen = parts.mm2({"", "", mm2}, {"", "", 500}, static_cast<Quantity>(load * 1000));
      CHECK(chosen >= mm2);
      for (const PublishedRow& row : published_table("thin_wall_ratings.csv"))
        if (static_cast<Quantity>(std::stod(row.at("mm2")) * 1000 + 0.5) == chosen)
          CHECK(std::stod(row.at("amps")) >= load);
    }
  }
}
