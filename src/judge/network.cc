#include "judge/network.h"

#include <algorithm>

#include "family/words.h"
#include "nets/firing.h"

namespace loomproof::judge {

namespace {

constexpr uint32_t earth_nodes = word_count<EarthNode>;
constexpr int most_steps = 4000;  // of one search; more than any vehicle needs, and a bound for what is contrived

const uint32_t feeds = bit(Role::gives_feed) | bit(Role::pulls_high);
const uint32_t sinks = bit(Role::gives_earth) | bit(Role::pulls_low);

// Adds what a contact needs; false where it contradicts what is set.
bool demand(Settings& settings, Index place, Index device, uint32_t allowed) {
  for (Setting& setting : settings) {
    if (setting.place != place || setting.device != device) continue;
    setting.allowed &= allowed;
    return setting.allowed != 0;
  }
  settings.push_back({place, device, allowed});
  return allowed != 0;
}

}  // namespace

void Network::Joins::reset(uint32_t count) {
  parent_.resize(count);
  for (Net vertex = 0; vertex < count; ++vertex) parent_[vertex] = vertex;
}

void Network::build(const Assembly& assembly) {
  assembly_ = assembly;
  shelf_.meet(assembly, meetings_);
  base_.clear();
  vertices_ = 0;
  for (VariantId id : assembly.at) {
    base_.push_back(vertices_);
    if (id != none) vertices_ += shelf_[id].nets;
  }
  hard_.reset(vertices_ + earth_nodes);
  join_plugs();
  close_open_plugs();
  earthed_ = hard_;
  join_earths();
  firm_ = earthed_;
  join_bridges();
  join_parts();
  find_unsure();
}

bool Network::is_insulated(Index point) const {
  return std::binary_search(assembly_.insulated.begin(), assembly_.insulated.end(), point);
}

void Network::join_plugs() {
  for (const Meeting& meeting : meetings_) {
    if (!meeting.mate) continue;
    const std::vector<Touch>& touches = shelf_.contacts(assembly_.at[meeting.place_a], meeting.connector_a,
                                                        assembly_.at[meeting.place_b], meeting.connector_b);
    for (const Touch& touch : touches) {
      if (touch.net_a == none || touch.net_b == none) continue;
      if (!assembly_.insulated.empty() && (is_insulated(touch.point_a) || is_insulated(touch.point_b))) continue;
      hard_.join(base_[meeting.place_a] + touch.net_a, base_[meeting.place_b] + touch.net_b);
    }
  }
}

uint32_t Network::meetings_of(Index connector) const {
  uint32_t count = 0;
  for (const Meeting& meeting : meetings_)
    count += meeting.mate && (meeting.connector_a == connector || meeting.connector_b == connector);
  return count;
}

bool carries_firing(const Family& family, const Variant& variant, Index net) {
  return std::any_of(variant.circuits.begin(), variant.circuits.end(),
                     [&](const auto& each) { return each.first == net && is_firing(family, each.second); });
}

// A plug that hangs open and has shorting bars joins its own cavities. In a firing circuit the bar is what makes the
// open plug safe, and no fault: it is left out.
void Network::close_open_plugs() {
  const Family& family = shelf_.family();
  if (family.closes.empty()) return;
  for (Index place = 0; place < assembly_.at.size(); ++place) {
    if (assembly_.at[place] == none) continue;
    for (const Socket& socket : variant(place).sockets) {
      const Index housing = family.connector_rows[socket.row].housing;
      if (housing == none || family.housings[housing].closes.count == 0 || meetings_of(socket.connector) > 0) continue;
      for (const Closes& bar : rows(family.closes, family.housings[housing].closes)) {
        const Index a = shelf_.index().cavity_point(socket.connector, family.housing_cavities[bar.a].number);
        const Index b = shelf_.index().cavity_point(socket.connector, family.housing_cavities[bar.b].number);
        if (a == none || b == none) continue;
        const Index first = family.parts[variant(place).part].points.first;
        const Index net_a = variant(place).net_of[a - first], net_b = variant(place).net_of[b - first];
        if (net_a == none || net_b == none || carries_firing(family, variant(place), net_a)) continue;
        hard_.join(base_[place] + net_a, base_[place] + net_b);
      }
    }
  }
}

void Network::join_earths() {
  earthings_.assign(vertices_ + earth_nodes, 0);
  for (Index place = 0; place < assembly_.at.size(); ++place) {
    if (assembly_.at[place] == none) continue;
    for (const EarthPoint& earth : variant(place).earths) {
      if (earth.net == none) continue;
      // Where the case of a part or an earth point stands is not always said: then it is taken as the chassis.
      const EarthNode node = earth.node == EarthNode::unset ? EarthNode::chassis : earth.node;
      earthed_.join(base_[place] + earth.net, vertices_ + static_cast<uint32_t>(node));
      ++earthings_[hard(place, earth.net)];
    }
    for (const Port& port : variant(place).ports)
      if (port.role == Role::gives_earth) ++earthings_[hard(place, port.net)];
  }
}

void Network::join_bridges() {
  const Family& family = shelf_.family();
  links_.clear();
  unfused_ = earthed_;
  for (Index place = 0; place < assembly_.at.size(); ++place) {
    if (assembly_.at[place] == none) continue;
    for (const Bridge& bridge : variant(place).bridges)
      if (family.insides[bridge.inside].kind == InsideKind::fuse)
        firm_.join(base_[place] + bridge.a, base_[place] + bridge.b);
  }
  loose_ = firm_;
  for (Index place = 0; place < assembly_.at.size(); ++place) {
    if (assembly_.at[place] == none) continue;
    const std::vector<Bridge>& bridges = variant(place).bridges;
    for (Index b = 0; b < bridges.size(); ++b) {
      const InsideKind kind = family.insides[bridges[b].inside].kind;
      if (kind == InsideKind::fuse || kind == InsideKind::squib) continue;
      const bool is_contact = kind == InsideKind::contact || kind == InsideKind::diode;
      if (is_contact) unfused_.join(base_[place] + bridges[b].a, base_[place] + bridges[b].b);
      const Net from = firm(place, bridges[b].a), to = firm(place, bridges[b].b);
      if (from == to) continue;
      if (is_contact) loose_.join(from, to);
      links_.push_back({from, to, place, b, true});
      links_.push_back({to, from, place, b, false});
    }
  }
  std::stable_sort(links_.begin(), links_.end(), [](const Link& a, const Link& b) { return a.from < b.from; });
}

void Network::join_parts() {
  ports_.clear();
  firm_roles_.assign(vertices_ + earth_nodes, 0);
  loose_roles_.assign(vertices_ + earth_nodes, 0);
  for (Index place = 0; place < assembly_.at.size(); ++place) {
    if (assembly_.at[place] == none) continue;
    const std::vector<Port>& ports = variant(place).ports;
    for (Index port = 0; port < ports.size(); ++port) {
      ports_.push_back({place, port});
      firm_roles_[firm(place, ports[port].net)] |= bit(ports[port].role);
      loose_roles_[loose(place, ports[port].net)] |= bit(ports[port].role);
    }
  }
}

void Network::find_unsure() {
  unsure_.assign(vertices_ + earth_nodes, 0);
  is_anything_unsure_ = false;
  const auto mark = [&](Index place, Index net) {
    if (net != none) unsure_[firm(place, net)] = 1;
  };
  for (Index place = 0; place < assembly_.at.size(); ++place) {
    if (assembly_.at[place] == none || variant(place).hidden.empty()) continue;
    is_anything_unsure_ = true;
    if (variant(place).may_be_battery) unsure_[firm_.root(vertices_ + static_cast<uint32_t>(EarthNode::battery))] = 1;
    for (Index joint : variant(place).joints) mark(place, joint);
    for (const Hidden& hidden : variant(place).hidden) {
      mark(place, hidden.net);
      for (const Meeting& meeting : meetings_) {
        if (!meeting.mate || (meeting.connector_a != hidden.connector && meeting.connector_b != hidden.connector))
          continue;
        const bool is_a = meeting.connector_a == hidden.connector;
        const Index other = is_a ? meeting.place_b : meeting.place_a;
        const Index point =
            shelf_.index().cavity_point(is_a ? meeting.connector_b : meeting.connector_a, hidden.number);
        if (point != none)
          mark(other, variant(other).net_of[point - shelf_.family().parts[variant(other).part].points.first]);
      }
    }
  }
}

std::pair<size_t, size_t> Network::links_of(Net firm) const {
  const auto before = [](const Link& link, Net net) { return link.from < net; };
  const auto first = std::lower_bound(links_.begin(), links_.end(), firm, before);
  auto last = first;
  while (last != links_.end() && last->from == firm) ++last;
  return {static_cast<size_t>(first - links_.begin()), static_cast<size_t>(last - links_.begin())};
}

bool Network::is_always_on(Index place, Index coil) const {
  const Bridge& bridge = variant(place).bridges[coil];
  const uint32_t a = firm_roles_[firm(place, bridge.a)], b = firm_roles_[firm(place, bridge.b)];
  const uint32_t feed = bit(Role::gives_feed), earth = bit(Role::gives_earth);
  return ((a & feed) && (b & earth)) || ((b & feed) && (a & earth));
}

// Whether a coil can draw: one side at a feed, the other at earth or a driver that pulls low.
bool Network::energised(Index place, Index coil, bool hopes, Settings& settings, int& steps) const {
  const std::pair<Index, Index> key{place, coil};
  if (std::find(proving_.begin(), proving_.end(), key) != proving_.end()) return false;
  proving_.push_back(key);
  const Bridge& bridge = variant(place).bridges[coil];
  const auto draws = [&](Index high, Index low) {
    Settings tried = settings;
    std::vector<char> seen(vertices_ + earth_nodes, 0);
    if (!walk(firm(place, high), {feeds, none, Flow::to_feed, false, hopes}, tried, seen, steps)) return false;
    seen.assign(seen.size(), 0);
    if (!walk(firm(place, low), {sinks, none, Flow::to_earth, false, hopes}, tried, seen, steps)) return false;
    settings = std::move(tried);
    return true;
  };
  const bool can = draws(bridge.a, bridge.b) || draws(bridge.b, bridge.a);
  proving_.pop_back();
  return can;
}

bool Network::pass(const Link& link, const Goal& goal, Settings& settings, int& steps) const {
  const Bridge& bridge = variant(link.place).bridges[link.bridge];
  const InsideKind kind = shelf_.family().insides[bridge.inside].kind;
  if (kind == InsideKind::diode) return goal.flow == Flow::any || link.forward == (goal.flow == Flow::to_earth);
  if (kind != InsideKind::contact) return goal.through_loads && kind != InsideKind::capacitor;
  const Device& device = variant(link.place).devices[bridge.device];
  if (bridge.conducts == 0) return false;
  if (bridge.conducts == device.all()) return true;
  if (!demand(settings, link.place, bridge.device, bridge.conducts)) return false;
  if (device.coil == none) return true;
  return bridge.conducts == 0b10 ? energised(link.place, device.coil, goal.hopes, settings, steps)
                                 : !is_always_on(link.place, device.coil);
}

bool Network::walk(Net at, const Goal& goal, Settings& settings, std::vector<char>& seen, int& steps) const {
  if (goal.net == none ? (firm_roles_[at] & goal.roles) != 0 || (goal.hopes && unsure_[at]) : at == goal.net)
    return true;
  if (++steps > most_steps) return false;
  seen[at] = 1;
  const auto [first, last] = links_of(at);
  for (size_t i = first; i < last; ++i) {
    if (seen[links_[i].to]) continue;
    const Settings before = settings;
    if (pass(links_[i], goal, settings, steps) && walk(links_[i].to, goal, settings, seen, steps)) return true;
    settings = before;
  }
  seen[at] = 0;
  return false;
}

bool Network::reaches(Net from, uint32_t roles, Flow flow, bool through_loads, Settings& settings) const {
  if (firm_roles_[from] & roles) return true;
  if (!through_loads && !(loose_roles_[loose_.root(from)] & roles)) return false;
  std::vector<char> seen(vertices_ + earth_nodes, 0);
  int steps = 0;
  return walk(from, {roles, none, flow, through_loads, false}, settings, seen, steps);
}

bool Network::may_reach(Net from, uint32_t roles, Flow flow, bool through_loads) const {
  if (!is_anything_unsure_) return false;
  std::vector<char> seen(vertices_ + earth_nodes, 0);
  Settings settings;
  int steps = 0;
  return walk(from, {roles, none, flow, through_loads, true}, settings, seen, steps) || steps > most_steps;
}

bool Network::connects(Net from, Net to, Flow flow, Settings& settings) const {
  if (from == to) return true;
  if (loose_.root(from) != loose_.root(to)) return false;
  std::vector<char> seen(vertices_ + earth_nodes, 0);
  int steps = 0;
  return walk(from, {0, to, flow, false, false}, settings, seen, steps) || steps > most_steps;
}

bool Network::may_connect(Net from, Net to, Flow flow, Settings& settings) const {
  if (!is_anything_unsure_ || loose_.root(from) != loose_.root(to)) return false;
  std::vector<char> seen(vertices_ + earth_nodes, 0);
  int steps = 0;
  return walk(from, {0, to, flow, false, true}, settings, seen, steps);
}

}  // namespace loomproof::judge
