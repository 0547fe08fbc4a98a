// What is described once a cell: the state or pin of a cavity, the row of a connector. Wires have a rule of their own.
#include "checks/all.h"

namespace loomproof::checks {

namespace {

struct Described {
  CellSet cells;
  Span span;
};

void compare(const Judged& in, const std::vector<Described>& all, std::string_view what, Index part, Report& report) {
  for (size_t i = 0; i < all.size(); ++i)
    for (size_t j = 0; j < i; ++j) {
      CellSet both = all[i].cells & all[j].cells & in.built;
      if (both.empty()) continue;
      report.add<Rule::rows_overlap>(all[i].span, what, in.cells_words(both))
          .label(all[j].span, "described here as well");
      in.faults.parts.insert(part);
      return;
    }
}

}  // namespace

void rows_overlap(const Judged& in, Report& report) {
  const Family& family = in.family;
  for (Index connector = 0; connector < family.connectors.size(); ++connector) {
    report.judged(Rule::rows_overlap);
    std::vector<Described> all;
    Range range = family.connectors[connector].rows;
    if (range.count < 2) continue;
    for (Index row = range.first; row < range.end(); ++row)
      all.push_back({family.set(family.connector_rows[row].cells), in.spans.connector_rows[row].row});
    compare(in, all, in.id(family.connectors[connector].designator), family.connectors[connector].part, report);
  }
  for (Index point = 0; point < family.points.size(); ++point) {
    if (family.points[point].kind != PointKind::cavity) continue;
    report.judged(Rule::rows_overlap);
    std::span<const Index> states = in.index.cavity_rows_at(point), pins = in.index.pins_at(point);
    if (states.size() + pins.size() == 0) continue;
    std::vector<Described> all;
    for (Index pin : pins) all.push_back({family.set(family.pins[pin].cells), in.spans.pins[pin].row});
    for (Index row : states) all.push_back({family.set(family.cavity_rows[row].cells), in.spans.cavity_rows[row]});
    compare(in, all, point_name(family, point), family.points[point].part, report);
    for (Index row : states)  // a wire in a cavity that is said to hold none
      for (Index wire : in.index.wires_at(point)) {
        CellSet both = family.set(family.cavity_rows[row].cells) & family.set(family.wires[wire].cells) & in.built;
        if (both.empty()) continue;
        in.faults.parts.insert(family.points[point].part);
        report.add<Rule::rows_overlap>(in.spans.cavity_rows[row], point_name(family, point), in.cells_words(both))
            .label(in.wire_end_span(wire, point), "this wire ends there")
            .help("a cavity that holds a wire is wired; give the state the eras in which it holds none");
        break;
      }
  }
}

}  // namespace loomproof::checks
