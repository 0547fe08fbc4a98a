// Plans from one variant of a loom to another, carried out on the tables and compared with what was wanted.
#include <algorithm>
#include <catch2/catch.hpp>
#include <fstream>
#include <iterator>
#include <set>

#include "compare/words.h"
#include "family/words.h"
#include "family_builder.h"
#include "found/as_found.h"
#include "nets/firing.h"
#include "pack/pack.h"
#include "packed.h"
#include "random_loom.h"
#include "repin/plan.h"

using namespace loomproof;
using loomproof::testing::packed;
using namespace loomproof::repin;
using loomproof::testing::Random;

namespace {

std::string told(const Plan& plan) {
  std::string text;
  for (const Step& step : plan.steps) {
    text += std::string(word(step.kind)) + ": " + step.words + "\n";
    for (const Check& check : step.checks) text += "    " + check.a + (check.path ? " = " : " / ") + check.b + "\n";
  }
  for (const Difference& difference : plan.stays) text += "stays: " + difference_words(plan.worked, difference) + "\n";
  for (const Look& look : plan.look_first) text += "look: " + look.cavity + ": " + look.why + "\n";
  return text;
}

// What a plan may leave: nothing that tells who is joined to whom.
bool may_stay(const Difference& difference, bool keep_colour) {
  switch (difference.item.kind) {
    case ChangeKind::relocated:  // where a plug or splice sits is the loom's shape
    case ChangeKind::respliced:  // one net either way
      return true;
    case ChangeKind::recoloured:
      return !keep_colour;
    case ChangeKind::resized:
      return true;
    case ChangeKind::re_rated:
      return difference.of != "double" && difference.of != "spare";
    default:
      return false;
  }
}

void hold(const Family& family, Side from, Side to, bool keep_colour) {
  const FamilyIndex index(family);
  const Plan made = plan(index, from, to, {keep_colour});
  INFO(family.text(family.parts[from.part].id)
       << " " << cell_text(family, from.cell) << " -> " << cell_text(family, to.cell));
  if (!made.refusal.empty()) return;
  INFO(told(made));
  CHECK(pack::fault_of(made.worked) == pack::fault_of(family));
  for (const Difference& difference : made.stays) {
    INFO(std::string(word(difference.item.kind)) << " " << difference_words(made.worked, difference));
    CHECK(may_stay(difference, keep_colour));
    if (difference.item.kind == ChangeKind::resized) CHECK(std::stod(difference.was) > std::stod(difference.becomes));
  }
  CHECK(made.steps.size() == made.operations);
  CHECK(made.least <= made.operations);
  for (const Step& step : made.steps) {
    INFO(step.words);
    CHECK((!step.checks.empty() || !step.look.empty()));
  }
}

}  // namespace

TEST_CASE("carried out on the reference families, a plan leaves no difference") {
  for (const char* name : {"croft", "trailer-12v"}) {
    const Family family = packed(name);
    uint32_t steps = 0;
    for (Index place = 0; place < family.places.size(); ++place)
      for (uint32_t left : family.set(family.built).cells())
        for (uint32_t right : family.set(family.built).cells()) {
          const Index a = part_in(family, place, left), b = part_in(family, place, right);
          if (a == none || b == none || family.parts[a].kind != PartKind::loom) continue;
          if ((left * 7 + right) % 5 && left != right) continue;
          hold(family, {a, left}, {b, right}, left % 2);
          ++steps;
        }
    CHECK(steps > 5);
  }
}

TEST_CASE("random looms in two editions, in both directions, with any colour or their own") {
  uint32_t refused = 0, planned = 0;
  for (uint32_t seed = 1; seed <= 250; ++seed) {
    const Family family = loomproof::testing::edited_family(seed, 1 + seed % 6);
    for (Index part = 0; part < family.parts.size(); ++part) {
      if (family.parts[part].kind != PartKind::loom) continue;
      const CellSet& there = family.set(family.parts[part].cells);
      for (const auto& [left, right] : {std::pair(1u, 3u), std::pair(3u, 1u)}) {
        if (!there.has(left) || !there.has(right)) continue;
        const Plan made = plan(FamilyIndex(family), {part, left}, {part, right});
        (made.refusal.empty() ? planned : refused) += 1;
        INFO("seed " << seed);
        hold(family, {part, left}, {part, right}, seed % 3 != 0);
      }
    }
  }
  CHECK(planned > 100);
}

namespace {

struct Loom {
  Index part = none;
  uint32_t cell = 0;
};
Loom loom_in(const Family& family, std::string_view place, std::string_view cell_words) {
  for (uint32_t cell = 0; cell < family.cell_count(); ++cell)
    for (Index i = 0; i < family.places.size(); ++i)
      if (family.text(family.places[i].id) == place && cell_text(family, cell) == cell_words)
        return {part_in(family, i, cell), cell};
  FAIL("no such loom");
  return {};
}

// The plan that mends a loom with edits back to what is recorded.
Plan mended(const Family& recorded, const Loom& loom, const std::vector<std::string>& texts) {
  const FamilyIndex index(recorded);
  std::vector<found::Edit> edits;
  for (const std::string& text : texts) {
    found::Fault fault;
    edits.push_back(found::parse_edit(index, loom.part, loom.cell, text, fault));
    REQUIRE_FALSE(fault.any());
  }
  Family family = recorded;
  const Index part = found::add_as_found(family, loom.part, loom.cell, edits);
  hold(family, {part, loom.cell}, {loom.part, loom.cell}, true);
  return plan(FamilyIndex(family), {part, loom.cell}, {loom.part, loom.cell});
}

std::vector<StepKind> kinds(const Plan& plan) {
  std::vector<StepKind> all;
  for (const Step& step : plan.steps) all.push_back(step.kind);
  return all;
}

}  // namespace

TEST_CASE("each edit is mended by what undoes it") {
  const Family family = packed("croft");
  const Loom chassis = loom_in(family, "CHASSIS-LOOM", "era c, exhaust-brake none, supply 12V"),
             tail = loom_in(family, "TAIL-LOOM", "era c, exhaust-brake none, supply 12V");
  using Kinds = std::vector<StepKind>;
  const auto mend = [&](const std::vector<std::string>& edits) {
    const Plan plan = mended(family, chassis, edits);
    INFO(told(plan));
    CHECK(plan.refusal.empty());
    CHECK(plan.operations == plan.least);
    return kinds(plan);
  };
  CHECK(mend({}).empty());
  CHECK(mend({"cut C1.28"}) == Kinds{StepKind::add});
  CHECK(mend({"moved C1.28 C1.12"}) == Kinds{StepKind::move});
  CHECK(mend({"moved C1.28 C1.13", "moved C1.13 C1.28"}) == Kinds{StepKind::park, StepKind::move, StepKind::move});
  CHECK(mend({"tapped C1.21 C1.24"}) == Kinds{StepKind::remove});
  CHECK(mend({"bridged C1.21 C1.23"}) == Kinds{StepKind::remove});
  CHECK(mend({"added C1.20 E3"}) == Kinds{StepKind::remove});
  CHECK(mend({"high-resistance E2 ohm 4"}) == Kinds{StepKind::renew});
  CHECK(mend({"earth-gone E1"}) == Kinds{StepKind::fasten});
  CHECK(mend({"plug-gone C36"}) == Kinds{StepKind::swap_housing, StepKind::move, StepKind::move});
  CHECK(mended(family, tail, {"moved T1.1 T1.2", "moved T1.2 T1.1"}).operations == 3);
  CHECK(mended(family, tail, {"moved T1.1 T1.2", "moved T1.2 T1.1"}).proven);
  const Loom battery = loom_in(family, "BATTERY-LEADS", "era c, exhaust-brake none, supply 12V");
  CHECK(kinds(mended(family, battery, {"strap-missing E41"})) == Kinds{StepKind::add});
}

TEST_CASE("no plan touches a firing circuit") {
  const Family family = packed("croft");
  const Loom belt = loom_in(family, "BELT-LOOM", "era c, exhaust-brake none, supply 12V");
  const Plan refused = mended(family, belt, {"moved Y1.1 Y1.2", "moved Y1.2 Y1.1"});
  CHECK(refused.refusal.find("firing circuit") != std::string::npos);
  CHECK(refused.refusal.find("maker's manual") != std::string::npos);
  CHECK(refused.steps.empty());
  CHECK_FALSE(refused.proven);
  CHECK(mended(family, belt, {}).refusal.empty());
  // Over all builds: no step names a plug that may carry one.
  const FamilyIndex index(family);
  const std::vector<bool> may_fire = connectors_that_may_fire(index);
  for (Index part = 0; part < family.parts.size(); ++part)
    for (uint32_t left : family.set(family.built).cells())
      for (uint32_t right : {0u, 6u, 15u}) {
        const Part& row = family.parts[part];
        if (row.kind != PartKind::loom || !family.holds(row.cells, left) || !family.holds(row.cells, right)) continue;
        const Plan made = plan(index, {part, left}, {part, right});
        for (Index connector = row.connectors.first; connector < row.connectors.end(); ++connector) {
          if (!may_fire[connector]) continue;
          const std::string name = std::string(family.text(family.connectors[connector].designator)) + ".";
          for (const Step& step : made.steps) {
            CHECK(step.words.find(" " + name) == std::string::npos);
            for (const Check& check : step.checks) {
              CHECK(check.a.substr(0, name.size()) != name);
              CHECK(check.b.substr(0, name.size()) != name);
            }
          }
        }
      }
}

TEST_CASE("what nobody knows is looked at first, and the plan is not proven") {
  const Family family = packed("croft");
  const Loom b = loom_in(family, "CHASSIS-LOOM", "era b, exhaust-brake none, supply 24V"),
             c = loom_in(family, "CHASSIS-LOOM", "era c, exhaust-brake none, supply 24V");
  const Plan made = plan(FamilyIndex(family), {b.part, b.cell}, {c.part, c.cell});
  CHECK_FALSE(made.proven);
  std::set<std::string> names;
  for (const Look& look : made.look_first) names.insert(look.cavity);
  CHECK(names == std::set<std::string>{"C1.24", "C7.18"});  // disputed and unknown in series B
}

TEST_CASE("a step's checks hold after it and not before") {
  // Told by the steps themselves: a path that a step makes was none in the step before, so that forgetting it shows.
  const Family family = packed("croft");
  const Loom b = loom_in(family, "CHASSIS-LOOM", "era b, exhaust-brake none, supply 24V"),
             c = loom_in(family, "CHASSIS-LOOM", "era c, exhaust-brake none, supply 24V");
  const Plan made = plan(FamilyIndex(family), {b.part, b.cell}, {c.part, c.cell});
  std::set<std::string> moves;
  for (const Step& step : made.steps) {
    if (step.kind != StepKind::move) continue;
    INFO(step.words);
    REQUIRE(step.checks.size() == 2);
    CHECK(step.checks[0].path);
    CHECK_FALSE(step.checks[1].path);
    CHECK(step.words.find("to " + step.checks[0].a) != std::string::npos);
    CHECK(step.words.find("from " + step.checks[1].a) != std::string::npos);
    moves.insert(step.words);
  }
  CHECK(moves.size() > 10);
  // Reversible work comes first, as far as steps wait for each other.
  CHECK_FALSE(made.steps.front().cuts);
  CHECK(made.steps.back().cuts);
}

TEST_CASE("random lists of edits are mended back to the record") {
  const Family family = packed("croft");
  const FamilyIndex index(family);
  Random random(41);
  uint32_t mended_lists = 0;
  for (uint32_t round = 0; round < 400; ++round) {
    const auto cells = family.set(family.built).cells();
    const uint32_t cell = cells[random.below(static_cast<uint32_t>(cells.size()))];
    const auto part = random.below(static_cast<uint32_t>(family.parts.size()));
    if (family.parts[part].kind != PartKind::loom || !family.holds(family.parts[part].cells, cell)) continue;
    const std::vector<std::string> ends = found::end_names(index, part, cell);
    const auto any = [&] { return ends[random.below(static_cast<uint32_t>(ends.size()))]; };
    std::vector<found::Edit> edits;
    std::string all;
    for (uint32_t i = random.between(1, 6); i > 0; --i) {
      const auto kind = static_cast<found::EditKind>(random.below(found::edit_kinds));
      std::string text = std::string(word(kind)) + " " + any();
      if (kind == found::EditKind::plug_gone) text = text.substr(0, text.find('.'));
      if (kind == found::EditKind::moved || kind == found::EditKind::tapped || kind == found::EditKind::bridged ||
          kind == found::EditKind::added)
        text += " " + any();
      if (kind == found::EditKind::high_resistance) text += " ohm 4";
      found::Fault fault;
      edits.push_back(found::parse_edit(index, part, cell, text, fault));
      if (fault.any() || found::fault_of(index, part, cell, edits).any())
        edits.pop_back();
      else
        all += text + "; ";
    }
    INFO(all);
    Family with = family;
    const Index other = found::add_as_found(with, part, cell, edits);
    hold(with, {other, cell}, {part, cell}, true);
    mended_lists += !edits.empty();
  }
  CHECK(mended_lists > 30);
}

TEST_CASE("a plug of a kind that carries firing circuits elsewhere is not worked on either") {
  loomproof::testing::FamilyBuilder build;
  Family& family = build.family;
  family.id = build.text("small");
  build.era("a"), build.era("b");
  const CellSet all = CellSet::first(2);
  family.built = build.everywhere();
  const Index fire = build.circuit("FIRE", "Belt", CircuitClass::firing),
              lamp = build.circuit("LAMP", "Lamp", CircuitClass::drive);
  const Index yellow = build.housing("yellow-2", 2), plain = build.housing("plain-2", 2);
  build.begin_part("belt", PartKind::loom, build.place("BELT"), all);
  const Index y1 = build.connector("Y1", yellow, Rest::empty, all),
              y2 = build.connector("Y2", yellow, Rest::empty, all);
  build.wire(fire, build.cavity(y1, "1"), build.cavity(y2, "1"), none, none, 750, all);
  build.end_part();
  const Index loom = build.begin_part("loom", PartKind::loom, build.place("LOOM"), all);
  const Index c1 = build.connector("C1", yellow, Rest::empty, all), c2 = build.connector("C2", plain, Rest::empty, all);
  const Index c11 = build.cavity(c1, "1"), c12 = build.cavity(c1, "2"), c21 = build.cavity(c2, "1");
  build.wire(lamp, c11, c21, none, none, 750, CellSet::of(0));
  build.wire(lamp, c12, c21, none, none, 750, CellSet::of(1));
  build.end_part();
  const Plan made = plan(FamilyIndex(family), {loom, 0}, {loom, 1});
  CHECK(made.refusal.find("C1 would have to be worked on, and carries or may carry a firing circuit") == 0);
  CHECK(made.steps.empty());
}
