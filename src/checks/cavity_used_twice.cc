// A cavity holds one wire; several only where each is a declared double crimp.
#include <algorithm>
#include <map>
#include <tuple>

#include "checks/all.h"
#include "checks/circuits.h"

namespace loomproof::checks {

namespace {

struct Clash {
  Index point = none, first = none, second = none;  // wires
  CellSet cells;
};

// The same wire written twice makes a loop: wire_loop.cc tells it, once and not at each end.
bool is_repeated(const Wire& a, const Wire& b) {
  return a.circuit == b.circuit && std::minmax(a.from, a.to) == std::minmax(b.from, b.to);
}

std::vector<Clash> clashes_at(const Judged& in, Index point) {
  const Family& family = in.family;
  std::vector<Clash> found;
  std::span<const Index> wires = in.index.wires_at(point);
  for (size_t i = 1; i < wires.size(); ++i)
    for (size_t j = 0; j < i; ++j) {
      const Wire &a = family.wires[wires[j]], &b = family.wires[wires[i]];
      if ((a.double_crimp && b.double_crimp) || is_repeated(a, b)) continue;
      const CellSet both = family.set(a.cells) & family.set(b.cells) & in.built;
      if (both.empty()) continue;
      found.push_back({point, wires[j], wires[i], both});
      break;
    }
  return found;
}

// A cavity of the same connector without a wire, whose partner carries one of the two circuits: where that wire
// belongs.
std::string empty_place(const Judged& in, const Clash& clash) {
  const Index connector = in.family.points[clash.point].connector;
  for (size_t c = 0; c < in.classes.size(); ++c) {
    if (!in.classes[c].cells.meets(clash.cells)) continue;
    const BuildNets& build = in.builds[c];
    for (Index at : build.plugged.matings_of(connector)) {
      const Mating& mating = build.plugged.matings()[at];
      const Index other = mating.connector_a == connector ? mating.connector_b : mating.connector_a;
      for (Index mate : in.index.points_of(other)) {
        const Str number = in.family.points[mate].name;
        const Index own = in.index.cavity_point(connector, number);
        if (own != none && !circuits_at(in, own, build.cell).empty()) continue;
        for (Index circuit : circuits_at(in, mate, build.cell))
          if (circuit == in.family.wires[clash.first].circuit || circuit == in.family.wires[clash.second].circuit)
            return fmt::format("`{}.{}` has no wire, and what meets it carries `{}`: does that one belong there?",
                               in.id(in.family.connectors[connector].designator), in.id(number),
                               in.circuit_id(circuit));
      }
    }
  }
  return {};
}

// Clashes of the same two circuits in one connector: two ends that were exchanged in some cells make two.
void tell_clashes(const Judged& in, const std::vector<Clash>& same, Report& report) {
  const Family& family = in.family;
  const Clash& first = same.front();
  CellSet cells;
  for (const Clash& clash : same)
    if (clash.point == first.point) cells |= clash.cells;
  auto finding = report.add<Rule::cavity_used_twice>(in.wire_end_span(first.second, first.point),
                                                     point_name(family, first.point), in.cells_words(cells));
  finding.label(in.wire_end_span(first.first, first.point), "used here as well");
  for (size_t i = 1; i < same.size(); ++i)
    for (Index wire : {same[i].first, same[i].second})
      if (wire != first.first && wire != first.second)
        finding.label(in.wire_end_span(wire, same[i].point),
                      same[i].point == first.point ? "and here in " + in.cells_words(same[i].cells)
                                                   : point_name(family, same[i].point) + " is used twice too, in " +
                                                         in.cells_words(same[i].cells));
  if (std::string place = empty_place(in, first); !place.empty()) finding.help(std::move(place));
  if (family.wires[first.first].circuit == family.wires[first.second].circuit)
    finding.help("if both share one terminal, give each `double: true`");
}

}  // namespace

void cavity_used_twice(const Judged& in, Report& report) {
  const Family& family = in.family;
  std::map<std::pair<Index, std::pair<Index, Index>>, std::vector<Clash>> found;  // connector, two circuits
  for (Index point = 0; point < family.points.size(); ++point) {
    if (family.points[point].kind != PointKind::cavity) continue;
    report.judged(Rule::cavity_used_twice);
    for (const Clash& clash : clashes_at(in, point)) {
      const Index a = family.wires[clash.first].circuit, b = family.wires[clash.second].circuit;
      for (Index circuit : {a, b}) in.faults.broken(clash.cells, circuit);
      found[{family.points[point].connector, std::minmax(a, b)}].push_back(clash);
    }
  }
  for (const auto& [where, same] : found) tell_clashes(in, same, report);
}

}  // namespace loomproof::checks
