#include "compare/neighbours.h"

namespace loomproof {

std::vector<Pair> neighbours(const Family& family) {
  const CellSet& built = family.set(family.built);
  std::vector<Pair> pairs;
  for (uint32_t axis = 0; axis < family.axis_count(); ++axis) {
    if (axis > 0 && family.options[axis - 1].independent) continue;
    const uint32_t size = family.axis_size(axis);
    for (uint32_t cell : built.cells()) {
      for (uint32_t value = family.coordinate(cell, axis) + 1; value < size; ++value) {
        const uint32_t next = family.with_coordinate(cell, axis, value);
        if (!built.has(next)) continue;
        pairs.push_back({axis, cell, next});
        break;
      }
    }
  }
  return pairs;
}

}  // namespace loomproof
