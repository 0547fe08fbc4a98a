#include "identify/sheet.h"

#include <algorithm>

#include "family/words.h"
#include "nets/cavities.h"
#include "nets/components.h"

namespace loomproof::identify {
namespace {

constexpr Quantity thick_from = 2000;     // mm² in thousandths
constexpr Quantity beeps_below = 50'000;  // mohm: about what hand-held meters have

}  // namespace

std::string colour_seen(const Family& family, const Wire& wire) {
  if (wire.base == none) return {};
  std::string code(family.text(family.colours[wire.base].code));
  if (wire.tracer != none) code += '/' + std::string(family.text(family.colours[wire.tracer].code));
  return code;
}

Sheet::Sheet(const FamilyIndex& index, const Loom& loom) : loom_(loom) {
  const Family& family = index.family();
  for (const PartNumber& number : rows(family.numbers, family.parts[loom.part].numbers))
    if (family.holds(number.cells, loom.cell)) labels_.emplace(family.text(number.text));
  read_plugs(index);
  if (family.parts[loom.part].kind == PartKind::loom) read_nets(index);
}

// Every net of either loom as a star around a joint of its own, as far as its ends are in that loom's branches; the
// joints of nets with a circuit in common are joined.
Sheet::Sheet(const Sheet& most, const Sheet& rest, const std::set<std::string>& plugs_of_rest) : loom_(most.loom_) {
  labels_ = most.labels_;
  const auto is_of_rest = [&](std::string_view end) { return plugs_of_rest.contains(std::string(plug_of(end))); };
  for (const auto& [name, plug] : most.plugs_)
    if (!plugs_of_rest.contains(name)) plugs_[name] = plug;
  for (const auto& [name, plug] : rest.plugs_)
    if (plugs_of_rest.contains(name)) plugs_[name] = plug;
  std::vector<std::pair<Index, Index>> joins;
  const auto new_vertex = [&](const std::string& name) {
    vertex_of_[name] = static_cast<uint32_t>(names_.size());
    names_.push_back(name);
    return static_cast<uint32_t>(names_.size()) - 1;
  };
  const auto join = [&](uint32_t a, uint32_t b) {
    edges_.push_back({a, b});
    joins.emplace_back(a, b);
  };
  struct Joint {
    uint32_t vertex;
    const std::set<Index>* circuits;
    bool of_rest;
  };
  std::vector<Joint> joints;
  std::vector<uint32_t> ends;
  for (const bool of_rest : {false, true}) {
    const Sheet& side = of_rest ? rest : most;
    for (uint32_t net = 0; net < side.ends_of_net_.size(); ++net) {
      uint32_t joint = nowhere;
      for (uint32_t end : side.ends_of_net_[net]) {
        if (is_of_rest(side.names_[end]) != of_rest) continue;
        if (joint == nowhere) joint = new_vertex((of_rest ? " r" : " m") + std::to_string(net));
        ends.push_back(new_vertex(side.names_[end]));
        join(ends.back(), joint);
      }
      if (joint != nowhere) joints.push_back({joint, &side.circuits_of_net_[net], of_rest});
    }
  }
  for (const Joint& a : joints)
    for (const Joint& b : joints)
      if (!a.of_rest && b.of_rest &&
          std::any_of(a.circuits->begin(), a.circuits->end(), [&](Index it) { return b.circuits->contains(it); }))
        join(a.vertex, b.vertex);
  net_of_ = components(static_cast<uint32_t>(names_.size()), joins);
  const uint32_t nets = net_of_.empty() ? 0 : *std::max_element(net_of_.begin(), net_of_.end()) + 1;
  edges_of_net_.resize(nets), ends_of_net_.resize(nets), circuits_of_net_.resize(nets);
  for (uint32_t edge = 0; edge < edges_.size(); ++edge) edges_of_net_[net_of_[edges_[edge].a]].push_back(edge);
  for (uint32_t end : ends) ends_of_net_[net_of_[end]].push_back(end);
}

void Sheet::read_plugs(const FamilyIndex& index) {
  const Family& family = index.family();
  const Range connectors = family.parts[loom_.part].connectors;
  for (Index connector = connectors.first; connector < connectors.end(); ++connector) {
    const Index row = connector_row_in(family, connector, loom_.cell);
    if (row == none) continue;
    PlugFacts& plug = plugs_[std::string(family.text(family.connectors[connector].designator))];
    plug.housing_index = family.connector_rows[row].housing;
    if (plug.housing_index != none) plug.housing = family.text(family.housings[plug.housing_index].id);
    for (const Cavity& cavity : loomproof::cavities(index, loom_.cell, connector)) {
      CavityFacts& facts = plug.cavities[std::string(family.text(cavity.number))];
      facts.state = cavity.state.state;
      facts.wires = static_cast<uint32_t>(cavity.wires.size());
      for (Index wire : cavity.wires) {
        if (const std::string colour = colour_seen(family, family.wires[wire]); !colour.empty())
          facts.colours.insert(colour);
        if (family.wires[wire].mm2 != not_given) facts.mm2.insert(milli(family.wires[wire].mm2));
      }
    }
  }
}

void Sheet::read_nets(const FamilyIndex& index) {
  const Family& family = index.family();
  const Part& part = family.parts[loom_.part];
  const auto vertex_at = [&](Index point) {
    const std::string name = point_name(family, point);
    const auto [entry, is_new] = vertex_of_.emplace(name, static_cast<uint32_t>(names_.size()));
    if (is_new) names_.push_back(name);
    return entry->second;
  };
  std::vector<std::pair<Index, Index>> joins;
  std::vector<Index> circuit;  // by edge
  std::vector<char> touchable;
  const auto join = [&](Index a, Index b, Index of) {
    edges_.push_back({vertex_at(a), vertex_at(b)});
    joins.emplace_back(edges_.back().a, edges_.back().b);
    circuit.push_back(of);
    touchable.resize(names_.size(), 0);
    for (Index point : {a, b}) {
      const PointKind kind = family.points[point].kind;
      touchable[vertex_at(point)] = kind != PointKind::splice && kind != PointKind::inner;
    }
  };
  for (const Wire& wire : rows(family.wires, part.wires))
    if (family.holds(wire.cells, loom_.cell)) join(wire.from, wire.to, wire.circuit);
  for (const Inside& inside : rows(family.insides, part.insides)) {
    const bool joins_hard = inside.kind == InsideKind::strap || inside.kind == InsideKind::link;
    const bool beeps = inside.kind == InsideKind::resistor && inside.ohm != not_given && inside.ohm < beeps_below;
    if ((joins_hard || beeps) && family.holds(inside.cells, loom_.cell)) join(inside.a, inside.b, none);
  }
  net_of_ = components(static_cast<uint32_t>(names_.size()), joins);
  const uint32_t nets = net_of_.empty() ? 0 : *std::max_element(net_of_.begin(), net_of_.end()) + 1;
  edges_of_net_.resize(nets), ends_of_net_.resize(nets), circuits_of_net_.resize(nets);
  for (uint32_t edge = 0; edge < edges_.size(); ++edge) {
    const uint32_t net = net_of_[edges_[edge].a];
    edges_of_net_[net].push_back(edge);
    if (circuit[edge] != none) circuits_of_net_[net].insert(circuit[edge]);
  }
  for (uint32_t vertex = 0; vertex < names_.size(); ++vertex)
    if (touchable[vertex]) ends_of_net_[net_of_[vertex]].push_back(vertex);
  for (std::vector<uint32_t>& ends : ends_of_net_)
    std::sort(ends.begin(), ends.end(), [&](uint32_t a, uint32_t b) { return names_[a] < names_[b]; });
}

const PlugFacts* Sheet::plug(std::string_view designator) const {
  const auto found = plugs_.find(designator);
  return found == plugs_.end() ? nullptr : &found->second;
}

const CavityFacts* Sheet::cavity(std::string_view name) const {
  const PlugFacts* const facts = plug(plug_of(name));
  if (!facts) return nullptr;
  const auto found = facts->cavities.find(number_of(name));
  return found == facts->cavities.end() ? nullptr : &found->second;
}

Span32 Sheet::count(std::string_view designator, Look look, std::string_view of) const {
  Span32 span;
  const PlugFacts* const facts = plug(designator);
  if (!facts) return span;
  for (const auto& [number, cavity] : facts->cavities) {
    if (!cavity.is_known()) {
      ++span.most;
      continue;
    }
    uint32_t least = 0, most = 0;
    const auto is_of = [&](const std::string& colour) { return colour.substr(0, colour.find('/')) == of; };
    if (look == Look::empty) {
      least = most = cavity.state == State::empty;
    } else if (cavity.state == State::wired) {
      most = cavity.wires;
      if (look == Look::wires) least = most;
      if (look == Look::thick) {
        uint32_t thick = 0;
        for (const std::string& mm2 : cavity.mm2) thick += std::strtod(mm2.c_str(), nullptr) * 1000 >= thick_from;
        if (thick == 0 && !cavity.mm2.empty()) most = 0;
        if (thick == cavity.mm2.size() && thick > 0) least = most;
      }
      if (look == Look::coloured) {
        const auto count = static_cast<size_t>(std::count_if(cavity.colours.begin(), cavity.colours.end(), is_of));
        if (count == 0 && !cavity.colours.empty()) most = 0;
        if (count == cavity.colours.size() && count > 0) least = most;
        if (count > 0 && count < cavity.colours.size()) least = 1, most = cavity.wires - 1;
      }
    }
    span.least += least, span.most += most;
  }
  return span;
}

uint32_t Sheet::vertex(std::string_view end) const {
  const auto found = vertex_of_.find(end);
  return found == vertex_of_.end() ? nowhere : found->second;
}

bool Sheet::net_is_plugged(uint32_t net, const std::set<std::string>& plugged) const {
  return std::any_of(ends_of_net_[net].begin(), ends_of_net_[net].end(),
                     [&](uint32_t end) { return plugged.contains(std::string(plug_of(names_[end]))); });
}

Path Sheet::path(std::string_view a, std::string_view b, const std::set<std::string>& plugged) const {
  const uint32_t from = vertex(a), to = vertex(b);
  if (from != nowhere && to != nowhere && net_of_[from] == net_of_[to]) return Path::yes;
  for (std::string_view end : {a, b})
    if (const CavityFacts* const facts = cavity(end); facts && !facts->is_known()) return Path::may;
  // Through what is plugged in at both, a coil or a lamp may beep.
  if (!plugged.empty() && from != nowhere && to != nowhere && net_is_plugged(net_of_[from], plugged) &&
      net_is_plugged(net_of_[to], plugged))
    return Path::may;
  return Path::no;
}

std::optional<std::string> Sheet::expected(const Question& question) const {
  switch (question.look) {
    case Look::plug:
      return plug(question.a) ? "present" : "absent";
    case Look::housing: {
      const PlugFacts* const facts = plug(question.a);
      if (!facts || facts->housing.empty()) return std::nullopt;
      return facts->housing;
    }
    case Look::label:
      if (labels_.empty()) return std::nullopt;
      return *labels_.begin();
    case Look::wires:
    case Look::thick:
    case Look::empty:
    case Look::coloured: {
      if (!plug(question.a)) return std::nullopt;
      const Span32 span = count(question.a, question.look, question.of);
      if (span.least != span.most) return std::nullopt;
      return std::to_string(span.least);
    }
    case Look::beeps: {
      const Path path_there = path(question.a, question.b, {});
      if (path_there == Path::may) return std::nullopt;
      return path_there == Path::yes ? "yes" : "no";
    }
    default:
      break;
  }
  const CavityFacts* const facts = cavity(question.a);
  if (!facts || !facts->is_known()) return std::nullopt;
  if (question.look == Look::state) return std::string(word(facts->state));
  if (facts->state != State::wired) return "none";
  if (question.look == Look::crimped) return std::to_string(facts->wires);
  const std::set<std::string>& values = question.look == Look::colour ? facts->colours : facts->mm2;
  if (values.empty()) return std::nullopt;
  return *values.begin();
}

std::optional<std::map<std::string, std::string, std::less<>>> seen_as(const Family& family, Index housing,
                                                                       View3 view) {
  std::map<std::string, std::string, std::less<>> map;
  if (housing == none) return std::nullopt;
  const auto cavities = rows(family.housing_cavities, family.housings[housing].cavities);
  int32_t left = INT32_MAX, right = INT32_MIN, top = INT32_MAX, bottom = INT32_MIN;
  for (const HousingCavity& cavity : cavities) {
    left = std::min(left, cavity.x), right = std::max(right, cavity.x);
    top = std::min(top, cavity.y), bottom = std::max(bottom, cavity.y);
  }
  constexpr int32_t near = 50;  // half a millimetre
  for (const HousingCavity& cavity : cavities) {
    const int32_t x = view == View3::true_ ? cavity.x : left + right - cavity.x;
    const int32_t y = view == View3::turned ? top + bottom - cavity.y : cavity.y;
    const HousingCavity* there = nullptr;
    for (const HousingCavity& other : cavities)
      if (std::abs(other.x - x) <= near && std::abs(other.y - y) <= near) there = &other;
    if (!there) return std::nullopt;
    map[std::string(family.text(there->number))] = family.text(cavity.number);
  }
  if (map.size() != family.housings[housing].cavities.count) return std::nullopt;  // cavities drawn on each other
  return map;
}

}  // namespace loomproof::identify
