// Nets: what is electrically one. Of a part by itself, and of a build with its plugs mated.
//
// Hard joins are wires, straps and links inside parts, and mated cavities. Everything else inside a part (fuses,
// contacts, loads) joins nothing here. Each earth point is a node of its own: that the vehicle's body joins them is for
// the judge to say. Open plugs join nothing either; their shorting bars are found through Plugged::matings_of().
#pragma once
#include <span>
#include <vector>

#include "family/family.h"
#include "nets/index.h"
#include "nets/lists.h"

namespace loomproof {

// Nets are numbered from 0 in the order of their lowest points. A point is on a net where, in the cell, a wire, pin or
// inside element touches it, a splice, earth or lead row says that it is there, or its mate is on a net.
class Nets {
 public:
  Nets() = default;
  Nets(Index first_point, std::vector<Index> net_of, uint32_t count, Lists circuits);

  uint32_t count() const { return points_.count(); }
  Index net(Index point) const { return net_of_[point - first_point_]; }          // none: on no net
  std::span<const Index> points(Index net) const { return points_.of(net); }      // ascending
  std::span<const Index> circuits(Index net) const { return circuits_.of(net); }  // that any row on it names; ascending

 private:
  Index first_point_ = 0;
  std::vector<Index> net_of_;
  Lists points_, circuits_;
};

// The nets of one part; net() takes points of that part only.
Nets part_nets(const Family& family, Index part, uint32_t cell);

// Two connectors that are there in the cell, and that `plugs` lets meet.
struct Mating {
  Index plug = none, connector_a = none, connector_b = none;
};
struct Mate {
  Index connector = none;  // the other connector
  Index point = none;      // its cavity of the same number; none where no row of its part names that cavity in any cell
};

// Which plugs meet in a cell.
class Plugged {
 public:
  Plugged(const FamilyIndex& index, uint32_t cell);

  const std::vector<Mating>& matings() const { return matings_; }  // in the order of `plugs`
  // Of a connector: more than one is a plug that can meet several partners; none an open plug (or it is not there).
  std::span<const Index> matings_of(Index connector) const { return matings_of_.of(connector); }
  // What meets a cavity: one mate for each mating of its connector, in their order. Nothing for what is no cavity.
  std::span<const Mate> mates(Index point) const { return mates_of_.of(point); }

 private:
  std::vector<Mating> matings_;
  Lists matings_of_;
  ListsOf<Mate> mates_of_;
};

// Calls each(a, b) for the cavities of two connectors that have the same number, `none` on the side where no row names
// one; in the order of FamilyIndex::points_of().
template <typename Each>
void for_cavities(const FamilyIndex& index, Index connector_a, Index connector_b, Each&& each) {
  const std::vector<Point>& points = index.family().points;
  const std::span<const Index> all_a = index.points_of(connector_a), all_b = index.points_of(connector_b);
  auto a = all_a.begin(), b = all_b.begin();
  while (a != all_a.end() || b != all_b.end()) {
    const bool has_a = b == all_b.end() || (a != all_a.end() && points[*a].name <= points[*b].name);
    const bool has_b = a == all_a.end() || (b != all_b.end() && points[*b].name <= points[*a].name);
    const Index point_a = has_a ? *a++ : none, point_b = has_b ? *b++ : none;
    each(point_a, point_b);
  }
}

// All parts in their places in one cell, plugged together.
struct BuildNets {
  uint32_t cell = 0;
  std::vector<Index> parts;  // by place; none where it holds nothing
  Plugged plugged;
  Nets nets;  // over the points of the whole family; those of parts that are not there are on no net
};
BuildNets build_nets(const FamilyIndex& index, uint32_t cell);

}  // namespace loomproof
