// What touches each point, connector and place of a family, in any cell. Made once a family; then every question about
// one cell is a short walk. It refers to the family, which must outlive it and stay as it is.
#pragma once
#include "family/family.h"
#include "nets/lists.h"

namespace loomproof {

class FamilyIndex {
 public:
  explicit FamilyIndex(const Family& family);
  FamilyIndex(const FamilyIndex&) = delete;
  FamilyIndex& operator=(const FamilyIndex&) = delete;

  const Family& family() const { return family_; }
  // Rows that touch a point, in any cell, ascending. A wire with both ends on the point is listed once.
  std::span<const Index> wires_at(Index point) const { return wires_at_.of(point); }
  std::span<const Index> pins_at(Index point) const { return pins_at_.of(point); }
  std::span<const Index> cavity_rows_at(Index point) const { return cavity_rows_at_.of(point); }
  std::span<const Index> insides_at(Index point) const { return insides_at_.of(point); }
  // The points of a connector: cavities that some row names, not all that its housing has.
  std::span<const Index> points_of(Index connector) const { return points_of_.of(connector); }
  // The cavity of a connector by its number; none where no row names it in any cell.
  Index cavity_point(Index connector, Str number) const;
  // The parts that a place may hold, ascending.
  std::span<const Index> parts_in(Index place) const { return parts_in_.of(place); }
  // As part_in() and connector_of() of family.h.
  Index part_in(Index place, uint32_t cell) const;
  Index connector_of(Index part, Str designator) const;
  // Whether any row of the part holds in just one of the two cells. Where none does, the part is the same in both.
  bool tells_apart(Index part, uint32_t a, uint32_t b) const;

 private:
  const Family& family_;
  Lists wires_at_, pins_at_, cavity_rows_at_, insides_at_, points_of_, parts_in_, connectors_of_;
  Lists cell_sets_of_;  // by part: the distinct sets of cells of its rows
};

}  // namespace loomproof
