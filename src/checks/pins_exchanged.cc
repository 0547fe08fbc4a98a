// A part that stands in several places is wired alike in all of them: pin for pin its circuits do the same. What they
// do is their function, by which the two ends of a motor or the two coils of a valve are told from each other.
#include <algorithm>
#include <map>
#include <tuple>

#include "checks/all.h"
#include "checks/circuits.h"

namespace loomproof::checks {

namespace {

// One plug that meets the part's connector: the other side's cavities, and what the circuit at each does.
struct Meeting {
  std::map<Index, Index> points;     // of the part -> across
  std::map<Index, Index> functions;  // of the part -> into functions; only where one circuit is there, and says
};

// Two cavities of the part, and across them those of the plug that has them the other way round.
struct Exchange {
  Index first, second, across_first, across_second;
  Index witness;  // across `first`, in a place that has them right
  bool operator<(const Exchange& o) const {
    return std::tie(first, second, across_first, across_second, witness) <
           std::tie(o.first, o.second, o.across_first, o.across_second, o.witness);
  }
};

Meeting meeting_of(const Judged& in, Index connector, Index across, uint32_t cell) {
  Meeting meeting;
  for_cavities(in.index, connector, across, [&](Index own, Index other) {
    if (own == none || other == none) return;
    meeting.points[own] = other;
    const std::vector<Index> circuits = circuits_at(in, other, cell);
    if (circuits.size() != 1 || is_told(in, circuits, cell)) return;
    if (const Index function = in.family.circuits[circuits.front()].function; function != none)
      meeting.functions[own] = function;
  });
  return meeting;
}

bool has(const Meeting& meeting, Index point, Index function) {
  const auto found = meeting.functions.find(point);
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
        found.add({first, second, odd.points.at(first), odd.points.at(second), right.points.at(first)}, cells);
      }
}

}  // namespace

void pins_exchanged(const Judged& in, Report& report) {
  ByCells<Exchange> found;
  for (size_t c = 0; c < in.classes.size(); ++c) {
    std::map<Index, std::vector<Index>> across;
    for (const Mating& mating : in.builds[c].plugged.matings()) {
      across[mating.connector_a].push_back(mating.connector_b);
      across[mating.connector_b].push_back(mating.connector_a);
    }
    for (const auto& [connector, others] : across) {
      if (others.size() < 2) continue;
      std::vector<Meeting> meetings;
      for (const Index other : others) meetings.push_back(meeting_of(in, connector, other, in.classes[c].cell));
      report.judged(Rule::pins_exchanged, meetings.size());
      find_exchanged(meetings, in.classes[c].cells, found);
    }
  }
  found.tell([&](const Exchange& exchange, const CellSet& cells) {
    const uint32_t cell = cells.lowest();
    const std::vector<Index> first = circuits_at(in, exchange.across_first, cell),
                             second = circuits_at(in, exchange.across_second, cell);
    report
        .add<Rule::pins_exchanged>(circuit_span_at(in, exchange.across_first, cell),
                                   point_name(in.family, exchange.across_first),
                                   point_name(in.family, exchange.across_second), circuit_words(in, first),
                                   circuit_words(in, second))
        .label(circuit_span_at(in, exchange.across_second, cell), "the other of the two")
        .label(circuit_span_at(in, exchange.witness, cell), "in another place this stands where the other does here")
        .help("which of the places is wrong the data cannot tell: look at both");
    for (const Index circuit : {first.front(), second.front()}) in.faults.broken(cells, circuit);
  });
}

}  // namespace loomproof::checks
