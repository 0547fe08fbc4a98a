// The families diagnostic-j1962, diagnostic-j1939 and audio-iso10487 as they compile, cell by cell, against the
// published allotments of pins: SAE J1962 (ISO 15031-3), SAE J1939-13, and the convention on the radio connectors after
// ISO 10487. The tables are in tests/published. Roles are common practice, no source, and not held here.
#include <algorithm>
#include <cctype>
#include <set>
#include <sstream>

#include "published/contacts.h"

using namespace loomproof;
using testing::published_table;
using testing::PublishedRow;

namespace {

const Family& family_alone(const std::string& id) {
  static std::map<std::string, std::unique_ptr<Compiled>> compiled;
  std::unique_ptr<Compiled>& once = compiled[id];
  if (!once) once = testing::compiled_alone(id);
  CHECK(once->report.findings().empty());
  return once->families.front().family;
}

// One connector of a component: what its pins are.
struct Pins : testing::Side {
  using testing::Side::Side;
  State state(const std::string& number) const { return at(number).state.state; }
  const Pin& pin(const std::string& number) const {
    const Cavity cavity = at(number);
    REQUIRE(cavity.pin != none);
    return family.pins[cavity.pin];
  }
  const Circuit& circuit(const std::string& number) const { return family.circuits[pin(number).circuit]; }
  std::string title(const std::string& number) const { return std::string(family.text(circuit(number).title)); }
  std::string note(const std::string& number) const {
    const Cavity cavity = at(number);
    REQUIRE(cavity.cavity_row != none);
    return std::string(family.text(family.cavity_rows[cavity.cavity_row].note));
  }
  bool is_open(const std::string& number) const { return state(number) == State::empty; }
  // Whether its housing is a mate of the other's.
  bool enters(const Pins& other) const {
    for (const Index mate : rows(family.housing_refs, housing().mates))
      if (&family.housings[mate] ==
          &family.housings[family.connector_rows[connector_row_in(family, other.connector, other.cell)].housing])
        return true;
    return false;
  }
};

std::set<std::string> words_of(const std::string& text) {
  std::istringstream in(text);
  std::set<std::string> words;
  for (std::string word; in >> word;) words.insert(word);
  return words;
}

std::string lower(std::string text) {
  std::transform(text.begin(), text.end(), text.begin(), [](unsigned char c) { return std::tolower(c); });
  return text;
}

const std::vector<std::string> j1962_types{"A", "B"}, j1962_sides{"VEHICLE", "TOOL"};

Pins j1962(const std::string& place, const std::string& type, const std::string& protocol) {
  const Family& family = family_alone("diagnostic-j1962");
  return Pins(family, place, "X1", testing::cell_of(family, "ed2016", {{"type", type}, {"protocol", protocol}}));
}
Pins j1939(const std::string& place, const std::string& type, const std::string& cable = "J1939-11") {
  const Family& family = family_alone("diagnostic-j1939");
  return Pins(family, place, "X1", testing::cell_of(family, "ed2016", {{"type", type}, {"cable", cable}}));
}
Pins radio(const std::string& place, const std::string& block, const std::string& a4_a7 = "convention") {
  const Family& family = family_alone("audio-iso10487");
  return Pins(family, place, block, testing::cell_of(family, "all", {{"a4-a7", a4_a7}}));
}

uint32_t mark_of(const PublishedRow& row) {
  if (row.at("known") == "single") return Mark::function_single;
  if (row.at("known") == "memory") return Mark::function_memory;
  return 0;
}

}  // namespace

TEST_CASE("pins of the 16-way diagnostic connector are those of SAE J1962, protocol by protocol") {
  const std::vector<PublishedRow> table = published_table("j1962.csv");
  for (const PublishedRow& spoken : published_table("j1962_protocols.csv"))
    for (const std::string& type : j1962_types)
      for (const std::string& place : j1962_sides) {
        const Pins side = j1962(place, type, spoken.at("protocol"));
        std::set<std::string> filled = words_of(spoken.at("filled"));
        const std::set<std::string> optional = words_of(spoken.at("optional")), absent = words_of(spoken.at("absent"));
        REQUIRE(cavities(side.index, side.cell, side.connector).size() == table.size());
        for (const PublishedRow& row : table) {
          const std::string& number = row.at("pin");
          INFO(place << ", type " << type << ", " << spoken.at("protocol") << ", pin " << number);
          const bool is_mandatory = row.at("class") == "mandatory";
          if (is_mandatory || filled.count(number) || optional.count(number)) {
            CHECK(side.state(number) == State::wired);
            CHECK(side.title(number) == row.at("allocation"));
            CHECK(side.pin(number).marks == mark_of(row));
            CHECK((side.pin(number).optional != 0) == (optional.count(number) != 0));
            CHECK(testing::cites(side.family, side.pin(number).cite, {"SAE J1962", "2016"}));
            CHECK(testing::cites(side.family, side.circuit(number).cite, {"SAE J1962", "2016"}));
          } else if (absent.count(number) && place == "VEHICLE") {
            CHECK(side.is_open(number));
          } else {
            CHECK(side.state(number) == State::unknown);
            if (row.at("class") == "discretionary")
              CHECK(side.note(number).find("maker of the vehicle") != std::string::npos);
          }
        }
      }
}

TEST_CASE("the two wires of a diagnostic line belong together as SAE J1962 has them") {
  const std::vector<PublishedRow> table = published_table("j1962.csv");
  for (const PublishedRow& spoken : published_table("j1962_protocols.csv"))
    for (const std::string& place : j1962_sides) {
      const Pins side = j1962(place, "A", spoken.at("protocol"));
      for (const PublishedRow& row : table) {
        if (row.at("class") != "protocol" || side.state(row.at("pin")) != State::wired) continue;
        INFO(spoken.at("protocol") << ", pin " << row.at("pin"));
        const Pin& pin = side.pin(row.at("pin"));
        CHECK(pin.role == Role::bus);
        // VPW uses pin 2 alone; the L-line is no second wire of the K-line, but goes with it.
        const bool is_pair =
            spoken.at("protocol") != "J1850-VPW" && row.at("allocation").find("-line") == std::string::npos;
        CHECK(side.family.text(pin.pair_with) == (is_pair ? row.at("mate") : ""));
        for (const std::string& word : words_of(std::string(side.family.text(pin.protocol))))
          CHECK(words_of(row.at("protocol")).count(word) == 1);
      }
    }
}

TEST_CASE("type A is for 12 V and type B for 24 V") {  // SAE J1962: nominal volts of pin 16
  const Family& family = family_alone("diagnostic-j1962");
  std::map<std::string, Quantity> supply;
  for (const OptionValue& value : family.option_values) supply[std::string(family.text(value.id))] = value.supply;
  CHECK(supply.at("A") == 12'000);
  CHECK(supply.at("B") == 24'000);
  for (const std::string& type : j1962_types)
    CHECK(j1962("VEHICLE", type, "ISO-15765-4").pin("16").volts == system_volts);
}

TEST_CASE("plugs of diagnostic tools enter the sockets that the standards let them enter") {
  for (const PublishedRow& row : published_table("diagnostic_types.csv")) {
    INFO(row.at("connector") << ": tool " << row.at("tool") << ", vehicle " << row.at("vehicle"));
    const bool is_j1962 = row.at("connector") == "j1962";
    const Pins vehicle =
        is_j1962 ? j1962("VEHICLE", row.at("vehicle"), "ISO-15765-4") : j1939("VEHICLE", row.at("vehicle"));
    const Pins tool = is_j1962 ? j1962("TOOL", row.at("tool"), "ISO-15765-4") : j1939("TOOL", row.at("tool"));
    CHECK(tool.enters(vehicle) == (row.at("enters") == "yes"));
    CHECK(vehicle.enters(tool) == (row.at("enters") == "yes"));
  }
  // SAE J1939-13: type I is black, type II green.
  for (const char* place : {"VEHICLE", "TOOL"}) {
    const Pins first = j1939(place, "I"), second = j1939(place, "II");
    CHECK(first.family.text(first.housing().colour) == "black");
    CHECK(second.family.text(second.housing().colour) == "green");
  }
}

TEST_CASE("pins of the 9-way diagnostic connector are those of SAE J1939-13") {
  const std::vector<PublishedRow> table = published_table("j1939_13.csv");
  for (const char* type : {"I", "II"})
    for (const char* place : {"VEHICLE", "TOOL"}) {
      const Pins side = j1939(place, type);
      REQUIRE(cavities(side.index, side.cell, side.connector).size() == table.size());
      for (const PublishedRow& row : table) {
        const std::string& number = row.at("pin");
        INFO(place << ", type " << type << ", pin " << number);
        const bool is_makers = row.at("function").find("Manufacturer") == 0;
        const bool is_other_later = std::string(type) == "II" && (number == "F" || number == "G");
        const bool is_tool_shield = std::string(place) == "TOOL" && number == "E";  // what a tool has is not published
        if (is_makers || is_other_later || is_tool_shield) {
          CHECK(side.state(number) == State::unknown);
          if (is_other_later) CHECK(side.note(number).find(row.at("function")) == 0);
          if (is_makers)
            CHECK(side.note(number).find(row.at("function").substr(row.at("function").size() - 5)) !=
                  std::string::npos);
          continue;
        }
        CHECK(side.state(number) == State::wired);
        CHECK(side.title(number) == row.at("function"));
        CHECK(side.pin(number).marks == mark_of(row));
        CHECK(testing::cites(side.family, side.pin(number).cite,
                             {"SAE J1939-13", "2013 to 2016 for type II (one page)"}));
      }
    }
  // E: with the shielded pair of J1939-11; open with J1939-15.
  CHECK(j1939("VEHICLE", "I").state("E") == State::wired);
  CHECK(j1939("VEHICLE", "I", "J1939-15").is_open("E"));
}

TEST_CASE("contacts of the radio connectors are those of the convention, and what differs is not taken for known") {
  const std::vector<PublishedRow> table = published_table("iso10487.csv");
  for (const char* place : {"VEHICLE", "RADIO"}) {
    std::map<std::string, size_t> ways;
    for (const PublishedRow& row : table) {
      const std::string& number = row.at("pin");
      INFO(place << ", block " << row.at("block") << ", contact " << number);
      const Pins side = radio(place, row.at("block"));
      ways[row.at("block")] += 1;
      if (row.at("function") == "Not defined") {
        CHECK(side.state(number) == State::unknown);
      } else if (row.at("varies") == "differ" || row.at("varies") == "variants") {
        REQUIRE(side.state(number) == State::disputed);
        std::vector<std::string> claims;
        for (const Say& say : rows(side.family.says, side.family.cavity_rows[side.at(number).cavity_row].says))
          claims.push_back(say.circuit == none
                               ? "unconnected"
                               : lower(std::string(side.family.text(side.family.circuits[say.circuit].title))));
        REQUIRE(claims.size() == 2);
        if (row.at("varies") == "differ")
          CHECK(claims[0] + " or " + claims[1] == lower(row.at("function")));
        else  // some makers have a reversing signal at A 2, and the mute at A 3
          CHECK(claims == std::vector<std::string>{lower(row.at("function")), "reversing signal"});
      } else {
        CHECK(side.state(number) == State::wired);
        CHECK(side.title(number) == row.at("function"));
        CHECK(side.pin(number).marks == mark_of(row));
        const bool may_be_missing = row.at("varies") == "optional" || row.at("varies") == "unconnected";
        if (may_be_missing) CHECK(side.pin(number).optional != 0);
        const Index terminal = side.circuit(number).terminal;
        CHECK((terminal == none ? "" : side.family.text(side.family.terminals[terminal].designation)) ==
              row.at("terminal"));
      }
    }
    for (const auto& [block, count] : ways) {
      const Pins side = radio(place, block);
      CHECK(cavities(side.index, side.cell, side.connector).size() == count);
    }
  }
}

TEST_CASE("where contacts 4 and 7 of block A are exchanged, each has what the other has by the convention") {
  for (const char* place : {"VEHICLE", "RADIO"}) {
    const Pins one = radio(place, "A"), other = radio(place, "A", "exchanged");
    CHECK(one.title("4") == other.title("7"));
    CHECK(one.title("7") == other.title("4"));
    CHECK(one.title("4") != one.title("7"));
  }
}

// Usual colours of the blocks: A black, B brown, C1 yellow, C2 green, C3 blue (two pages).
TEST_CASE("the blocks of the radio connectors have their usual colours") {
  const std::vector<std::pair<std::string, std::string>> usual{
      {"A", "black"}, {"B", "brown"}, {"C1", "yellow"}, {"C2", "green"}, {"C3", "blue"}};
  for (const auto& [block, colour] : usual) {
    const Pins side = radio("RADIO", block);
    CHECK(side.family.text(side.housing().colour) == colour);
  }
}
