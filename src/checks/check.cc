#include "checks/check.h"

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

void Judged::label_elsewhere(Index point, const CellSet& cells, FindingBuilder& finding) const {
  for (Index wire : index.wires_at(point)) {
    const CellSet there = family.set(family.wires[wire].cells) & built;
    if (!there.empty() && !there.meets(cells))
      finding.label(wire_end_span(wire, point), "wired in " + cells_words(there));
  }
}

void run_checks(const Family& family, const Spans& spans, Report& report) {
  FamilyIndex index(family);
  Judged judged{family, spans, index, PointStates(index), cell_classes(family), {}, family.set(family.built), {}};
  for (const CellClass& each : judged.classes) judged.builds.push_back(build_nets(index, each.cell));
  for (const CheckEntry& check : all_checks()) check.run(judged, report);
}

}  // namespace loomproof
