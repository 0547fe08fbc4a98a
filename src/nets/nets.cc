#include "nets/nets.h"

#include <algorithm>

#include "nets/components.h"

namespace loomproof {
namespace {

bool is_hard(InsideKind kind) {
  return kind == InsideKind::strap || kind == InsideKind::link;
}

// Gathers the joins of one or more parts in one cell; points are numbered from `first`.
class Joins {
 public:
  Joins(const Family& family, uint32_t cell, Index first, uint32_t count)
      : family_(family), cell_(cell), first_(first), used_(count, false) {}

  void add(const Part& part) {
    for (const Wire& wire : rows(family_.wires, part.wires))
      if (holds(wire)) join(wire.from, wire.to);
    for (const Inside& inside : rows(family_.insides, part.insides)) {
      if (!holds(inside)) continue;
      use(inside.a), use(inside.b);
      if (is_hard(inside.kind)) join(inside.a, inside.b);
    }
    use_points(rows(family_.pins, part.pins));
    use_points(rows(family_.splices, part.splices));
    use_points(rows(family_.earths, part.earths));
    use_points(rows(family_.leads, part.leads));
  }
  void mate(Index a, Index b) {  // after every part: a mate that nobody uses matters to nobody
    if (used_[a - first_] || used_[b - first_]) join(a, b);
  }
  Nets nets(const std::vector<Index>& parts) const;

 private:
  bool holds(const auto& row) const { return family_.holds(row.cells, cell_); }
  void use(Index point) { used_[point - first_] = true; }
  void use_points(const auto& table) {
    for (const auto& row : table)
      if (holds(row)) use(row.point);
  }
  void join(Index a, Index b) {
    use(a), use(b);
    edges_.emplace_back(a - first_, b - first_);
  }

  const Family& family_;
  uint32_t cell_;
  Index first_;
  std::vector<char> used_;
  std::vector<std::pair<Index, Index>> edges_;
};

Nets Joins::nets(const std::vector<Index>& parts) const {
  const auto points = static_cast<uint32_t>(used_.size());
  std::vector<Index> net_of = components(points, edges_);
  std::vector<Index> number(points, none);
  uint32_t count = 0;
  for (Index point = 0; point < points; ++point) {  // points without use are left out, and the nets numbered anew
    Index& net = net_of[point];
    if (!used_[point]) {
      net = none;
    } else {
      if (number[net] == none) number[net] = count++;
      net = number[net];
    }
  }
  std::vector<std::pair<Index, Index>> circuits;
  std::vector<Index> last(count, none);  // most rows of a net say its one circuit again
  const auto put = [&](Index point, Index circuit) {
    const Index net = net_of[point - first_];
    if (circuit == none || last[net] == circuit) return;
    last[net] = circuit;
    circuits.emplace_back(net, circuit);
  };
  for (Index part : parts) {
    for (const Wire& wire : rows(family_.wires, family_.parts[part].wires))
      if (holds(wire)) put(wire.from, wire.circuit);
    for (const Pin& pin : rows(family_.pins, family_.parts[part].pins))
      if (holds(pin)) put(pin.point, pin.circuit);
    for (const Lead& lead : rows(family_.leads, family_.parts[part].leads))
      if (holds(lead)) put(lead.point, lead.circuit);
    for (const Earth& earth : rows(family_.earths, family_.parts[part].earths))
      if (holds(earth)) put(earth.point, earth.circuit);
  }
  std::sort(circuits.begin(), circuits.end());
  circuits.erase(std::unique(circuits.begin(), circuits.end()), circuits.end());
  return Nets(first_, std::move(net_of), count, Lists(count, [&](auto add) {
                for (const auto& [net, circuit] : circuits) add(net, circuit);
              }));
}

}  // namespace

Nets::Nets(Index first_point, std::vector<Index> net_of, uint32_t count, Lists circuits)
    : first_point_(first_point), net_of_(std::move(net_of)), circuits_(std::move(circuits)) {
  points_ = Lists(count, [this](auto put) {
    for (Index i = 0; i < net_of_.size(); ++i)
      if (net_of_[i] != none) put(net_of_[i], first_point_ + i);
  });
}

Nets part_nets(const Family& family, Index part, uint32_t cell) {
  const Range points = family.parts[part].points;
  Joins joins(family, cell, points.first, points.count);
  if (family.holds(family.parts[part].cells, cell)) joins.add(family.parts[part]);
  return joins.nets({part});
}

Plugged::Plugged(const FamilyIndex& index, uint32_t cell) {
  const Family& family = index.family();
  const auto connector_in = [&](Index place, Str designator) {
    const Index part = index.part_in(place, cell);
    if (part == none) return none;
    const Index connector = index.connector_of(part, designator);
    return connector == none || connector_row_in(family, connector, cell) == none ? none : connector;
  };
  for (Index plug = 0; plug < family.plugs.size(); ++plug) {
    const PlugPair& pair = family.plugs[plug];
    if (!family.holds(pair.cells, cell)) continue;
    const Index a = connector_in(pair.place_a, pair.a), b = connector_in(pair.place_b, pair.b);
    if (a != none && b != none) matings_.push_back({plug, a, b});
  }
  matings_of_ = Lists(static_cast<uint32_t>(family.connectors.size()), [&](auto put) {
    for (Index mating = 0; mating < matings_.size(); ++mating) {
      put(matings_[mating].connector_a, mating);
      put(matings_[mating].connector_b, mating);
    }
  });
  mates_of_ = ListsOf<Mate>(static_cast<uint32_t>(family.points.size()), [&](auto put) {
    for (const Mating& mating : matings_)
      for_cavities(index, mating.connector_a, mating.connector_b, [&](Index a, Index b) {
        if (a != none) put(a, Mate{mating.connector_b, b});
        if (b != none) put(b, Mate{mating.connector_a, a});
      });
  });
}

BuildNets build_nets(const FamilyIndex& index, uint32_t cell) {
  const Family& family = index.family();
  BuildNets build{cell, {}, Plugged(index, cell), {}};
  std::vector<Index> present;
  Joins joins(family, cell, 0, static_cast<uint32_t>(family.points.size()));
  for (Index place = 0; place < family.places.size(); ++place) {
    const Index part = index.part_in(place, cell);
    build.parts.push_back(part);
    if (part == none) continue;
    present.push_back(part);
    joins.add(family.parts[part]);
  }
  for (const Mating& mating : build.plugged.matings())
    for_cavities(index, mating.connector_a, mating.connector_b, [&](Index a, Index b) {
      if (a != none && b != none) joins.mate(a, b);
    });
  build.nets = joins.nets(present);
  return build;
}

}  // namespace loomproof
