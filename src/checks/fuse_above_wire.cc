// Every wire right behind a fuse bears what the fuse lets through. Behind is the side that no supply reaches but
// through the fuse; where both sides are fed, or neither, nothing is said. What a wire bears is one table of several
// that differ (vocabulary/conductors.yaml), for single cores in free air: so this is a warning, and what is bundled
// bears less.
#include <algorithm>
#include <map>
#include <set>

#include "checks/all.h"

namespace loomproof::checks {

namespace {

// Nets that current can pass between, for one build.
struct Passages {
  std::multimap<Index, std::pair<Index, Index>> from;  // net -> other net, inside element
  std::set<Index> sources;                             // nets with a pin that gives a feed
};

bool lets_through(InsideKind kind) {
  return kind == InsideKind::fuse || kind == InsideKind::contact || kind == InsideKind::diode;
}

Passages passages_of(const Judged& in, const BuildNets& build) {
  Passages all;
  for (Index part : build.parts) {
    if (part == none) continue;
    const Part& row = in.family.parts[part];
    for (Index inside = row.insides.first; inside < row.insides.end(); ++inside) {
      const Inside& each = in.family.insides[inside];
      if (!lets_through(each.kind) || !in.family.holds(each.cells, build.cell)) continue;
      const Index a = build.nets.net(each.a), b = build.nets.net(each.b);
      if (a == none || b == none || a == b) continue;
      all.from.insert({a, {b, inside}});
      all.from.insert({b, {a, inside}});
    }
    for (Index pin = row.pins.first; pin < row.pins.end(); ++pin) {
      const Pin& each = in.family.pins[pin];
      const Index net = build.nets.net(each.point);
      if (each.role == Role::gives_feed && net != none && in.family.holds(each.cells, build.cell))
        all.sources.insert(net);
    }
  }
  return all;
}

// Whether a supply reaches the net, other than through the one element.
bool is_fed(const Passages& passages, Index net, Index but_through) {
  std::set<Index> seen{net};
  std::vector<Index> waiting{net};
  while (!waiting.empty()) {
    const Index at = waiting.back();
    waiting.pop_back();
    if (passages.sources.count(at)) return true;
    const auto [begin, end] = passages.from.equal_range(at);
    for (auto each = begin; each != end; ++each)
      if (each->second.second != but_through && seen.insert(each->second.first).second)
        waiting.push_back(each->second.first);
  }
  return false;
}

// The net that is live through the fuse alone; none where there is no such side.
Index net_behind(const Passages& passages, const Nets& nets, const Inside& fuse, Index inside) {
  const Index a = nets.net(fuse.a), b = nets.net(fuse.b);
  if (a == none || b == none || a == b) return none;
  const bool a_fed = is_fed(passages, a, inside), b_fed = is_fed(passages, b, inside);
  if (a_fed == b_fed) return none;
  return a_fed ? b : a;
}

// What a wire bears at most: of the smallest size in the table that is not below its own.
Quantity bears(const Family& family, Quantity mm2) {
  const Conductor* found = nullptr;
  for (const Conductor& row : family.conductors)
    if (row.amps != not_given && row.mm2 >= mm2 && (!found || row.mm2 < found->mm2)) found = &row;
  return found ? found->amps : not_given;
}

}  // namespace

void fuse_above_wire(const Judged& in, Report& report) {
  const Family& family = in.family;
  std::map<Index, std::map<Index, CellSet>> found;  // inside -> wires that are too thin for it
  for (size_t c = 0; c < in.classes.size(); ++c) {
    const BuildNets& build = in.builds[c];
    const Passages passages = passages_of(in, build);
    for (Index part : build.parts) {
      if (part == none) continue;
      for (Index inside = family.parts[part].insides.first; inside < family.parts[part].insides.end(); ++inside) {
        const Inside& fuse = family.insides[inside];
        if (fuse.kind != InsideKind::fuse || fuse.amps == not_given || !family.holds(fuse.cells, build.cell)) continue;
        const Index behind = net_behind(passages, build.nets, fuse, inside);
        if (behind == none) continue;
        report.judged(Rule::fuse_above_wire);
        for (Index point : build.nets.points(behind))
          for (Index wire : in.index.wires_at(point)) {
            const Wire& row = family.wires[wire];
            if (row.mm2 == not_given || !family.holds(row.cells, build.cell)) continue;
            const Quantity most = bears(family, row.mm2);
            if (most != not_given && most < fuse.amps) found[inside][wire] |= in.classes[c].cells;
          }
      }
    }
  }
  for (const auto& [inside, wires] : found) {
    constexpr size_t most = 4;  // labels
    const Inside& fuse = family.insides[inside];
    const auto thinnest = std::min_element(wires.begin(), wires.end(), [&](const auto& a, const auto& b) {
      return family.wires[a.first].mm2 < family.wires[b.first].mm2;
    });
    const Quantity mm2 = family.wires[thinnest->first].mm2;
    auto finding = report.add<Rule::fuse_above_wire>(in.spans.insides[inside], in.id(fuse.id), milli(fuse.amps),
                                                     milli(mm2), milli(bears(family, mm2)));
    size_t shown = 0;
    for (const auto& [wire, cells] : wires)
      if (++shown <= most) finding.label(in.spans.wires[wire].mm2, "behind it in " + in.cells_words(cells));
    if (wires.size() > most) finding.help(fmt::format("and {} wires more", wires.size() - most));
    finding.help(
        "a smaller fuse or thicker wire; where the maker did it so, allow this rule in the component and say who says "
        "so");
  }
}

}  // namespace loomproof::checks
