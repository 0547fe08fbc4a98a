// Every connector meets exactly one partner in each build, or says why nothing need be plugged in.
#include <algorithm>
#include <set>
#include <tuple>

#include "checks/all.h"

namespace loomproof::checks {

namespace {

// A plug that leads to a place nobody has recorded: it meets something, and nothing is known of it.
bool meets_undocumented(const Family& family, Index place, Str designator, uint32_t cell) {
  for (const PlugPair& plug : family.plugs) {
    if (!family.holds(plug.cells, cell)) continue;
    bool is_a = plug.place_a == place && plug.a == designator, is_b = plug.place_b == place && plug.b == designator;
    if ((is_a && family.places[plug.place_b].undocumented) || (is_b && family.places[plug.place_a].undocumented))
      return true;
  }
  return false;
}

Span whole(const PlugSpans& spans) {
  return {spans.a.file, std::min(spans.a.begin, spans.b.begin), std::max(spans.a.end, spans.b.end)};
}

// "CAB-LOOM.C8", as `plugs` writes it
std::string partner_words(const Judged& in, Index connector, Index plug) {
  const PlugPair& row = in.family.plugs[plug];
  const Connector& own = in.family.connectors[connector];
  const bool is_a = row.place_a == in.family.parts[own.part].place && row.a == own.designator;
  return fmt::format("{}.{}", in.place_id(is_a ? row.place_b : row.place_a), in.id(is_a ? row.b : row.a));
}

// A connector row without a partner, and the one that would be it: alone among those that miss one in the same cells to
// have a housing that mates.
struct Missing {
  Index row = none;
  CellSet cells;
};
bool would_mate(const Family& family, const Missing& one, const Missing& other) {
  if (one.row == other.row || one.cells != other.cells) return false;
  const Index left = family.connector_rows[one.row].housing, right = family.connector_rows[other.row].housing;
  if (left == none || right == none) return false;
  const Rows<Index> mates = rows(family.housing_refs, family.housings[left].mates);
  return std::find(mates.begin(), mates.end(), right) != mates.end();
}
const Missing* partner_of(const Family& family, const std::vector<Missing>& all, const Missing& one) {
  const Missing* partner = nullptr;
  for (const Missing& other : all)
    if (would_mate(family, one, other)) {
      if (partner) return nullptr;
      partner = &other;
    }
  return partner;
}

void tell_missing(const Judged& in, const ByCells<Index>& missing, Report& report) {
  const Family& family = in.family;
  std::vector<Missing> all;
  missing.tell([&](Index row, const CellSet& cells) { all.push_back({row, cells}); });
  for (const Missing& each : all) {
    const Missing* partner = partner_of(family, all, each);
    if (partner && partner_of(family, all, *partner) != &each) partner = nullptr;
    if (partner && partner < &each) continue;  // told with it
    const Connector& connector = family.connectors[family.connector_rows[each.row].connector];
    auto finding =
        report.add<Rule::plug_missing>(in.spans.connector_rows[each.row].designator, in.id(connector.designator),
                                       in.part_id(connector.part), in.cells_words(each.cells));
    if (partner)
      finding.label(in.spans.connector_rows[partner->row].designator, "nor has this one, whose housing mates with it");
    finding.help("name its partner under `plugs` in family.yaml, or say `loose: why` here");
  }
}

}  // namespace

void plug_partners(const Judged& in, Report& report) {
  const Family& family = in.family;
  ByCells<Index> missing;
  ByCells<std::tuple<Index, Index, Index>> ambiguous;  // connector, two rows of `plugs`
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
        auto plug = [&](size_t i) { return build.plugged.matings()[matings[i]].plug; };
        if (matings.size() > 1) ambiguous.add({connector, plug(0), plug(1)}, in.classes[c].cells);
        if (!matings.empty() || family.connector_rows[row].loose != 0) continue;
        if (meets_undocumented(family, family.parts[part].place, family.connectors[connector].designator, build.cell))
          continue;
        missing.add(row, in.classes[c].cells);
      }
    }
  }
  tell_missing(in, missing, report);
  std::set<Index> told;  // a row too many makes both of its connectors ambiguous
  ambiguous.tell([&](const auto& key, const CellSet& cells) {
    auto [connector, first, second] = key;
    if (told.count(first) || told.count(second)) return;
    told.insert({first, second});
    report
        .add<Rule::plug_ambiguous>(whole(in.spans.plugs[second]), in.connector_words(connector),
                                   partner_words(in, connector, first), partner_words(in, connector, second),
                                   in.cells_words(cells))
        .label(whole(in.spans.plugs[first]), "the other partner")
        .help("limit each to the vehicles in which it holds: `{meet: […], eras: …}` or `with: …`");
  });
}

}  // namespace loomproof::checks
