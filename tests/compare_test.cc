// Each kind of difference by hand, in the very words; what is no difference; neighbours; two parts; the changes file.
#include <catch2/catch.hpp>
#include <string>
#include <vector>

#include "compare/differences.h"
#include "compare/neighbours.h"
#include "compare/stub.h"
#include "compare/words.h"
#include "small_family.h"

namespace loomproof {
namespace {

using testing::cells_of;
using testing::era_a;
using testing::era_b;
using testing::everywhere;
using testing::SmallFamily;
using Lines = std::vector<std::string>;

constexpr uint32_t a_24 = 1, b_24 = 3;

Lines words(const Family& family, const std::vector<Difference>& list) {
  Lines lines;
  for (const Difference& difference : list) lines.push_back(difference_words(family, difference));
  return lines;
}
Lines words(SmallFamily& small) {
  return words(small.family(), differences(small.family(), a_24, b_24));
}

// A loom with the plugs C1 (35 cavities), C7 and C21 (12), filled by `fill`.
template <typename Fill>
SmallFamily loom(Fill&& fill) {
  SmallFamily small;
  small.begin("chassis", PartKind::loom, "CHASSIS-LOOM");
  small.plug(everywhere, "C1", "row-35");
  small.plug(everywhere, "C7", "inline-12");
  small.plug(everywhere, "C21", "inline-12");
  fill(small);
  small.end();
  return small;
}
template <typename Fill>
SmallFamily unit(Fill&& fill) {
  SmallFamily small;
  small.begin("unit", PartKind::component, "UNIT");
  small.plug(everywhere, "X1", "inline-12", Rest::open);
  small.plug(everywhere, "X2", "inline-8", Rest::open);
  fill(small);
  small.end();
  return small;
}

TEST_CASE("moved: the same circuit, another cavity, all its wires there") {
  SmallFamily one = loom([](SmallFamily& f) {
    f.wire(era_a, "RACK-POS", "C1.12", "C21.2", "GN/WH");
    f.wire(era_b, "RACK-POS", "C1.28", "C21.2", "GN/WH");
  });
  CHECK(words(one) == Lines{"RACK-POS moved from C1.12 to C1.28"});
  SmallFamily crimped = loom([](SmallFamily& f) {
    for (const char* far : {"C21.2", "S3"}) {
      f.wire(era_a, "GND", "C1.4", far);
      f.wire(era_b, "GND", far, "C1.5");  // either way round
    }
    f.wire(everywhere, "GND", "C7.1", "S3");
  });
  CHECK(words(crimped) == Lines{"GND moved from C1.4 to C1.5"});
}

TEST_CASE("a cavity where only some wires of a circuit leave is told wire by wire") {
  SmallFamily small = loom([](SmallFamily& f) {
    f.wire(everywhere, "GND", "C1.4", "C21.2");
    f.wire(era_a, "GND", "C1.4", "C21.3");
    f.wire(era_b, "GND", "C1.5", "C21.3");
  });
  CHECK(words(small) ==
        Lines{"GND added between C1.5 and C21.3 (BK, 0.5 mm²)", "GND removed between C1.4 and C21.3 (BK, 0.5 mm²)"});
}

TEST_CASE("moved and recoloured are two differences of one wire") {
  SmallFamily small = loom([](SmallFamily& f) {
    f.wire(era_a, "STOP", "C1.12", "C21.2", "BK/RD", 500);
    f.wire(era_b, "STOP", "C1.28", "C21.2", "BK", 750);
  });
  CHECK(words(small) == Lines{"STOP moved from C1.12 to C1.28", "STOP recoloured from BK/RD to BK at C1.28",
                              "STOP resized from 0.5 to 0.75 mm² at C1.28"});
}

TEST_CASE("swapped: two circuits exchange cavities") {
  SmallFamily small = loom([](SmallFamily& f) {
    f.wire(era_a, "GLOW-3", "C21.5", "C1.3", "BK");
    f.wire(era_a, "GLOW-4", "C21.6", "C1.4", "RD");
    f.wire(era_b, "GLOW-3", "C21.6", "C1.3", "BK");
    f.wire(era_b, "GLOW-4", "C21.5", "C1.4", "RD");
  });
  CHECK(words(small) == Lines{"GLOW-3 and GLOW-4 exchanged C21.5 and C21.6"});
}

TEST_CASE("replugged: a plug is left by all that it had; the plugs that come and go are implied") {
  SmallFamily small = loom([](SmallFamily& f) {
    f.plug(era_a, "C70", "inline-12", Rest::empty, "crossmember");
    f.plug(era_b, "C8", "inline-8", Rest::empty, "cab hinge");
    f.plug(era_b, "C9", "inline-8", Rest::empty, "cab hinge");
    const char* to[] = {"C8.1", "C8.2", "C9.1"};
    for (int i = 0; i < 3; ++i) {
      const std::string circuit = "LINE-" + std::to_string(i + 1), n = std::to_string(i + 1);
      f.wire(era_a, circuit, "C70." + n, "C1." + n);
      f.wire(era_b, circuit, to[i], "C1." + n);
    }
    f.wire(era_a, "OLD", "C70.9", "C1.9", "RD");
  });
  CHECK(words(small) == Lines{"C70 replugged: C70.1 to C8.1, C70.2 to C8.2, C70.3 to C9.1",
                              "OLD removed between C70.9 and C1.9 (RD, 0.5 mm²)"});
  CHECK(differences(small.family(), a_24, b_24)[0].steps.size() == 3);
  SmallFamily single = loom([](SmallFamily& f) {
    f.plug(era_a, "C70", "inline-8");
    f.plug(era_b, "C8", "inline-8");
    f.wire(era_a, "LIFT", "C70.1", "C1.1");
    f.wire(era_b, "LIFT", "C8.1", "C1.1");
  });
  CHECK(words(single) == Lines{"LIFT moved from C70.1 to C8.1"});
}

TEST_CASE("added and removed say what was unknown there") {
  SmallFamily small = loom([](SmallFamily& f) {
    f.wire(era_b, "TACHO", "C1.7", "C21.4", "GN", 750);
    f.state(era_a, "C1.7", State::disputed);
    f.wire(era_a, "LAMP", "C7.2", "C21.5", "");
    f.state(era_b, "C21.5", State::unknown);
  });
  CHECK(words(small) == Lines{"TACHO added between C1.7 and C21.4 (GN, 0.75 mm²) (C1.7 is disputed before)",
                              "LAMP removed between C7.2 and C21.5 (0.5 mm²) (C21.5 is unknown after)"});
}

TEST_CASE("a wire's other properties: not given, double, spare") {
  SmallFamily small = loom([](SmallFamily& f) {
    f.wire(era_a, "STOP", "C7.4", "C21.3", "", 500);
    f.wire(era_b, "STOP", "C7.4", "C21.3", "BK", 500);
    f.wire(era_a, "GND", "C7.5", "C21.4").double_crimp = 1;
    f.wire(era_b, "GND", "C7.5", "C21.4").spare = f.text("for a heater");
  });
  CHECK(words(small) == Lines{"colour of STOP at C7.4 changed from none to BK",
                              "double of GND at C7.5 changed from true to none",
                              "spare of GND at C7.5 changed from none to for a heater"});
}

TEST_CASE("a wire that no end picks out of its like is told as removed and added") {
  SmallFamily small = loom([](SmallFamily& f) {
    f.wire(everywhere, "GND", "C1.4", "C21.4", "BK");
    f.wire(era_a, "GND", "C1.4", "C21.4", "BK");
    f.wire(era_b, "GND", "C1.4", "C21.4", "RD");
  });
  CHECK(words(small) ==
        Lines{"GND added between C1.4 and C21.4 (RD, 0.5 mm²)", "GND removed between C1.4 and C21.4 (BK, 0.5 mm²)"});
}

TEST_CASE("respliced: the net joins the same cavities by other wires") {
  SmallFamily small = loom([](SmallFamily& f) {
    f.wire(everywhere, "GND", "C1.4", "S3");
    f.wire(everywhere, "GND", "S3", "E1");
    f.wire(era_a, "GND", "C7.4", "S3");
    f.splice(everywhere, "S3", "trunk");
    f.splice(era_b, "S5", "cab end");
    f.wire(era_b, "GND", "C7.4", "S5");
    f.wire(era_b, "GND", "S5", "E1");
  });
  CHECK(words(small) == Lines{"GND respliced: without C7.4 to S3, with C7.4 to S5, S5 to E1"});
}

TEST_CASE("housings, rest and what is loose; a plug without wires comes by itself") {
  SmallFamily small;
  small.begin("chassis", PartKind::loom, "CHASSIS-LOOM");
  small.plug(era_a, "C1", "inline-12", Rest::unknown, "step");
  small.plug(era_b, "C1", "inline-8", Rest::empty, "hinge").loose = small.text("capped");
  small.plug(era_b, "C2", "inline-8");
  small.wire(everywhere, "LAMP", "C1.1", "C1.2");
  small.end();
  CHECK(words(small) == Lines{"C1 rehoused from inline-12 to inline-8", "C2 comes, in housing inline-8",
                              "loose of C1 changed from none to capped", "rest of C1 changed from unknown to empty",
                              "C1 relocated from step to hinge"});
}

TEST_CASE("where things sit, earth points and leads") {
  SmallFamily small = loom([](SmallFamily& f) {
    f.wire(everywhere, "GND", "C1.4", "S3");
    f.wire(everywhere, "GND", "S3", "E1");
    f.wire(everywhere, "HEAT", "C1.5", "L-HEAT");
    f.splice(era_a, "S3", "trunk");
    f.splice(era_b, "S3", "front");
    f.earth(era_a, "E1", "left rail").ring = f.text("M8");
    f.earth(era_b, "E1", "right rail").ring = f.text("M6");
    f.lead(era_a, "L-HEAT", Role::takes_feed).amps = 5000;
    f.lead(era_b, "L-HEAT", Role::takes_feed).amps = 8000;
    f.place_where(era_a, "CHASSIS-LOOM", "frame");
    f.place_where(era_b, "CHASSIS-LOOM", "frame, inside");
  });
  CHECK(words(small) == Lines{"CHASSIS-LOOM relocated from frame to frame, inside", "ring of E1 changed from M8 to M6",
                              "max-a of L-HEAT changed from 5 to 8", "S3 relocated from trunk to front",
                              "E1 relocated from left rail to right rail"});
}

TEST_CASE("replaced: another part in the place, whatever it holds") {
  SmallFamily small;
  for (const auto& [id, place, cells] : {std::tuple("unit-b", "PUMP-UNIT", era_a),
                                         {"unit-c", "PUMP-UNIT", era_b},
                                         {"sensor", "SENSOR", era_b},
                                         {"relay", "RELAY", era_a}}) {
    small.begin(id, PartKind::component, place, cells);
    small.plug(cells, "X1", "inline-8");
    small.pin(cells, "X1.1", "LAMP", Role::takes_feed);
    small.end();
  }
  CHECK(words(small) ==
        Lines{"unit-b replaced by unit-c in PUMP-UNIT", "sensor comes into SENSOR", "relay goes from RELAY"});
}

TEST_CASE("pins: moved, swapped, re-roled, re-rated, added, removed; what is inside follows") {
  SmallFamily small = unit([](SmallFamily& f) {
    f.pin(era_a, "X1.1", "MAIN-RLY", Role::takes_low);
    f.pin(era_b, "X1.5", "MAIN-RLY", Role::takes_low);
    f.inside(era_a, "K1", InsideKind::coil, "X1.1", "N1").ohm = 85000;
    f.inside(era_b, "K1", InsideKind::coil, "X1.5", "N1").ohm = 340000;
    f.inside(era_a, "F2", InsideKind::fuse, "X1.7", "N1");
    f.pin(era_a, "X1.2", "GLOW-1", Role::passes), f.pin(era_b, "X1.3", "GLOW-1", Role::passes);
    f.pin(era_a, "X1.3", "GLOW-2", Role::passes), f.pin(era_b, "X1.2", "GLOW-2", Role::passes);
    f.pin(era_a, "X1.4", "AUX", Role::takes_low);
    Pin& aux = f.pin(era_b, "X1.4", "AUX", Role::takes_high);
    aux.amps = 2000, aux.volts = system_volts, aux.optional = 1;
    f.pin(era_b, "X2.1", "BUS-H", Role::bus);
    f.pin(era_a, "X2.2", "OLD", Role::gives_signal);
  });
  CHECK(words(small) ==
        Lines{"MAIN-RLY moved from X1.1 to X1.5", "GLOW-1 and GLOW-2 exchanged X1.2 and X1.3",
              "pin X2.1 (BUS-H, bus) added", "pin X2.2 (OLD, gives-signal) removed",
              "pin X1.4 re-roled from takes-low to takes-high", "max-a of AUX at X1.4 changed from none to 2",
              "needed of AUX at X1.4 changed from none to false", "volts of AUX at X1.4 changed from none to system",
              "inside, F2 removed", "inside, ohm of K1 changed from 85 to 340"});
}

TEST_CASE("states: now known, no longer known, restated; wired is told by its wires") {
  SmallFamily small = loom([](SmallFamily& f) {
    f.state(era_a, "C1.7", State::unknown), f.state(era_b, "C1.7", State::sealed);
    f.state(era_a, "C1.8", State::empty), f.state(era_b, "C1.8", State::disputed);
    f.state(era_a, "C1.9", State::sealed);  // after: what C1's rest says
    f.state(era_a, "C1.10", State::sealed);
    f.wire(era_b, "LAMP", "C1.10", "C21.1");
  });
  CHECK(words(small) == Lines{"LAMP added between C1.10 and C21.1 (BK, 0.5 mm²)",
                              "C1.7 now known: was unknown, is sealed", "C1.8 no longer known: was empty, is disputed",
                              "C1.9 restated from sealed to empty"});
}

TEST_CASE("what is no difference") {
  SmallFamily small = loom([](SmallFamily& f) {
    Wire& wire = f.wire(era_a, "LAMP", "C1.1", "C21.1");
    wire.length_mm = 1450, wire.marks = colour_memory;
    f.wire(era_b, "LAMP", "C21.1", "C1.1");
    f.state(era_a, "C7.1", State::empty);  // as the rest says
    f.splice(era_a, "S3", "trunk"), f.splice(era_b, "S3", "trunk");
    f.wire(everywhere, "GND", "C1.4", "S3"), f.wire(everywhere, "GND", "S3", "C7.4");
    f.family().splices.back().branch = f.text("front");
  });
  CHECK(words(small).empty());
  SmallFamily open = unit([](SmallFamily& f) {
    f.pin(everywhere, "X1.1", "LAMP", Role::takes_feed);
    f.pin(era_a, "X1.2", "", Role::open);  // as the rest says
  });
  CHECK(words(open).empty());
}

TEST_CASE("two parts compare by the names of their plugs and cavities") {
  SmallFamily small;
  const Index unit_b = small.begin("unit-b", PartKind::component, "UNIT", era_a);
  small.plug(era_a, "X1", "inline-8", Rest::open);
  small.pin(era_a, "X1.1", "FEED", Role::takes_feed);
  small.pin(era_a, "X1.2", "RACK-POS", Role::takes_signal);
  small.inside(era_a, "K1", InsideKind::coil, "X1.1", "N1");
  small.end();
  const Index unit_c = small.begin("unit-c", PartKind::component, "UNIT", era_b);
  small.plug(era_b, "X1", "inline-12", Rest::open);
  small.pin(era_b, "X1.1", "FEED", Role::takes_feed);
  small.pin(era_b, "X1.6", "RACK-POS", Role::takes_signal);
  small.pin(era_b, "X1.7", "BUS-H", Role::bus);
  small.inside(era_b, "K1", InsideKind::coil, "X1.1", "N1");
  small.end();
  CHECK(words(small.family(), differences(small.family(), unit_b, a_24, unit_c, b_24)) ==
        Lines{"RACK-POS moved from X1.2 to X1.6", "pin X1.7 (BUS-H, bus) added",
              "X1 rehoused from inline-8 to inline-12"});
}

TEST_CASE("neighbours are built, differ in one axis, and have nothing built between them") {
  testing::FamilyBuilder build;
  for (const char* era : {"a", "b", "c"}) build.era(era);
  build.option("supply", {"12V", "24V"});
  build.option("coupling", {"7-way", "13-way"});
  build.family.options[1].independent = 1;
  const auto cell = [&](uint32_t era, uint32_t supply, uint32_t coupling) { return era * 4 + supply * 2 + coupling; };
  build.family.built =
      build.cells(cells_of({cell(0, 0, 0), cell(1, 0, 0), cell(2, 0, 0), cell(0, 1, 0), cell(2, 1, 0), cell(2, 1, 1)}));
  std::vector<std::vector<uint32_t>> found;
  for (const Pair& pair : neighbours(build.family)) found.push_back({pair.axis, pair.left, pair.right});
  const std::vector<std::vector<uint32_t>> expected{{0, cell(0, 0, 0), cell(1, 0, 0)},
                                                    {0, cell(0, 1, 0), cell(2, 1, 0)},  // b was not built with 24V
                                                    {0, cell(1, 0, 0), cell(2, 0, 0)},
                                                    {1, cell(0, 0, 0), cell(0, 1, 0)},
                                                    {1, cell(2, 0, 0), cell(2, 1, 0)}};
  CHECK(found == expected);
}

// --- the changes file -----------------------------------------------------------------------------------------------

TEST_CASE("what nobody declared is printed as a changes file that waits for its reason") {
  SmallFamily small = loom([](SmallFamily& f) {
    f.plug(era_a, "C70", "inline-12");
    f.plug(era_b, "C8", "inline-8");
    for (const char* n : {"1", "2"}) {
      f.wire(era_a, std::string("LINE-") + n, std::string("C70.") + n, std::string("C21.") + n);
      f.wire(era_b, std::string("LINE-") + n, std::string("C8.") + n, std::string("C21.") + n);
    }
    f.wire(era_a, "GLOW-3", "C7.5", "C1.3"), f.wire(era_b, "GLOW-3", "C7.6", "C1.3");
    f.wire(era_a, "GLOW-4", "C7.6", "C1.4"), f.wire(era_b, "GLOW-4", "C7.5", "C1.4");
    f.wire(era_a, "RACK-POS", "C1.12", "C21.7", "GN/WH");
    f.wire(era_b, "RACK-POS", "C1.28", "C21.7", "GN/WH", 750);
    f.wire(cells_of({3}), "ON", "C1.30", "L-1", "RD", 1000).shade = Shade::light;  // with 24V only
    f.wire(everywhere, "GND", "C1.31", "S1"), f.wire(everywhere, "GND", "S1", "E1");
    f.wire(era_a, "GND", "C7.1", "S1"), f.wire(era_b, "GND", "C7.1", "E1");
    f.state(era_a, "C1.7", State::unknown), f.state(era_b, "C1.7", State::sealed);
    f.place_where(era_a, "CHASSIS-LOOM", "frame: left"), f.place_where(era_b, "CHASSIS-LOOM", "frame: right");
  });
  small.begin("unit", PartKind::component, "UNIT");
  small.plug(everywhere, "X1", "inline-12", Rest::open);
  small.pin(era_a, "X1.1", "LAMP", Role::takes_low);
  small.pin(era_b, "X1.1", "LAMP", Role::senses_low).amps = 1000;
  small.pin(era_b, "X1.2", "BUS-H", Role::bus);
  small.inside(everywhere, "K1", InsideKind::coil, "X1.1", "N1");
  small.inside(era_b, "K2", InsideKind::coil, "X1.1", "N1");
  small.end();
  CHECK(declare_stub(small.family(), 0, 0, 1, judge_family(small.family()).undeclared) ==
        R"(# yaml-language-server: $schema=../../../../schema/changes.schema.json
between: [{era: a}, {era: b}]
changes:
  - because: ""
    changed:
      - {place: CHASSIS-LOOM, relocated: {was: "frame: left", now: "frame: right"}}
      - {loom: chassis, moved: {circuit: RACK-POS, from: C1.12, to: C1.28}}
      - {loom: chassis, swapped: {circuits: [GLOW-3, GLOW-4], at: [C7.5, C7.6]}}
      - {loom: chassis, replugged: {C70.1: C8.1, C70.2: C8.2}}
      - {loom: chassis, resized: {circuit: RACK-POS, at: C1.28, was: 0.5, now: 0.75}}
      - {loom: chassis, respliced: {removed: [{circuit: GND, from: C7.1, to: S1}], added: [{circuit: GND, from: C7.1, to: E1, colour: BK, mm2: 0.5}]}}
      - {loom: chassis, now-known: {at: C1.7, was: unknown, now: sealed}}
      - {loom: chassis, added: {circuit: "ON", from: C1.30, to: L-1, colour: RD, shade: light, mm2: 1}, with: {supply: 24V}}
      - {component: unit, added: {at: X1.2, circuit: BUS-H, role: bus}}
      - {component: unit, re-roled: {at: X1.1, was: takes-low, now: senses-low}}
      - {component: unit, re-rated: {at: X1.1, of: max-a, was: none, now: "1"}}
      - {component: unit, inside-changed: {id: K2, was: none, now: present}}
)");
  CHECK(declare_stub(small.family(), 1, 0, 1, judge_family(small.family()).undeclared) ==
        R"(# yaml-language-server: $schema=../../../../schema/changes.schema.json
between: [{option: supply, value: 12V}, {option: supply, value: 24V}]
changes:
  - because: ""
    changed:
      - {loom: chassis, added: {circuit: "ON", from: C1.30, to: L-1, colour: RD, shade: light, mm2: 1}, eras: b}
)");
  CHECK(declare_stub(small.family(), 0, 1, 2, judge_family(small.family()).undeclared).empty());
}

}  // namespace
}  // namespace loomproof
