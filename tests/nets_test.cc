// Nets, cavities and variants. The oracles are naive on purpose: relabelling until nothing changes, a walk over
// everything that touches, and whole contents spelled out as text cell by cell.
#include "nets/nets.h"

#include <algorithm>
#include <catch2/catch.hpp>
#include <deque>
#include <map>
#include <set>
#include <string>

#include "family/fields.h"
#include "nets/cavities.h"
#include "nets/classes.h"
#include "nets/components.h"
#include "nets/variants.h"
#include "random_family.h"

namespace loomproof {
namespace {

using testing::FamilyBuilder;
using testing::Random;
using testing::random_family;

constexpr uint32_t seeds = 400;  // families; each has several cells and parts

bool is_hard(const Inside& inside) {
  return inside.kind == InsideKind::strap || inside.kind == InsideKind::link;
}

// Points of a part that are in use in a cell, and its hard joins, by a plain look at every row of the family.
struct Naive {
  std::set<Index> used;
  std::vector<std::pair<Index, Index>> joins;
};

Naive naive_part(const Family& family, Index part, uint32_t cell) {
  Naive naive;
  const auto of_part = [&](Index point) { return family.points[point].part == part; };
  for (const Wire& wire : family.wires)
    if (of_part(wire.from) && family.holds(wire.cells, cell)) naive.joins.emplace_back(wire.from, wire.to);
  for (const Inside& inside : family.insides) {
    if (!of_part(inside.a) || !family.holds(inside.cells, cell)) continue;
    naive.used.insert({inside.a, inside.b});
    if (is_hard(inside)) naive.joins.emplace_back(inside.a, inside.b);
  }
  for (const auto& [a, b] : naive.joins) naive.used.insert({a, b});
  const auto use = [&](const auto& table) {
    for (const auto& row : table)
      if (of_part(row.point) && family.holds(row.cells, cell)) naive.used.insert(row.point);
  };
  use(family.pins), use(family.splices), use(family.earths), use(family.leads);
  return naive;
}

// Labels every point with the lowest point it is joined to, by relabelling until nothing changes.
std::map<Index, Index> naive_labels(const Naive& naive) {
  std::map<Index, Index> label;
  for (Index point : naive.used) label[point] = point;
  for (bool changed = true; changed;) {
    changed = false;
    for (const auto& [a, b] : naive.joins) {
      if (label[a] == label[b]) continue;
      label[a] = label[b] = std::min(label[a], label[b]);
      changed = true;
    }
  }
  return label;
}

void require_same_nets(const Nets& nets, const std::map<Index, Index>& label, Range points) {
  std::map<Index, Index> net_of_label;
  for (Index point = points.first; point < points.end(); ++point) {
    const Index net = nets.net(point);
    REQUIRE((net == none) == (label.count(point) == 0));
    if (net == none) continue;
    const auto [entry, added] = net_of_label.emplace(label.at(point), net);
    REQUIRE(entry->second == net);
    REQUIRE(added == (nets.points(net)[0] == point));  // numbered by, and listed from, the lowest point
    const auto members = nets.points(net);
    REQUIRE(std::is_sorted(members.begin(), members.end()));
    REQUIRE(std::find(members.begin(), members.end(), point) != members.end());
  }
  REQUIRE(net_of_label.size() == nets.count());
  Index next = 0;
  for (const auto& [lowest, net] : net_of_label) REQUIRE(net == next++);
}

TEST_CASE("components are those of a naive relabelling") {
  for (uint32_t seed = 0; seed < 3000; ++seed) {
    Random random(seed);
    const uint32_t count = random.between(1, 30);
    Naive naive;
    for (Index vertex = 0; vertex < count; ++vertex) naive.used.insert(vertex);
    for (uint32_t i = random.below(40); i > 0; --i) naive.joins.emplace_back(random.below(count), random.below(count));
    const std::map<Index, Index> label = naive_labels(naive);
    const std::vector<Index> found = components(count, naive.joins);
    Index next = 0;
    std::map<Index, Index> number;
    for (Index vertex = 0; vertex < count; ++vertex) {
      const auto [entry, added] = number.emplace(label.at(vertex), next);
      if (added) ++next;
      REQUIRE(found[vertex] == entry->second);
    }
  }
}

TEST_CASE("the nets of a part are those of a naive union") {
  for (uint32_t seed = 0; seed < seeds; ++seed) {
    const Family family = random_family(seed);
    for (uint32_t cell = 0; cell < family.cell_count(); ++cell) {
      for (Index part = 0; part < family.parts.size(); ++part) {
        if (!family.holds(family.parts[part].cells, cell)) continue;
        CAPTURE(seed, cell, part);
        require_same_nets(part_nets(family, part, cell), naive_labels(naive_part(family, part, cell)),
                          family.parts[part].points);
      }
    }
  }
}

// All that a build joins, by names alone.
Naive naive_build(const Family& family, uint32_t cell) {
  Naive naive;
  std::map<Index, Index> part_of_place;
  for (Index place = 0; place < family.places.size(); ++place) {
    const Index part = part_in(family, place, cell);
    if (part == none) continue;
    part_of_place[place] = part;
    const Naive one = naive_part(family, part, cell);
    naive.used.insert(one.used.begin(), one.used.end());
    naive.joins.insert(naive.joins.end(), one.joins.begin(), one.joins.end());
  }
  const std::set<Index> used_by_parts = naive.used;
  for (const PlugPair& plug : family.plugs) {
    if (!family.holds(plug.cells, cell)) continue;
    if (!part_of_place.count(plug.place_a) || !part_of_place.count(plug.place_b)) continue;
    const auto is_cavity = [&](Index point, Index place, Str designator) {
      const Point& row = family.points[point];
      return row.part == part_of_place[place] && row.connector != none &&
             family.connectors[row.connector].designator == designator &&
             connector_row_in(family, row.connector, cell) != none;
    };
    for (Index a = 0; a < family.points.size(); ++a) {
      if (!is_cavity(a, plug.place_a, plug.a)) continue;
      for (Index b = 0; b < family.points.size(); ++b) {
        if (!is_cavity(b, plug.place_b, plug.b)) continue;
        if (family.text(family.points[a].name) != family.text(family.points[b].name)) continue;
        naive.joins.emplace_back(a, b);
      }
    }
  }
  // A net that no part uses is none: walk from the used points, breadth first.
  std::map<Index, std::set<Index>> touching;
  for (const auto& [a, b] : naive.joins) touching[a].insert(b), touching[b].insert(a);
  std::deque<Index> queue(used_by_parts.begin(), used_by_parts.end());
  while (!queue.empty()) {
    const Index point = queue.front();
    queue.pop_front();
    for (Index next : touching[point])
      if (naive.used.insert(next).second) queue.push_back(next);
  }
  std::erase_if(naive.joins, [&](const auto& join) { return !naive.used.count(join.first); });
  return naive;
}

TEST_CASE("the nets of a build are those of a naive walk") {
  for (uint32_t seed = 0; seed < seeds / 2; ++seed) {
    const Family family = random_family(seed, {.cavities = 5, .wires = 8});
    const FamilyIndex index(family);
    for (uint32_t cell = 0; cell < family.cell_count(); ++cell) {
      CAPTURE(seed, cell);
      const BuildNets build = build_nets(index, cell);
      require_same_nets(build.nets, naive_labels(naive_build(family, cell)),
                        {0, static_cast<Index>(family.points.size())});
      for (Index net = 0; net < build.nets.count(); ++net) {
        std::set<Index> circuits;
        const auto on_net = [&](Index point) {
          const auto points = build.nets.points(net);
          return std::find(points.begin(), points.end(), point) != points.end();
        };
        for (const Wire& wire : family.wires)
          if (on_net(wire.from) && family.holds(wire.cells, cell)) circuits.insert(wire.circuit);
        for (const Pin& pin : family.pins)
          if (on_net(pin.point) && family.holds(pin.cells, cell)) circuits.insert(pin.circuit);
        for (const Lead& lead : family.leads)
          if (on_net(lead.point) && family.holds(lead.cells, cell)) circuits.insert(lead.circuit);
        for (const Earth& earth : family.earths)
          if (on_net(earth.point) && family.holds(earth.cells, cell)) circuits.insert(earth.circuit);
        circuits.erase(none);
        const auto found = build.nets.circuits(net);
        REQUIRE(std::vector<Index>(found.begin(), found.end()) == std::vector<Index>(circuits.begin(), circuits.end()));
      }
    }
  }
}

// --- a build by hand ------------------------------------------------------------------------------------------------

// Two looms that meet at C1, and a unit on the second. Era b has no second loom.
struct Bench {
  FamilyBuilder build;
  Index front = none, rear = none;
  std::map<std::string, Index> at;  // points by name, those of the rear loom and the unit with a stroke

  Bench() {
    build.era("a"), build.era("b");
    const CellSet both = CellSet::first(2), first = CellSet::of(0);
    Family& family = build.family;
    family.built = build.cells(both);
    const Index lamp = build.circuit("LAMP", "Lamp", CircuitClass::drive);
    const Index earth = build.circuit("GND", "Earth", CircuitClass::earth);
    const Index six = build.housing("six", 6);
    const Index a = build.place("FRONT-LOOM"), b = build.place("REAR-LOOM");
    build.plug(a, "C1", b, "C1");

    front = build.begin_part("front", PartKind::loom, a, both);
    const Index c1 = build.connector("C1", six, Rest::empty, both);
    for (const char* number : {"1", "2", "3"}) at[std::string("C1.") + number] = build.cavity(c1, number);
    at["S1"] = build.point(PointKind::splice, "S1");
    at["E1"] = build.point(PointKind::earth, "E1");
    at["E2"] = build.point(PointKind::earth, "E2");
    build.wire(lamp, at["C1.1"], at["S1"], none, none, 750, both);
    build.wire(earth, at["C1.2"], at["E1"], none, none, 750, both);
    build.wire(earth, at["S1"], at["E2"], none, none, 750, first);
    build.cavity_row(at["C1.3"], State::sealed, first);
    build.cavity_row(at["C1.3"], State::disputed, CellSet::of(1));
    build.end_part();

    rear = build.begin_part("rear", PartKind::loom, b, first);
    const Index d1 = build.connector("C1", six, Rest::unknown, both);
    for (const char* number : {"1", "2", "5"}) at[std::string("C1.") + number + "'"] = build.cavity(d1, number);
    at["S1'"] = build.point(PointKind::splice, "S1");
    build.wire(lamp, at["C1.1'"], at["S1'"], none, none, 750, both);
    build.end_part();
  }
};

TEST_CASE("mated cavities are one net where both parts are there") {
  const Bench bench;
  const FamilyIndex index(bench.build.family);
  const auto at = [&](const char* name) { return bench.at.at(name); };
  const BuildNets a = build_nets(index, 0);
  REQUIRE(a.plugged.matings().size() == 1);
  CHECK(a.nets.net(at("C1.1")) == a.nets.net(at("S1'")));
  CHECK(a.nets.net(at("C1.2")) == a.nets.net(at("C1.2'")));  // an empty mate of a wired cavity is on its net
  CHECK(a.nets.net(at("E1")) != a.nets.net(at("E2")));       // earth points are nodes of their own
  CHECK(a.nets.net(at("C1.3")) == none);
  CHECK(a.nets.net(at("C1.5'")) == none);
  const std::span<const Mate> mates = a.plugged.mates(at("C1.3"));
  REQUIRE(mates.size() == 1);
  CHECK(mates[0].point == none);  // the rear loom never names cavity 3
  CHECK(mates[0].connector == bench.build.family.points[at("C1.1'")].connector);
  CHECK(a.plugged.mates(at("S1")).empty());

  const BuildNets b = build_nets(index, 1);
  CHECK(b.plugged.matings().empty());
  CHECK(b.plugged.mates(at("C1.1")).empty());
  CHECK(b.parts[1] == none);
  CHECK(b.nets.net(at("S1'")) == none);
  CHECK(b.nets.net(at("E2")) == none);  // its wire is gone, and no earth row says that it is there
}

TEST_CASE("the index finds parts and connectors as a plain look at all rows does") {
  for (uint32_t seed = 0; seed < seeds; ++seed) {
    const Family family = random_family(seed);
    const FamilyIndex index(family);
    CAPTURE(seed);
    for (Index part = 0; part < family.parts.size(); ++part) {
      for (Str name = 0; name < family.strings.size(); ++name)
        REQUIRE(index.connector_of(part, name) == connector_of(family, family.parts[part], name));
      if (const Index place = family.parts[part].place; place != none) {
        const auto parts = index.parts_in(place);
        REQUIRE(std::count(parts.begin(), parts.end(), part) == 1);
        for (uint32_t cell = 0; cell < family.cell_count(); ++cell)
          REQUIRE(index.part_in(place, cell) == part_in(family, place, cell));
      }
    }
  }
}

// The rows of a part in a cell, each as table and number.
std::set<std::pair<Table, Index>> rows_there(const Family& family, const Part& part, uint32_t cell) {
  std::set<std::pair<Table, Index>> there;
  const auto add = [&](Table table, const auto& rows, Range range) {
    for (Index row = range.first; row < range.end(); ++row)
      if (family.holds(rows[row].cells, cell)) there.emplace(table, row);
  };
  for (const Connector& connector : rows(family.connectors, part.connectors))
    add(Table::connector_rows, family.connector_rows, connector.rows);
  add(Table::splices, family.splices, part.splices);
  add(Table::earths, family.earths, part.earths);
  add(Table::leads, family.leads, part.leads);
  add(Table::wires, family.wires, part.wires);
  add(Table::cavity_rows, family.cavity_rows, part.cavity_rows);
  add(Table::pins, family.pins, part.pins);
  add(Table::insides, family.insides, part.insides);
  return there;
}

TEST_CASE("two cells are told apart by a row that holds in one of them; those of a class by none") {
  uint32_t apart = 0, alike = 0;
  for (uint32_t seed = 0; seed < seeds; ++seed) {
    const Family family = random_family(seed);
    const FamilyIndex index(family);
    CAPTURE(seed);
    for (Index part = 0; part < family.parts.size(); ++part)
      for (uint32_t a = 0; a < family.cell_count(); ++a)
        for (uint32_t b = 0; b < a; ++b) {
          const bool same = rows_there(family, family.parts[part], a) == rows_there(family, family.parts[part], b);
          REQUIRE(index.tells_apart(part, a, b) == !same);
          ++(same ? alike : apart);
        }
    CellSet classified;
    for (const CellClass& each : cell_classes(family)) {
      REQUIRE(each.cell == each.cells.lowest());
      REQUIRE(!each.cells.meets(classified));
      classified |= each.cells;
      for (uint32_t cell : each.cells.cells())
        for (Index part = 0; part < family.parts.size(); ++part) REQUIRE(!index.tells_apart(part, each.cell, cell));
    }
    REQUIRE(classified == family.set(family.built));
  }
  CHECK(apart > 0);
  CHECK(alike > 0);
}

TEST_CASE("every cavity of a connector has one of the five states") {
  const Bench bench;
  const Family& family = bench.build.family;
  const FamilyIndex index(family);
  const auto states = [&](uint32_t cell, const char* point) {
    std::string text;
    for (const Cavity& cavity : cavities(index, cell, family.points[bench.at.at(point)].connector))
      text.append(family.text(cavity.number)).append(" ").append(word(cavity.state.state)).append("; ");
    return text;
  };
  CHECK(states(0, "C1.1") == "1 wired; 2 wired; 3 sealed; 4 empty; 5 empty; 6 empty; ");
  CHECK(states(1, "C1.1") == "1 wired; 2 wired; 3 disputed; 4 empty; 5 empty; 6 empty; ");
  CHECK(states(0, "C1.1'") == "1 wired; 2 unknown; 3 unknown; 4 unknown; 5 unknown; 6 unknown; ");
  CHECK(far_ends(index, 0, bench.at.at("C1.1")) == std::vector{bench.at.at("S1")});
  CHECK(ends_reached(index, 0, bench.at.at("C1.1")) == std::vector{bench.at.at("E2")});
  CHECK(ends_reached(index, 1, bench.at.at("C1.1")).empty());
}

TEST_CASE("a pin that is connected to nothing is empty and open; one that nobody knows is unknown") {
  FamilyBuilder build;
  build.era("a");
  const CellSet all = CellSet::first(1);
  build.family.built = build.cells(all);
  const Index feed = build.circuit("BAT", "Battery", CircuitClass::feed);
  build.begin_part("unit", PartKind::component, build.place("UNIT"), all);
  const Index x1 = build.connector("X1", build.housing("five", 5), Rest::open, all);
  for (const auto& [number, circuit, role] : {std::tuple("1", feed, Role::takes_feed),
                                              {"2", none, Role::open},
                                              {"3", none, Role::unknown},
                                              {"4", feed, Role::unknown}})
    build.pin(build.cavity(x1, number), circuit, role, all);
  build.end_part();
  const FamilyIndex index(build.family);
  std::vector<CavityState> states;
  for (const Cavity& cavity : cavities(index, 0, x1)) states.push_back(cavity.state);
  const std::vector<CavityState> expected{{State::wired, Role::takes_feed},
                                          {State::empty, Role::open},
                                          {State::unknown, Role::unknown},
                                          {State::wired, Role::unknown},
                                          {State::empty, Role::open}};
  CHECK(states == expected);
}

TEST_CASE("the state of a cavity is what a plain look at all rows says") {
  for (uint32_t seed = 0; seed < seeds; ++seed) {
    const Family family = random_family(seed);
    const FamilyIndex index(family);
    const PointStates point_states(index);
    for (uint32_t cell = 0; cell < family.cell_count(); ++cell) {
      for (Index point = 0; point < family.points.size(); ++point) {
        const Index connector = family.points[point].connector;
        if (connector == none) continue;
        CAPTURE(seed, cell, point);
        const auto there = [&](const auto& row) { return family.holds(row.cells, cell); };
        uint32_t wires = 0;
        for (const Wire& wire : family.wires) wires += there(wire) && (wire.from == point || wire.to == point);
        const Cavity cavity = cavity_at(index, cell, point);
        REQUIRE(cavity.point == point);
        REQUIRE(cavity.wires.size() == wires);
        REQUIRE(cavity.state == cavity_state(index, cell, point));
        REQUIRE(cavity.state == point_states.at(point, cell));
        if (wires > 0) {
          REQUIRE(cavity.state.state == State::wired);
          continue;
        }
        const auto pin = std::find_if(family.pins.begin(), family.pins.end(),
                                      [&](const Pin& row) { return row.point == point && there(row); });
        const auto row = std::find_if(family.cavity_rows.begin(), family.cavity_rows.end(),
                                      [&](const CavityRow& state) { return state.point == point && there(state); });
        if (pin != family.pins.end()) {
          REQUIRE(cavity.state.state == (pin->role == Role::open ? State::empty : State::wired));
          REQUIRE(cavity.state.role == pin->role);
        } else if (row != family.cavity_rows.end()) {
          REQUIRE(cavity.state.state == row->state);
        } else {
          const Index rests = connector_row_in(family, connector, cell);
          const Rest rest = rests == none ? Rest::unset : family.connector_rows[rests].rest;
          const bool known = rest == Rest::empty || rest == Rest::open;
          REQUIRE(cavity.state.state == (known ? State::empty : State::unknown));
        }
      }
    }
  }
}

// --- variants -------------------------------------------------------------------------------------------------------

// All that the rows of a part (or of one connector, and what is at its cavities) say in a cell, spelled out.
std::multiset<std::string> spelled_out(const Family& family, Index part, Index connector, uint32_t cell) {
  std::multiset<std::string> lines;
  const auto put = [&](const char* what, std::initializer_list<int64_t> words) {
    std::string line = what;
    for (int64_t word : words) line += " " + std::to_string(word);
    lines.insert(line);
  };
  const auto wanted = [&](Index point) {
    return family.points[point].part == part && (connector == none || family.points[point].connector == connector);
  };
  const auto there = [&](const auto& row) { return family.holds(row.cells, cell); };
  for (const ConnectorRow& row : family.connector_rows)
    if (family.connectors[row.connector].part == part && (connector == none || row.connector == connector) &&
        there(row))
      put("connector", {row.connector, row.housing, row.where, int64_t(row.rest), row.loose});
  for (const Wire& row : family.wires)
    if ((wanted(row.from) || wanted(row.to)) && there(row))
      put("wire", {row.circuit, std::min(row.from, row.to), std::max(row.from, row.to), row.base, row.tracer,
                   int64_t(row.shade), row.mm2, row.length_mm, row.double_crimp, row.spare, row.marks});
  for (const CavityRow& row : family.cavity_rows) {
    if (!wanted(row.point) || !there(row)) continue;
    std::string says;
    for (const Say& say : rows(family.says, row.says))
      says += std::to_string(uint32_t(say.state)) + ":" + std::to_string(say.circuit) + ":" + std::to_string(say.cite) +
              ",";
    put(("cavity " + says).c_str(), {row.point, int64_t(row.state), row.note});
  }
  for (const Pin& row : family.pins)
    if (wanted(row.point) && there(row))
      put("pin", {row.point, row.circuit, int64_t(row.role), row.volts, row.amps, row.optional, int64_t(row.when),
                  row.through_load, row.coded_low, row.coded_high, row.coded_open, row.pair_with, row.polarity,
                  row.protocol, row.line, row.ends, row.marks});
  if (connector != none) return lines;
  for (const Splice& row : family.splices)
    if (wanted(row.point) && there(row)) put("splice", {row.point, row.where, row.branch});
  for (const Earth& row : family.earths)
    if (wanted(row.point) && there(row)) put("earth", {row.point, row.where, row.ring, int64_t(row.to), row.circuit});
  for (const Lead& row : family.leads)
    if (wanted(row.point) && there(row))
      put("lead", {row.point, row.title, row.circuit, int64_t(row.role), row.volts, row.amps});
  for (const Inside& row : family.insides)
    if (row.part == part && there(row))
      put("inside", {row.id, int64_t(row.kind), row.a, row.b, row.ohm, row.amps, row.volts, row.rests_closed,
                     row.rests_known, int64_t(row.closed_by), row.coil});
  return lines;
}

void require_variants(const std::vector<Variant>& found, const Family& family, Index part, Index connector,
                      const CellSet& universe) {
  CellSet seen;
  uint32_t last = 0;
  for (size_t i = 0; i < found.size(); ++i) {
    REQUIRE(found[i].part == part);
    REQUIRE(!found[i].cells.empty());
    REQUIRE(!seen.meets(found[i].cells));
    REQUIRE((i == 0 || found[i].cells.lowest() > last));
    last = found[i].cells.lowest();
    seen |= found[i].cells;
  }
  REQUIRE(seen == universe);
  std::map<std::multiset<std::string>, size_t> by_content;
  for (size_t i = 0; i < found.size(); ++i) {
    for (uint32_t cell : found[i].cells.cells()) {
      const auto [entry, added] = by_content.emplace(spelled_out(family, part, connector, cell), i);
      REQUIRE(entry->second == i);
    }
  }
  REQUIRE(by_content.size() == found.size());
}

TEST_CASE("variants are the cells of equal content, spelled out cell by cell") {
  for (uint32_t seed = 0; seed < seeds; ++seed) {
    const Family family = random_family(seed, {.wires = seed % 2 ? 2u : 12u});  // few rows: cells often agree
    const FamilyIndex index(family);
    for (Index part = 0; part < family.parts.size(); ++part) {
      CAPTURE(seed, part);
      require_variants(variants(family, part), family, part, none,
                       family.set(family.built) & family.set(family.parts[part].cells));
    }
    for (Index connector = 0; connector < family.connectors.size(); ++connector) {
      CAPTURE(seed, connector);
      const Index part = family.connectors[connector].part;
      CellSet there;
      for (const ConnectorRow& row : rows(family.connector_rows, family.connectors[connector].rows))
        there |= family.set(row.cells);
      require_variants(connector_variants(index, connector), family, part, connector,
                       there & family.set(family.built) & family.set(family.parts[part].cells));
    }
  }
}

TEST_CASE("rows that say the same under other tags are one variant") {
  FamilyBuilder build;
  for (const char* era : {"a", "b", "c"}) build.era(era);
  const CellSet all = CellSet::first(3);
  build.family.built = build.cells(all);
  const Index lamp = build.circuit("LAMP", "Lamp", CircuitClass::drive);
  const Index part = build.begin_part("loom", PartKind::loom, build.place("LOOM"), all);
  const Index c1 = build.connector("C1", build.housing("two", 2), Rest::empty, all);
  const Index one = build.cavity(c1, "1"), two = build.cavity(c1, "2");
  build.wire(lamp, one, two, none, none, 500, CellSet::of(0));
  build.wire(lamp, two, one, none, none, 500, CellSet::of(1));  // a wire has no direction
  build.wire(lamp, one, two, none, none, 750, CellSet::of(2));
  build.end_part();
  const std::vector<Variant> found = variants(build.family, part);
  REQUIRE(found.size() == 2);
  CHECK(found[0].cells == CellSet::first(2));
  CHECK(found[1].cells == CellSet::of(2));
}

}  // namespace
}  // namespace loomproof
