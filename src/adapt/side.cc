#include "adapt/side.h"

#include <fmt/format.h>

#include <algorithm>

#include "family/words.h"
#include "judge/outcomes.h"
#include "judge/words.h"
#include "nets/cavities.h"
#include "nets/firing.h"
#include "nets/nets.h"

namespace loomproof::adapt {
namespace {

using judge::bit;
using judge::Network;

const uint32_t givers = bit(Role::gives_feed) | bit(Role::gives_earth) | bit(Role::gives_return) |
                        bit(Role::gives_reference) | bit(Role::gives_signal) | bit(Role::pulls_low) |
                        bit(Role::pulls_high);

bool has(uint32_t roles, Role role) {
  return (roles & bit(role)) != 0;
}

class SideMaker {
 public:
  SideMaker(const FamilyIndex& index, const Pick& pick, bool name_part, Side& side)
      : index_(index),
        family_(index.family()),
        pick_(pick),
        name_part_(name_part),
        side_(side),
        shelf_(index),
        network_(shelf_),
        whole_(shelf_),
        plugged_(index, pick.cell) {}

  void make();

 private:
  const Part& part() const { return family_.parts[pick_.part]; }
  std::string name(const Cavity& cavity) const {
    const std::string text = fmt::format("{}.{}", family_.text(family_.connectors[cavity.connector].designator),
                                         family_.text(cavity.number));
    return name_part_ ? fmt::format("{}.{}", family_.text(part().id), text) : text;
  }
  void put_together();
  void add(const Cavity& cavity);
  Index circuit_at(const Cavity& cavity) const;
  std::vector<Port> ports_of(Index net) const;
  Port port(Network::PortRef ref, Index net, bool switched) const;
  End end(const Cavity& cavity) const;
  Strand& strand_of(Index circuit);
  bool is_telling(Index circuit) const;

  const FamilyIndex& index_;
  const Family& family_;
  const Pick& pick_;
  bool name_part_;
  Side& side_;
  judge::Shelf shelf_;
  Network network_;
  Network whole_;  // with what is pulled, for the coils that it drives
  Plugged plugged_;
  std::vector<std::pair<Index, size_t>> strands_;  // circuit, its strand
};

// A component alone, or a loom in its vehicle without what its plugs go to.
void SideMaker::put_together() {
  judge::Assembly assembly;
  const bool is_loom = part().kind == PartKind::loom;
  if (is_loom)
    assembly = shelf_.build(pick_.cell);
  else
    assembly.at.assign(family_.places.size(), none);
  assembly.at[part().place] = shelf_.variant(pick_.part, pick_.cell);
  if (is_loom)
    for (Index connector : pick_.connectors)
      for (const PlugPair& pair : family_.plugs) {
        const Str designator = family_.connectors[connector].designator;
        if (pair.place_a == part().place && pair.a == designator) assembly.at[pair.place_b] = none;
        if (pair.place_b == part().place && pair.b == designator) assembly.at[pair.place_a] = none;
      }
  network_.build(assembly);
  if (!is_loom) return whole_.build(assembly);
  assembly = shelf_.build(pick_.cell);
  assembly.at[part().place] = shelf_.variant(pick_.part, pick_.cell);
  whole_.build(assembly);
}

Port SideMaker::port(Network::PortRef ref, Index net, bool switched) const {
  const judge::Port& row = network_.port(ref);
  Port port;
  port.at = judge::point_at(network_, ref.place, row.point);
  port.role = row.role, port.when = row.when, port.volts = row.volts, port.amps = row.amps;
  port.needed = row.needed, port.through_load = row.through_load, port.switched = switched;
  if (row.lead != none) port.title = family_.text(family_.leads[row.lead].title);
  // A loom has no volts of its own, but here it is in its own vehicle.
  if (row.lead != none && family_.leads[row.lead].volts == system_volts)
    port.volts = judge::supply_in(family_, pick_.cell);
  port.fused = row.role == Role::gives_feed && !network_.may_meet_unfused(part().place, net, ref.place, row.net);
  if (row.pin != none) {
    const Pin& pin = family_.pins[row.pin];
    port.protocol = family_.text(pin.protocol), port.line = family_.text(pin.line);
    if (pin.coded_low != 0 || pin.coded_high != 0 || pin.coded_open != 0) port.needed = false;  // open is a state too
  }
  return port;
}

// What a net leads to. Loads behind contacts count only where nothing feeds the net: where something does, it is that
// which the adapter meets.
std::vector<Port> SideMaker::ports_of(Index net) const {
  std::vector<Port> found;
  const Index place = part().place;
  const Network::Net from = network_.firm(place, net), loose = network_.loose(place, net);
  uint32_t roles = 0;
  for (const Network::PortRef& ref : network_.ports()) {
    const judge::Port& row = network_.port(ref);
    if (network_.firm(ref.place, row.net) != from) continue;
    found.push_back(port(ref, net, false));
    roles |= bit(row.role);
  }
  for (const bool gives : {true, false}) {
    if (!gives && (roles & givers) != 0) break;
    for (const Network::PortRef& ref : network_.ports()) {
      const judge::Port& row = network_.port(ref);
      if (row.role == Role::passes || has(givers, row.role) != gives) continue;
      const Network::Net to = network_.firm(ref.place, row.net);
      if (to == from || network_.loose_of(to) != loose) continue;
      const bool is_feed = row.role == Role::gives_feed || row.role == Role::pulls_high;
      const bool is_earth = row.role == Role::gives_earth || row.role == Role::pulls_low;
      const Network::Flow flow = is_feed    ? Network::Flow::to_feed
                                 : is_earth ? Network::Flow::to_earth
                                            : Network::Flow::any;
      judge::Settings settings, with_pulled;
      if (!network_.connects(from, to, flow, settings) &&
          !whole_.connects(whole_.firm(place, net), whole_.firm(ref.place, row.net), flow, with_pulled))
        continue;
      found.push_back(port(ref, net, true));
      roles |= bit(row.role);
    }
  }
  for (Port& each : found) each.met = (judge::givers_for(each.role) & roles) != 0;
  return found;
}

// A pin without a circuit has that of the wire which its own loom has there.
Index SideMaker::circuit_at(const Cavity& cavity) const {
  if (!cavity.wires.empty()) return family_.wires[cavity.wires.front()].circuit;
  if (cavity.pin != none && family_.pins[cavity.pin].circuit != none) return family_.pins[cavity.pin].circuit;
  Index circuit = none;
  for (const Mate& mate : plugged_.mates(cavity.point)) {
    if (mate.point == none) continue;
    for (Index wire : cavity_at(index_, pick_.cell, mate.point).wires) {
      if (circuit != none && circuit != family_.wires[wire].circuit) return none;
      circuit = family_.wires[wire].circuit;
    }
  }
  return circuit;
}

End SideMaker::end(const Cavity& cavity) const {
  End end{name(cavity)};
  std::vector<Index> wires = cavity.wires;
  const std::span<const Mate> mates = plugged_.mates(cavity.point);
  if (wires.empty() && mates.size() == 1 && mates[0].point != none)
    wires = cavity_at(index_, pick_.cell, mates[0].point).wires;
  for (Index wire : wires) {
    const Wire& row = family_.wires[wire];
    if (row.mm2 == not_given || (end.mm2 != not_given && row.mm2 <= end.mm2)) {
      if (end.colour.empty()) end.colour = colour_code(family_, row);
      continue;
    }
    end.mm2 = row.mm2, end.colour = colour_code(family_, row), end.marks = row.marks;
  }
  return end;
}

bool SideMaker::is_telling(Index circuit) const {
  const Circuit& row = family_.circuits[circuit];
  if (row.function == none && row.terminal == none) return false;
  if (row.kind == CircuitClass::feed || row.kind == CircuitClass::earth) return true;
  return std::count_if(family_.circuits.begin(), family_.circuits.end(), [&](const Circuit& other) {
           return other.function == row.function && other.terminal == row.terminal;
         }) == 1;
}

Strand& SideMaker::strand_of(Index circuit) {
  if (circuit != none)
    for (const auto& [known, at] : strands_)
      if (known == circuit) return side_.strands[at];
  strands_.emplace_back(circuit, side_.strands.size());
  Strand& strand = side_.strands.emplace_back();
  if (circuit == none) return strand;
  const Circuit& row = family_.circuits[circuit];
  strand.circuit = family_.text(row.id), strand.title = family_.text(row.title);
  strand.kind = row.kind, strand.amps = row.amps, strand.if_stays_on = row.if_stays_on;
  if (row.terminal != none) strand.terminal = family_.text(family_.terminals[row.terminal].designation);
  if (row.function != none) strand.function = family_.text(family_.functions[row.function].id);
  strand.is_telling = is_telling(circuit);
  return strand;
}

void SideMaker::add(const Cavity& cavity) {
  const State state = cavity.state.state;
  if (state == State::empty || state == State::sealed) return side_.free.push_back(name(cavity));
  if (state == State::disputed) return side_.hidden.push_back({name(cavity), "disputed: the sources disagree"});
  if (state == State::unknown || cavity.state.role == Role::unknown)
    return side_.hidden.push_back({name(cavity), "unknown: nobody has looked"});
  const Index net = network_.variant(part().place).net_of[cavity.point - part().points.first];
  const std::vector<Port> ports = net == none ? std::vector<Port>{} : ports_of(net);
  if (std::any_of(ports.begin(), ports.end(), [](const Port& port) { return port.role == Role::unknown; }))
    return side_.hidden.push_back({name(cavity), "wired, and nobody knows what lies behind it"});
  const auto is_open = [](const Port& port) { return port.role == Role::open; };
  if (!ports.empty() && std::all_of(ports.begin(), ports.end(), is_open)) return side_.free.push_back(name(cavity));
  const Index circuit = circuit_at(cavity);
  if (is_firing(family_, circuit) || std::any_of(ports.begin(), ports.end(), [](const Port& port) {
        return port.role == Role::gives_firing || port.role == Role::takes_firing;
      }))
    return side_.firing.push_back(name(cavity));
  Strand& strand = strand_of(circuit);
  strand.ends.push_back(end(cavity));
  if (net != none) strand.earthings = std::max(strand.earthings, network_.earthings(part().place, net));
  for (const Port& port : ports)
    if (std::find(strand.ports.begin(), strand.ports.end(), port) == strand.ports.end()) strand.ports.push_back(port);
}

void SideMaker::make() {
  put_together();
  const std::vector<bool> may_fire = connectors_that_may_fire(index_);
  for (Index connector : pick_.connectors) {
    if (may_fire[connector]) {
      const std::string_view designator = family_.text(family_.connectors[connector].designator);
      side_.firing.push_back(fmt::format(
          "{}.{}", family_.text(name_part_ || part().place == none ? part().id : family_.places[part().place].id),
          designator));
      continue;
    }
    for (const Cavity& cavity : cavities(index_, pick_.cell, connector)) add(cavity);
  }
}

}  // namespace

Side make_side(const FamilyIndex& index, const std::vector<Pick>& picks) {
  Side side;
  side.family = index.family().text(index.family().id);
  side.rows = &index.family();
  for (const Pick& pick : picks) SideMaker(index, pick, picks.size() > 1, side).make();
  return side;
}

}  // namespace loomproof::adapt
