#include "nets/classes.h"

#include <algorithm>

namespace loomproof {

std::vector<CellClass> cell_classes(const Family& family) {
  std::vector<CellClass> classes;
  const CellSet& built = family.set(family.built);
  if (built.empty()) return classes;
  classes.push_back({built.lowest(), built});
  for (const CellSet& set : family.cell_sets) {
    size_t count = classes.size();
    for (size_t i = 0; i < count; ++i) {
      CellSet inside = classes[i].cells & set, outside = classes[i].cells - set;
      if (inside.empty() || outside.empty()) continue;
      classes[i] = {inside.lowest(), inside};
      classes.push_back({outside.lowest(), outside});
    }
  }
  std::sort(classes.begin(), classes.end(), [](const CellClass& a, const CellClass& b) { return a.cell < b.cell; });
  return classes;
}

}  // namespace loomproof
