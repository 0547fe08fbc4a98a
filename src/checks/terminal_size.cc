// A wire's cross-section lies within what the cavities at its ends take.
#include "checks/all.h"

namespace loomproof::checks {

namespace {

// A cavity that a wire's cross-section does not go into.
struct Misfit {
  Index end = none, housing = none;
  Quantity least = not_given, most = not_given;
  std::string takes() const { return milli(least) + " to " + milli(most) + " mm²"; }
};

std::vector<Misfit> misfits(const Judged& in, const Wire& wire, Report& report) {
  const Family& family = in.family;
  std::vector<Misfit> found;
  for (Index end : {wire.from, wire.to}) {
    const Point& point = family.points[end];
    if (point.kind != PointKind::cavity) continue;
    for (const ConnectorRow& row : rows(family.connector_rows, family.connectors[point.connector].rows)) {
      if (row.housing == none || !(family.set(row.cells) & in.built).meets(family.set(wire.cells))) continue;
      for (const HousingCavity& cavity : rows(family.housing_cavities, family.housings[row.housing].cavities)) {
        if (cavity.number != point.name) continue;
        report.judged(Rule::terminal_size);
        if (cavity.mm2_min != not_given && (wire.mm2 < cavity.mm2_min || wire.mm2 > cavity.mm2_max))
          found.push_back({end, row.housing, cavity.mm2_min, cavity.mm2_max});
      }
    }
  }
  return found;
}

}  // namespace

void terminal_size(const Judged& in, Report& report) {
  for (Index i = 0; i < in.family.wires.size(); ++i) {
    const Wire& wire = in.family.wires[i];
    if (wire.mm2 == not_given) continue;
    const std::vector<Misfit> found = misfits(in, wire, report);
    if (found.empty()) continue;
    const Misfit& first = found.front();
    in.faults.wires.insert(i);
    auto finding = report.add<Rule::terminal_size>(in.spans.wires[i].mm2, milli(wire.mm2),
                                                   point_name(in.family, first.end), first.takes());
    finding.label(in.spans.housings[first.housing], "its housing");
    for (size_t more = 1; more < found.size(); ++more)  // the wire is wrong once, whatever its other end takes
      finding.label(in.wire_end_span(i, found[more].end), "this cavity takes " + found[more].takes());
  }
}

}  // namespace loomproof::checks
