#include "compare/side.h"

#include <algorithm>

#include "compare/values.h"
#include "family/words.h"
#include "nets/cavities.h"

namespace loomproof::compare {
namespace {

constexpr uint64_t unresolved_pair = uint64_t{1} << 40;  // with the text: a partner that no row names

uint64_t raw(Quantity quantity) {
  return static_cast<uint32_t>(quantity);
}

}  // namespace

bool is_state(const Pin& pin) {
  const bool says_nothing = pin.role == Role::open || pin.role == Role::unknown;
  return says_nothing && pin.circuit == none && pin.volts == not_given && pin.amps == not_given && !pin.optional &&
         pin.when == When::always && !pin.through_load && !pin.coded_low && !pin.coded_high && !pin.coded_open &&
         !pin.pair_with && !pin.polarity && !pin.protocol && !pin.line && !pin.ends;
}

std::string colour_text(const Family& family, uint64_t colour) {
  if (colour == 0) return "none";
  Wire wire;
  wire.base = colour_base(colour);
  wire.tracer = colour_tracer(colour);
  wire.shade = colour_shade(colour);
  return colour_code(family, wire);
}

std::string value_text(const Family& family, const Strand& strand, size_t property) {
  const uint64_t value = strand.values[property];
  const auto quantity = static_cast<Quantity>(static_cast<uint32_t>(value));
  if (!strand.is_pin) {
    switch (property) {
      case colour_property:
        return colour_text(family, value);
      case mm2_property:
        return quantity_text(quantity);
      case 2:
        return value ? "true" : "none";
      default:
        return string_text(family, static_cast<Str>(value));
    }
  }
  switch (property) {
    case role_property:
      return word_text(word(static_cast<Role>(value)));
    case 1:
      return volts_value_text(quantity);
    case 2:
      return quantity_text(quantity);
    case 3:
      return value ? "false" : "none";
    case 4:
      return value ? std::string(word(static_cast<When>(value))) : "none";
    case 5:
      return value ? "allowed" : "none";
    case pair_property: {
      if (value & unresolved_pair) return string_text(family, static_cast<Str>(value));
      const auto partner = static_cast<Index>(value);
      const bool together = family.points[partner].connector == family.points[strand.a].connector;
      return together ? std::string(family.text(family.points[partner].name)) : point_name(family, partner);
    }
    default:
      return string_text(family, static_cast<Str>(value));
  }
}

Side::Side(const FamilyIndex& index, Index part, uint32_t cell, const Side& first)
    : index_(&index), part_(part), cell_(cell) {
  if (part == first.part_) return;
  const Range points = this->part().points, connectors = this->part().connectors;
  for (Index point = points.first; point < points.end(); ++point)
    if (const Index shared = first.own_point(point); shared != none) to_shared_[point] = shared;
  for (Index connector = connectors.first; connector < connectors.end(); ++connector)
    if (const Index shared = first.own_connector(connector); shared != none) connector_to_shared_[connector] = shared;
}

Index Side::own_connector(Index shared) const {
  if (shared == none || family().connectors[shared].part == part_) return shared;
  return index_->connector_of(part_, family().connectors[shared].designator);
}

Index Side::own_point(Index shared) const {
  const Point& wanted = family().points[shared];
  if (wanted.part == part_) return shared;
  if (wanted.connector != none) {
    const Index connector = own_connector(wanted.connector);
    return connector == none ? none : index_->cavity_point(connector, wanted.name);
  }
  const Range points = part().points;
  for (Index point = points.first; point < points.end(); ++point)
    if (family().points[point].kind == wanted.kind && family().points[point].name == wanted.name) return point;
  return none;
}

Index Side::connector_row(Index shared) const {
  const Index own = own_connector(shared);
  return own == none ? none : connector_row_in(family(), own, cell_);
}

// --- strands --------------------------------------------------------------------------------------------------------

Strand Side::strand_of_wire(Index wire) const {
  const Wire& row = family().wires[wire];
  Strand strand{{Table::wires, wire}, false, row.circuit, shared_point(row.from), shared_point(row.to)};
  strand.values = {colour_value(row.base, row.tracer, row.shade), raw(row.mm2), row.double_crimp, row.spare};
  return strand;
}

Strand Side::strand_of_pin(Index pin) const {
  const Pin& row = family().pins[pin];
  Strand strand{{Table::pins, pin}, true, row.circuit, shared_point(row.point)};
  uint64_t partner = 0;
  if (row.pair_with) {
    const Index point = index_->cavity_point(family().points[row.point].connector, row.pair_with);
    partner = point == none ? unresolved_pair | row.pair_with : shared_point(point);
  } else {
    partner = unresolved_pair;
  }
  strand.values = {static_cast<uint64_t>(row.role),
                   raw(row.volts),
                   raw(row.amps),
                   row.optional,
                   static_cast<uint64_t>(row.when),
                   row.through_load,
                   row.coded_low,
                   row.coded_high,
                   row.coded_open,
                   partner,
                   row.polarity,
                   row.protocol,
                   row.line,
                   row.ends};
  return strand;
}

std::vector<Strand> Side::strands(const std::set<Index>& circuits) const {
  std::vector<Strand> found;
  if (circuits.empty()) return found;
  const Part& row = part();
  for (Index wire = row.wires.first; wire < row.wires.end(); ++wire)
    if (holds(family().wires[wire].cells) && circuits.count(family().wires[wire].circuit))
      found.push_back(strand_of_wire(wire));
  for (Index pin = row.pins.first; pin < row.pins.end(); ++pin) {
    const Pin& one = family().pins[pin];
    if (holds(one.cells) && circuits.count(one.circuit) && !is_state(one)) found.push_back(strand_of_pin(pin));
  }
  return found;
}

std::set<Index> Side::circuits_at(Index shared) const {
  std::set<Index> circuits;
  const Index point = own_point(shared);
  if (point == none) return circuits;
  for (Index wire : index_->wires_at(point))
    if (holds(family().wires[wire].cells)) circuits.insert(family().wires[wire].circuit);
  for (Index pin : index_->pins_at(point))
    if (holds(family().pins[pin].cells) && !is_state(family().pins[pin])) circuits.insert(family().pins[pin].circuit);
  return circuits;
}

bool Side::has_strand_in(Index connector) const {
  const Index own = own_connector(connector);
  if (own == none) return false;
  const auto points = index_->points_of(own);
  return std::any_of(points.begin(), points.end(), [this](Index point) { return has_strand(point); });
}

void Side::collect(std::set<Index>& circuits, const Side& other) const {
  const auto add = [&](Index point) { circuits.merge(circuits_at(point)); };
  for (const Wire& wire : rows(family().wires, part().wires))
    if (tells_apart(wire.cells, other)) add(wire.from), add(wire.to);
  for (const Pin& pin : rows(family().pins, part().pins))
    if (tells_apart(pin.cells, other) && !is_state(pin)) add(pin.point);
}

// --- things ---------------------------------------------------------------------------------------------------------

void Side::collect(std::set<ThingKey>& keys, const Side& other) const {
  for (Index connector = part().connectors.first; connector < part().connectors.end(); ++connector)
    for (const ConnectorRow& row : rows(family().connector_rows, family().connectors[connector].rows))
      if (tells_apart(row.cells, other)) keys.insert({ThingKind::connector, shared_connector(connector)});
  const auto points = [&](ThingKind kind, const auto& table) {
    for (const auto& row : table)
      if (tells_apart(row.cells, other)) keys.insert({kind, shared_point(row.point)});
  };
  points(ThingKind::joint, rows(family().splices, part().splices));
  points(ThingKind::joint, rows(family().earths, part().earths));
  points(ThingKind::joint, rows(family().leads, part().leads));
  points(ThingKind::cavity, rows(family().cavity_rows, part().cavity_rows));
  for (const Pin& pin : rows(family().pins, part().pins))
    if (is_state(pin) && tells_apart(pin.cells, other)) keys.insert({ThingKind::cavity, shared_point(pin.point)});
  for (const Inside& inside : rows(family().insides, part().insides))
    if (tells_apart(inside.cells, other)) keys.insert({ThingKind::inside, none, inside.id});
  if (part_ == other.part_) return;  // positions hold wherever their part does
  for (const Position& position : rows(family().positions, part().positions))
    keys.insert({ThingKind::position, none, position.switch_id, position.value});
}

std::optional<Thing> Side::thing(const ThingKey& key, const PointMap& moves) const {
  switch (key.kind) {
    case ThingKind::connector:
      return connector_thing(key.id);
    case ThingKind::joint:
      return joint_thing(key.id);
    case ThingKind::inside:
      return inside_thing(key.name, moves);
    case ThingKind::position:
      return position_thing(key.name, key.value);
    case ThingKind::cavity:
      break;
  }
  return cavity_thing(key.id);
}

std::optional<Thing> Side::connector_thing(Index shared) const {
  const Index index = connector_row(shared);
  if (index == none) return {};
  const ConnectorRow& row = family().connector_rows[index];
  const std::string housing = row.housing == none ? "none" : string_text(family(), family().housings[row.housing].id);
  const Rest rest = row.rest == Rest::unset ? Rest::unknown : row.rest;
  return Thing{{Table::connector_rows, index},
               {{"", ChangeKind::rehoused, housing},
                {"where", ChangeKind::relocated, string_text(family(), row.where)},
                {"rest", ChangeKind::re_rated, word_text(word(rest))},
                {"loose", ChangeKind::re_rated, string_text(family(), row.loose)}}};
}

std::optional<Thing> Side::joint_thing(Index shared) const {
  const Index point = own_point(shared);
  if (point == none) return {};
  const auto found = [&](const auto& table, Range range) {
    for (Index row = range.first; row < range.end(); ++row)
      if (table[row].point == point && holds(table[row].cells)) return row;
    return none;
  };
  const auto circuit_text = [&](Index circuit) {
    return circuit == none ? "none" : string_text(family(), family().circuits[circuit].id);
  };
  switch (family().points[point].kind) {
    case PointKind::splice: {
      const Index index = found(family().splices, part().splices);
      if (index == none) return {};
      const Splice& row = family().splices[index];
      return Thing{{Table::splices, index}, {{"where", ChangeKind::relocated, string_text(family(), row.where)}}};
    }
    case PointKind::earth: {
      const Index index = found(family().earths, part().earths);
      if (index == none) return {};
      const Earth& row = family().earths[index];
      return Thing{{Table::earths, index},
                   {{"where", ChangeKind::relocated, string_text(family(), row.where)},
                    {"ring", ChangeKind::re_rated, string_text(family(), row.ring)},
                    {"to", ChangeKind::re_rated, word_text(word(row.to))},
                    {"circuit", ChangeKind::re_rated, circuit_text(row.circuit)}}};
    }
    case PointKind::lead: {
      const Index index = found(family().leads, part().leads);
      if (index == none) return {};
      const Lead& row = family().leads[index];
      return Thing{{Table::leads, index},
                   {{"role", ChangeKind::re_rated, word_text(word(row.role))},
                    {"circuit", ChangeKind::re_rated, circuit_text(row.circuit)},
                    {"volts", ChangeKind::re_rated, volts_value_text(row.volts)},
                    {"max-a", ChangeKind::re_rated, quantity_text(row.amps)}}};
    }
    default:
      return {};
  }
}

std::optional<Thing> Side::inside_thing(Str id, const PointMap& moves) const {
  for (Index index = part().insides.first; index < part().insides.end(); ++index) {
    const Inside& row = family().insides[index];
    if (row.id != id || !holds(row.cells)) continue;
    const auto end = [&](Index point) {
      return point_name(family(), point == none ? none : translate(moves, shared_point(point)));
    };
    std::string a = end(row.a), b = end(row.b);
    if (row.kind != InsideKind::diode && b < a) std::swap(a, b);  // only a diode has a direction
    const std::string coil = row.closed_by == ClosedBy::coil ? string_text(family(), row.coil) : "none";
    const bool by_hand = row.closed_by != ClosedBy::coil && row.closed_by != ClosedBy::unset;
    constexpr ChangeKind kind = ChangeKind::inside_changed;
    return Thing{{Table::insides, index},
                 {{"as", kind, word_text(word(row.kind))},
                  {"join", kind, "[" + a + ", " + b + "]"},
                  {"volts", kind, volts_value_text(row.volts)},
                  {"ohm", kind, quantity_text(row.ohm)},
                  {"a", kind, quantity_text(row.amps)},
                  {"rests", kind,
                   !row.rests_known   ? "none"
                   : row.rests_closed ? "closed"
                                      : "open"},
                  {"closed-by", kind, coil},
                  {"by", kind, by_hand ? word_text(word(row.closed_by)) : "none"}}};
  }
  return {};
}

std::optional<Thing> Side::position_thing(Str switch_id, Str value) const {
  for (Index index = part().positions.first; index < part().positions.end(); ++index) {
    const Position& row = family().positions[index];
    if (row.switch_id != switch_id || row.value != value) continue;
    std::vector<std::string> closes;
    for (Str inside : rows(family().string_refs, row.closes)) closes.push_back(string_text(family(), inside));
    std::sort(closes.begin(), closes.end());
    std::string text = "[";
    for (const std::string& inside : closes) text += (text.size() > 1 ? ", " : "") + inside;
    return Thing{{Table::positions, index}, {{family().text(value), ChangeKind::inside_changed, text + "]"}}};
  }
  return {};
}

std::optional<Thing> Side::cavity_thing(Index shared) const {
  const Point& point = family().points[shared];
  const Index connector = own_connector(point.connector);
  if (connector == none) return {};
  const Index row = connector_row_in(family(), connector, cell_);
  if (row == none) return {};
  const Cavity cavity = cavity_at(*index_, cell_, connector, point.name);
  if (cavity.housing_cavity == none && cavity.wires.empty() && cavity.pin == none && cavity.cavity_row == none)
    return {};
  std::string text(word(cavity.state.state));
  if (cavity.state.role == Role::open) text = "open";
  if (has_strand(shared)) text = "wired";
  RowRef said{Table::connector_rows, row};
  if (cavity.cavity_row != none) said = {Table::cavity_rows, cavity.cavity_row};
  if (cavity.pin != none) said = {Table::pins, cavity.pin};
  if (!cavity.wires.empty()) said = {Table::wires, cavity.wires.front()};
  return Thing{said, {{"", ChangeKind::restated, text}}};
}

std::string Side::state(Index shared) const {
  const std::optional<Thing> cavity = cavity_thing(shared);
  return cavity ? cavity->traits.front().text : "none";
}

}  // namespace loomproof::compare
