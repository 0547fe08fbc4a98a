// loombench show FAMILY PLACE.C1.12: one cavity, with everything that is known of it.
#include <fmt/format.h>

#include <algorithm>
#include <optional>

#include "answer.h"
#include "describe.h"
#include "family/words.h"
#include "nets/called.h"
#include "nets/nets.h"

namespace loomproof::bench {
namespace {

using Json = nlohmann::ordered_json;

// Labels and values in the order in which they are shown; equal lists are one group of cells.
struct CavityView {
  std::vector<std::pair<std::string, std::string>> facts;
  std::string firing;  // as in a connector's table
  friend bool operator==(const CavityView&, const CavityView&) = default;
  void add(std::string label, std::string value) {
    if (!value.empty()) facts.emplace_back(std::move(label), std::move(value));
  }
};

void add_circuit(CavityView& view, const Family& family, Index circuit) {
  if (circuit == none) return;
  const Circuit& row = family.circuits[circuit];
  std::string text(family.text(row.id));
  if (row.title != 0) text += fmt::format(": {}", family.text(row.title));
  view.add("circuit", text);
  view.add("class", std::string(word(row.kind)));
  view.add("function", circuit_function(family, circuit));
  for (const Apart& apart : family.aparts) {
    if (apart.circuit != circuit && apart.other != circuit) continue;
    const Index other = apart.circuit == circuit ? apart.other : apart.circuit;
    view.add("keep apart",
             fmt::format("from {}: {}", family.text(family.circuits[other].id), family.text(apart.because)));
  }
  if (row.if_stays_on != Outcome::unset) view.add("if it stays on", fmt::format("{}", word(row.if_stays_on)));
  if (row.if_dead != Outcome::unset) view.add("if it is dead", fmt::format("{}", word(row.if_dead)));
}

void add_wire(CavityView& view, const FamilyIndex& index, uint32_t cell, Index point, const Wire& wire) {
  const Family& family = index.family();
  add_circuit(view, family, wire.circuit);
  std::string text = colour_text(family, wire);
  if (wire.mm2 != not_given) text += (text.empty() ? "" : ", ") + mm2_text(wire.mm2);
  if (wire.length_mm != not_given) text += fmt::format("{}{} mm long", text.empty() ? "" : ", ", wire.length_mm);
  const std::span<const Index> at_point = index.wires_at(point);
  const auto is_here = [&](Index each) { return family.holds(family.wires[each].cells, cell); };
  if (std::count_if(at_point.begin(), at_point.end(), is_here) > 1)  // the mark does not say at which end
    text += (text.empty() ? "" : ", ") + std::string("in a double crimp");
  view.add("wire", text);
  const Index far = wire.from == point ? wire.to : wire.from;
  view.add("leads to", point_in_vehicle(family, far));
  if (family.points[far].kind == PointKind::splice) {
    std::string ends;
    for (Index end : ends_reached(index, cell, point)) ends += (ends.empty() ? "" : ", ") + point_name(family, end);
    view.add("and through it to", ends);
  }
  view.add("spare", std::string(family.text(wire.spare)));
  view.add("source", source_text(family, wire.cite));
  view.add("weaker evidence", marks_text(wire.marks));
}

void add_pin(CavityView& view, const FamilyIndex& index, uint32_t cell, const Pin& pin) {
  const Family& family = index.family();
  add_circuit(view, family, pin.circuit);
  view.add("role", demand_text(pin));
  if (pin.through_load) view.add("may be met", "through a load");
  view.add("low means", std::string(family.text(pin.coded_low)));
  view.add("high means", std::string(family.text(pin.coded_high)));
  view.add("open means", std::string(family.text(pin.coded_open)));
  if (pin.pair_with != 0)
    view.add("pair with", fmt::format("{} {}", family.text(pin.pair_with), family.text(pin.polarity)));
  if (pin.protocol != 0)
    view.add("bus", fmt::format("{} {} {}", family.text(pin.protocol), family.text(pin.line), family.text(pin.ends)));
  for (Index inside : index.insides_at(pin.point)) {
    const Inside& row = family.insides[inside];
    if (!family.holds(row.cells, cell)) continue;
    const Index other = row.a == pin.point ? row.b : row.a;
    view.add("inside", fmt::format("{} to {}", inside_text(family, row), point_name(family, other)));
  }
  view.add("source", source_text(family, pin.cite));
  view.add("weaker evidence", marks_text(pin.marks));
}

std::string mate_text(const FamilyIndex& index, uint32_t cell, const Mate& mate, Str number) {
  const Family& family = index.family();
  const Cavity there = cavity_at(index, cell, mate.connector, number);
  std::string text = fmt::format("{}.{}: ", connector_in_vehicle(family, mate.connector), family.text(number));
  text += state_text(index, there);
  if (there.pin != none) {
    const Pin& pin = family.pins[there.pin];
    if (pin.role != Role::unknown) text += fmt::format(", {}", demand_text(pin));
    if (pin.circuit != none) text += fmt::format(", {}", circuit_id(family, pin.circuit));
  }
  for (Index wire : there.wires)
    text +=
        fmt::format(", {} {}", circuit_id(family, family.wires[wire].circuit), colour_code(family, family.wires[wire]));
  return text;
}

void add_net(CavityView& view, const FamilyIndex& index, uint32_t cell, Index point) {
  const Family& family = index.family();
  const BuildNets build = build_nets(index, cell);
  const Index net = build.nets.net(point);
  if (net == none) return;
  std::string text;
  for (Index other : build.nets.points(net)) {
    if (other == point) continue;
    text += (text.empty() ? "" : ", ") + point_in_vehicle(family, other);
    for (Index pin : index.pins_at(other))
      if (family.holds(family.pins[pin].cells, cell)) {
        text += fmt::format(" ({})", word(family.pins[pin].role));
        break;
      }
  }
  view.add("one with", text);
}

// Where the cavity is on its face: x to the right, y down, from the side that the housing's drawing shows.
std::string position_text(const Family& family, const Cavity& cavity) {
  if (cavity.housing_cavity == none) return {};
  const HousingCavity& row = family.housing_cavities[cavity.housing_cavity];
  return fmt::format("{} mm right, {} mm down, seen from the {}", milli(row.x * 10), milli(row.y * 10),
                     family.housings[row.housing].view == View::wire_side ? "wire side" : "mating side");
}

std::string limits_text(const Family& family, const Cavity& cavity) {
  if (cavity.housing_cavity == none) return {};
  const HousingCavity& row = family.housing_cavities[cavity.housing_cavity];
  std::string text(word(row.contact));
  if (row.mm2_min != not_given || row.mm2_max != not_given)
    text += fmt::format(", takes {} to {}", row.mm2_min == not_given ? "any" : milli(row.mm2_min),
                        row.mm2_max == not_given ? "any" : mm2_text(row.mm2_max));
  if (row.amps != not_given) text += fmt::format(", bears {}", amps_text(row.amps));
  return text;
}

std::optional<CavityView> view_of_cavity(const Scope& scope, const Target& target, uint32_t cell) {
  const FamilyIndex& index = scope.index();
  const Family& family = scope.family();
  const Index connector = connector_in(scope, target, cell);
  if (connector == none) return std::nullopt;
  const std::vector<Called> called = cavities_called(index, cell, connector, target.cavity);
  const Str meant = cavity_meant(called);
  for (const Cavity& cavity : cavities(index, cell, connector)) {
    if (meant == 0 || cavity.number != meant) continue;
    CavityView view;
    view.add("number", called_note(family, called, target.cavity));
    const Part& part = family.parts[family.connectors[connector].part];
    view.add(std::string(word(part.kind)), fmt::format("{} ({})", family.text(part.id), family.text(part.title)));
    view.add("state", state_text(index, cavity));
    if (cavity.point != none && carries_firing(index, cavity.point))
      view.firing = "carried";
    else if (cavity.state.state == State::unknown && scope.may_fire(connector))
      view.firing = "possible";
    for (Index wire : cavity.wires) add_wire(view, index, cell, cavity.point, family.wires[wire]);
    if (cavity.pin != none) add_pin(view, index, cell, family.pins[cavity.pin]);
    if (cavity.cavity_row != none && cavity.wires.empty() && cavity.pin == none) {
      view.add("note", std::string(family.text(family.cavity_rows[cavity.cavity_row].note)));
      view.add("source", source_text(family, family.cavity_rows[cavity.cavity_row].cite));
    }
    const Plugged plugged(index, cell);
    if (plugged.matings_of(connector).empty()) view.add("plugs into", "nothing");
    for (Index mating : plugged.matings_of(connector)) {
      const Mating& one = plugged.matings()[mating];
      const Mate mate{one.connector_a == connector ? one.connector_b : one.connector_a, none};
      view.add("plugs into", mate_text(index, cell, mate, cavity.number));
    }
    if (cavity.state.state == State::wired) add_net(view, index, cell, cavity.point);
    view.add("also called", fmt::format("{}", fmt::join(other_names(family, cavity.housing_cavity), ", ")));
    view.add("contact", limits_text(family, cavity));
    view.add("position", position_text(family, cavity));
    return view;
  }
  return std::nullopt;
}

std::string no_cavity(const Scope& scope, const Target& target) {
  const Family& family = scope.family();
  for (uint32_t cell : scope.cells().cells()) {
    const Index connector = connector_in(scope, target, cell);
    if (connector == none) continue;
    const std::vector<Called> called = cavities_called(scope.index(), cell, connector, target.cavity);
    if (called.size() > 1)
      return fmt::format("{}.{} has several cavities that are called \"{}\": {}", target.owner, target.designator,
                         target.cavity, called_note(family, called, target.cavity));
    std::vector<std::string_view> numbers;
    for (const Cavity& cavity : cavities(scope.index(), cell, connector)) numbers.push_back(family.text(cavity.number));
    return fmt::format("{}.{} has no cavity \"{}\"; it has {}", target.owner, target.designator, target.cavity,
                       fmt::join(numbers, ", "));
  }
  return no_connector(scope, target);
}

Json json_of(const CavityView& view) {
  Json facts = Json::array();
  for (const auto& [label, value] : view.facts) facts.push_back({{"what", label}, {"is", value}});
  Json one = {{"facts", facts}};
  if (!view.firing.empty()) one["firing"] = view.firing;
  return one;
}

std::string firing_text(const CavityView& view) {
  if (view.firing == "carried") return "in at least one era or option: keep every meter and tester away";
  return "possible: nobody has looked, and such a housing carries it. Keep every meter and tester away";
}

}  // namespace

Answer show_cavity(const Scope& scope, const Target& target) {
  const Family& family = scope.family();
  const auto groups = grouped(scope.cells(), [&](uint32_t cell) { return view_of_cavity(scope, target, cell); });
  if (groups.empty()) throw UsageError(no_cavity(scope, target));
  const std::string name = fmt::format("{}.{}.{}", target.owner, target.designator, target.cavity);
  Answer answer;
  answer.json = {{"family", family.text(family.id)}, {"cavity", name}};
  answer.page.emplace_back(Heading{fmt::format("{} {}", family.text(family.id), name), 2});
  if (connector_may_fire(scope, target)) add_cautions(answer, family, {"always", "firing"});
  answer.json["variants"] = Json::array();
  for (const auto& [cells, view] : groups) {
    answer.page.emplace_back(Heading{scope.heading(cells), 3});
    Facts facts{view.facts};
    if (!view.firing.empty()) facts.rows.insert(facts.rows.begin(), {"FIRING", firing_text(view)});
    answer.page.emplace_back(std::move(facts));
    Json one = {{"cells", scope.name(cells)}};
    one.update(json_of(view));
    answer.json["variants"].push_back(std::move(one));
  }
  return answer;
}

}  // namespace loomproof::bench
