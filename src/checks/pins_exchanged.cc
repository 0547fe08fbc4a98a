// A part that stands in several places is wired alike in all of them: pin for pin its circuits do the same. What they
// do is their function, by which the two ends of a motor or the two coils of a valve are told from each other.
#include <algorithm>
#include <map>
#include <set>
#include <tuple>

#include "checks/all.h"
#include "checks/circuits.h"

namespace loomproof::checks {

namespace {

// A plug of the part in one of its places. By the number of the cavity: the cavity across, and what its circuit does.
struct Meeting {
  std::map<Str, Index> own;        // into points
  std::map<Str, Index> across;     // likewise
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
    meeting.own[cavity] = own;
    meeting.across[cavity] = other;
    const std::vector<Index> circuits = circuits_at(in, other, cell);
    if (circuits.size() != 1 || is_told(in, circuits, cell)) return;
    if (const Index function = in.family.circuits[circuits.front()].function; function != none)
      meeting.functions[cavity] = function;
  });
  return meeting;
}

// Places whose cavities do the same, all of them.
struct Alike {
  const std::map<Str, Index>* functions = nullptr;
  std::vector<const Meeting*> meetings;  // in the order of the plugs
};

std::vector<Alike> by_functions(const std::vector<Meeting>& meetings) {
  std::map<std::map<Str, Index>, size_t> numbers;
  std::vector<Alike> groups;
  for (const Meeting& meeting : meetings) {
    const auto [at, is_new] = numbers.try_emplace(meeting.functions, groups.size());
    if (is_new) groups.push_back({&meeting.functions, {}});
    groups[at->second].meetings.push_back(&meeting);
  }
  return groups;
}

// Whether cavities `first` and `second` do in one place what they do in the other: the same, or exchanged.
enum class Compared { alike, reverse, otherwise };
Compared compare(const Alike& one, const Alike& other, Str first, Str second) {
  const auto a = other.functions->find(first), b = other.functions->find(second);
  if (a == other.functions->end() || b == other.functions->end()) return Compared::otherwise;
  const Index does = one.functions->at(first), also = one.functions->at(second);
  if (a->second == does && b->second == also) return Compared::alike;
  return a->second == also && b->second == does ? Compared::reverse : Compared::otherwise;
}

// Pairs of cavities that one has the other way round than the other.
void add_exchanged(const Alike& one, const Alike& other, std::set<std::pair<Str, Str>>& pairs) {
  std::vector<Str> differing;
  for (const auto& [cavity, does] : *one.functions)
    if (const auto there = other.functions->find(cavity); there != other.functions->end() && there->second != does)
      differing.push_back(cavity);
  for (size_t i = 0; i < differing.size(); ++i)
    for (size_t j = i + 1; j < differing.size(); ++j)
      if (compare(one, other, differing[i], differing[j]) == Compared::reverse)
        pairs.emplace(differing[i], differing[j]);
}

// The one thing that a pin without a demand of its own leads to; `none` where it is another pin, or leads to more.
Index only_inside(const Judged& in, Index point, uint32_t cell) {
  for (const Index pin : in.index.pins_at(point))
    if (in.family.holds(in.family.pins[pin].cells, cell) && in.family.pins[pin].role != Role::passes) return none;
  Index only = none;
  for (const Index inside : in.index.insides_at(point)) {
    if (!in.family.holds(in.family.insides[inside].cells, cell)) continue;
    if (only != none) return none;
    only = inside;
  }
  return only;
}

// A lamp, a coil or a fuse does the same whichever of its two wires is at which end, and is wired either way.
bool may_be_turned(const Judged& in, Index first, Index second, uint32_t cell) {
  const Index inside = only_inside(in, first, cell);
  if (inside == none || inside != only_inside(in, second, cell)) return false;
  const InsideKind kind = in.family.insides[inside].kind;
  return kind != InsideKind::motor && kind != InsideKind::diode && kind != InsideKind::capacitor &&
         kind != InsideKind::squib;
}

// Of two cavities that some places have one way round and others the other way, those places that are fewer; of equally
// many, those of the first.
void find_exchanged(const Judged& in, const std::vector<Meeting>& meetings, const CellClass& each,
                    ByCells<Exchange>& found) {
  const std::vector<Alike> groups = by_functions(meetings);
  for (const Alike& odd : groups) {
    std::set<std::pair<Str, Str>> pairs;
    for (const Alike& other : groups) add_exchanged(odd, other, pairs);
    for (const auto& [first, second] : pairs) {
      size_t alike = 0, reverse = 0;
      const Meeting *first_alike = nullptr, *first_reverse = nullptr;
      for (const Alike& other : groups) {
        const Compared compared = compare(odd, other, first, second);
        if (compared == Compared::otherwise) continue;
        const bool is_alike = compared == Compared::alike;
        (is_alike ? alike : reverse) += other.meetings.size();
        const Meeting*& front = is_alike ? first_alike : first_reverse;
        if (front == nullptr) front = other.meetings.front();  // groups stand in the order of their first plugs
      }
      if (alike > reverse || (alike == reverse && first_alike > first_reverse)) continue;
      for (const Meeting* meeting : odd.meetings)
        if (!may_be_turned(in, meeting->own.at(first), meeting->own.at(second), each.cell))
          found.add({meeting->across.at(first), meeting->across.at(second), first_reverse->across.at(first)},
                    each.cells);
    }
  }
}

// The parts that stand in more than one place, by id.
std::set<Str> parts_in_places(const Family& family) {
  std::set<Str> once, more;
  for (const Part& part : family.parts)
    if (part.kind == PartKind::component && !once.insert(part.id).second) more.insert(part.id);
  return more;
}

}  // namespace

void pins_exchanged(const Judged& in, Report& report) {
  const std::set<Str> wanted = parts_in_places(in.family);
  ByCells<Exchange> found;
  for (size_t c = 0; c < in.classes.size(); ++c) {
    std::map<std::pair<Str, Str>, std::vector<Meeting>> by_plug;  // a part and one of its plugs, in all its places
    const auto add = [&](Index connector, Index other) {
      const Connector& row = in.family.connectors[connector];
      const Part& part = in.family.parts[row.part];
      if (part.kind != PartKind::component || !wanted.contains(part.id)) return;
      by_plug[{part.id, row.designator}].push_back(meeting_of(in, connector, other, in.classes[c].cell));
    };
    for (const Mating& mating : in.builds[c].plugged.matings()) {
      add(mating.connector_a, mating.connector_b);
      add(mating.connector_b, mating.connector_a);
    }
    for (const auto& [plug, meetings] : by_plug) {
      if (meetings.size() < 2) continue;
      report.judged(Rule::pins_exchanged, meetings.size());
      find_exchanged(in, meetings, in.classes[c], found);
    }
  }
  found.tell([&](const Exchange& exchange, const CellSet& cells) {
    const uint32_t cell = cells.lowest();
    const std::vector<Index> first = circuits_at(in, exchange.first, cell),
                             second = circuits_at(in, exchange.second, cell);
    report
        .add<Rule::pins_exchanged>(circuit_span_at(in, exchange.first, cell), point_name(in.family, exchange.first),
                                   point_name(in.family, exchange.second), circuit_words(in, first),
                                   circuit_words(in, second))
        .label(circuit_span_at(in, exchange.second, cell), "the other of the two")
        .label(circuit_span_at(in, exchange.witness, cell), "in another place this cavity has what the other has here")
        .help("which of the places is wrong the data cannot tell: look at both")
        .help(
            "where it is so in metal, as where a motor of the other side runs the other way, allow this rule and say "
            "why");
  });
}

}  // namespace loomproof::checks
