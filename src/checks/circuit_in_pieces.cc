// One circuit is one net in each build. Earth points count as one; what nobody has looked at may join the pieces and is
// given the benefit of the doubt.
#include <algorithm>

#include "checks/all.h"
#include "checks/circuits.h"

namespace loomproof::checks {

namespace {

// The pieces of one circuit in one build.
struct Pieces {
  uint32_t count = 0;                 // all that are earthed are one
  Index first = none, second = none;  // a wire of each
  bool earthed = false;
  bool open_ended = false;  // some piece runs into something unknown

  void add(Index wire, bool is_earthed, bool is_open_ended) {
    open_ended |= is_open_ended;
    if (is_earthed && earthed) return;
    earthed |= is_earthed;
    ++count;
    if (first == none)
      first = wire;
    else if (second == none)
      second = wire;
  }
};

bool runs_into_unknown(const Judged& in, const BuildNets& build, Index point) {
  const std::span<const Mate> mates = build.plugged.mates(point);
  for (const Mate& mate : mates) {
    if (mate.point != none) {
      if (reached(in, mate.point, build.cell) == Reached::unknown) return true;
      continue;
    }
    const Index row = connector_row_in(in.family, mate.connector, build.cell);
    if (row != none && rest_state(in.family.connector_rows[row].rest).state == State::unknown) return true;
  }
  const Point& at = in.family.points[point];
  if (at.kind != PointKind::cavity || !mates.empty()) return false;
  Index row = connector_row_in(in.family, at.connector, build.cell);
  return row != none && in.family.connector_rows[row].loose == 0;  // leads to a place that nobody recorded
}

}  // namespace

void circuit_in_pieces(const Judged& in, Report& report) {
  const Family& family = in.family;
  struct Found {
    uint32_t count = 0;
    Index first = none, second = none;  // wires
    bool operator<(const Found& o) const {
      return std::tie(count, first, second) < std::tie(o.count, o.first, o.second);
    }
  };
  ByCells<std::pair<Index, Found>> found;
  for (size_t c = 0; c < in.classes.size(); ++c) {
    const BuildNets& build = in.builds[c];
    std::vector<Pieces> pieces(family.circuits.size());      // by circuit
    std::vector<Index> shown(family.circuits.size(), none);  // by circuit: its first wire on the net
    for (Index net = 0; net < build.nets.count(); ++net) {
      bool earthed = false, open_ended = false;
      for (Index point : build.nets.points(net)) {
        earthed |= family.points[point].kind == PointKind::earth;
        bool wired = false;
        for (Index wire : in.index.wires_at(point)) {
          const Wire& row = family.wires[wire];
          if (!family.holds(row.cells, build.cell)) continue;
          wired = true;
          if (row.spare == 0 && shown[row.circuit] == none) shown[row.circuit] = wire;
        }
        open_ended = open_ended || (wired && runs_into_unknown(in, build, point));
      }
      for (Index circuit : build.nets.circuits(net)) {
        if (shown[circuit] != none) pieces[circuit].add(shown[circuit], earthed, open_ended);
        shown[circuit] = none;
      }
    }
    for (Index circuit = 0; circuit < pieces.size(); ++circuit) {
      const Pieces& of = pieces[circuit];
      if (of.count == 0) continue;
      report.judged(Rule::circuit_in_pieces);
      if (in.faults.circuits.count({build.cell, circuit}) || of.count == 1 || of.open_ended) continue;
      found.add({circuit, Found{of.count, of.first, of.second}}, in.classes[c].cells);
    }
  }
  found.tell([&](const auto& key, const CellSet& cells) {
    const auto& [circuit, pair] = key;
    report
        .add<Rule::circuit_in_pieces>(in.spans.wires[pair.second].circuit, in.circuit_id(circuit), pair.count,
                                      in.cells_words(cells))
        .label(in.spans.wires[pair.first].circuit, "nothing joins this wire to it")
        .help("join them with a splice, a plug or a declared strap, or give each its own circuit");
  });
}

}  // namespace loomproof::checks
