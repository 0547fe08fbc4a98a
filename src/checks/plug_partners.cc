// Every connector meets exactly one partner in each build, or says why nothing need be plugged in.
#include "checks/all.h"

namespace loomproof::checks {

namespace {

// A plug that leads to a place nobody has recorded: it meets something, and nothing is known of it.
bool meets_undocumented(const Family& family, Index place, Str designator, uint32_t cell) {
  for (const PlugPair& plug : family.plugs) {
    if (!family.holds(plug.cells, cell)) continue;
    bool is_a = plug.place_a == place && plug.a == designator, is_b = plug.place_b == place && plug.b == designator;
    if ((is_a && family.places[plug.place_b].undocumented) || (is_b && family.places[plug.place_a].undocumented)) return true;
  }
  return false;
}

}  // namespace

void plug_partners(const Judged& in, Report& report) {
  const Family& family = in.family;
  ByCells<Index> missing;
  ByCells<std::tuple<Index, Index, Index>> ambiguous;
  for (size_t c = 0; c < in.classes.size(); ++c) {
    const BuildNets& build = in.builds[c];
    for (Index part : build.parts) {
      if (part == none) continue;
      Range range = family.parts[part].connectors;
      for (Index connector = range.first; connector < range.end(); ++connector) {
        Index row = connector_row_in(family, connector, build.cell);
        if (row == none) continue;
        report.judged(Rule::plug_missing);
        report.judged(Rule::plug_ambiguous);
        std::span<const Index> matings = build.plugged.matings_of(connector);
        auto other = [&](Index mating) {
          const Mating& both = build.plugged.matings()[mating];
          return both.connector_a == connector ? both.connector_b : both.connector_a;
        };
        if (matings.size() > 1) ambiguous.add({connector, other(matings[0]), other(matings[1])}, in.classes[c].cells);
        if (!matings.empty() || family.connector_rows[row].loose != 0) continue;
        if (meets_undocumented(family, family.parts[part].place, family.connectors[connector].designator, build.cell)) continue;
        missing.add(row, in.classes[c].cells);
      }
    }
  }
  missing.tell([&](Index row, const CellSet& cells) {
    const Connector& connector = family.connectors[family.connector_rows[row].connector];
    report.add<Rule::plug_missing>(in.spans.connector_rows[row].designator, in.id(connector.designator),
                                   in.part_id(connector.part), in.cells_words(cells))
        .help("name its partner under `plugs` in family.yaml, or say `loose: why` here");
  });
  ambiguous.tell([&](const auto& key, const CellSet& cells) {
    auto [connector, first, second] = key;
    report.add<Rule::plug_ambiguous>(in.spans.connector_rows[family.connectors[connector].rows.first].designator,
                                     in.connector_words(connector), in.connector_words(first), in.connector_words(second),
                                     in.cells_words(cells));
  });
}

}  // namespace loomproof::checks
