// Connectors that meet have housings that mate.
#include <algorithm>

#include "checks/all.h"

namespace loomproof::checks {

void plugs_do_not_mate(const Judged& in, Report& report) {
  const Family& family = in.family;
  ByCells<std::pair<Index, Index>> wrong;
  for (size_t c = 0; c < in.classes.size(); ++c)
    for (const Mating& mating : in.builds[c].plugged.matings()) {
      report.judged(Rule::plugs_do_not_mate);
      Index a = connector_row_in(family, mating.connector_a, in.classes[c].cell);
      Index b = connector_row_in(family, mating.connector_b, in.classes[c].cell);
      if (a == none || b == none) continue;
      Index left = family.connector_rows[a].housing, right = family.connector_rows[b].housing;
      Rows<Index> mates = rows(family.housing_refs, family.housings[left].mates);
      if (std::find(mates.begin(), mates.end(), right) == mates.end()) wrong.add({a, b}, in.classes[c].cells);
    }
  wrong.tell([&](const auto& pair, const CellSet&) {
    auto [a, b] = pair;
    const ConnectorRow &left = family.connector_rows[a], &right = family.connector_rows[b];
    report
        .add<Rule::plugs_do_not_mate>(in.spans.connector_rows[a].housing, in.connector_words(left.connector),
                                      in.id(family.housings[left.housing].id), in.connector_words(right.connector),
                                      in.id(family.housings[right.housing].id))
        .label(in.spans.connector_rows[b].housing, "the other side");
  });
}

}  // namespace loomproof::checks
