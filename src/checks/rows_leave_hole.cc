// Where a connector does not say what the rest of its cavities is, every cavity has a row in every built vehicle.
#include <algorithm>

#include "checks/all.h"
#include "checks/circuits.h"

namespace loomproof::checks {

namespace {

// The cavities of one connector that no row describes.
struct Hole {
  Index row = none;  // of the connector
  std::vector<std::string_view> numbers;
  std::vector<Index> points;    // of those that have one
  std::vector<Index> circuits;  // that meet them, or are there in other cells: what was lost is likely one of these
  CellSet cells;
};

CellSet bare_cells(const Judged& in, Index point, CellSet bare) {
  const Family& family = in.family;
  if (point == none) return bare;
  for (Index wire : in.index.wires_at(point)) bare -= family.set(family.wires[wire].cells);
  for (Index pin : in.index.pins_at(point)) bare -= family.set(family.pins[pin].cells);
  for (Index state : in.index.cavity_rows_at(point)) bare -= family.set(family.cavity_rows[state].cells);
  return bare;
}

// Circuits that meet the cavity in these cells, and those of its own rows in others; those alone that are not broken.
// What another rule has told of all of them leaves no cell bare.
std::vector<Index> circuits_of_hole(const Judged& in, Index connector, Str number, Index point, CellSet& cells) {
  std::vector<Index> all;
  CellSet told;
  for (size_t c = 0; c < in.classes.size(); ++c) {
    if (!in.classes[c].cells.meets(cells)) continue;
    const BuildNets& build = in.builds[c];
    std::vector<Index> here;
    for (Index at : build.plugged.matings_of(connector)) {
      const Mating& mating = build.plugged.matings()[at];
      const Index other = mating.connector_a == connector ? mating.connector_b : mating.connector_a;
      if (const Index mate = in.index.cavity_point(other, number); mate != none)
        for (Index circuit : circuits_at(in, mate, build.cell)) here.push_back(circuit);
    }
    if (point != none)
      for (Index wire : in.index.wires_at(point)) here.push_back(in.family.wires[wire].circuit);
    if (is_told(in, here, build.cell)) told |= in.classes[c].cells;
    all.insert(all.end(), here.begin(), here.end());
  }
  cells -= told;
  std::sort(all.begin(), all.end());
  all.erase(std::unique(all.begin(), all.end()), all.end());
  return all;
}

Hole hole_of(const Judged& in, Index connector, Index row) {
  const ConnectorRow& connector_row = in.family.connector_rows[row];
  Hole hole{row, {}, {}, {}, {}};
  for (const HousingCavity& cavity :
       rows(in.family.housing_cavities, in.family.housings[connector_row.housing].cavities)) {
    const Index point = in.index.cavity_point(connector, cavity.number);
    CellSet bare = bare_cells(in, point, in.family.set(connector_row.cells) & in.built);
    if (bare.empty()) continue;
    const std::vector<Index> circuits = circuits_of_hole(in, connector, cavity.number, point, bare);
    if (bare.empty()) continue;
    hole.cells |= bare;
    hole.numbers.push_back(in.id(cavity.number));
    if (point != none) hole.points.push_back(point);
    hole.circuits.insert(hole.circuits.end(), circuits.begin(), circuits.end());
  }
  return hole;
}

std::string hole_words(const Judged& in, const Hole& hole) {
  constexpr size_t most = 8;
  const Connector& connector = in.family.connectors[in.family.connector_rows[hole.row].connector];
  const size_t shown = std::min(hole.numbers.size(), most);
  return fmt::format("{}.{}{}", in.id(connector.designator),
                     fmt::join(hole.numbers.begin(), hole.numbers.begin() + static_cast<std::ptrdiff_t>(shown), ", "),
                     hole.numbers.size() > most ? fmt::format(" and {} more", hole.numbers.size() - most) : "");
}

// Both ends of a wire that was lost: one circuit, one part, the same cells.
bool is_other_end(const Judged& in, const Hole& one, const Hole& other) {
  const auto part_of = [&](const Hole& hole) {
    return in.family.connectors[in.family.connector_rows[hole.row].connector].part;
  };
  return part_of(one) == part_of(other) && one.cells.meets(other.cells) &&
         std::any_of(one.circuits.begin(), one.circuits.end(), [&](Index circuit) {
           return std::find(other.circuits.begin(), other.circuits.end(), circuit) != other.circuits.end();
         });
}

void tell_holes(const Judged& in, const std::vector<Hole>& holes, Report& report) {
  const Hole& first = holes.front();
  auto finding = report.add<Rule::rows_leave_hole>(in.spans.connector_rows[first.row].designator, hole_words(in, first),
                                                   in.cells_words(first.cells));
  for (size_t i = 1; i < holes.size(); ++i)
    finding.label(in.spans.connector_rows[holes[i].row].designator,
                  fmt::format("nor `{}` in {}", hole_words(in, holes[i]), in.cells_words(holes[i].cells)));
  for (Index point : first.points) in.label_elsewhere(point, first.cells, finding);
  finding.help("say what is there, or give the connector `rest: empty`, `rest: unknown` or (components) `rest: open`");
}

}  // namespace

void rows_leave_hole(const Judged& in, Report& report) {
  std::vector<std::vector<Hole>> found;
  for (Index connector = 0; connector < in.family.connectors.size(); ++connector) {
    const Range range = in.family.connectors[connector].rows;
    for (Index row = range.first; row < range.end(); ++row) {
      report.judged(Rule::rows_leave_hole);
      const ConnectorRow& connector_row = in.family.connector_rows[row];
      if (connector_row.rest != Rest::unset || connector_row.housing == none) continue;
      const Hole hole = hole_of(in, connector, row);
      if (hole.numbers.empty()) continue;
      const auto same = std::find_if(found.begin(), found.end(),
                                     [&](const auto& holes) { return is_other_end(in, holes.front(), hole); });
      if (same == found.end())
        found.push_back({hole});
      else
        same->push_back(hole);
    }
  }
  for (const std::vector<Hole>& holes : found) {
    for (const Hole& hole : holes) {
      in.faults.parts.insert(in.family.connectors[in.family.connector_rows[hole.row].connector].part);
      for (Index circuit : hole.circuits) in.faults.broken(hole.cells, circuit);
    }
    tell_holes(in, holes, report);
  }
}

}  // namespace loomproof::checks
