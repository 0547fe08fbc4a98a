#include "judge/variant.h"

#include <algorithm>

#include "nets/nets.h"

namespace loomproof::judge {

Quantity supply_in(const Family& family, uint32_t cell) {
  for (uint32_t option = 0; option < family.options.size(); ++option) {
    const uint32_t value = family.coordinate(cell, option + 1);
    const Quantity supply = family.option_values[family.options[option].values.first + value].supply;
    if (supply != not_given) return supply;
  }
  return family.supply;
}

namespace {

class Maker {
 public:
  Maker(const FamilyIndex& index, Index part, const CellSet& cells)
      : index_(index), family_(index.family()), row_(family_.parts[part]) {
    variant_.part = part;
    variant_.cells = cells;
    variant_.cell = cells.lowest();
  }

  Variant make() {
    number_nets();
    add_ports();
    add_bridges();
    for (const Earth& earth : rows(family_.earths, row_.earths))
      if (holds(earth)) variant_.earths.push_back({earth.point, net(earth.point), earth.to});
    add_joints();
    add_case();
    add_battery_post();
    add_sockets();
    return std::move(variant_);
  }

 private:
  bool holds(const auto& row) const { return family_.holds(row.cells, variant_.cell); }
  Index net(Index point) const { return variant_.net_of[point - row_.points.first]; }
  // A component is made for one supply; a loom has no volts of its own, and what hangs on its leads has the vehicle's.
  Quantity volts(Quantity given) const {
    if (given != system_volts) return given;
    return row_.kind == PartKind::component ? supply_in(family_, variant_.cell) : not_given;
  }

  void number_nets() {
    const Nets nets = part_nets(family_, variant_.part, variant_.cell);
    variant_.nets = nets.count();
    for (Index point = row_.points.first; point < row_.points.end(); ++point)
      variant_.net_of.push_back(nets.net(point));
    for (Index each = 0; each < nets.count(); ++each)
      for (Index circuit : nets.circuits(each)) variant_.circuits.emplace_back(each, circuit);
  }

  void add_ports() {
    for (Index pin = row_.pins.first; pin < row_.pins.end(); ++pin) {
      const Pin& row = family_.pins[pin];
      if (!holds(row) || row.role == Role::open || row.role == Role::unset) continue;
      variant_.ports.push_back({row.point, row.circuit, pin, none, net(row.point), row.role, row.when, volts(row.volts),
                                row.amps, row.optional == 0, row.through_load != 0});
    }
    for (Index lead = row_.leads.first; lead < row_.leads.end(); ++lead) {
      const Lead& row = family_.leads[lead];
      if (!holds(row) || row.role == Role::unset) continue;
      variant_.ports.push_back({row.point, row.circuit, none, lead, net(row.point), row.role, When::always,
                                volts(row.volts), row.amps, true, false});
    }
  }

  void add_bridges() {
    for (Index inside = row_.insides.first; inside < row_.insides.end(); ++inside) {
      const Inside& row = family_.insides[inside];
      if (!holds(row) || row.kind == InsideKind::strap || row.kind == InsideKind::link) continue;
      variant_.bridges.push_back({inside, net(row.a), net(row.b), none, 0});
    }
    for (Bridge& bridge : variant_.bridges)
      if (family_.insides[bridge.inside].kind == InsideKind::contact) give_device(bridge);
  }

  void give_device(Bridge& bridge) {
    const Inside& row = family_.insides[bridge.inside];
    if (row.closed_by == ClosedBy::coil) {
      const Index coil = coil_named(row.coil);
      if (coil == none) {  // nothing moves it: it is as it rests, for good
        bridge.device = device(row.coil, none, {});
        bridge.conducts = row.rests_known != 0 && row.rests_closed == 0 ? 0 : 0b11;
        return;
      }
      bridge.device = device(row.coil, coil, {});
      bridge.conducts = row.rests_known == 0 ? 0b11 : row.rests_closed != 0 ? 0b01 : 0b10;
      return;
    }
    std::vector<Str> positions;
    Str switch_id = 0;
    for (const Position& position : rows(family_.positions, row_.positions))
      if (closes(position, row.id)) switch_id = position.switch_id;
    if (switch_id == 0) {
      bridge.device = device(row.id, none, {});
      bridge.conducts = 0b10;
      return;
    }
    for (const Position& position : rows(family_.positions, row_.positions)) {
      if (position.switch_id != switch_id) continue;
      if (closes(position, row.id)) bridge.conducts |= 1u << positions.size();
      positions.push_back(position.value);
    }
    bridge.device = device(switch_id, none, positions);
  }
  bool closes(const Position& position, Str id) const {
    const auto all = rows(family_.string_refs, position.closes);
    return std::find(all.begin(), all.end(), id) != all.end();
  }
  Index coil_named(Str id) const {
    for (Index bridge = 0; bridge < variant_.bridges.size(); ++bridge)
      if (family_.insides[variant_.bridges[bridge].inside].id == id) return bridge;
    return none;
  }
  Index device(Str id, Index coil, const std::vector<Str>& positions) {
    for (Index each = 0; each < variant_.devices.size(); ++each)
      if (variant_.devices[each].id == id) return each;
    variant_.devices.push_back({id, coil, positions});
    return static_cast<Index>(variant_.devices.size()) - 1;
  }

  // The case of a component is earthed where it is bolted down; no row says where that is.
  void add_case() {
    for (Index point = row_.points.first; point < row_.points.end(); ++point)
      if (family_.points[point].kind == PointKind::inner && family_.text(family_.points[point].name) == "BODY" &&
          net(point) != none)
        variant_.earths.push_back({point, net(point), EarthNode::unset});
  }

  void add_joints() {
    const auto add = [&](Index point) {
      variant_.joints.push_back(net(point));
      const auto wires = index_.wires_at(point);
      if (std::none_of(wires.begin(), wires.end(), [&](Index wire) { return holds(family_.wires[wire]); }))
        variant_.bare.push_back(net(point));
    };
    for (const Earth& earth : rows(family_.earths, row_.earths))
      if (holds(earth)) add(earth.point);
    for (const Splice& splice : rows(family_.splices, row_.splices))
      if (holds(splice)) add(splice.point);
    for (const Lead& lead : rows(family_.leads, row_.leads))
      if (holds(lead)) add(lead.point);
  }

  // What gives a feed and earth and wants nothing is a battery: its negative post is the battery's earth node. A pin
  // that nobody knows may be either of its posts.
  void add_battery_post() {
    bool has_feed = false, has_earth = false;
    for (const Port& port : variant_.ports) {
      has_feed |= port.role == Role::gives_feed || port.role == Role::unknown;
      has_earth |= port.role == Role::gives_earth;
      if (port.role != Role::gives_feed && port.role != Role::gives_earth && port.role != Role::unknown) return;
    }
    variant_.may_be_battery = row_.kind == PartKind::component && (has_feed || has_earth);
    if (!has_feed || !has_earth || row_.kind != PartKind::component) return;
    for (const Port& port : variant_.ports)
      if (port.role == Role::gives_earth) variant_.earths.push_back({port.point, port.net, EarthNode::battery});
  }

  void add_sockets() {
    for (Index connector = row_.connectors.first; connector < row_.connectors.end(); ++connector) {
      const Index row = connector_row_in(family_, connector, variant_.cell);
      if (row == none) continue;
      variant_.sockets.push_back({connector, row});
      for (const Cavity& cavity : cavities(index_, variant_.cell, connector)) {
        const State state = cavity.state.state;
        if (state != State::unknown && state != State::disputed && cavity.state.role != Role::unknown) continue;
        variant_.hidden.push_back(
            {connector, cavity.number, cavity.point, cavity.point == none ? none : net(cavity.point)});
      }
    }
  }

  const FamilyIndex& index_;
  const Family& family_;
  const Part& row_;
  Variant variant_;
};

}  // namespace

bool is_made_for_supply(const Family& family, Index part) {
  if (family.parts[part].kind != PartKind::component) return false;
  const auto pins = rows(family.pins, family.parts[part].pins);
  return std::any_of(pins.begin(), pins.end(), [](const Pin& pin) { return pin.volts == system_volts; });
}

Variant make_variant(const FamilyIndex& index, Index part, const CellSet& cells) {
  return Maker(index, part, cells).make();
}

}  // namespace loomproof::judge
