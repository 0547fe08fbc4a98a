// Seeded random looms and components in two editions, before and after random edits, as a family of two eras and an
// option. They are well formed; nothing says that they make electrical sense. Rows that say the same in both editions
// stand once or twice, as chance has it, so that tags and meaning do not coincide.
#pragma once
#include <algorithm>
#include <cstring>
#include <map>
#include <string>
#include <utility>
#include <vector>

#include "random_family.h"

namespace loomproof::testing {

// What one edition of a part says. Ends and circuits are names; a row is a Row of the family without tags, owner and
// ends.
struct Edition {
  struct Ends {
    std::string a, b;
  };
  std::vector<std::pair<Ends, Wire>> wires;
  std::map<std::string, Pin> pins;                 // by cavity
  std::map<std::string, State> states;             // by cavity, of those that a row names
  std::map<std::string, ConnectorRow> connectors;  // by designator
  std::map<std::string, Splice> splices;
  std::map<std::string, Earth> earths;
  std::map<std::string, Lead> leads;
  std::map<std::string, std::pair<Ends, Inside>> insides;
};

inline bool is_cavity(const std::string& end) {
  return end.find('.') != end.npos;
}
inline std::string plug_of(const std::string& cavity) {
  return cavity.substr(0, cavity.find('.'));
}

// Makes an edition, and edits it. Texts, colours and housings are those of the builder's family.
class Editor {
 public:
  static constexpr uint32_t cavities = 8, circuits = 7, colours = 5, housings = 3;

  Editor(FamilyBuilder& build, Random& random) : build_(build), random_(random) {}

  Edition loom() {
    Edition e;
    for (uint32_t i = 1, count = random_.between(2, 4); i <= count; ++i) e.connectors["C" + std::to_string(i)] = plug();
    for (const char* name : {"S1", "S2", "S3"}) e.splices[name].where = where();
    for (const char* name : {"E1", "E2"}) {
      Earth& earth = e.earths[name];
      earth.where = where(), earth.ring = build_.text("M8"), earth.to = EarthNode::chassis, earth.circuit = 0;
    }
    e.leads["L1"] = {.circuit = 0, .role = Role::takes_feed, .amps = 5000};
    for (uint32_t i = random_.between(2, 14); i > 0; --i) add_wire(e);
    for (uint32_t i = random_.below(4); i > 0; --i) add_state(e);
    return e;
  }
  Edition component() {
    Edition e;
    for (const char* name : {"X1", "X2"}) e.connectors[name] = plug();
    for (uint32_t i = random_.between(2, 8); i > 0; --i) add_pin(e);
    for (uint32_t i = random_.below(3); i > 0; --i) add_state(e);
    for (uint32_t i = random_.below(3); i > 0; --i) add_inside(e);
    return e;
  }

  void edit_loom(Edition& e) {
    switch (random_.below(18)) {
      case 0:
      case 1:
        return move(e);
      case 2:
        return move_circuit(e);
      case 3:
      case 4:
        return swap(e);
      case 5:
        return replug(e);
      case 6:
        return add_wire(e);
      case 7:
      case 8:
        return remove_wire(e);
      case 9:
        return resplice(e);
      case 10:
        any_wire(e, [&](Wire& wire) { wire.base = random_.below(colours); });
        return;
      case 11:
        any_wire(e, [&](Wire& wire) { wire.shade = random_.any<Shade>(); });
        return;
      case 12:
        any_wire(e, [&](Wire& wire) { wire.mm2 = size(); });
        return;
      case 13:
        any_wire(e, [&](Wire& wire) { wire.double_crimp ^= 1; });
        return;
      case 14:
        any_wire(e, [&](Wire& wire) { wire.spare = wire.spare ? 0 : build_.text("for a later heater"); });
        return;
      case 15:
        return edit_plug(e);
      case 16:
        return edit_joint(e);
      default:
        return edit_state(e);
    }
  }
  void edit_component(Edition& e) {
    switch (random_.below(9)) {
      case 0:
        return move(e);
      case 1:
        return swap(e);
      case 2:
        return replug(e);
      case 3:
        return add_pin(e);
      case 4:
        if (!e.pins.empty()) e.pins.erase(pick(e.pins));
        return;
      case 5:
      case 6:
        return edit_pin(e);
      case 7:
        return edit_inside(e);
      default:
        return random_.chance(50) ? edit_plug(e) : edit_state(e);
    }
  }

 private:
  template <typename Map>
  typename Map::iterator pick(Map& map) {
    return std::next(map.begin(), random_.below(static_cast<uint32_t>(map.size())));
  }
  Str where() { return build_.text("place " + std::to_string(random_.below(4))); }
  Quantity size() { return 500 + 250 * static_cast<Quantity>(random_.below(4)); }
  ConnectorRow plug() {
    ConnectorRow row;
    row.housing = random_.below(housings), row.where = where();
    row.rest = random_.chance(50) ? Rest::empty : Rest::unknown;
    return row;
  }
  std::string cavity(Edition& e) {
    return pick(e.connectors)->first + "." + std::to_string(random_.between(1, cavities));
  }
  // A cavity that nothing is at, if a few tries find one.
  std::string free_cavity(Edition& e) {
    std::string found = cavity(e);
    for (int tries = 0; tries < 20 && in_use(e, found); ++tries) found = cavity(e);
    return found;
  }
  static bool in_use(const Edition& e, const std::string& cavity) {
    return e.pins.count(cavity) || std::any_of(e.wires.begin(), e.wires.end(), [&](const auto& wire) {
             return wire.first.a == cavity || wire.first.b == cavity;
           });
  }
  std::string end(Edition& e) {
    const uint32_t kind = random_.below(10);
    if (kind < 6) return random_.chance(85) ? free_cavity(e) : cavity(e);  // some double crimps
    if (kind < 8) return pick(e.splices)->first;
    return kind == 8 ? pick(e.earths)->first : random_.chance(30) ? "L1" : pick(e.splices)->first;
  }
  void add_wire(Edition& e) {
    Wire wire;
    wire.circuit = random_.below(circuits);
    wire.base = random_.chance(90) ? random_.below(colours) : none;
    wire.tracer = wire.base != none && random_.chance(30) ? random_.below(colours) : none;
    wire.mm2 = random_.chance(90) ? size() : not_given;
    Edition::Ends ends{end(e), end(e)};
    while (ends.a == ends.b) ends.b = end(e);
    e.states.erase(ends.a), e.states.erase(ends.b);
    e.wires.emplace_back(ends, wire);
  }
  void remove_wire(Edition& e) {
    if (!e.wires.empty()) e.wires.erase(e.wires.begin() + random_.below(static_cast<uint32_t>(e.wires.size())));
  }
  template <typename Edit>
  void any_wire(Edition& e, Edit&& edit) {
    if (!e.wires.empty()) edit(e.wires[random_.below(static_cast<uint32_t>(e.wires.size()))].second);
  }
  // One wire's end, or one pin, goes to another cavity.
  void move(Edition& e) {
    const std::string to = free_cavity(e);
    if (in_use(e, to)) return;
    e.states.erase(to);
    if (!e.pins.empty()) return move_pin(e, pick(e.pins)->first, to);
    if (e.wires.empty()) return;
    Edition::Ends& ends = e.wires[random_.below(static_cast<uint32_t>(e.wires.size()))].first;
    (random_.chance(50) ? ends.a : ends.b) = to;
  }
  // All wires of a circuit at an end go to another.
  void move_circuit(Edition& e) {
    if (e.wires.empty()) return;
    const auto [ends, wire] = e.wires[random_.below(static_cast<uint32_t>(e.wires.size()))];
    const std::string from = random_.chance(50) ? ends.a : ends.b, to = end(e);
    for (auto& [other, row] : e.wires) {
      if (row.circuit != wire.circuit) continue;
      if (other.a == from && other.b != to) other.a = to;
      if (other.b == from && other.a != to) other.b = to;
    }
    e.states.erase(to);
  }
  // `from` by value: it may be the key that goes.
  static void move_pin(Edition& e, const std::string from, const std::string& to) {
    Pin pin = e.pins.at(from);
    e.pins.erase(from);
    e.pins[to] = pin;
    for (auto& [id, inside] : e.insides)
      for (std::string* point : {&inside.first.a, &inside.first.b})
        if (*point == from) *point = to;
  }
  // Whatever is at two cavities is exchanged.
  void swap(Edition& e) {
    const std::string a = cavity(e), b = cavity(e);
    if (a == b || !in_use(e, a) || !in_use(e, b)) return;
    for (auto& [ends, wire] : e.wires)
      for (std::string* point : {&ends.a, &ends.b})
        if (*point == a || *point == b) *point = *point == a ? b : a;
    if (e.pins.count(a) && e.pins.count(b)) {
      move_pin(e, a, "?"), move_pin(e, b, a), move_pin(e, "?", b);
    }
    std::erase_if(e.wires, [](const auto& wire) { return wire.first.a == wire.first.b; });
  }
  // All that a plug has goes to a new one, which comes with it as the old one goes.
  void replug(Edition& e) {
    if (e.connectors.size() < 2) return;
    const std::string from = pick(e.connectors)->first, to = from.substr(0, 1) + "9";
    if (e.connectors.count(to)) return;
    const auto used = [&](uint32_t number) { return in_use(e, from + "." + std::to_string(number)); };
    uint32_t count = 0;
    for (uint32_t number = 1; number <= cavities; ++number) count += used(number);
    if (count < 2) return;
    const uint32_t turn = random_.below(cavities);
    std::map<std::string, std::string> map;
    for (uint32_t number = 1; number <= cavities; ++number)
      map[from + "." + std::to_string(number)] = to + "." + std::to_string((number + turn) % cavities + 1);
    for (auto& [ends, wire] : e.wires)
      for (std::string* point : {&ends.a, &ends.b})
        if (map.count(*point)) *point = map[*point];
    for (const auto& [cavity, target] : map)
      if (e.pins.count(cavity)) move_pin(e, cavity, target);
    for (const auto& [cavity, target] : map) e.states.erase(cavity);
    for (auto& [id, inside] : e.insides)
      for (std::string* point : {&inside.first.a, &inside.first.b})
        if (map.count(*point)) *point = "N1";
    e.connectors[to] = plug();
    e.connectors.erase(from);
  }
  // One wire runs through a splice that it did not run through.
  void resplice(Edition& e) {
    if (e.wires.empty()) return;
    auto& [ends, wire] = e.wires[random_.below(static_cast<uint32_t>(e.wires.size()))];
    const std::string splice = "S7";
    if (e.splices.count(splice)) return;
    e.splices[splice].where = where();
    const std::string far = ends.b;
    const Wire copy = wire;
    ends.b = splice;
    e.wires.emplace_back(Edition::Ends{splice, far}, copy);
  }
  void edit_plug(Edition& e) {
    ConnectorRow& row = pick(e.connectors)->second;
    switch (random_.below(4)) {
      case 0:
        row.housing = random_.below(housings);
        break;
      case 1:
        row.where = where();
        break;
      case 2:
        row.rest = row.rest == Rest::empty ? Rest::unknown : Rest::empty;
        break;
      default:
        row.loose = row.loose ? 0 : build_.text("capped");
        break;
    }
  }
  void edit_joint(Edition& e) {
    switch (random_.below(4)) {
      case 0:
        pick(e.splices)->second.where = where();
        break;
      case 1:
        pick(e.earths)->second.where = where();
        break;
      case 2:
        pick(e.earths)->second.ring = build_.text("M6");
        break;
      default:
        pick(e.leads)->second.amps = 1000 * static_cast<Quantity>(random_.between(4, 7));
        break;
    }
  }
  State random_state() { return static_cast<State>(random_.between(1, 4)); }  // any but wired
  void add_state(Edition& e) {
    const std::string at = free_cavity(e);
    if (!in_use(e, at)) e.states[at] = random_state();
  }
  void edit_state(Edition& e) {
    if (e.states.empty() || random_.chance(40)) return add_state(e);
    const auto state = pick(e.states);
    if (random_.chance(30))
      e.states.erase(state);
    else
      state->second = random_state();
  }
  void add_pin(Edition& e) {
    const std::string at = free_cavity(e);
    if (in_use(e, at)) return;
    Pin pin;
    pin.circuit = random_.below(circuits);
    pin.role = random_.chance(50) ? Role::takes_feed : random_.chance(50) ? Role::gives_signal : Role::takes_low;
    pin.volts = random_.chance(50) ? system_volts : 5000;
    pin.amps = random_.chance(50) ? 1000 : not_given;
    if (random_.chance(10)) pin = {.role = random_.chance(50) ? Role::open : Role::unknown};
    e.states.erase(at);
    e.pins[at] = pin;
  }
  void edit_pin(Edition& e) {
    if (e.pins.empty()) return;
    Pin& pin = pick(e.pins)->second;
    if (pin.circuit == none) return;
    switch (random_.below(7)) {
      case 0:
        pin.role = Role::senses_low;
        break;
      case 1:
        pin.amps = 1000 * static_cast<Quantity>(random_.between(1, 4));
        break;
      case 2:
        pin.volts = 12000;
        break;
      case 3:
        pin.optional ^= 1;
        break;
      case 4:
        pin.through_load ^= 1;
        break;
      case 5:
        pin.coded_low = build_.text("export");
        break;
      default:
        pin.pair_with = build_.text(std::to_string(random_.between(1, cavities)));
        break;
    }
  }
  void add_inside(Edition& e) {
    const std::string id = "K" + std::to_string(random_.between(1, 5));
    if (e.pins.empty() || e.insides.count(id)) return;
    Inside inside;
    inside.kind = random_.any<InsideKind>();
    inside.ohm = random_.chance(50) ? 85000 : not_given;
    e.insides[id] = {{pick(e.pins)->first, "N1"}, inside};
  }
  void edit_inside(Edition& e) {
    if (e.insides.empty() || random_.chance(30)) return add_inside(e);
    const auto found = pick(e.insides);
    switch (random_.below(4)) {
      case 0:
        e.insides.erase(found);
        break;
      case 1:
        found->second.second.ohm = 1000 * static_cast<Quantity>(random_.between(80, 90));
        break;
      case 2:
        found->second.second.kind = random_.any<InsideKind>();
        break;
      default:
        found->second.second.amps = 10000;
        break;
    }
  }

  FamilyBuilder& build_;
  Random& random_;
};

// Writes two editions of a part as rows: `before` holds in some cells, `after` in the others.
class EditionWriter {
 public:
  EditionWriter(FamilyBuilder& build, Random& random, const CellSet& before, const CellSet& after)
      : build_(build), random_(random), before_(before), after_(after) {}

  Index write(std::string_view id, PartKind kind, Index place, const Edition& before, const Edition& after) {
    const Index part = build_.begin_part(id, kind, place, before_ | after_);
    points_.clear(), connectors_.clear();
    write_connectors(before, after);
    write_points(before), write_points(after);
    write_wires(before, after);
    Family& family = build_.family;
    write_map(before.splices, after.splices, family.splices);
    write_map(before.earths, after.earths, family.earths);
    write_map(before.leads, after.leads, family.leads);
    write_map(before.pins, after.pins, family.pins);
    write_states(before, after);
    write_insides(before, after);
    build_.end_part();
    return part;
  }

 private:
  Index point(const std::string& name) {
    const auto found = points_.find(name);
    if (found != points_.end()) return found->second;
    Index made = none;
    if (is_cavity(name)) {
      made = build_.cavity(connectors_.at(plug_of(name)), name.substr(name.find('.') + 1));
    } else {
      const PointKind kind = name[0] == 'S'   ? PointKind::splice
                             : name[0] == 'E' ? PointKind::earth
                             : name[0] == 'L' ? PointKind::lead
                                              : PointKind::inner;
      made = build_.point(kind, name);
    }
    return points_[name] = made;
  }
  void write_points(const Edition& e) {
    for (const auto& [ends, wire] : e.wires) point(ends.a), point(ends.b);
    for (const auto& [name, row] : e.pins) point(name);
    for (const auto& [name, row] : e.states) point(name);
    for (const auto& [name, row] : e.splices) point(name);
    for (const auto& [name, row] : e.earths) point(name);
    for (const auto& [name, row] : e.leads) point(name);
    for (const auto& [name, row] : e.insides) point(row.first.a), point(row.first.b);
  }
  // Puts a row that both editions have once or twice, one that only one has once.
  template <typename Row>
  void put(std::vector<Row>& table, Row row, bool in_before, bool in_after) {
    const auto once = [&](const CellSet& cells) {
      row.cells = build_.cells(cells);
      table.push_back(row);
    };
    if (in_before && in_after && random_.chance(70)) return once(before_ | after_);
    if (in_before) once(before_);
    if (in_after) once(after_);
  }
  template <typename Row>
  static bool same(const Row& a, const Row& b) {
    return std::memcmp(&a, &b, sizeof(Row)) == 0;
  }
  void write_connectors(const Edition& before, const Edition& after) {
    std::map<std::string, int> names;
    for (const auto& [name, row] : before.connectors) names[name] |= 1;
    for (const auto& [name, row] : after.connectors) names[name] |= 2;
    for (const auto& [name, in] : names) {
      Family& family = build_.family;
      const auto index = build_.next(family.connectors);
      connectors_[name] = index;
      const Index first = build_.next(family.connector_rows);
      family.connectors.push_back({build_.next(family.parts) - 1, build_.text(name), {first, 0}});
      const auto row_of = [&](const Edition& e) {
        ConnectorRow row = e.connectors.at(name);
        row.connector = index;
        return row;
      };
      if (in == 3 && same(row_of(before), row_of(after))) {
        put(family.connector_rows, row_of(before), true, true);
      } else {
        if (in & 1) put(family.connector_rows, row_of(before), true, false);
        if (in & 2) put(family.connector_rows, row_of(after), false, true);
      }
      family.connectors[index].rows.count = build_.next(family.connector_rows) - first;
    }
  }
  void write_wires(const Edition& before, const Edition& after) {
    std::vector<Wire> rest;
    const auto row_of = [&](const auto& wire) {
      Wire row = wire.second;
      row.part = build_.next(build_.family.parts) - 1;
      row.from = point(wire.first.a), row.to = point(wire.first.b);
      return row;
    };
    for (const auto& wire : after.wires) rest.push_back(row_of(wire));
    for (const auto& wire : before.wires) {
      const Wire row = row_of(wire);
      const auto found = std::find_if(rest.begin(), rest.end(), [&](const Wire& other) { return same(row, other); });
      const bool both = found != rest.end();
      if (both) rest.erase(found);
      put(build_.family.wires, row, true, both);
    }
    for (const Wire& row : rest) put(build_.family.wires, row, false, true);
  }
  template <typename Row>
  void write_map(const std::map<std::string, Row>& before, const std::map<std::string, Row>& after,
                 std::vector<Row>& table) {
    const auto row_of = [&](const std::string& name, Row row) {
      row.point = point(name);
      return row;
    };
    for (const auto& [name, row] : before) {
      const auto other = after.find(name);
      put(table, row_of(name, row), true, other != after.end() && same(row, other->second));
    }
    for (const auto& [name, row] : after) {
      const auto other = before.find(name);
      if (other == before.end() || !same(row, other->second)) put(table, row_of(name, row), false, true);
    }
  }
  void write_states(const Edition& before, const Edition& after) {
    const auto row_of = [&](const std::string& name, State state) {
      CavityRow row;
      row.point = point(name), row.state = state, row.says = {build_.next(build_.family.says), 0};
      return row;
    };
    for (const auto& [name, state] : before.states) {
      const auto other = after.states.find(name);
      put(build_.family.cavity_rows, row_of(name, state), true, other != after.states.end() && other->second == state);
    }
    for (const auto& [name, state] : after.states) {
      const auto other = before.states.find(name);
      if (other == before.states.end() || other->second != state)
        put(build_.family.cavity_rows, row_of(name, state), false, true);
    }
  }
  void write_insides(const Edition& before, const Edition& after) {
    const auto row_of = [&](const std::string& id, const std::pair<Edition::Ends, Inside>& inside) {
      Inside row = inside.second;
      row.part = build_.next(build_.family.parts) - 1, row.id = build_.text(id);
      row.a = point(inside.first.a), row.b = point(inside.first.b);
      return row;
    };
    for (const auto& [id, inside] : before.insides) {
      const auto other = after.insides.find(id);
      put(build_.family.insides, row_of(id, inside), true,
          other != after.insides.end() && same(row_of(id, inside), row_of(id, other->second)));
    }
    for (const auto& [id, inside] : after.insides) {
      const auto other = before.insides.find(id);
      if (other == before.insides.end() || !same(row_of(id, inside), row_of(id, other->second)))
        put(build_.family.insides, row_of(id, inside), false, true);
    }
  }

  FamilyBuilder& build_;
  Random& random_;
  CellSet before_, after_;
  std::map<std::string, Index> points_, connectors_;
};

// Two eras and an option of two values: cells 0 and 1 are era a, 2 and 3 era b. A loom and a component, each with up to
// `edits` edits in era b; with `limited`, in cell 3 only, so that cell 2 stays as era a.
inline Family edited_family(uint32_t seed, uint32_t edits, bool limited = false) {
  Random random(seed);
  FamilyBuilder build;
  build.era("a"), build.era("b");
  build.option("supply", {"12V", "24V"});
  const CellSet all = CellSet::first(4);
  CellSet before = CellSet::first(2), after;
  if (limited)
    before.insert(2);
  else
    after.insert(2);
  after.insert(3);
  build.family.built = build.cells(all);
  build.family.builds.push_back(build.family.built);
  build.cite({build.source("bench", SourceKind::invented)});
  for (const auto& [code, name] :
       {std::pair("BK", "black"), {"GN", "green"}, {"WH", "white"}, {"BU", "blue"}, {"RD", "red"}})
    build.colour(code, name);
  for (uint32_t i = 0; i < Editor::circuits; ++i)
    build.circuit("CIRCUIT-" + std::to_string(i), "Circuit", CircuitClass::signal);
  for (uint32_t i = 0; i < Editor::housings; ++i) build.housing("housing-" + std::to_string(i), Editor::cavities);
  Editor editor(build, random);
  EditionWriter writer(build, random, before, after);
  const Index loom_place = build.place("LOOM"), unit_place = build.place("UNIT");

  const Edition loom = editor.loom();
  Edition edited_loom = loom;
  for (uint32_t i = 0; i < edits; ++i) editor.edit_loom(edited_loom);
  writer.write("loom", PartKind::loom, loom_place, loom, edited_loom);

  const Edition unit = editor.component();
  Edition edited_unit = unit;
  for (uint32_t i = 0; i < edits; ++i)
    if (random.chance(60)) editor.edit_component(edited_unit);
  writer.write("unit", PartKind::component, unit_place, unit, edited_unit);
  return std::move(build.family);
}

}  // namespace loomproof::testing
