#include "judge/path.h"

#include <algorithm>
#include <map>

namespace loomproof::judge {

namespace {

class Walker {
 public:
  Walker(const Network& network, const Settings& settings)
      : network_(network), family_(network.shelf().family()), index_(network.shelf().index()), settings_(settings) {
    for (const Meeting& meeting : network.meetings()) {
      if (!meeting.mate) continue;
      for (Index a : index_.points_of(meeting.connector_a)) {
        const Index b = index_.cavity_point(meeting.connector_b, family_.points[a].name);
        if (b == none || is_insulated(a) || is_insulated(b)) continue;
        mates_.emplace(a, Hop{meeting.place_b, b});
        mates_.emplace(b, Hop{meeting.place_a, a});
      }
    }
  }

  std::vector<Hop> find(Hop from, Index to) {
    std::vector<Hop> hops{from};
    std::vector<size_t> before{0};
    std::vector<char> seen(family_.points.size(), 0);
    seen[from.point] = 1;
    for (size_t at = 0; at < hops.size(); ++at) {
      if (hops[at].point == to) return back(hops, before, at);
      const auto add = [&](const Hop& hop) {
        if (hop.point == none || seen[hop.point]) return;
        seen[hop.point] = 1;
        hops.push_back(hop);
        before.push_back(at);
      };
      add_neighbours(Hop(hops[at]), add);
    }
    return {};
  }

 private:
  static std::vector<Hop> back(const std::vector<Hop>& hops, const std::vector<size_t>& before, size_t at) {
    std::vector<Hop> found{hops[at]};
    for (; at != 0; at = before[at]) found.push_back(hops[before[at]]);
    std::reverse(found.begin(), found.end());
    return found;
  }

  template <typename Add>
  void add_neighbours(const Hop& hop, Add&& add) const {
    const Variant& variant = network_.variant(hop.place);
    for (Index wire : index_.wires_at(hop.point)) {
      const Wire& row = family_.wires[wire];
      if (family_.holds(row.cells, variant.cell)) add({hop.place, row.from == hop.point ? row.to : row.from, wire});
    }
    const auto mates = mates_.equal_range(hop.point);
    for (auto mate = mates.first; mate != mates.second; ++mate)
      add({mate->second.place, mate->second.point, none, none, true});
    for (Index inside : index_.insides_at(hop.point)) {
      const Inside& row = family_.insides[inside];
      if (family_.holds(row.cells, variant.cell) && conducts(hop, inside))
        add({hop.place, row.a == hop.point ? row.b : row.a, none, inside});
    }
    if (const EarthNode* node = node_at(hop)) add_body(*node, add);
  }

  bool is_insulated(Index point) const {
    const std::vector<Index>& all = network_.assembly().insulated;
    return std::binary_search(all.begin(), all.end(), point);
  }

  bool conducts(const Hop& hop, Index inside) const {
    const InsideKind kind = family_.insides[inside].kind;
    if (kind == InsideKind::strap || kind == InsideKind::link || kind == InsideKind::fuse || kind == InsideKind::diode)
      return true;
    if (kind != InsideKind::contact) return false;
    for (const Bridge& bridge : network_.variant(hop.place).bridges) {
      if (bridge.inside != inside) continue;
      for (const Setting& setting : settings_)
        if (setting.place == hop.place && setting.device == bridge.device)
          return (setting.allowed & ~bridge.conducts) == 0;
      return bridge.conducts == network_.variant(hop.place).devices[bridge.device].all();
    }
    return false;
  }

  // The body metal that a point is on; nullptr for none.
  const EarthNode* node_at(const Hop& hop) const {
    const Variant& variant = network_.variant(hop.place);
    for (const EarthPoint& earth : variant.earths)
      if (earth.point == hop.point) return &earth.node;
    return nullptr;
  }

  template <typename Add>
  void add_body(EarthNode node, Add&& add) const {
    const auto chassis = [](EarthNode each) { return each == EarthNode::unset ? EarthNode::chassis : each; };
    for (Index place = 0; place < network_.assembly().at.size(); ++place) {
      if (network_.assembly().at[place] == none) continue;
      for (const EarthPoint& earth : network_.variant(place).earths)
        if (chassis(earth.node) == chassis(node)) add({place, earth.point, none, none, false, true});
    }
  }

  const Network& network_;
  const Family& family_;
  const FamilyIndex& index_;
  const Settings& settings_;
  std::multimap<Index, Hop> mates_;
};

}  // namespace

std::vector<Hop> path(const Network& network, Index place, Index from, Index to, const Settings& settings) {
  return Walker(network, settings).find({place, from}, to);
}

namespace {

struct End {
  Index place = none, point = none;
};

// Where wires and ports of a circuit are.
std::vector<End> ends_of(const Network& network, Index circuit) {
  const Family& family = network.shelf().family();
  std::vector<End> ends;
  for (Index place = 0; place < network.assembly().at.size(); ++place) {
    if (network.assembly().at[place] == none) continue;
    const Variant& variant = network.variant(place);
    for (const Port& port : variant.ports)
      if (port.circuit == circuit) ends.push_back({place, port.point});
    for (const Wire& wire : rows(family.wires, family.parts[variant.part].wires))
      if (wire.circuit == circuit && family.holds(wire.cells, variant.cell))
        ends.push_back({place, wire.from}), ends.push_back({place, wire.to});
  }
  return ends;
}

Network::Net hard_net(const Network& network, const End& end) {
  const Variant& variant = network.variant(end.place);
  return network.hard(end.place, variant.net_of[end.point - network.shelf().family().parts[variant.part].points.first]);
}

}  // namespace

std::vector<Hop> way_between(const Network& network, Network::Net net, Index circuit, Index other) {
  const std::vector<End> from = ends_of(network, circuit), to = ends_of(network, other);
  std::vector<Hop> best;
  for (const End& a : from)
    for (const End& b : to) {
      if (hard_net(network, a) != net || hard_net(network, b) != net) continue;
      std::vector<Hop> hops = path(network, a.place, a.point, b.point, {});
      if (!hops.empty() && (best.empty() || hops.size() < best.size())) best = std::move(hops);
    }
  return best;
}

}  // namespace loomproof::judge
