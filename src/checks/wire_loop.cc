// A wire that joins what the wires before it have joined already makes a loop: a current path that nobody sees.
#include <numeric>

#include "checks/all.h"

namespace loomproof::checks {

namespace {

struct Joined {
  std::vector<Index> parent;
  explicit Joined(Index count) : parent(count) { std::iota(parent.begin(), parent.end(), Index{0}); }
  Index root(Index i) {
    while (parent[i] != i) i = parent[i] = parent[parent[i]];
    return i;
  }
  bool join(Index a, Index b) {
    a = root(a), b = root(b);
    if (a == b) return false;
    parent[a] = b;
    return true;
  }
};

}  // namespace

void wire_loop(const Judged& in, Report& report) {
  const Family& family = in.family;
  for (const Part& part : family.parts) {
    if (part.wires.count == 0) continue;
    ByCells<Index> loops;
    for (const CellClass& each : in.classes) {
      Joined joined(part.points.count);
      for (Index wire = part.wires.first; wire < part.wires.end(); ++wire) {
        const Wire& row = family.wires[wire];
        if (!family.holds(row.cells, each.cell)) continue;
        report.judged(Rule::wire_loop);
        if (!joined.join(row.from - part.points.first, row.to - part.points.first)) loops.add(wire, each.cells);
      }
    }
    loops.tell([&](Index wire, const CellSet& cells) {
      auto finding = report.add<Rule::wire_loop>(in.spans.wires[wire].row, in.cells_words(cells));
      const Wire& row = family.wires[wire];
      if (row.from == row.to) finding.help("both ends of this wire are the same");
      for (Index other : in.index.wires_at(row.from))
        if (other != wire && family.set(family.wires[other].cells).meets(cells) &&
            (family.wires[other].to == row.to || family.wires[other].from == row.to))
          finding.label(in.spans.wires[other].row, "joined here already");
    });
  }
}

}  // namespace loomproof::checks
