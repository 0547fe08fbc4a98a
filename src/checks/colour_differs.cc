// One colour for wires of a circuit that are joined in a loom: the one that stands out was misread, or is of another
// circuit. Runs of a circuit that nothing in the loom joins may have each its own.
#include <algorithm>
#include <map>
#include <set>
#include <utility>

#include "checks/all.h"

namespace loomproof::checks {

namespace {

// Without the shade: many a page leaves it out.
using Tint = std::pair<Index, Index>;

Tint tint(const Wire& wire) {
  return {wire.base, wire.tracer};
}

// Wires of one circuit, joined by the points at which they end, whatever the build; ascending.
std::vector<std::vector<Index>> joined_wires(const Family& family, const std::vector<Index>& wires) {
  struct Run {
    std::set<Index> points, wires;
  };
  std::vector<Run> runs;
  for (const Index wire : wires) {
    Run run{{family.wires[wire].from, family.wires[wire].to}, {wire}};
    std::vector<Run> others;
    for (Run& each : runs) {
      if (each.points.count(family.wires[wire].from) + each.points.count(family.wires[wire].to) == 0) {
        others.push_back(std::move(each));
        continue;
      }
      if (each.wires.size() > run.wires.size()) std::swap(run, each);  // the fewer are moved
      run.points.merge(each.points);
      run.wires.merge(each.wires);
    }
    runs = std::move(others);
    runs.push_back(std::move(run));
  }
  std::vector<std::vector<Index>> joined;
  for (const Run& run : runs) joined.emplace_back(run.wires.begin(), run.wires.end());
  return joined;
}

// A wire that wears another colour than more of its fellows wear together than wear its own: it, and one of those.
// Of two that differ and have no third beside them, the later one.
struct Odd {
  Index wire = none, other = none;
};

Odd odd_one(const Family& family, const std::vector<Index>& wires, size_t which, const CellSet& built) {
  const Wire& row = family.wires[wires[which]];
  std::map<Tint, std::vector<Index>> fellows;  // that are there in one build with it
  for (const Index wire : wires)
    if ((family.set(family.wires[wire].cells) & family.set(row.cells)).meets(built))
      fellows[tint(family.wires[wire])].push_back(wire);
  const std::vector<Index>& own = fellows[tint(row)];
  Odd odd;
  size_t most = 0;
  for (const auto& [look, others] : fellows) {
    const bool is_more = others.size() > own.size() || (others.size() == own.size() && others.front() < own.front());
    if (look == tint(row) || !is_more || others.size() <= most) continue;
    most = others.size();
    odd = {wires[which], others.front()};
  }
  return odd;
}

// The wires that stand out among joined ones, in one finding.
void tell_odd(const Judged& in, const Part& part, const std::vector<Index>& wires, Report& report) {
  const Family& family = in.family;
  std::vector<Odd> odds;
  for (size_t i = 0; i < wires.size(); ++i)
    if (const Odd odd = odd_one(family, wires, i, in.built); odd.wire != none) odds.push_back(odd);
  if (odds.empty()) return;
  const Wire &first = family.wires[odds.front().wire], &other = family.wires[odds.front().other];
  auto finding =
      report.add<Rule::colour_differs>(in.spans.wires[odds.front().wire].circuit, in.circuit_id(first.circuit),
                                       colour_code(family, first), colour_code(family, other), in.id(part.id));
  for (size_t i = 1; i < odds.size(); ++i) finding.label(in.spans.wires[odds[i].wire].circuit, "and here");
  finding.label(in.spans.wires[odds.front().other].circuit, "as here");
  finding.help("where it is so in metal, allow this rule at the row and say why");
}

}  // namespace

void colour_differs(const Judged& in, Report& report) {
  const Family& family = in.family;
  const auto is_told = [&](Index circuit) {
    return std::any_of(in.faults.circuits.begin(), in.faults.circuits.end(),
                       [&](const auto& fault) { return fault.second == circuit; });
  };
  for (const Part& part : family.parts) {
    std::map<Index, std::vector<Index>> of_circuit;
    for (Index wire = part.wires.first; wire < part.wires.end(); ++wire)
      if (family.wires[wire].base != none) of_circuit[family.wires[wire].circuit].push_back(wire);
    for (const auto& [circuit, wires] : of_circuit) {
      report.judged(Rule::colour_differs, wires.size());
      if (wires.size() < 2 || in.faults.parts.count(static_cast<Index>(&part - family.parts.data())) != 0 ||
          is_told(circuit))
        continue;
      for (const std::vector<Index>& joined : joined_wires(family, wires)) tell_odd(in, part, joined, report);
    }
  }
}

}  // namespace loomproof::checks
