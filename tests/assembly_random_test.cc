// The judge against every state, tried one by one: random small assemblies, simulated with all positions of all
// switches and relays by code that shares neither the nets nor the search with the judge. Data is random; the method is
// the check.
#include <algorithm>
#include <catch2/catch.hpp>
#include <map>
#include <random>
#include <set>

#include "family_builder.h"
#include "judge/judgement.h"

using namespace loomproof;
using namespace loomproof::testing;

namespace {

constexpr uint32_t cavities = 8, inner = 3;
using Random = std::mt19937;

uint32_t pick(Random& random, uint32_t count) {
  return std::uniform_int_distribution<uint32_t>(0, count - 1)(random);
}

const std::vector<Role> roles{Role::gives_feed,   Role::gives_earth, Role::pulls_low, Role::pulls_high,
                              Role::gives_signal, Role::takes_feed,  Role::takes_low, Role::takes_signal,
                              Role::senses_low,   Role::passes};

// What the simulation knows of an assembly: plain lists, filled beside the family tables and not from them.
struct Truth {
  struct Contact {
    uint32_t a, b;
    int coil = -1;         // moved by it
    int position_of = -1;  // closed in these positions of the switch
    std::set<uint32_t> positions;
    bool rests_closed = false;
  };
  struct Port {
    uint32_t node;
    Role role;
    uint32_t circuit;
    bool needed;
  };
  uint32_t nodes = 0;
  std::vector<std::pair<uint32_t, uint32_t>> joins, coils;
  std::vector<Contact> contacts;
  uint32_t switch_positions = 0;  // of the one switch
  std::vector<Port> ports;
  std::map<std::pair<Role, Role>, std::pair<Outcome, Outcome>> table;  // always; of other circuits

  // The nodes that conduct to a node in a state.
  std::vector<char> reached(uint32_t from, const std::vector<char>& closed) const {
    std::vector<char> seen(nodes, 0);
    std::vector<uint32_t> todo{from};
    seen[from] = 1;
    while (!todo.empty()) {
      const uint32_t at = todo.back();
      todo.pop_back();
      const auto step = [&](uint32_t a, uint32_t b) {
        if (a != at && b != at) return;
        const uint32_t other = a == at ? b : a;
        if (!seen[other]) seen[other] = 1, todo.push_back(other);
      };
      for (const auto& [a, b] : joins) step(a, b);
      for (size_t i = 0; i < contacts.size(); ++i)
        if (closed[i]) step(contacts[i].a, contacts[i].b);
    }
    return seen;
  }
  bool meets(uint32_t node, const std::vector<char>& closed, const std::set<Role>& wanted, uint32_t drivers) const {
    const std::vector<char> seen = reached(node, closed);
    for (size_t i = 0; i < ports.size(); ++i) {
      const bool is_driver = ports[i].role == Role::pulls_low || ports[i].role == Role::pulls_high;
      if (seen[ports[i].node] && wanted.count(ports[i].role) && (!is_driver || ((drivers >> i) & 1))) return true;
    }
    return false;
  }
};

struct Made {
  FamilyBuilder build;
  Truth truth;
};

// A box with switch, relay, fuse and contacts, and a unit with pins, joined by a loom.
std::unique_ptr<Made> make(Random& random, bool with_break_contacts) {
  auto made = std::make_unique<Made>();
  FamilyBuilder& b = made->build;
  Truth& truth = made->truth;
  b.era("a");
  b.family.built = b.everywhere();
  const CellSet all = CellSet::first(1);
  std::vector<Index> circuits;
  for (const char* id : {"ONE", "TWO"}) circuits.push_back(b.circuit(id, id, CircuitClass::signal));
  // Both circuits may be joined: whose wire it is, is judged by another rule.
  b.family.circuits[0].joins = {static_cast<Index>(b.family.circuit_refs.size()), 1};
  b.family.circuit_refs.push_back(1);
  const Index plug = b.housing("plug", cavities), header = b.housing("header", cavities, Contact::pin);
  b.family.housings[plug].mates = {static_cast<Index>(b.family.housing_refs.size()), 1};
  b.family.housing_refs.push_back(header);
  b.family.housings[header].mates = {static_cast<Index>(b.family.housing_refs.size()), 1};
  b.family.housing_refs.push_back(plug);
  const Index box = b.place("BOX"), loom = b.place("LOOM"), unit = b.place("UNIT");
  b.plug(loom, "C1", box, "X1");
  b.plug(loom, "C2", unit, "X1");
  const std::vector<Outcome> outcomes{Outcome::fine,     Outcome::fine,       Outcome::fine,     Outcome::dead,
                                      Outcome::stays_on, Outcome::opens_fuse, Outcome::destroys, Outcome::endangers};
  std::vector<Role> sorted = roles;
  std::sort(sorted.begin(), sorted.end());
  for (size_t i = 0; i < sorted.size(); ++i)
    for (size_t j = i; j < sorted.size(); ++j) {
      const bool quiet = sorted[i] == Role::passes || sorted[j] == Role::passes;
      const Outcome always = quiet ? Outcome::fine : outcomes[pick(random, 8)];
      const Outcome other = quiet || pick(random, 3) ? Outcome::unset : outcomes[pick(random, 8)];
      truth.table[{sorted[i], sorted[j]}] = {always, other};
      b.family.joins.push_back({sorted[i], sorted[j], JoinWhen::always, always});
      if (other != Outcome::unset) b.family.joins.push_back({sorted[i], sorted[j], JoinWhen::other_circuit, other});
    }

  // Nodes: 0 … 7 cavities of the box, then its inner nodes, then the cavities of the unit.
  truth.nodes = cavities + inner + cavities;
  b.begin_part("box", PartKind::component, box, all);
  std::vector<Index> box_points, unit_points;
  const Index x1 = b.connector("X1", header, Rest::open, all);
  for (uint32_t i = 0; i < cavities; ++i) box_points.push_back(b.cavity(x1, std::to_string(i + 1)));
  for (uint32_t i = 0; i < inner; ++i) box_points.push_back(b.point(PointKind::inner, "N" + std::to_string(i)));
  const auto port = [&](Index point, uint32_t node) {
    const Role role = roles[pick(random, static_cast<uint32_t>(roles.size()))];
    const uint32_t circuit = pick(random, 2);
    const bool needed = pick(random, 2) != 0;
    const Index pin = b.pin(point, circuits[circuit], role, all);
    b.family.pins[pin].optional = needed ? 0 : 1;
    truth.ports.push_back({node, role, circuit, needed});
  };
  for (uint32_t i = 0; i < cavities; ++i) b.pin(box_points[i], none, Role::passes, all);
  const uint32_t coils = 1 + pick(random, 2);
  const auto node = [&] { return pick(random, cavities + inner); };
  for (uint32_t k = 0; k < coils; ++k) {
    const uint32_t a = node(), c = node();
    b.inside("K" + std::to_string(k), InsideKind::coil, box_points[a], box_points[c], all);
    truth.coils.emplace_back(a, c);
  }
  truth.switch_positions = 2 + pick(random, 2);
  std::vector<std::vector<Str>> closes(truth.switch_positions);
  for (uint32_t i = 0, count = 3 + pick(random, 3); i < count; ++i) {
    const uint32_t a = node(), c = node();
    if (a == c) continue;
    const std::string id = "S" + std::to_string(i);
    const uint32_t kind = pick(random, 4);
    if (kind == 0) {
      b.inside(id, InsideKind::fuse, box_points[a], box_points[c], all);
      truth.joins.emplace_back(a, c);
      continue;
    }
    const Index inside = b.inside(id, InsideKind::contact, box_points[a], box_points[c], all);
    Inside& row = b.family.insides[inside];
    row.rests_known = 1;
    Truth::Contact contact{a, c, -1, -1, {}, false};
    if (kind == 1) {
      row.closed_by = ClosedBy::hand;
    } else if (kind == 2) {
      contact.coil = static_cast<int>(pick(random, coils));
      contact.rests_closed = with_break_contacts && pick(random, 3) == 0;
      row.closed_by = ClosedBy::coil;
      row.coil = b.text("K" + std::to_string(contact.coil));
      row.rests_closed = contact.rests_closed;
    } else {
      contact.position_of = 0;
      for (uint32_t position = 1; position < truth.switch_positions; ++position)
        if (contact.positions.empty() || pick(random, 2))
          contact.positions.insert(position), closes[position].push_back(b.text(id));
      row.closed_by = ClosedBy::hand;
    }
    truth.contacts.push_back(contact);
  }
  for (uint32_t position = 0; position < truth.switch_positions; ++position) {
    const Range range{static_cast<Index>(b.family.string_refs.size()), static_cast<Index>(closes[position].size())};
    b.family.string_refs.insert(b.family.string_refs.end(), closes[position].begin(), closes[position].end());
    b.family.positions.push_back(
        {static_cast<Index>(b.family.parts.size()) - 1, b.text("KEY"), b.text("p" + std::to_string(position)), range});
  }
  b.end_part();

  b.begin_part("loom", PartKind::loom, loom, all);
  const Index c1 = b.connector("C1", plug, Rest::empty, all), c2 = b.connector("C2", plug, Rest::empty, all);
  std::vector<uint32_t> order(cavities);
  for (uint32_t i = 0; i < cavities; ++i) order[i] = i;
  std::shuffle(order.begin(), order.end(), random);
  std::vector<Index> ends_1, ends_2;
  for (uint32_t i = 0; i < cavities; ++i) ends_1.push_back(b.cavity(c1, std::to_string(i + 1)));
  for (uint32_t i = 0; i < cavities; ++i) ends_2.push_back(b.cavity(c2, std::to_string(i + 1)));
  for (uint32_t i = 0; i < cavities; ++i) {
    if (pick(random, 6) == 0) continue;  // a wire that is not there
    b.wire(circuits[pick(random, 2)], ends_1[i], ends_2[order[i]], none, none, 1000, all);
    truth.joins.emplace_back(i, cavities + inner + order[i]);
    if (pick(random, 5) == 0 && i > 0) {
      b.wire(circuits[0], ends_1[i], ends_1[i - 1], none, none, 1000, all);
      truth.joins.emplace_back(i, i - 1);
    }
  }
  b.end_part();

  b.begin_part("unit", PartKind::component, unit, all);
  const Index x = b.connector("X1", header, Rest::open, all);
  for (uint32_t i = 0; i < cavities; ++i) {
    unit_points.push_back(b.cavity(x, std::to_string(i + 1)));
    port(unit_points[i], cavities + inner + i);
  }
  b.end_part();
  return made;
}

struct Found {
  std::multiset<Outcome> clashes;
  std::set<uint32_t> unmet;  // numbers of ports
};

bool is_grave(Outcome outcome) {
  return outcome == Outcome::opens_fuse || outcome == Outcome::destroys || outcome == Outcome::endangers;
}

const std::map<Role, std::set<Role>> givers{
    {Role::takes_feed, {Role::gives_feed, Role::pulls_high}},
    {Role::takes_low, {Role::pulls_low, Role::gives_earth}},
    {Role::takes_signal, {Role::gives_signal}},
    {Role::senses_low, {Role::pulls_low, Role::gives_earth, Role::gives_return, Role::gives_signal}}};

// Every position of the switch, of the hand contacts and of the drivers, and the relays that follow from them.
Found simulate(const Truth& truth) {
  std::vector<size_t> hands, drivers;
  for (size_t i = 0; i < truth.contacts.size(); ++i)
    if (truth.contacts[i].coil < 0 && truth.contacts[i].position_of < 0) hands.push_back(i);
  for (size_t i = 0; i < truth.ports.size(); ++i)
    if (truth.ports[i].role == Role::pulls_low || truth.ports[i].role == Role::pulls_high) drivers.push_back(i);
  const size_t ports = truth.ports.size();
  std::vector<std::vector<char>> ever(ports, std::vector<char>(ports, 0));
  std::vector<char> met(ports, 0);
  for (uint32_t position = 0; position < truth.switch_positions; ++position)
    for (uint32_t hand = 0; hand < (1u << hands.size()); ++hand)
      for (uint32_t drive = 0; drive < (1u << drivers.size()); ++drive) {
        uint32_t on = 0;
        for (size_t i = 0; i < drivers.size(); ++i)
          if ((drive >> i) & 1) on |= 1u << drivers[i];
        std::vector<char> pulled(truth.coils.size(), 0), closed(truth.contacts.size(), 0);
        bool is_stable = false;
        for (int round = 0; round < 8 && !is_stable; ++round) {
          for (size_t i = 0; i < truth.contacts.size(); ++i) {
            const Truth::Contact& contact = truth.contacts[i];
            if (contact.coil >= 0)
              closed[i] = (pulled[static_cast<size_t>(contact.coil)] != 0) != contact.rests_closed;
            else if (contact.position_of >= 0)
              closed[i] = contact.positions.count(position) != 0;
          }
          for (size_t i = 0; i < hands.size(); ++i) closed[hands[i]] = (hand >> i) & 1;
          std::vector<char> next;
          for (const auto& [a, b] : truth.coils) {
            const std::set<Role> high{Role::gives_feed, Role::pulls_high}, low{Role::gives_earth, Role::pulls_low};
            next.push_back((truth.meets(a, closed, high, on) && truth.meets(b, closed, low, on)) ||
                           (truth.meets(b, closed, high, on) && truth.meets(a, closed, low, on)));
          }
          is_stable = next == pulled;
          pulled = next;
        }
        if (!is_stable) continue;  // a buzzer: no state to judge
        for (size_t i = 0; i < ports; ++i) {
          const std::vector<char> seen = truth.reached(truth.ports[i].node, closed);
          const auto wanted = givers.find(truth.ports[i].role);
          for (size_t j = 0; j < ports; ++j) {
            ever[i][j] |= seen[truth.ports[j].node];
            if (wanted != givers.end() && seen[truth.ports[j].node] && wanted->second.count(truth.ports[j].role))
              met[i] = 1;
          }
        }
      }
  Found found;
  const std::vector<char> open(truth.contacts.size(), 0);
  for (size_t i = 0; i < ports; ++i) {
    const std::vector<char> firm = truth.reached(truth.ports[i].node, open);
    for (size_t j = i + 1; j < ports; ++j) {
      const Role low = std::min(truth.ports[i].role, truth.ports[j].role);
      const Role high = std::max(truth.ports[i].role, truth.ports[j].role);
      const auto [always, other] = truth.table.at({low, high});
      const bool conditional = other != Outcome::unset && truth.ports[i].circuit != truth.ports[j].circuit;
      const Outcome outcome = conditional ? other : always;
      if (outcome == Outcome::fine) continue;
      if (firm[truth.ports[j].node] || (ever[i][j] && (conditional || is_grave(outcome))))
        found.clashes.insert(outcome);
    }
    if (truth.ports[i].needed && givers.count(truth.ports[i].role) && !met[i])
      found.unmet.insert(static_cast<uint32_t>(i));
  }
  return found;
}

Found judged(const Made& made) {
  FamilyIndex index(made.build.family);
  judge::Shelf shelf(index);
  judge::Judge judge(shelf);
  Found found;
  const judge::Assembly assembly = shelf.build(0);
  for (const judge::Reason& reason : judge.reasons(assembly)) {
    if (reason.cause == judge::Cause::roles_clash) found.clashes.insert(reason.outcome);
    if (reason.cause == judge::Cause::need_unmet) found.unmet.insert(reason.port.port);
  }
  return found;
}

}  // namespace

TEST_CASE("the judge finds what trying every state finds") {
  Random random(20261125);
  size_t clashing = 0, starved = 0;
  for (int run = 0; run < 3000; ++run) {
    const auto made = make(random, false);
    const Found truth = simulate(made->truth), found = judged(*made);
    INFO("assembly " << run);
    REQUIRE(found.clashes == truth.clashes);
    REQUIRE(found.unmet == truth.unmet);
    clashing += !truth.clashes.empty();
    starved += !truth.unmet.empty();
  }
  CHECK(clashing > 1000);
  CHECK(starved > 1000);
}

TEST_CASE("with break contacts the judge misses nothing; what it adds is on the careful side") {
  Random random(7);
  size_t more = 0;
  for (int run = 0; run < 3000; ++run) {
    const auto made = make(random, true);
    const Found truth = simulate(made->truth), found = judged(*made);
    INFO("assembly " << run);
    CHECK(std::includes(found.clashes.begin(), found.clashes.end(), truth.clashes.begin(), truth.clashes.end()));
    more += found.clashes.size() > truth.clashes.size();
  }
  CHECK(more < 300);  // a break contact is taken to conduct unless its coil is fed for good
}
