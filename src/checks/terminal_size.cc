// A wire's cross-section lies within what the cavities at its ends take.
#include "checks/all.h"

namespace loomproof::checks {

void terminal_size(const Judged& in, Report& report) {
  const Family& family = in.family;
  for (Index i = 0; i < family.wires.size(); ++i) {
    const Wire& wire = family.wires[i];
    if (wire.mm2 == not_given) continue;
    for (Index end : {wire.from, wire.to}) {
      const Point& point = family.points[end];
      if (point.kind != PointKind::cavity) continue;
      for (const ConnectorRow& row : rows(family.connector_rows, family.connectors[point.connector].rows)) {
        if (row.housing == none || !(family.set(row.cells) & in.built).meets(family.set(wire.cells))) continue;
        for (const HousingCavity& cavity : rows(family.housing_cavities, family.housings[row.housing].cavities)) {
          if (cavity.number != point.name) continue;
          report.judged(Rule::terminal_size);
          bool fits = cavity.mm2_min == not_given || (wire.mm2 >= cavity.mm2_min && wire.mm2 <= cavity.mm2_max);
          if (!fits)
            report.add<Rule::terminal_size>(in.spans.wires[i].mm2, milli(wire.mm2), point_name(family, end),
                                            milli(cavity.mm2_min) + " to " + milli(cavity.mm2_max) + " mm²")
                .label(in.spans.housings[row.housing], "its housing");
        }
      }
    }
  }
}

}  // namespace loomproof::checks
