// A wire that joins what the wires before it have joined already makes a loop: a current path that nobody sees.
#include <algorithm>
#include <map>
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

// The wires that join two points of a part in a cell, one after the other; of those before `last`.
std::vector<Index> path(const Judged& in, Index from, Index to, Index last, uint32_t cell) {
  std::map<Index, Index> came_by{{from, none}};  // point, wire
  std::vector<Index> waiting{from};
  for (size_t i = 0; i < waiting.size() && !came_by.count(to); ++i)
    for (Index wire : in.index.wires_at(waiting[i])) {
      const Wire& row = in.family.wires[wire];
      const Index other = row.from == waiting[i] ? row.to : row.from;
      if (wire < last && in.family.holds(row.cells, cell) && came_by.try_emplace(other, wire).second)
        waiting.push_back(other);
    }
  std::vector<Index> wires;
  if (!came_by.count(to)) return wires;
  for (Index at = to; at != from;) {
    const Index wire = came_by[at];
    wires.push_back(wire);
    at = in.family.wires[wire].from == at ? in.family.wires[wire].to : in.family.wires[wire].from;
  }
  std::reverse(wires.begin(), wires.end());
  return wires;
}

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
      in.faults.wires.insert(wire);
      if (row.from == row.to) {
        finding.help("both ends of this wire are the same");
        return;
      }
      const std::vector<Index> way = path(in, row.from, row.to, wire, cells.lowest());
      if (way.size() == 1) in.faults.wires.insert(way.front());
      for (Index other : way)
        finding.label(in.spans.wires[other].row,
                      way.size() == 1 ? "joined here already" : "joined by way of this wire");
    });
  }
}

}  // namespace loomproof::checks
