// Parts plugged together by place: what a factory built, or what somebody has on the bench.
#pragma once
#include <deque>
#include <map>
#include <optional>
#include <vector>

#include "judge/variant.h"

namespace loomproof::judge {

using VariantId = uint32_t;  // into Shelf

// Which variant stands in each place; none: nothing. An assembly has no era of its own: each part brings its own.
struct Assembly {
  std::vector<VariantId> at;
  std::vector<Index> insulated;  // cavities (points) whose contact is taken out of its plug and taped; ascending
};

// Two connectors of an assembly that `plugs` lets meet.
struct Meeting {
  Index plug = none;
  Index place_a = none, connector_a = none, place_b = none, connector_b = none;
  bool mate = true;  // their housings do
};

// What meets what where two connectors are plugged together, cavity by cavity.
struct Touch {
  Index net_a = none, net_b = none;      // none: nothing there
  Index point_a = none, point_b = none;  // none where no row names the cavity
};

// Every variant of every part, and what becomes of two that are plugged together. It refers to the index (and its
// family), which must outlive it. Filled as it is asked: not for several threads at once.
class Shelf {
 public:
  explicit Shelf(const FamilyIndex& index);
  Shelf(const Shelf&) = delete;
  Shelf& operator=(const Shelf&) = delete;

  const FamilyIndex& index() const { return index_; }
  const Family& family() const { return index_.family(); }
  const Variant& operator[](VariantId id) const { return variants_[id]; }
  // The variant that a part is in a cell; none where it is not there.
  VariantId variant(Index part, uint32_t cell);
  // All variants that can stand in a place, in the order of their parts and cells: those of built cells.
  const std::vector<VariantId>& of_place(Index place) const { return of_place_[place]; }
  // What the factory put together in a cell.
  Assembly build(uint32_t cell);
  // The plugs that meet in an assembly, in the order of `plugs`.
  void meet(const Assembly& assembly, std::vector<Meeting>& meetings) const;
  // The cavities of two connectors that meet: of each number that either has.
  const std::vector<Touch>& contacts(VariantId a, Index connector_a, VariantId b, Index connector_b);

 private:
  void add(Index part, const CellSet& cells);
  struct Key {
    VariantId a, b;
    Index connector_a, connector_b;
    friend auto operator<=>(const Key&, const Key&) = default;
  };
  Index socket_of(VariantId id, Str designator) const;

  const FamilyIndex& index_;
  std::deque<Variant> variants_;
  std::vector<std::vector<VariantId>> of_part_, of_place_;
  std::map<Key, std::vector<Touch>> contacts_;
};

}  // namespace loomproof::judge
