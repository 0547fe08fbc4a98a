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
  const auto label = [&](Cells of, Span span, std::string_view what) {
    const CellSet there = family.set(of) & built;
    if (!there.empty() && !there.meets(cells)) finding.label(span, fmt::format("{} in {}", what, cells_words(there)));
  };
  for (Index wire : index.wires_at(point)) label(family.wires[wire].cells, wire_end_span(wire, point), "wired");
  for (Index pin : index.pins_at(point)) label(family.pins[pin].cells, spans.pins[pin].cavity, "a pin");
}

void run_checks(const Family& family, const Spans& spans, Report& report) {
  FamilyIndex index(family);
  Judged judged{family, spans, index, PointStates(index), cell_classes(family), {}, family.set(family.built), {}};
  for (const CellClass& each : judged.classes) judged.builds.push_back(build_nets(index, each.cell));
  for (const CheckEntry& check : all_checks()) check.run(judged, report);
}

}  // namespace loomproof
