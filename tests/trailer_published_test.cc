// The family trailer-12v as it compiles, cell by cell, against the published tables of contacts: ISO 1724:2003 (12N),
// ISO 3732:2003 (12S), ISO 11446-1:2012 and, for contact 12, ISO 11446:2004 (13-way). The tables are in
// tests/published.
#include <catch2/catch.hpp>
#include <cmath>
#include <functional>
#include <set>

#include "nets/variants.h"
#include "published/contacts.h"

using namespace loomproof;
using testing::cites;
using testing::iec60757;
using testing::marks_of;
using testing::named;
using testing::printed_colour;
using testing::published_table;
using testing::PublishedRow;
using testing::Standard;

namespace {

const Compiled& compiled() {
  static const std::unique_ptr<Compiled> once = testing::compiled_alone("trailer-12v");
  return *once;
}

const Family& trailer() {
  return compiled().families.front().family;
}

// --- the couplings and what is published of them
// ----------------------------------------------------------------------

struct Coupling {
  std::string value, table;
  std::map<std::string, Standard> standard;  // by era
};
const std::vector<Coupling> couplings = {
    {"12N", "iso1724.csv", {{"ed2004", {"ISO 1724", "2003"}}, {"ed2012", {"ISO 1724", "2003"}}}},
    {"12S", "iso3732.csv", {{"ed2004", {"ISO 3732", "2003"}}, {"ed2012", {"ISO 3732", "2003"}}}},
    {"13-way", "iso11446.csv", {{"ed2004", {"ISO 11446", "2004"}}, {"ed2012", {"ISO 11446-1", "2012"}}}}};
const std::vector<std::string> editions = {"ed2004", "ed2012"};
const std::vector<std::string> sides = {"TOW-VEHICLE", "TRAILER"};

// The functions of the tables in the corpus's words (the words are ours, no source).
const std::map<std::string, std::string> function_of = {
    {"Left direction indicator", "left direction indicator"},
    {"Right direction indicator", "right direction indicator"},
    {"Rear fog lamp", "rear fog lamp"},
    {"Left tail / outline-marker / registration-plate lamp", "left position lamps"},
    {"Right tail / outline-marker / registration-plate lamp", "right position lamps"},
    {"Stop lamps", "stop lamps"},
    {"Reversing lamp", "reversing lamp"},
    {"Permanent +12 V supply", "permanent supply"},
    {"+12 V supply switched by the ignition", "ignition supply"},
    {"Common return", "lamp return"},
    {"Common return for contacts 1 2 4 5 6 7 8", "lamp return"},
    {"Return for contact 4", "supply return"},
    {"Return for contact 6", "supply return"},
    {"Return for contact 9", "supply return"},
    {"Return for contact 10", "supply return"},
    {"Not allocated", "not allocated"}};

bool is_return(const PublishedRow& row) {
  return row.at("function").find("eturn") != std::string::npos;
}
bool has_core(const PublishedRow& row) {
  return !row.at("colour").empty();
}

// --- one side of one coupling in one edition
// --------------------------------------------------------------------------

struct Side : testing::Side {
  Side(const std::string& place, const std::string& edition, const std::string& coupling)
      : testing::Side(trailer(), place, "C1", testing::cell_of(trailer(), edition, {{"coupling", coupling}})) {}
};

void for_each_side(const std::function<void(const Coupling&, const std::string& edition, const Side&)>& check) {
  for (const Coupling& coupling : couplings)
    for (const std::string& edition : editions)
      for (const std::string& side : sides) {
        INFO(side << ", " << coupling.value << ", " << edition);
        check(coupling, edition, Side(side, edition, coupling.value));
      }
}

// ISO 11446:2004 gives contact 12 a use (its bridge has a test of its own); all else is as in ISO 11446-1:2012.
bool is_of_2004(const Coupling& coupling, const std::string& edition, const PublishedRow& row) {
  return coupling.value == "13-way" && edition == "ed2004" && row.at("contact") == "12";
}

}  // namespace

TEST_CASE("the family compiles without a finding") {
  CHECK(compiled().families.front().judged);
  for (const Finding& finding : compiled().report.findings()) FAIL_CHECK(finding.message);
}

TEST_CASE("the family is built for every published coupling in both editions") {
  const Family& family = trailer();
  const CellSet& vehicles = family.set(family.places[named(family, family.places, "TOW-VEHICLE")].cells);
  CHECK((family.set(family.built) & vehicles).count() ==
        couplings.size() * editions.size());  // the others are adapters
  for (const Coupling& coupling : couplings)
    for (const std::string& edition : editions)
      CHECK(family.holds(family.built, testing::cell_of(family, edition, {{"coupling", coupling.value}})));
}

TEST_CASE("contacts are those of the tables, and what has no core is empty") {
  for_each_side([](const Coupling& coupling, const std::string& edition, const Side& side) {
    const std::vector<PublishedRow> table = published_table(coupling.table);
    const std::vector<Cavity> all = cavities(side.index, side.cell, side.connector);
    REQUIRE(all.size() == table.size());
    for (size_t i = 0; i < table.size(); ++i) {
      INFO("contact " << table[i].at("contact"));
      CHECK(side.family.text(all[i].number) == table[i].at("contact"));
      if (is_of_2004(coupling, edition, table[i])) continue;
      CHECK(all[i].state.state == (has_core(table[i]) ? State::wired : State::empty));
    }
  });
}

TEST_CASE("every core has the colour, cross-section and marks of its table") {
  for_each_side([](const Coupling& coupling, const std::string& edition, const Side& side) {
    for (const PublishedRow& row : published_table(coupling.table)) {
      if (!has_core(row)) continue;
      INFO("contact " << row.at("contact"));
      const Wire& core = side.core(row.at("contact"));
      CHECK(printed_colour(side.family, core) == row.at("colour"));
      CHECK(iec60757(side.family, core) == row.at("iec60757"));
      CHECK(core.shade == Shade::unset);
      CHECK(core.mm2 == std::lround(1000 * std::stod(row.at("mm2"))));
      CHECK(core.marks == marks_of(row));
      CHECK(cites(side.family, core.cite, coupling.standard.at(edition)));
    }
  });
}

TEST_CASE("every contact has the function and terminal designation of its table") {
  for_each_side([](const Coupling& coupling, const std::string& edition, const Side& side) {
    for (const PublishedRow& row : published_table(coupling.table)) {
      if (!has_core(row)) continue;
      INFO("contact " << row.at("contact"));
      const Circuit& circuit = side.family.circuits[side.core(row.at("contact")).circuit];
      CHECK(side.family.text(side.family.functions[circuit.function].id) == function_of.at(row.at("function")));
      if (row.at("terminal").empty())
        CHECK(circuit.terminal == none);
      else
        CHECK(side.family.text(side.family.terminals[circuit.terminal].designation) == row.at("terminal"));
      CHECK(cites(side.family, circuit.cite, coupling.standard.at(edition)));
    }
  });
}

// That lamps and supplies are switched or fed by the towing vehicle is common practice, no source.
TEST_CASE("the towing vehicle gives what the trailer takes") {
  for (const Coupling& coupling : couplings)
    for (const std::string& edition : editions) {
      const Side vehicle("TOW-VEHICLE", edition, coupling.value), trailer_side("TRAILER", edition, coupling.value);
      for (const PublishedRow& row : published_table(coupling.table)) {
        if (!has_core(row) || row.at("function") == "Not allocated") continue;
        INFO(coupling.value << ", " << edition << ", contact " << row.at("contact"));
        const Lead& gives = vehicle.lead(row.at("contact"));
        const Lead& takes = trailer_side.lead(row.at("contact"));
        if (is_return(row)) {
          CHECK(word(gives.role) == "gives-earth");
          CHECK(word(takes.role) == "takes-earth");
          continue;
        }
        const bool supply = row.at("function").find("supply") != std::string::npos;
        CHECK(word(gives.role) == (supply ? "gives-feed" : "pulls-high"));
        CHECK(word(takes.role) == (supply ? "takes-feed" : "takes-high"));
        CHECK(gives.volts == system_volts);
        CHECK(takes.volts == system_volts);
      }
    }
  CHECK(trailer().supply == 12'000);  // ISO 1724, ISO 3732 and ISO 11446 are for 12 V
}

TEST_CASE("every load of the trailer goes back by the contact that its table names") {
  for (const Coupling& coupling : couplings)
    for (const std::string& edition : editions) {
      const Side side("TRAILER", edition, coupling.value);
      for (const PublishedRow& row : published_table(coupling.table)) {
        if (!has_core(row) || is_return(row) || row.at("function") == "Not allocated") continue;
        INFO(coupling.value << ", " << edition << ", contact " << row.at("contact"));
        const std::string title(side.family.text(side.lead(row.at("contact")).title));
        const std::string back = ", back by " + row.at("return");
        REQUIRE(title.size() > back.size());
        CHECK(title.substr(title.size() - back.size()) == back);
        CHECK(side.lead(row.at("return")).role == Role::takes_earth);
      }
    }
}

TEST_CASE("what the standards keep apart in the trailer is declared, and is apart") {
  const Family& family = trailer();
  using Pair = std::set<Index>;
  std::set<Pair> published, declared;
  for (const PublishedRow& row : published_table("trailer_apart.csv"))
    for (const std::string& edition : editions) {
      INFO(row.at("coupling") << ", " << edition << ", contacts " << row.at("contact") << " and " << row.at("other"));
      const Side side("TRAILER", edition, row.at("coupling"));
      published.insert({side.core(row.at("contact")).circuit, side.core(row.at("other")).circuit});
      CHECK(side.net(row.at("contact")) != side.net(row.at("other")));
      const BuildNets build = build_nets(side.index, side.cell);
      CHECK(build.nets.net(side.at(row.at("contact")).point) != build.nets.net(side.at(row.at("other")).point));
    }
  for (const Apart& apart : family.aparts) {
    declared.insert({apart.circuit, apart.other});
    REQUIRE(apart.places.count == 1);  // the vehicle may tie all returns to its body
    CHECK(family.text(family.places[family.place_refs[apart.places.first]].id) == "TRAILER");
    CHECK(apart.outcome > Outcome::fine);
  }
  CHECK(declared == published);
  CHECK(family.aparts.size() == published.size());
}

// ISO 11446:2004 (read in one page): contact 12 is bridged to contact 3 in the trailer's plug to report a coupled
// trailer.
TEST_CASE("contact 12 of the 13-way coupling in the 2004 edition is bridged to contact 3 in the trailer's plug") {
  const Side vehicle("TOW-VEHICLE", "ed2004", "13-way"), plug("TRAILER", "ed2004", "13-way");
  CHECK(plug.net("12") == plug.net("3"));
  CHECK(plug.net("12") != plug.net("11"));
  CHECK(plug.net("12") != plug.net("13"));
  CHECK(vehicle.net("12") != vehicle.net("3"));

  REQUIRE(plug.at("12").wires.size() == 1);
  const Wire& bridge = plug.family.wires[plug.at("12").wires.front()];
  CHECK(far_ends(plug.index, plug.cell, plug.at("12").point) == std::vector<Index>{plug.at("3").point});
  for (const Wire* wire : {&bridge, &vehicle.core("12")}) {
    CHECK(wire->base == none);  // no core, so no colour and no cross-section is published
    CHECK(wire->mm2 == not_given);
    CHECK(wire->marks == Mark::function_single);
    CHECK(cites(plug.family, wire->cite, {"ISO 11446", "2004"}));
  }
  CHECK(vehicle.lead("12").role == Role::senses_low);
}

TEST_CASE("between the editions contact 12 of the 13-way coupling changes, and nothing else") {
  const Family& family = trailer();
  for (const Coupling& coupling : couplings)
    for (const std::string& place : sides) {
      INFO(place << ", " << coupling.value);
      const Side before(place, "ed2004", coupling.value), after(place, "ed2012", coupling.value);
      CHECK(before.part == after.part);
      CHECK(variants(family, before.part).size() == (coupling.value == "13-way" ? 2 : 1));
      for (const PublishedRow& row : published_table(coupling.table)) {
        if (!has_core(row)) continue;
        INFO("contact " << row.at("contact"));
        const Wire &was = before.core(row.at("contact")), &is = after.core(row.at("contact"));
        CHECK(was.circuit == is.circuit);
        CHECK(colour_code(family, was) == colour_code(family, is));
        CHECK(was.mm2 == is.mm2);
        CHECK(was.to == is.to);
      }
    }
  REQUIRE(family.changes.size() == 1);
  std::set<std::string> declared;
  for (const ChangeItem& item : rows(family.change_items, family.changes[0].items)) {
    REQUIRE(item.part != none);
    const std::string place(family.text(family.places[family.parts[item.part].place].id));
    declared.insert(place + " " + std::string(word(item.kind)) + " " + point_name(family, item.from));
  }
  // An adapter goes with the edition: only in 2004 is there anything to look for in its contact 12.
  CHECK(declared == std::set<std::string>{"TOW-VEHICLE removed C1.12", "TRAILER removed C1.12", "TRAILER re-rated C1.3",
                                          "ADAPTER now-known A1.12"});
}

// ISO 1724 and ISO 3732: types N and S mix pins and tubes differently, so that an N plug does not enter an S socket.
// Which contacts differ is not in the tables.
TEST_CASE("types N and S do not enter each other") {
  const Side n("TOW-VEHICLE", "ed2004", "12N"), s("TRAILER", "ed2004", "12S");
  const Family& family = trailer();
  std::vector<std::string> mates;
  for (const Index mate : rows(family.housing_refs, n.housing().mates))
    mates.emplace_back(family.text(family.housings[mate].id));
  CHECK(mates == std::vector<std::string>{"trailer-12n-plug"});
  bool clash = false;
  for (uint32_t i = 0; i < n.housing().cavities.count; ++i)
    clash |= family.housing_cavities[n.housing().cavities.first + i].contact ==
             family.housing_cavities[s.housing().cavities.first + i].contact;
  CHECK(clash);
}

// Two faces that meet are mirror images, contact by contact: geometry, no source.
TEST_CASE("socket and plug are mirror images and hold opposite contacts") {
  const Family& family = trailer();
  for (const Coupling& coupling : couplings) {
    const Side socket("TOW-VEHICLE", "ed2012", coupling.value), plug("TRAILER", "ed2012", coupling.value);
    REQUIRE(socket.housing().view == View::mating_side);
    REQUIRE(plug.housing().view == View::mating_side);
    REQUIRE(socket.housing().cavities.count == plug.housing().cavities.count);
    for (uint32_t i = 0; i < socket.housing().cavities.count; ++i) {
      const HousingCavity& a = family.housing_cavities[socket.housing().cavities.first + i];
      const HousingCavity& b = family.housing_cavities[plug.housing().cavities.first + i];
      INFO(coupling.value << ", contact " << family.text(a.number));
      CHECK(a.number == b.number);
      CHECK(a.x == -b.x);
      CHECK(a.y == b.y);
      CHECK(a.contact != b.contact);
    }
  }
}
