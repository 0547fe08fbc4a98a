// A cavity holds one wire; several only where each is a declared double crimp.
#include "checks/all.h"

namespace loomproof::checks {

void cavity_used_twice(const Judged& in, Report& report) {
  const Family& family = in.family;
  for (Index point = 0; point < family.points.size(); ++point) {
    if (family.points[point].kind != PointKind::cavity) continue;
    report.judged(Rule::cavity_used_twice);
    std::span<const Index> wires = in.index.wires_at(point);
    for (size_t i = 1; i < wires.size(); ++i)
      for (size_t j = 0; j < i; ++j) {
        const Wire &a = family.wires[wires[j]], &b = family.wires[wires[i]];
        if (a.double_crimp && b.double_crimp) continue;
        CellSet both = family.set(a.cells) & family.set(b.cells) & in.built;
        if (both.empty()) continue;
        for (uint32_t cell : both.cells()) {
          in.faults.circuits.insert({cell, a.circuit});
          in.faults.circuits.insert({cell, b.circuit});
        }
        auto finding = report.add<Rule::cavity_used_twice>(in.wire_end_span(wires[i], point), point_name(family, point),
                                                           in.cells_words(both));
        finding.label(in.wire_end_span(wires[j], point), "used here as well");
        if (a.circuit == b.circuit) finding.help("if both share one terminal, give each `double: true`");
        break;
      }
  }
}

}  // namespace loomproof::checks
