// In a loom whose wires have colours each wire has one: what was never written down looks like what nobody knows.
#include "checks/all.h"

namespace loomproof::checks {

void colour_missing(const Judged& in, Report& report) {
  const Family& family = in.family;
  for (const Part& part : family.parts) {
    std::vector<Index> bare;
    for (Index wire = part.wires.first; wire < part.wires.end(); ++wire) {
      report.judged(Rule::colour_missing);
      if (family.wires[wire].base == none) bare.push_back(wire);
    }
    const size_t coloured = part.wires.count - bare.size();
    if (coloured <= bare.size()) continue;  // a loom of which nobody has looked at the colours
    for (Index wire : bare)
      report
          .add<Rule::colour_missing>(in.spans.wires[wire].circuit, in.circuit_id(family.wires[wire].circuit),
                                     in.id(part.id), coloured)
          .help("say its colour; where nobody knows it, allow this rule at the row and say why");
  }
}

}  // namespace loomproof::checks
