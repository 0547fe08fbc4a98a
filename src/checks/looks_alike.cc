// Two wires of one plug that the eye cannot tell apart: same colours, same thickness, different circuits.
#include <map>
#include <tuple>

#include "checks/all.h"

namespace loomproof::checks {

namespace {

// "light BU/YE, 0.75 mm²"
std::string look_words(const Family& family, const Wire& wire) {
  return colour_code(family, wire) + (wire.mm2 == not_given ? "" : ", " + milli(wire.mm2) + " mm²");
}

}  // namespace

void looks_alike(const Judged& in, Report& report) {
  const Family& family = in.family;
  for (Index connector = 0; connector < family.connectors.size(); ++connector) {
    using Look = std::tuple<Index, Index, Shade, Quantity>;
    struct Seen {
      Index wire, point;
    };
    std::map<Look, std::vector<Seen>> looks;
    for (Index point : in.index.points_of(connector))
      for (Index wire : in.index.wires_at(point)) {
        const Wire& row = family.wires[wire];
        report.judged(Rule::looks_alike);
        if (row.base != none) looks[{row.base, row.tracer, row.shade, row.mm2}].push_back({wire, point});
      }
    // One finding a look and connector: the first pair is named, the rest are labelled.
    for (const auto& [look, seen] : looks)
      for (size_t i = 1; i < seen.size(); ++i) {
        const Wire& later = family.wires[seen[i].wire];
        size_t j = 0;
        while (j < i && (family.wires[seen[j].wire].circuit == later.circuit || seen[j].point == seen[i].point ||
                         !(family.set(family.wires[seen[j].wire].cells) & family.set(later.cells)).meets(in.built)))
          ++j;
        if (j == i) continue;
        const Wire& first = family.wires[seen[j].wire];
        report
            .add<Rule::looks_alike>(in.wire_end_span(seen[i].wire, seen[i].point), in.circuit_id(first.circuit),
                                    in.circuit_id(later.circuit), in.connector_words(connector),
                                    look_words(family, later))
            .label(in.wire_end_span(seen[j].wire, seen[j].point), "the other");
      }
  }
}

}  // namespace loomproof::checks
