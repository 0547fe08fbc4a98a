// Declared changes by hand: what is undeclared, what is untrue and in which words; one fault, one finding.
#include <catch2/catch.hpp>
#include <map>
#include <string>
#include <tuple>
#include <vector>

#include "compare/judge.h"
#include "compare/neighbours.h"
#include "compare/words.h"
#include "nets/classes.h"
#include "random_family.h"
#include "small_family.h"

namespace loomproof {
namespace {

using testing::cells_of;
using testing::era_a;
using testing::era_b;
using testing::everywhere;
using testing::SmallFamily;
using Lines = std::vector<std::string>;

// What a family is told, one line a finding: "undeclared: …", "untrue: what it says -- what is the case".
Lines told(SmallFamily& small) {
  Lines lines;
  const FamilyVerdict verdict = judge_family(small.family());
  for (const Undeclared& one : verdict.undeclared)
    lines.push_back("undeclared: " + difference_words(small.family(), one.difference));
  for (const Untrue& one : verdict.untrue)
    lines.push_back("untrue: " + change_words(small.family(), small.family().change_items[one.item]) + " -- " +
                    one.words);
  return lines;
}

template <typename Fill, typename Declare>
Lines loom_told(Fill&& fill, Declare&& declare) {
  SmallFamily small;
  small.begin("chassis", PartKind::loom, "CHASSIS-LOOM");
  small.plug(everywhere, "C1", "row-35");
  small.plug(everywhere, "C7", "inline-12");
  small.plug(everywhere, "C21", "inline-12");
  fill(small);
  small.end();
  small.change(0, 0, 1);
  declare(small);
  return told(small);
}

ChangeItem moved(SmallFamily& f, const char* circuit, const char* from, const char* to) {
  ChangeItem item;
  item.kind = ChangeKind::moved, item.circuit = f.circuit(circuit), item.from = f.point(from), item.to = f.point(to);
  return item;
}
ChangeItem wire(SmallFamily& f, ChangeKind kind, const char* circuit, const char* from, const char* to, Index base,
                Quantity mm2 = 500) {
  ChangeItem item = moved(f, circuit, from, to);
  item.kind = kind, item.base = base, item.mm2 = mm2;
  return item;
}
ChangeItem altered(SmallFamily& f, ChangeKind kind, const char* circuit, const char* at, const char* was,
                   const char* becomes, const char* of = "") {
  ChangeItem item;
  item.kind = kind, item.circuit = *circuit ? f.circuit(circuit) : none, item.from = f.point(at);
  item.was = f.text(was), item.becomes = f.text(becomes), item.of = f.text(of);
  return item;
}
constexpr Index black = 0, red = 1;

const auto rack_moves = [](SmallFamily& f) {
  f.wire(era_a, "RACK-POS", "C1.12", "C21.2");
  f.wire(era_b, "RACK-POS", "C1.29", "C21.2");
  f.wire(everywhere, "OTHER", "C1.28", "C21.3"), f.wire(everywhere, "THIRD", "C1.13", "C21.4");
};

TEST_CASE("a true declaration is silent, none is undeclared") {
  CHECK(loom_told(rack_moves, [](SmallFamily& f) { f.step(moved(f, "RACK-POS", "C1.12", "C1.29")); }).empty());
  CHECK(loom_told(rack_moves, [](SmallFamily&) {}) == Lines{"undeclared: RACK-POS moved from C1.12 to C1.29"});
}

TEST_CASE("a move to another cavity, from another, or of another circuit is one finding") {
  const std::string is = " -- the corpus has: RACK-POS moved from C1.12 to C1.29";
  CHECK(loom_told(rack_moves, [](SmallFamily& f) { f.step(moved(f, "RACK-POS", "C1.12", "C1.28")); }) ==
        Lines{"untrue: RACK-POS moved from C1.12 to C1.28" + is});
  CHECK(loom_told(rack_moves, [](SmallFamily& f) { f.step(moved(f, "RACK-POS", "C1.13", "C1.29")); }) ==
        Lines{"untrue: RACK-POS moved from C1.13 to C1.29" + is});
  CHECK(loom_told(rack_moves, [](SmallFamily& f) { f.step(moved(f, "GHOST", "C1.12", "C1.29")); }) ==
        Lines{"untrue: GHOST moved from C1.12 to C1.29" + is});
}

TEST_CASE("a move of what stays, or of what is not there, says where it is") {
  CHECK(loom_told(rack_moves, [](SmallFamily& f) {
          f.step(moved(f, "RACK-POS", "C1.12", "C1.29"));
          f.step(moved(f, "OTHER", "C1.28", "C1.13"));
        }) == Lines{"untrue: OTHER moved from C1.28 to C1.13 -- it is there before and after"});
  CHECK(loom_told(rack_moves,
                  [](SmallFamily& f) {
                    f.step(moved(f, "RACK-POS", "C1.12", "C1.29"));
                    f.step(moved(f, "OTHER", "C1.13", "C1.12"));
                  }) == Lines{"untrue: OTHER moved from C1.13 to C1.12 -- OTHER is not at C1.13 before, but at C21.3, "
                              "C1.28"});
}

TEST_CASE("a declaration said twice, or that changes nothing, is untrue") {
  CHECK(loom_told(rack_moves, [](SmallFamily& f) {
          f.step(moved(f, "RACK-POS", "C1.12", "C1.29"));
          f.step(moved(f, "RACK-POS", "C1.12", "C1.29"));
        }) == Lines{"untrue: RACK-POS moved from C1.12 to C1.29 -- an earlier step says so already"});
  CHECK(loom_told(rack_moves, [](SmallFamily& f) {
          f.step(moved(f, "RACK-POS", "C1.12", "C1.29"));
          f.step(moved(f, "OTHER", "C1.28", "C1.28"));
        }) == Lines{"untrue: OTHER moved from C1.28 to C1.28 -- it changes nothing"});
}

TEST_CASE("an addition carries ends, colour and cross-section") {
  const auto fill = [](SmallFamily& f) {
    f.wire(everywhere, "OTHER", "C1.1", "C21.1");
    f.wire(era_b, "LAMP", "C1.4", "C21.4", "RD", 750).double_crimp = 1;  // which an addition does not say
  };
  const std::string is = " -- the corpus has: LAMP added between C1.4 and C21.4 (RD, 0.75 mm²)";
  CHECK(loom_told(fill, [](SmallFamily& f) {
          f.step(wire(f, ChangeKind::added, "LAMP", "C21.4", "C1.4", red, 750));
        }).empty());
  CHECK(loom_told(fill, [](SmallFamily& f) {
          f.step(wire(f, ChangeKind::added, "LAMP", "C1.4", "C21.4", black, 750));
        }) == Lines{"untrue: LAMP added between C1.4 and C21.4 (BK, 0.75 mm²)" + is});
  CHECK(loom_told(fill, [](SmallFamily& f) {
          f.step(wire(f, ChangeKind::added, "LAMP", "C1.4", "C21.4", red, not_given));
        }) == Lines{"untrue: LAMP added between C1.4 and C21.4 (RD)" + is});
  CHECK(loom_told(fill, [](SmallFamily& f) {
          f.step(wire(f, ChangeKind::added, "LAMP", "C1.4", "C21.1", red, 750));
        }) == Lines{"untrue: LAMP added between C1.4 and C21.1 (RD, 0.75 mm²)" + is});
  CHECK(loom_told(fill, [](SmallFamily& f) {
          f.step(wire(f, ChangeKind::added, "LAMP", "C1.4", "C21.4", red, 750));
          f.step(wire(f, ChangeKind::added, "OTHER", "C1.1", "C21.1", black));
        }) == Lines{"untrue: OTHER added between C1.1 and C21.1 (BK, 0.5 mm²) -- no such wire comes"});
}

TEST_CASE("a removal of what stays, and of what never was") {
  const auto fill = [](SmallFamily& f) {
    f.wire(era_a, "LAMP", "C1.4", "C21.4", "RD", 750);
    f.wire(everywhere, "STOP", "C1.5", "C21.5");
  };
  CHECK(loom_told(fill, [](SmallFamily& f) {
          f.step(wire(f, ChangeKind::removed, "LAMP", "C1.4", "C21.4", none, not_given));
          f.step(wire(f, ChangeKind::removed, "STOP", "C1.5", "C21.5", none, not_given));
        }) == Lines{"untrue: STOP removed between C1.5 and C21.5 -- it is there before and after"});
  CHECK(
      loom_told(fill, [](SmallFamily& f) {
        f.step(wire(f, ChangeKind::removed, "LAMP", "C1.4", "C21.4", none, not_given));
        f.step(wire(f, ChangeKind::removed, "STOP", "C1.4", "C21.4", none, not_given));
      }) == Lines{"untrue: STOP removed between C1.4 and C21.4 -- no wire of STOP runs between C1.4 and C21.4 before"});
}

TEST_CASE("the order is removals, renames at once, additions, alterations") {
  const auto fill = [](SmallFamily& f) {
    f.wire(era_a, "STOP", "C1.1", "C21.1", "BK/RD"), f.wire(era_a, "TAIL", "C1.2", "C21.2");
    f.wire(era_b, "STOP", "C1.2", "C21.1", "BK"), f.wire(era_b, "TAIL", "C1.3", "C21.2");
    f.wire(era_a, "OLD", "C1.3", "C21.3"), f.wire(era_b, "NEW", "C1.1", "C21.3");
  };
  CHECK(loom_told(fill, [](SmallFamily& f) {
          f.step(altered(f, ChangeKind::recoloured, "STOP", "C1.2", "BK/RD", "BK"));
          f.step(wire(f, ChangeKind::added, "NEW", "C1.1", "C21.3", black));
          f.step(moved(f, "STOP", "C1.1", "C1.2"));
          f.step(moved(f, "TAIL", "C1.2", "C1.3"));
          f.step(wire(f, ChangeKind::removed, "OLD", "C1.3", "C21.3", none, not_given));
        }).empty());
}

TEST_CASE("what a wire was is part of what is declared") {
  const auto fill = [](SmallFamily& f) {
    f.wire(era_a, "STOP", "C7.4", "C21.3", "BK/RD"), f.wire(era_b, "STOP", "C7.4", "C21.3", "BK");
  };
  const std::string is = " -- the corpus has: STOP recoloured from BK/RD to BK at C7.4";
  CHECK(loom_told(fill, [](SmallFamily& f) {
          f.step(altered(f, ChangeKind::recoloured, "STOP", "C21.3", "BK/RD", "BK"));  // its other end does as well
        }).empty());
  CHECK(loom_told(fill, [](SmallFamily& f) {
          f.step(altered(f, ChangeKind::recoloured, "STOP", "C7.4", "BK/WH", "BK"));
        }) == Lines{"untrue: STOP recoloured from BK/WH to BK at C7.4" + is});
  CHECK(loom_told(fill, [](SmallFamily& f) {
          f.step(altered(f, ChangeKind::recoloured, "STOP", "C7.4", "BK/RD", "light BU"));
        }) == Lines{"untrue: STOP recoloured from BK/RD to light BU at C7.4" + is});
}

TEST_CASE("two steps that send one thing to two ends are both told") {
  CHECK(loom_told(rack_moves,
                  [](SmallFamily& f) {
                    f.step(moved(f, "GHOST", "C1.12", "C1.29"));
                    f.step(moved(f, "GHOST", "C1.12", "C1.28"));
                    f.step(moved(f, "RACK-POS", "C1.12", "C1.29"));
                  }) == Lines{"untrue: GHOST moved from C1.12 to C1.29 -- two steps move what is at C1.12",
                              "untrue: GHOST moved from C1.12 to C1.28 -- two steps move what is at C1.12"});
}

TEST_CASE("respliced says that the net joins the same cavities") {
  const auto fill = [](SmallFamily& f) {
    f.wire(everywhere, "GND", "C1.4", "S3"), f.wire(everywhere, "GND", "S3", "E1");
    f.wire(era_b, "GND", "C7.4", "S3");
  };
  ChangeItem item;
  CHECK(loom_told(fill, [&](SmallFamily& f) {
          item = wire(f, ChangeKind::respliced, "GND", "C7.4", "S3", black);
          item.step = 1;
          f.step(item);
        }) == Lines{"untrue: GND respliced: with C7.4 to S3 -- the net of GND joins other cavities before than after"});
}

TEST_CASE("a difference that a true step does not speak of stays undeclared") {
  const auto fill = [](SmallFamily& f) {
    f.wire(era_a, "STOP", "C1.12", "C21.3", "BK/RD"), f.wire(era_b, "STOP", "C1.28", "C21.3", "BK");
  };
  CHECK(loom_told(fill, [](SmallFamily& f) { f.step(moved(f, "STOP", "C1.12", "C1.28")); }) ==
        Lines{"undeclared: STOP recoloured from BK/RD to BK at C1.28"});
}

TEST_CASE("things: the housing, where it sits, states, what is inside") {
  SmallFamily small;
  const Index unit = small.begin("unit", PartKind::component, "UNIT");
  small.plug(era_a, "X1", "inline-12", Rest::open, "step");
  small.plug(era_b, "X1", "inline-8", Rest::open, "hinge");
  small.pin(everywhere, "X1.1", "LAMP", Role::takes_low);
  small.inside(era_a, "F2", InsideKind::fuse, "X1.1", "N1").amps = 10000;
  small.inside(era_b, "F2", InsideKind::fuse, "X1.1", "N1").amps = 15000;
  small.inside(era_a, "H1", InsideKind::lamp, "N1", "X1.1");
  small.state(era_a, "X1.5", State::unknown), small.state(era_b, "X1.5", State::sealed);
  small.end();
  small.change(0, 0, 1);
  const auto step = [&](ChangeKind kind, const char* what, const char* of, const char* was, const char* becomes) {
    ChangeItem item;
    item.kind = kind, item.part = unit, item.of = small.text(of);
    item.was = small.text(was), item.becomes = small.text(becomes);
    if (kind == ChangeKind::inside_changed)
      item.what = small.text(what);
    else if (std::string(what).find('.') == std::string::npos)
      item.connector = small.connector(what);
    else
      item.from = small.point(what);
    small.step(item);
  };
  step(ChangeKind::rehoused, "X1", "", "inline-12", "row-35");
  step(ChangeKind::relocated, "X1", "", "step", "hinge");
  step(ChangeKind::inside_changed, "F2", "a", "10", "20");
  step(ChangeKind::inside_changed, "H1", "", "lamp", "none");
  step(ChangeKind::inside_changed, "F2", "ohm", "1", "2");
  step(ChangeKind::restated, "X1.5", "", "unknown", "sealed");
  CHECK(
      told(small) ==
      Lines{"untrue: X1 rehoused from inline-12 to row-35 -- the housing of X1 is inline-12 before and inline-8 after",
            "untrue: inside, a of F2 changed from 10 to 20 -- a of F2 is 10 before and 15 after",
            "untrue: inside, ohm of F2 changed from 1 to 2 -- ohm of F2 is none before and after",
            "untrue: X1.5 restated from unknown to sealed -- from unknown to sealed is `now-known`"});
}

TEST_CASE("a place that holds another part is told as that, and its content with it") {
  SmallFamily small;
  const Index unit_b = small.begin("unit-b", PartKind::component, "UNIT", era_a);
  small.plug(era_a, "X1", "inline-8");
  small.pin(era_a, "X1.1", "LAMP", Role::takes_feed);
  small.pin(era_a, "X1.2", "STOP", Role::takes_feed);
  small.end();
  small.begin("unit-c", PartKind::component, "UNIT", era_b);
  small.end();
  small.change(0, 0, 1);
  ChangeItem item;
  item.kind = ChangeKind::replaced, item.place = small.place("UNIT");
  item.was = small.text("unit-b"), item.becomes = small.text("unit-d");
  small.step(item);
  ChangeItem inside = moved(small, "LAMP", "X1.1", "X1.2");
  inside.part = unit_b;
  small.step(inside);
  CHECK(told(small) == Lines{"untrue: unit-b replaced by unit-d in UNIT -- the corpus has: unit-b replaced by unit-c "
                             "in UNIT",
                             "untrue: LAMP moved from X1.1 to X1.2 -- UNIT holds unit-b before and unit-c after"});
}

TEST_CASE("the same fault with both supplies is one finding, with both cells; another is limited to its own") {
  SmallFamily small;
  small.begin("chassis", PartKind::loom, "CHASSIS-LOOM");
  small.plug(everywhere, "C1", "row-35");
  small.wire(era_a, "STOP", "C1.1", "S1"), small.wire(era_b, "STOP", "C1.2", "S1");
  small.wire(everywhere, "STOP", "S1", "E1");
  small.wire(cells_of({2}), "LAMP", "C1.5", "E1");  // era b with 12V alone
  small.end();
  small.change(0, 0, 1);
  small.step(wire(small, ChangeKind::added, "LAMP", "C1.5", "E1", black), cells_of({0, 1}));
  const FamilyVerdict verdict = judge_family(small.family());
  CHECK(verdict.pairs == 4);
  CHECK(verdict.items == 1);
  REQUIRE(verdict.undeclared.size() == 2);
  CHECK(difference_words(small.family(), verdict.undeclared[0].difference) == "STOP moved from C1.1 to C1.2");
  CHECK(verdict.undeclared[0].difference.cells == cells_of({0, 1}));
  CHECK(verdict.undeclared[1].axis == 1);  // with 24V the lamp's wire goes
  CHECK(verdict.undeclared[1].difference.cells == cells_of({2}));
  REQUIRE(verdict.untrue.size() == 1);
  CHECK(verdict.untrue[0].cells == cells_of({1}));  // true with 12V, untrue with 24V
}

// By what is told: the left cells in which it is.
using CellsTold = std::map<std::tuple<std::string, uint32_t, Index, Index>, CellSet>;

std::vector<Index> steps_between(const Family& family, const Pair& pair) {
  std::vector<Index> steps;
  for (const Change& change : family.changes)
    if (change.axis == pair.axis && change.left == family.coordinate(pair.left, pair.axis) &&
        change.right == family.coordinate(pair.right, pair.axis))
      for (Index step = change.items.first; step < change.items.end(); ++step)
        if (family.holds(family.change_items[step].cells, pair.left)) steps.push_back(step);
  return steps;
}

TEST_CASE("pairs that are judged once for all are told as if each were judged by itself") {
  uint32_t shared = 0;
  for (uint32_t seed = 0; seed < 400; ++seed) {
    // Few rows, so that often none tells two cells apart.
    const Family family = testing::random_family(
        seed, {.eras = 3, .options = 2, .values = 3, .looms = 1, .components = 1, .connectors = 1, .wires = 2});
    CAPTURE(seed);
    CellsTold one_by_one, together;
    for (const Pair& pair : neighbours(family)) {
      const Index left = family.coordinate(pair.left, pair.axis), right = family.coordinate(pair.right, pair.axis);
      const PairVerdict verdict = judge_cells(family, pair.left, pair.right, steps_between(family, pair));
      for (const Difference& one : verdict.undeclared)
        one_by_one[{difference_words(family, one), pair.axis, left, right}] |= CellSet::of(pair.left);
      for (const Untrue& one : verdict.untrue) one_by_one[{one.words, 0, none, none}] |= CellSet::of(pair.left);
    }
    const FamilyVerdict verdict = judge_family(family);
    for (const Undeclared& one : verdict.undeclared)
      together[{difference_words(family, one.difference), one.axis, one.left, one.right}] |= one.difference.cells;
    for (const Untrue& one : verdict.untrue)
      if (!one.cells.empty()) together[{one.words, 0, none, none}] |= one.cells;
    REQUIRE(one_by_one == together);
    shared += cell_classes(family).size() < family.set(family.built).count();
  }
  CHECK(shared > 20);
}

TEST_CASE("a change between what are no neighbours is untrue") {
  SmallFamily small;
  small.build().era("c");
  small.family().built = small.build().cells(cells_of({0, 2, 4}));
  small.begin("chassis", PartKind::loom, "CHASSIS-LOOM");
  small.plug(everywhere, "C1", "row-35");
  small.wire(everywhere, "STOP", "C1.1", "C1.2");
  small.end();
  small.change(0, 0, 2);
  small.step(moved(small, "STOP", "C1.1", "C1.2"));
  small.change(0, 0, 1);
  small.step(moved(small, "STOP", "C1.1", "C1.2"), cells_of({1}));
  CHECK(told(small) == Lines{"undeclared: chassis goes from CHASSIS-LOOM",
                             "untrue: STOP moved from C1.1 to C1.2 -- the two are not neighbours among what was built",
                             "untrue: STOP moved from C1.1 to C1.2 -- no vehicle was built to which it is limited"});
}

}  // namespace
}  // namespace loomproof
