// Looms as they were found: each kind of edit on a small family and on the reference corpus, its nets before and after,
// the tables it leaves, faults in one line, and the comparison of random edits with the loom as recorded. Nothing here
// is a fact of the trade; every expectation follows from the rows.
#include <algorithm>
#include <catch2/catch.hpp>
#include <fstream>
#include <iterator>
#include <set>

#include "compare/differences.h"
#include "family/words.h"
#include "family_builder.h"
#include "found/as_found.h"
#include "nets/cavities.h"
#include "nets/nets.h"
#include "pack/pack.h"
#include "random_family.h"

using namespace loomproof;
using namespace loomproof::found;
using loomproof::testing::FamilyBuilder;
using loomproof::testing::Random;

namespace {

// C1.1 -A- C2.1; C1.2 -B- S1 -B- C2.2, S1 -B- E1; C1.3 -C- C2.3. C1.4 is sealed, C1.5 disputed, C1.6 at rest unknown.
struct Small {
  FamilyBuilder build;
  Family& family = build.family;
  Index part = none, red = none;

  Small() {
    family.id = build.text("small");
    build.era("a"), build.era("b");
    const CellSet all = CellSet::first(2);
    family.built = build.everywhere();
    red = build.colour("RD", "red");
    build.colour("BN", "brown");
    const Index a = build.circuit("A", "A", CircuitClass::signal), b = build.circuit("B", "B", CircuitClass::earth),
                c = build.circuit("C", "C", CircuitClass::feed);
    const Index housing = build.housing("plug-6", 6);
    part = build.begin_part("loom", PartKind::loom, build.place("LOOM"), all);
    const Index c1 = build.connector("C1", housing, Rest::unknown, all),
                c2 = build.connector("C2", housing, Rest::empty, all);
    const auto at = [&](Index connector, const char* number) { return build.cavity(connector, number); };
    const Index c11 = at(c1, "1"), c12 = at(c1, "2"), c13 = at(c1, "3"), c14 = at(c1, "4"), c15 = at(c1, "5");
    const Index c21 = at(c2, "1"), c22 = at(c2, "2"), c23 = at(c2, "3");
    const Index s1 = build.point(PointKind::splice, "S1"), e1 = build.point(PointKind::earth, "E1");
    family.splices.push_back({.point = s1, .cells = family.built});
    family.earths.push_back({.point = e1, .to = EarthNode::chassis, .circuit = b, .cells = family.built});
    build.wire(a, c11, c21, red, none, 500, all);
    build.wire(b, c12, s1, red, none, 1000, all);
    build.wire(b, s1, c22, red, none, 1000, all);
    build.wire(b, s1, e1, red, none, 1000, all);
    build.wire(c, c13, c23, red, none, 1500, CellSet::of(0));
    build.cavity_row(c14, State::sealed, all);
    build.cavity_row(c15, State::disputed, all);
    build.say(State::empty, none, 0);
    build.say(State::wired, a, 0);
    build.end_part();
  }
};

Family croft() {
  std::ifstream file(LOOMPROOF_SOURCE_DIR "/generated/packs/croft.loompack", std::ios::binary);
  const std::string bytes{std::istreambuf_iterator<char>(file), {}};
  const pack::Opened opened = pack::Pack::open(bytes);
  REQUIRE(opened.pack);
  return load(*opened.pack);
}

std::vector<Edit> parsed(const Family& family, Index part, uint32_t cell, const std::vector<std::string>& texts) {
  const FamilyIndex index(family);
  std::vector<Edit> edits;
  for (const std::string& text : texts) {
    Fault fault;
    edits.push_back(parse_edit(index, part, cell, text, fault));
    INFO(text << ": " << fault.line);
    REQUIRE_FALSE(fault.any());
    CHECK(edit_text(family, edits.back()) == text);
    CHECK_FALSE(edit_words(family, edits.back()).empty());
  }
  return edits;
}

std::string fault_text(const Family& family, Index part, uint32_t cell, const std::vector<std::string>& texts) {
  const FamilyIndex index(family);
  std::vector<Edit> edits;
  for (const std::string& text : texts) {
    Fault fault;
    edits.push_back(parse_edit(index, part, cell, text, fault));
    if (fault.any()) return fault.line;
  }
  return fault_of(index, part, cell, edits).line;
}

// The nets of a part by the names of their points that are no splice and no inner point; nets of one such point left
// out.
std::set<std::set<std::string>> nets_of(const Family& family, Index part, uint32_t cell) {
  const Nets nets = part_nets(family, part, cell);
  std::set<std::set<std::string>> found;
  for (Index net = 0; net < nets.count(); ++net) {
    std::set<std::string> names;
    for (Index point : nets.points(net)) {
      const PointKind kind = family.points[point].kind;
      if (kind != PointKind::splice && kind != PointKind::inner) names.insert(point_name(family, point));
    }
    if (names.size() > 1) found.insert(names);
  }
  return found;
}

State state_at(const Family& family, Index part, uint32_t cell, const char* name) {
  const FamilyIndex index(family);
  const auto end = end_of(index, part, cell, name);
  REQUIRE(end);
  return cavity_at(index, cell, end->connector, end->number).state.state;
}

struct Found {
  Family family;
  Index part = none;
  std::set<std::set<std::string>> nets;
};
Found as_found(const Small& small, const std::vector<std::string>& texts) {
  Found result{small.family, none, {}};
  result.part = add_as_found(result.family, small.part, 0, parsed(small.family, small.part, 0, texts));
  CHECK(pack::fault_of(result.family).empty());
  CHECK(result.family.text(result.family.parts[result.part].id) == "loom as found");
  CHECK(result.family.set(result.family.parts[result.part].cells) == CellSet::of(0));
  CHECK(part_in(result.family, 0, 0) == small.part);
  CHECK(nets_of(result.family, small.part, 0) == nets_of(small.family, small.part, 0));
  result.nets = nets_of(result.family, result.part, 0);
  return result;
}

using NetNames = std::set<std::set<std::string>>;

}  // namespace

TEST_CASE("a loom without edits is the loom as recorded") {
  const Small small;
  const Found same = as_found(small, {});
  CHECK(same.nets == NetNames{{"C1.1", "C2.1"}, {"C1.2", "C2.2", "E1"}, {"C1.3", "C2.3"}});
  CHECK(differences(same.family, small.part, 0, same.part, 0).empty());
  CHECK(state_at(same.family, same.part, 0, "C1.4") == State::sealed);
  CHECK(state_at(same.family, same.part, 0, "C1.5") == State::disputed);
  CHECK(state_at(same.family, same.part, 0, "C1.6") == State::unknown);
}

TEST_CASE("cut: the wire is gone, its cavities hold stubs") {
  const Small small;
  const Found one = as_found(small, {"cut C1.1"});
  CHECK(one.nets == NetNames{{"C1.2", "C2.2", "E1"}, {"C1.3", "C2.3"}});
  CHECK(state_at(one.family, one.part, 0, "C1.1") == State::sealed);
  CHECK(state_at(one.family, one.part, 0, "C2.1") == State::sealed);
  CHECK(as_found(small, {"cut S1 E1"}).nets == NetNames{{"C1.1", "C2.1"}, {"C1.2", "C2.2"}, {"C1.3", "C2.3"}});
  CHECK(as_found(small, {"cut S1"}).nets == NetNames{{"C1.1", "C2.1"}, {"C1.3", "C2.3"}});
}

TEST_CASE("moved: ends change cavities, all at once") {
  const Small small;
  const Found one = as_found(small, {"moved C1.1 C1.4"});
  CHECK(one.nets == NetNames{{"C1.4", "C2.1"}, {"C1.2", "C2.2", "E1"}, {"C1.3", "C2.3"}});
  CHECK(state_at(one.family, one.part, 0, "C1.1") == State::empty);
  CHECK(state_at(one.family, one.part, 0, "C1.4") == State::wired);
  CHECK(as_found(small, {"moved C1.1 C1.2", "moved C1.2 C1.1"}).nets ==
        NetNames{{"C1.2", "C2.1"}, {"C1.1", "C2.2", "E1"}, {"C1.3", "C2.3"}});
  CHECK(as_found(small, {"moved C1.1 C2.6"}).nets ==
        NetNames{{"C2.6", "C2.1"}, {"C1.2", "C2.2", "E1"}, {"C1.3", "C2.3"}});
  // Two in one cavity are one net.
  CHECK(as_found(small, {"moved C1.1 C1.3"}).nets == NetNames{{"C1.3", "C2.1", "C2.3"}, {"C1.2", "C2.2", "E1"}});
}

TEST_CASE("tapped, bridged and added join what was apart") {
  const Small small;
  const NetNames joined{{"C1.1", "C2.1", "C1.6"}, {"C1.2", "C2.2", "E1"}, {"C1.3", "C2.3"}};
  CHECK(as_found(small, {"tapped C1.1 C1.6"}).nets == joined);
  CHECK(as_found(small, {"bridged C1.1 C1.6"}).nets == joined);
  CHECK(as_found(small, {"added C1.6 C2.1 circuit A colour BN mm2 1.5"}).nets == joined);
  CHECK(as_found(small, {"tapped S1 C1.6"}).nets ==
        NetNames{{"C1.1", "C2.1"}, {"C1.2", "C2.2", "E1", "C1.6"}, {"C1.3", "C2.3"}});
  CHECK(as_found(small, {"tapped C1.1 C1.6", "tapped C2.1 C2.6"}).nets ==
        NetNames{{"C1.1", "C2.1", "C1.6", "C2.6"}, {"C1.2", "C2.2", "E1"}, {"C1.3", "C2.3"}});
  // A branch follows its wire wherever an end of that is.
  CHECK(as_found(small, {"tapped C1.1 C1.6", "moved C2.1 C2.5"}).nets ==
        NetNames{{"C1.1", "C2.5", "C1.6"}, {"C1.2", "C2.2", "E1"}, {"C1.3", "C2.3"}});
  const Found wire = as_found(small, {"added C1.6 E1 colour light BN/RD mm2 0.75"});
  const Wire& added = wire.family.wires.back();
  CHECK(colour_code(wire.family, added) == "light BN/RD");
  CHECK(added.mm2 == 750);
  CHECK(wire.family.text(wire.family.circuits[added.circuit].id) == "B");
}

TEST_CASE("high-resistance is no hard join, and the end stays wired") {
  const Small small;
  const Found one = as_found(small, {"high-resistance C1.1 ohm 4"});
  CHECK(one.nets == NetNames{{"C1.2", "C2.2", "E1"}, {"C1.3", "C2.3"}});
  CHECK(state_at(one.family, one.part, 0, "C1.1") == State::wired);
  CHECK(one.family.insides.back().kind == InsideKind::resistor);
  CHECK(one.family.insides.back().ohm == 4000);
  CHECK(as_found(small, {"high-resistance E1 ohm 0.5"}).nets ==
        NetNames{{"C1.1", "C2.1"}, {"C1.2", "C2.2"}, {"C1.3", "C2.3"}});
  CHECK(as_found(small, {"high-resistance S1 C2.2 ohm 100"}).nets ==
        NetNames{{"C1.1", "C2.1"}, {"C1.2", "E1"}, {"C1.3", "C2.3"}});
}

TEST_CASE("earth-gone, plug-gone, strap-missing") {
  const Small small;
  const Found ring = as_found(small, {"earth-gone E1"});
  CHECK(ring.family.parts[ring.part].earths.count == 0);
  CHECK(ring.nets == as_found(small, {}).nets);  // the wires still hang together
  const Found plug = as_found(small, {"plug-gone C2"});
  CHECK(plug.nets == NetNames{{"C1.2", "E1"}});
  CHECK(state_at(plug.family, plug.part, 0, "C1.1") == State::wired);
  CHECK_FALSE(end_of(FamilyIndex(plug.family), plug.part, 0, "C2.1"));
  CHECK(as_found(small, {"strap-missing E1"}).nets == NetNames{{"C1.1", "C2.1"}, {"C1.2", "C2.2"}, {"C1.3", "C2.3"}});
}

TEST_CASE("an edit that cannot be is one clear line") {
  const Small small;
  const auto fault = [&](const std::vector<std::string>& texts, uint32_t cell = 0) {
    return fault_text(small.family, small.part, cell, texts);
  };
  CHECK(fault({""}) == "edit \"\": no such edit \"\"");
  CHECK(fault({"severed C1.1"}) == "edit \"severed C1.1\": no such edit \"severed\"");
  CHECK(fault({"cut C1.9"}) == "edit \"cut C1.9\": no end of loom \"C1.9\"");
  CHECK(fault({"cut"}) == "edit \"cut\": which end is missing");
  CHECK(fault({"moved C1.1"}) == "edit \"moved C1.1\": the second end is missing");
  CHECK(fault({"plug-gone C3"}) == "edit \"plug-gone C3\": no plug of loom \"C3\"");
  CHECK(fault({"cut C1.3"}, 1) == "edit \"cut C1.3\": no wire is recorded there");  // that wire is of era a
  CHECK(fault({"cut C1.1 C2.2"}) == "edit \"cut C1.1 C2.2\": no wire is recorded there");
  CHECK(fault({"moved S1 C1.6"}) == "edit \"moved S1 C1.6\": S1 is a splice, and no single wire end");
  CHECK(fault({"moved C1.1 C2.1"}) == "edit \"moved C1.1 C2.1\": the wire's other end is there");
  CHECK(fault({"moved C1.1 C1.1"}) == "edit \"moved C1.1 C1.1\": both ends are the same");
  CHECK(fault({"high-resistance E1"}) == "edit \"high-resistance E1\": `ohm` is missing, as in \"ohm 4\"");
  CHECK(fault({"high-resistance E1 ohm -4"}) ==
        "edit \"high-resistance E1 ohm -4\": `ohm` takes a number, as in \"ohm 1.5\"");
  CHECK(fault({"high-resistance S1 ohm 4"}) ==
        "edit \"high-resistance S1 ohm 4\": S1 is a splice; say in which wire, as in \"S1 C1.1\"");
  CHECK(fault({"added C1.5 C1.6"}) ==
        "edit \"added C1.5 C1.6\": no circuit is recorded at either end; say which with `circuit ID`");
  CHECK(fault({"added C1.5 C1.6 circuit Z"}) == "edit \"added C1.5 C1.6 circuit Z\": no circuit \"Z\"");
  CHECK(fault({"added C1.1 C1.6 colour XX"}) == "edit \"added C1.1 C1.6 colour XX\": no colour \"XX\"");
  CHECK(fault({"cut C1.1 mm2 1"}) == "edit \"cut C1.1 mm2 1\": \"mm2\" means nothing here");
  CHECK(fault({"earth-gone C1.1"}) == "edit \"earth-gone C1.1\": C1.1 is no earth point");
  CHECK(fault({"strap-missing C1.1"}) == "edit \"strap-missing C1.1\": C1.1 is no earth point and no strap");
  CHECK(fault({"cut C1.1", "moved C2.1 C2.5"}) == "edit \"moved C2.1 C2.5\": another edit speaks of the same wire end");
  CHECK(fault({"cut C1.1", "tapped C2.1 C2.5"}) == "edit \"tapped C2.1 C2.5\": the wire is cut, as another edit says");
  CHECK(fault({"added C1.6 C2.6 circuit A", "plug-gone C2"}) ==
        "edit \"added C1.6 C2.6 circuit A\": the plug is gone, as another edit says");
  Fault named;
  parse_edit(FamilyIndex(small.family), small.part, 0, "cut C1.7", named);
  CHECK(named.wanted == "C1.7");
  CHECK(std::count(named.known.begin(), named.known.end(), "C1.1") == 1);
  Family copy = small.family;
  CHECK_THROWS_AS(add_as_found(copy, small.part, 1, parsed(small.family, small.part, 0, {"cut C1.3"})),
                  std::logic_error);
}

TEST_CASE("each kind on the chassis loom of the reference corpus") {
  const Family recorded = croft();
  const uint32_t cell = 8;  // series C, 12 V, no exhaust brake
  REQUIRE(cell_text(recorded, cell) == "era c, exhaust-brake none, supply 12V");
  const auto change_of = [&](const char* place, const char* edit) {
    Index where = 0;
    while (recorded.text(recorded.places[where].id) != place) ++where;
    const Index part = part_in(recorded, where, cell);
    Family family = recorded;
    const Index other = add_as_found(family, part, cell, parsed(recorded, part, cell, {edit}));
    CHECK(pack::fault_of(family).empty());
    const NetNames before = nets_of(family, part, cell), after = nets_of(family, other, cell);
    NetNames gone, come;
    std::set_difference(before.begin(), before.end(), after.begin(), after.end(), std::inserter(gone, gone.end()));
    std::set_difference(after.begin(), after.end(), before.begin(), before.end(), std::inserter(come, come.end()));
    return std::pair{gone, come};
  };
  using Change = std::pair<NetNames, NetNames>;
  CHECK(change_of("CHASSIS-LOOM", "cut C1.28") == Change{{{"C1.28", "C30.4"}}, {}});
  CHECK(change_of("CHASSIS-LOOM", "moved C1.28 C1.12") == Change{{{"C1.28", "C30.4"}}, {{"C1.12", "C30.4"}}});
  CHECK(change_of("CHASSIS-LOOM", "tapped C1.21 C1.24") == Change{{{"C1.21", "C8.1"}}, {{"C1.21", "C1.24", "C8.1"}}});
  CHECK(change_of("CHASSIS-LOOM", "bridged C1.21 C1.23") ==
        Change{{{"C1.21", "C8.1"}, {"C1.23", "C8.3"}}, {{"C1.21", "C1.23", "C8.1", "C8.3"}}});
  CHECK(change_of("CHASSIS-LOOM", "added C1.20 E3 colour BN mm2 0.75") ==
        Change{{{"C8.6", "E3"}}, {{"C1.20", "C8.6", "E3"}}});
  CHECK(change_of("CHASSIS-LOOM", "high-resistance E2 ohm 2") == Change{{{"C1.4", "C1.5", "E2"}}, {{"C1.4", "C1.5"}}});
  CHECK(change_of("CHASSIS-LOOM", "earth-gone E2") == Change{});
  CHECK(change_of("CHASSIS-LOOM", "plug-gone C36") ==
        Change{{{"C1.19", "C24.2", "C36.2"}, {"C1.30", "C36.1"}}, {{"C1.19", "C24.2"}}});
  CHECK(change_of("BATTERY-LEADS", "strap-missing E41") ==
        Change{{{"B2.1", "E40", "E41", "E42"}}, {{"B2.1", "E40", "E42"}}});
}

// --- random edits, held against the comparison
// ------------------------------------------------------------------------

namespace {

std::string random_edit(Random& random, const FamilyIndex& index, Index part, uint32_t cell) {
  const Family& family = index.family();
  const std::vector<std::string> ends = end_names(index, part, cell);
  if (ends.empty()) return {};
  const auto kind = static_cast<EditKind>(random.below(edit_kinds));
  const auto any = [&] { return ends[random.below(static_cast<uint32_t>(ends.size()))]; };
  std::string text = std::string(word(kind)) + " ";
  switch (kind) {
    case EditKind::cut:
    case EditKind::earth_gone:
    case EditKind::strap_missing:
      return text + any();
    case EditKind::high_resistance:
      return text + any() + " ohm 4";
    case EditKind::plug_gone:
      return text + any().substr(0, 2);
    default:
      break;
  }
  text += any() + " " + any();
  if (kind == EditKind::added || kind == EditKind::bridged)
    text += " circuit " + std::string(family.text(family.circuits[0].id));
  return text;
}

// Names of everything that an edit is about: its ends, its plug's cavities, and the far ends of its wires.
std::set<std::string> names_of(const FamilyIndex& index, Index part, uint32_t cell, const Edit& edit) {
  const Family& family = index.family();
  std::set<std::string> names;
  std::set<Index> points;
  for (const End& end : {edit.from, edit.to}) {
    if (end.given()) names.insert(end_name(family, end));
    if (end.point != none) points.insert(end.point);
  }
  if (edit.inside != none) names.insert(std::string(family.text(family.insides[edit.inside].id)));
  if (edit.connector != none) {
    names.insert(std::string(family.text(family.connectors[edit.connector].designator)));
    for (Index point : index.points_of(edit.connector)) points.insert(point);
  }
  for (Index point : points) {
    names.insert(point_name(family, point));
    if (edit.kind == EditKind::bridged || edit.kind == EditKind::added || edit.kind == EditKind::earth_gone) continue;
    for (Index far : far_ends(index, cell, point)) names.insert(point_name(family, far));
  }
  (void)part;
  return names;
}

std::set<std::string> names_of(const Family& family, const Difference& difference) {
  std::set<std::string> names;
  std::vector<ChangeItem> steps = difference.steps;
  steps.push_back(difference.item);
  for (const ChangeItem& step : steps) {
    for (Index point : {step.from, step.to})
      if (point != none) names.insert(point_name(family, point));
    if (step.connector != none) names.insert(std::string(family.text(family.connectors[step.connector].designator)));
  }
  if (!difference.what.empty()) names.insert(difference.what);
  return names;
}

bool meet(const std::set<std::string>& a, const std::set<std::string>& b) {
  return std::any_of(a.begin(), a.end(), [&](const std::string& name) { return b.count(name) > 0; });
}

// Every difference is about what some edit is about (or what edits made), and every edit shows in some difference.
uint32_t hold_against_comparison(const Family& recorded, Index part, uint32_t cell, Random& random) {
  const FamilyIndex index(recorded);
  std::vector<Edit> edits;
  for (uint32_t i = random.between(1, 5); i > 0; --i) {
    Fault fault;
    const std::string text = random_edit(random, index, part, cell);
    edits.push_back(parse_edit(index, part, cell, text, fault));
    if (fault.any() || fault_of(index, part, cell, edits).any()) edits.pop_back();
  }
  Family family = recorded;
  const Index other = add_as_found(family, part, cell, edits);
  CHECK(pack::fault_of(family) == pack::fault_of(recorded));
  std::set<std::string> allowed, made;
  const Range points = family.parts[other].points;
  for (Index i = points.first + recorded.parts[part].points.count; i < points.end(); ++i)
    made.insert(point_name(family, i));
  for (const Inside& row : rows(family.insides, family.parts[other].insides))
    made.insert(std::string(family.text(row.id)));
  std::string all;
  for (const Edit& edit : edits) {
    all += edit_text(recorded, edit) + "; ";
    allowed.merge(names_of(index, part, cell, edit));
  }
  INFO(recorded.text(recorded.parts[part].id) << " in " << cell << ": " << all);
  const std::vector<Difference> found = differences(family, part, cell, other, cell);
  if (edits.empty()) CHECK(found.empty());
  for (const Difference& difference : found) {
    const std::set<std::string> names = names_of(family, difference);
    INFO(std::string(word(difference.item.kind)) << " " << (names.empty() ? "" : *names.begin()));
    CHECK((meet(names, allowed) || meet(names, made)));
    for (const std::string& name : names) CHECK((allowed.count(name) || made.count(name)));
  }
  for (const Edit& edit : edits) {
    INFO("edit: " << edit_text(recorded, edit));
    const std::set<std::string> names = names_of(index, part, cell, edit);
    CHECK(std::any_of(found.begin(), found.end(),
                      [&](const Difference& difference) { return meet(names_of(family, difference), names); }));
  }
  return static_cast<uint32_t>(edits.size());
}

}  // namespace

TEST_CASE("the comparison names what was edited, and nothing else") {
  const Family family = croft();
  Random random(20260301);
  uint32_t edits = 0;
  for (uint32_t round = 0; round < 300; ++round) {
    const auto cells = family.set(family.built).cells();
    const uint32_t cell = cells[random.below(static_cast<uint32_t>(cells.size()))];
    const auto part = random.below(static_cast<uint32_t>(family.parts.size()));
    if (family.parts[part].kind != PartKind::loom || !family.holds(family.parts[part].cells, cell)) continue;
    edits += hold_against_comparison(family, part, cell, random);
  }
  CHECK(edits > 30);
  for (uint32_t seed = 1; seed <= 200; ++seed) {
    Random one(seed);
    const Family small = loomproof::testing::random_family(seed);
    for (Index part = 0; part < small.parts.size(); ++part) {
      const CellSet& cells = small.set(small.parts[part].cells);
      if (small.parts[part].kind == PartKind::loom && !cells.empty())
        edits += hold_against_comparison(small, part, cells.lowest(), one);
    }
  }
  CHECK(edits > 300);
}
