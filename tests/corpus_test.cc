// The demo vehicle as a whole: its size, its states, its firing circuits, and that every rule has something to judge in
// it.
#include <algorithm>
#include <set>

#include "published/contacts.h"
#include "run_bench.h"

using namespace loomproof;
using testing::run_bench;

namespace {

const Compiled& croft_alone() {
  static const std::unique_ptr<Compiled> once = testing::compiled_alone("croft");
  return *once;
}

size_t wires_in(const Family& family, const FamilyIndex& index, uint32_t cell) {
  size_t count = 0;
  for (Index place = 0; place < family.places.size(); ++place) {
    const Index part = index.part_in(place, cell);
    if (part == none) continue;
    for (const Wire& wire : rows(family.wires, family.parts[part].wires)) count += family.holds(wire.cells, cell);
  }
  return count;
}

std::vector<Index> firing_circuits(const Family& family) {
  std::vector<Index> firing;
  for (Index circuit = 0; circuit < family.circuits.size(); ++circuit)
    if (family.circuits[circuit].kind == CircuitClass::firing) firing.push_back(circuit);
  return firing;
}

}  // namespace

TEST_CASE("the croft is a whole vehicle in every build") {
  const Family& family = croft_alone().families.front().family;
  const FamilyIndex index(family);
  size_t largest = 0;
  for (const uint32_t cell : family.set(family.built).cells()) {
    size_t looms = 0, components = 0;
    for (Index place = 0; place < family.places.size(); ++place) {
      const Index part = index.part_in(place, cell);
      if (part == none) continue;
      ++(family.parts[part].kind == PartKind::loom ? looms : components);
    }
    CHECK(looms >= 6);
    CHECK(components >= 30);
    largest = std::max(largest, wires_in(family, index, cell));
  }
  CHECK(largest >= 350);
}

TEST_CASE("all five states of a cavity are in the croft, and every rule judges something") {
  const Family& family = croft_alone().families.front().family;
  const FamilyIndex index(family);
  std::set<State> states;
  for (const uint32_t cell : family.set(family.built).cells())
    for (Index connector = 0; connector < family.connectors.size(); ++connector)
      for (const Cavity& cavity : cavities(index, cell, connector)) states.insert(cavity.state.state);
  CHECK(states.size() == 5);
  CHECK(croft_alone().report.findings().empty());
  for (const RuleInfo& info : all_rules()) {
    INFO(info.id);
    CHECK(croft_alone().report.judged_count(*find_rule(info.id)) > 0);
  }
}

// Usual practice for airbags and belt tensioners, no source: yellow wires in a yellow plug that shorts its pins when
// open.
TEST_CASE("firing circuits of the croft run in yellow from plug to plug, and each plug is closed on one side") {
  const Family& family = croft_alone().families.front().family;
  const std::vector<Index> firing = firing_circuits(family);
  CHECK(firing.size() == 6);  // belt tensioners of both sides, and the airbag
  std::set<Index> connectors;
  for (const Wire& wire : family.wires) {
    if (std::find(firing.begin(), firing.end(), wire.circuit) == firing.end()) continue;
    CHECK(colour_code(family, wire).substr(0, 2) == "YE");
    for (const Index end : {wire.from, wire.to}) {
      REQUIRE(family.points[end].kind == PointKind::cavity);
      connectors.insert(family.points[end].connector);
    }
  }
  CHECK(connectors.size() == 6);
  for (const Index connector : connectors) {
    const Housing& housing = family.housings[family.connector_rows[family.connectors[connector].rows.first].housing];
    INFO(family.text(housing.id));
    CHECK(family.text(housing.colour) == "yellow");
    bool is_closed = housing.closes.count > 0;
    for (const Index mate : rows(family.housing_refs, housing.mates))
      is_closed |= family.housings[mate].closes.count > 0;
    CHECK(is_closed);
  }
}

TEST_CASE("nobody is led to the airbag's circuit") {
  for (const char* plug : {"AIRBAG-LOOM.Y11", "AIRBAG-LOOM.Y12", "AIRBAG-UNIT.X2", "AIRBAG.X1"}) {
    const auto shown = run_bench("show croft " + std::string(plug));
    INFO(plug);
    CHECK(shown.status == 0);
    CHECK(shown.out.find("FIRING: keep every meter and tester away") != std::string::npos);
    CHECK(shown.out.find("Never put a meter, test lamp or any other tester on a firing circuit") != std::string::npos);
  }
  const auto plan = run_bench(
      "repin croft AIRBAG-LOOM --from era=c --to era=c --found 'moved Y11.1 Y11.2' "
      "--found 'moved Y11.2 Y11.1'");
  CHECK(plan.status == 1);
  CHECK(plan.out.find("no plan is made for it") != std::string::npos);
  const auto sides = run_bench("adapt croft AIRBAG-LOOM.Y12:era=c croft AIRBAG.X1:era=c");
  CHECK(sides.out.find("NOT COMPLETE") != std::string::npos);
  const auto checks = run_bench("verify croft AIRBAG-LOOM --from era=c");
  CHECK(checks.out.find("Nets    0, with 0 ends that a probe can touch") != std::string::npos);
}
