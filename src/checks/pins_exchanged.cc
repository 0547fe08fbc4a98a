// A part that stands in several places is wired alike in all of them: pin for pin its circuits do the same. What they
// do is their function, by which the two ends of a motor or the two coils of a valve are told from each other.
#include <algorithm>
#include <map>
#include <tuple>

#include "checks/all.h"
#include "checks/circuits.h"

namespace loomproof::checks {

namespace {

// A plug of the part in one of its places. By the number of the cavity: the cavity across, and what its circuit does.
struct Meeting {
  std::map<Str, Index> across;     // into points
  std::map<Str, Index> functions;  // only where one circuit is there, and says
};

// Two cavities across the part where one place has them the other way round.
struct Exchange {
  Index first, second;  // points
  Index witness;        // in a place that has them right, where `first` is here
  bool operator<(const Exchange& o) const {
    return std::tie(first, second, witness) < std::tie(o.first, o.second, o.witness);
  }
};

Meeting meeting_of(const Judged& in, Index connector, Index across, uint32_t cell) {
  Meeting meeting;
  for_cavities(in.index, connector, across, [&](Index own, Index other) {
    if (own == none || other == none) return;
    const Str cavity = in.family.points[own].name;
    meeting.across[cavity] = other;
    const std::vector<Index> circuits = circuits_at(in, other, cell);
    if (circuits.size() != 1 || is_told(in, circuits, cell)) return;
    if (const Index function = in.family.circuits[circuits.front()].function; function != none)
      meeting.functions[cavity] = function;
  });
  return meeting;
}

bool has(const Meeting& meeting, Str cavity, Index function) {
  const auto found = meeting.functions.find(cavity);
  return found != meeting.functions.end() && found->second == function;
}

// Of two cavities that some plugs have one way round and others the other way, those plugs that are fewer.
void find_exchanged(const std::vector<Meeting>& meetings, const CellSet& cells, ByCells<Exchange>& found) {
  for (size_t one = 0; one < meetings.size(); ++one)
    for (const auto& [first, does] : meetings[one].functions)
      for (const auto& [second, other] : meetings[one].functions) {
        if (first >= second || does == other) continue;
        std::vector<size_t> alike, reverse;
        for (size_t i = 0; i < meetings.size(); ++i) {
          if (has(meetings[i], first, does) && has(meetings[i], second, other)) alike.push_back(i);
          if (has(meetings[i], first, other) && has(meetings[i], second, does)) reverse.push_back(i);
        }
        const bool are_fewer = alike.size() < reverse.size() ||
                               (alike.size() == reverse.size() && alike.front() < reverse.front());
        if (reverse.empty() || !are_fewer) continue;
        const Meeting &odd = meetings[one], &right = meetings[reverse.front()];
        found.add({odd.across.at(first), odd.across.at(second), right.across.at(first)}, cells);
      }
}

}  // namespace

void pins_exchanged(const Judged& in, Report& report) {
  ByCells<Exchange> found;
  for (size_t c = 0; c < in.classes.size(); ++c) {
    std::map<std::pair<Str, Str>, std::vector<Meeting>> by_plug;  // a part and one of its plugs, in all its places
    const auto add = [&](Index connector, Index other) {
      const Connector& row = in.family.connectors[connector];
      const Part& part = in.family.parts[row.part];
      if (part.kind != PartKind::component) return;
      by_plug[{part.id, row.designator}].push_back(meeting_of(in, connector, other, in.classes[c].cell));
    };
    for (const Mating& mating : in.builds[c].plugged.matings()) {
      add(mating.connector_a, mating.connector_b);
      add(mating.connector_b, mating.connector_a);
    }
    for (const auto& [plug, meetings] : by_plug) {
      if (meetings.size() < 2) continue;
      report.judged(Rule::pins_exchanged, meetings.size());
      find_exchanged(meetings, in.classes[c].cells, found);
    }
  }
  found.tell([&](const Exchange& exchange, const CellSet& cells) {
    const uint32_t cell = cells.lowest();
    const std::vector<Index> first = circuits_at(in, exchange.first, cell),
                             second = circuits_at(in, exchange.second, cell);
    report
        .add<Rule::pins_exchanged>(circuit_span_at(in, exchange.first, cell),
                                   point_name(in.family, exchange.first),
                                   point_name(in.family, exchange.second), circuit_words(in, first),
                                   circuit_words(in, second))
        .label(circuit_span_at(in, exchange.second, cell), "the other of the two")
        .label(circuit_span_at(in, exchange.witness, cell), "in another place this stands where the other does here")
        .help("which of the places is wrong the data cannot tell: look at both");
    for (const Index circuit : {first.front(), second.front()}) in.faults.broken(cells, circuit);
  });
}

}  // namespace loomproof::checks
