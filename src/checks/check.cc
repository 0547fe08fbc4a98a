#include "checks/check.h"

#include <algorithm>

namespace loomproof {

std::string Judged::point_words(Index point) const {
  return point_name(family, point) + " of " + std::string(part_id(family.points[point].part));
}

std::string Judged::connector_words(Index connector) const {
  const Connector& row = family.connectors[connector];
  return std::string(id(row.designator)) + " of " + std::string(part_id(row.part));
}

Span Judged::wire_end_span(Index wire, Index point) const {
  if (family.wires[wire].from == point) return spans.wires[wire].from;
  if (family.wires[wire].to == point) return spans.wires[wire].to;
  return spans.wires[wire].row;
}

// Cells are alike when no row of the family tells them apart: refine by each distinct set of cells.
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

void run_checks(const Family& family, const Spans& spans, Report& report) {
  FamilyIndex index(family);
  Judged judged{family, spans, index, cell_classes(family), {}, family.set(family.built), {}};
  for (const CellClass& each : judged.classes) judged.builds.push_back(build_nets(index, each.cell));
  for (const CheckEntry& check : all_checks()) check.run(judged, report);
}

}  // namespace loomproof
