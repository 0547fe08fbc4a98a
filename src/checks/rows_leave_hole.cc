// Where a connector does not say what the rest of its cavities is, every cavity has a row in every built vehicle.
#include "checks/all.h"

namespace loomproof::checks {

void rows_leave_hole(const Judged& in, Report& report) {
  const Family& family = in.family;
  for (Index connector = 0; connector < family.connectors.size(); ++connector) {
    const Range range = family.connectors[connector].rows;
    for (Index row = range.first; row < range.end(); ++row) {
      const ConnectorRow& connector_row = family.connector_rows[row];
      report.judged(Rule::rows_leave_hole);
      if (connector_row.rest != Rest::unset || connector_row.housing == none) continue;
      CellSet there = family.set(connector_row.cells) & in.built;
      std::string holes;
      CellSet cells;
      uint32_t count = 0;
      for (const HousingCavity& cavity :
           rows(family.housing_cavities, family.housings[connector_row.housing].cavities)) {
        CellSet hole = there;
        Index point = in.index.cavity_point(connector, cavity.number);
        if (point != none) {
          for (Index wire : in.index.wires_at(point)) hole -= family.set(family.wires[wire].cells);
          for (Index pin : in.index.pins_at(point)) hole -= family.set(family.pins[pin].cells);
          for (Index state : in.index.cavity_rows_at(point)) hole -= family.set(family.cavity_rows[state].cells);
        }
        if (hole.empty()) continue;
        cells |= hole;
        if (++count <= 8) holes += (holes.empty() ? "" : ", ") + std::string(in.id(cavity.number));
      }
      if (count == 0) continue;
      in.faults.parts.insert(family.connectors[connector].part);
      std::string what = fmt::format("{}.{}{}", in.id(family.connectors[connector].designator), holes,
                                     count > 8 ? fmt::format(" and {} more", count - 8) : "");
      report.add<Rule::rows_leave_hole>(in.spans.connector_rows[row].designator, what, in.cells_words(cells))
          .help("say what is there, or give the connector `rest: empty`, `rest: unknown` or (components) `rest: open`");
    }
  }
}

}  // namespace loomproof::checks
