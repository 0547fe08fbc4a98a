#include "repin/job.h"

#include <algorithm>
#include <boost/graph/adjacency_list.hpp>
#include <boost/graph/max_cardinality_matching.hpp>
#include <set>

#include "family/words.h"
#include "nets/cavities.h"
#include "nets/components.h"
#include "nets/firing.h"

namespace loomproof::repin {
namespace {

bool same_colour(const Wire& a, const Wire& b) {
  return a.base == b.base && a.tracer == b.tracer && a.shade == b.shade;
}

bool takes(const HousingCavity& cavity, Quantity mm2) {
  return mm2 == not_given || ((cavity.mm2_min == not_given || mm2 >= cavity.mm2_min) &&
                              (cavity.mm2_max == not_given || mm2 <= cavity.mm2_max));
}

}  // namespace

Job::Job(const FamilyIndex& index, Side from, Side to, const Settings& settings, found::PartDraft& draft)
    : index_(index), family_(index.family()), from_(from), to_(to), settings_(settings), draft_(draft) {
  add_plugs();
  add_places();
  add_have();
  add_want();
  join_branches();
  leave_equal_nets();
}

void Job::add_plugs() {
  const std::vector<bool> may_fire = connectors_that_may_fire(index_);
  std::map<std::string, uint32_t> known;
  const auto add = [&](const Side& side, bool left) {
    const Range connectors = family_.parts[side.part].connectors;
    for (Index connector = connectors.first; connector < connectors.end(); ++connector) {
      const Index row = connector_row_in(family_, connector, side.cell);
      const std::string designator(family_.text(family_.connectors[connector].designator));
      const auto [entry, fresh] = known.emplace(designator, static_cast<uint32_t>(plugs.size()));
      if (fresh) plugs.push_back({designator});
      Plug& plug = plugs[entry->second];
      (left ? plug.left : plug.right) = connector;
      (left ? plug.left_row : plug.right_row) = row;
      plug.may_fire = plug.may_fire || may_fire[connector];
    }
  };
  add(from_, true);
  add(to_, false);
  for (Plug& plug : plugs) {
    const auto housing = [&](Index row) { return row == none ? none : family_.connector_rows[row].housing; };
    plug.swapped = housing(plug.left_row) != housing(plug.right_row);
  }
}

uint32_t Job::spot_of(uint32_t plug, Str number, const std::string& name) {
  const auto [entry, fresh] = spots_.emplace(name, static_cast<uint32_t>(places.size()));
  if (fresh) {
    Place place;
    place.kind = PointKind::cavity, place.name = name, place.plug = plug, place.number = number;
    places.push_back(place);
  }
  return entry->second;
}

uint32_t Job::spot_of(Index point, bool left) {
  const Point& row = family_.points[point];
  const std::string name = point_name(family_, point);
  if (row.kind == PointKind::cavity) {
    const std::string designator(family_.text(family_.connectors[row.connector].designator));
    const auto plug =
        std::find_if(plugs.begin(), plugs.end(), [&](const Plug& one) { return one.designator == designator; });
    const uint32_t spot = spot_of(static_cast<uint32_t>(plug - plugs.begin()), row.name, name);
    (left ? places[spot].left : places[spot].right) = point;
    return spot;
  }
  // Ends that hang are of one side alone; a splice and an earth point may have one name.
  const std::string key = std::string(word(row.kind)) + " " + name;
  const auto [entry, fresh] = spots_.emplace(key, static_cast<uint32_t>(places.size()));
  if (fresh) {
    Place place;
    place.kind = row.kind, place.name = name;
    places.push_back(place);
  }
  (left ? places[entry->second].left : places[entry->second].right) = point;
  return entry->second;
}

void Job::add_places() {
  for (uint32_t plug = 0; plug < plugs.size(); ++plug)
    for (const bool left : {true, false}) {
      const Index connector = left ? plugs[plug].left : plugs[plug].right;
      if (connector == none) continue;
      for (const Cavity& cavity : cavities(index_, (left ? from_ : to_).cell, connector)) {
        const std::string name = plugs[plug].designator + "." + std::string(family_.text(cavity.number));
        Place& place = places[spot_of(plug, cavity.number, name)];
        (left ? place.left : place.right) = cavity.point;
        (left ? place.left_cavity : place.right_cavity) = cavity.housing_cavity;
        (left ? place.left_state : place.right_state) = cavity.state.state;
        (left ? place.left_there : place.right_there) = true;
      }
    }
  for (Place& place : places)  // also where its plug is not there now
    if (place.left == none && plugs[place.plug].left != none)
      place.left = index_.cavity_point(plugs[place.plug].left, place.number);
  for (const bool left : {true, false}) {
    const Side& side = left ? from_ : to_;
    const Part& part = family_.parts[side.part];
    const auto joints = [&](const auto& table, Range range) {
      for (const auto& row : rows(table, range)) {
        if (!family_.holds(row.cells, side.cell)) continue;
        Place& place = places[spot_of(row.point, left)];
        (left ? place.left_there : place.right_there) = true;
      }
    };
    joints(family_.splices, part.splices);
    joints(family_.earths, part.earths);
    joints(family_.leads, part.leads);
  }
}

// A resistance at an end is a bad contact: the wires behind it count as ending there.
void Job::add_have() {
  std::map<Index, Index> behind;  // inner point -> the end
  std::set<size_t> stubs;
  for (Index i = family_.parts[from_.part].insides.first; i < family_.parts[from_.part].insides.end(); ++i) {
    const Inside& row = family_.insides[i];
    if (row.kind != InsideKind::resistor || !family_.holds(row.cells, from_.cell)) continue;
    for (size_t wire = 0; wire < draft_.wires.size(); ++wire) {
      if (draft_.wires[wire].to != row.a || family_.points[row.a].kind != PointKind::inner) continue;
      behind[row.b] = draft_.wires[wire].from;
      stubs.insert(wire);
      renewed.push_back(spot_of(draft_.wires[wire].from, true));
      resistances.push_back(i);
    }
  }
  for (size_t wire = 0; wire < draft_.wires.size(); ++wire) {
    if (stubs.count(wire)) {
      draft_.remove_wire(wire);
      continue;
    }
    Wire& row = draft_.wires[wire];
    for (Index* end : {&row.from, &row.to})
      if (const auto found = behind.find(*end); found != behind.end()) *end = found->second;
    have.push_back({spot_of(row.from, true), spot_of(row.to, true), row.circuit});
    pieces.push_back({{wire}, row});
  }
}

void Job::add_want() {
  for (const Wire& wire : rows(family_.wires, family_.parts[to_.part].wires)) {
    if (!family_.holds(wire.cells, to_.cell)) continue;
    want.push_back({spot_of(wire.from, false), spot_of(wire.to, false), wire.circuit});
    wanted.push_back(wire);
  }
}

// Where a branch was let into a wire, the two halves are the wire that is wanted: only the branch has to go.
void Job::join_branches() {
  for (uint32_t spot = 0; spot < places.size(); ++spot) {
    if (places[spot].kind != PointKind::splice || places[spot].right_there) continue;
    bool joined = false;
    for (size_t a = 0; a < have.size() && !joined; ++a)
      for (size_t b = a + 1; b < have.size() && !joined; ++b) {
        const auto other = [&](size_t piece) { return have[piece].a == spot ? have[piece].b : have[piece].a; };
        const auto at = [&](size_t piece) { return have[piece].a == spot || have[piece].b == spot; };
        if (!at(a) || !at(b) || have[a].circuit != have[b].circuit) continue;
        if (!same_colour(pieces[a].wire, pieces[b].wire) || pieces[a].wire.mm2 != pieces[b].wire.mm2) continue;
        const uint32_t end_a = other(a), end_b = other(b);
        if (end_a == spot || end_b == spot || end_a == end_b) continue;
        const bool is_wanted = std::any_of(want.begin(), want.end(), [&](const Line& line) {
          return line.circuit == have[a].circuit &&
                 ((line.a == end_a && line.b == end_b) || (line.a == end_b && line.b == end_a));
        });
        if (!is_wanted) continue;
        pieces[a].rows.insert(pieces[a].rows.end(), pieces[b].rows.begin(), pieces[b].rows.end());
        have[a].a = end_a, have[a].b = end_b;
        have.erase(have.begin() + static_cast<std::ptrdiff_t>(b));
        pieces.erase(pieces.begin() + static_cast<std::ptrdiff_t>(b));
        joined = true;
      }
  }
}

// Whether the wires at a spot are as many as are wanted there, and each of them good for another of those.
bool Job::is_good_at(uint32_t spot) const {
  const auto at = [spot](const Line& line) { return line.a == spot || line.b == spot; };
  std::vector<size_t> here, wanted_here;
  for (size_t h = 0; h < have.size(); ++h)
    if (at(have[h])) here.push_back(h);
  for (size_t w = 0; w < want.size(); ++w)
    if (at(want[w])) wanted_here.push_back(w);
  if (here.size() != wanted_here.size()) return false;
  const size_t count = here.size();
  boost::adjacency_list<boost::vecS, boost::vecS, boost::undirectedS> good(2 * count);
  for (size_t i = 0; i < count; ++i)
    for (size_t j = 0; j < count; ++j)
      if (have[here[i]].circuit == want[wanted_here[j]].circuit && is_good_for(here[i], wanted_here[j]))
        boost::add_edge(i, count + j, good);
  std::vector<size_t> mate(2 * count);
  boost::edmonds_maximum_cardinality_matching(good, mate.data());
  return boost::matching_size(good, mate.data()) == count;
}

// What the record says of wires beside their metal is the target's, also where they stay.
void Job::note_as_wanted(uint32_t spot) {
  std::set<size_t> noted;
  for (size_t w = 0; w < want.size(); ++w) {
    if (want[w].a != spot && want[w].b != spot) continue;
    for (size_t h = 0; h < have.size(); ++h) {
      if ((have[h].a != spot && have[h].b != spot) || have[h].circuit != want[w].circuit || !is_good_for(h, w))
        continue;
      if (!noted.insert(h).second) continue;
      for (size_t row : pieces[h].rows) {
        draft_.wires[row].double_crimp = wanted[w].double_crimp;
        draft_.wires[row].spare = wanted[w].spare;
      }
      break;
    }
  }
}

// A net that joins the same ends on both sides, with wires at each end that serve, stays as it is however it is
// spliced.
void Job::leave_equal_nets() {
  const auto count = static_cast<uint32_t>(places.size());
  const auto nets = [&](const std::vector<Line>& lines) {
    std::vector<std::pair<Index, Index>> edges;
    for (const Line& line : lines) edges.emplace_back(line.a, line.b);
    return components(count, edges);
  };
  const std::vector<Index> left = nets(have), right = nets(want);
  std::map<Index, std::set<uint32_t>> left_spots, right_spots;
  for (uint32_t spot = 0; spot < count; ++spot)
    left_spots[left[spot]].insert(spot), right_spots[right[spot]].insert(spot);
  const auto ends = [&](const std::set<uint32_t>& spots, bool splices) {
    std::set<uint32_t> some;
    for (uint32_t spot : spots)
      if ((places[spot].kind == PointKind::splice) == splices) some.insert(spot);
    return some;
  };
  std::set<Index> left_kept, right_kept;
  for (const auto& [number, spots] : right_spots) {
    const Index net = number;  // clang 14 captures no bindings
    if (spots.size() < 2) continue;
    const std::set<uint32_t> wanted_ends = ends(spots, false), wanted_splices = ends(spots, true);
    if (wanted_ends.empty()) continue;
    const Index same = left[*wanted_ends.begin()];
    if (ends(left_spots[same], false) != wanted_ends) continue;
    const std::set<uint32_t> splices = ends(left_spots[same], true);
    if (splices == wanted_splices) continue;  // wire by wire
    const auto free = [&](uint32_t spot) { return right_spots[right[spot]].size() < 2 || right[spot] == net; };
    if (!std::all_of(splices.begin(), splices.end(), free)) continue;
    if (!std::all_of(wanted_ends.begin(), wanted_ends.end(), [this](uint32_t spot) { return is_good_at(spot); }))
      continue;
    const auto no_stub = [&](const std::vector<Line>& lines, const std::set<uint32_t>& joints) {
      return std::all_of(joints.begin(), joints.end(), [&](uint32_t spot) {
        return std::count_if(lines.begin(), lines.end(),
                             [spot](const Line& line) { return line.a == spot || line.b == spot; }) > 1;
      });
    };
    if (!no_stub(have, splices) || !no_stub(want, wanted_splices)) continue;
    left_kept.insert(same), right_kept.insert(net);
    for (uint32_t spot : wanted_ends) note_as_wanted(spot);
  }
  for (size_t h = have.size(); h-- > 0;)
    if (left_kept.count(left[have[h].a])) {
      have.erase(have.begin() + static_cast<std::ptrdiff_t>(h));
      pieces.erase(pieces.begin() + static_cast<std::ptrdiff_t>(h));
    }
  for (size_t w = want.size(); w-- > 0;)
    if (right_kept.count(right[want[w].a])) {
      want.erase(want.begin() + static_cast<std::ptrdiff_t>(w));
      wanted.erase(wanted.begin() + static_cast<std::ptrdiff_t>(w));
    }
}

const HousingCavity* Job::cavity(uint32_t spot) const {
  const Place& place = places[spot];
  const Index cavity = place.right_there ? place.right_cavity : place.left_cavity;
  return cavity == none ? nullptr : &family_.housing_cavities[cavity];
}

bool Job::is_good_for(size_t h, size_t w) const {
  const Wire &there = pieces[h].wire, &wish = wanted[w];
  if (settings_.keep_colour && wish.base != none && !same_colour(there, wish)) return false;
  if (wish.mm2 != not_given && (there.mm2 == not_given || there.mm2 < wish.mm2)) return false;
  for (uint32_t end : {want[w].a, want[w].b})
    if (const HousingCavity* hole = cavity(end); hole && there.mm2 != wish.mm2 && !takes(*hole, there.mm2))
      return false;
  return true;
}

// An end can go to another cavity of its plug, and to a plug on the same run of the loom: one that the record puts on
// another run it does not reach. Where the record names no run, the hand has to see.
bool Job::reaches(uint32_t from, uint32_t to) const {
  if (places[from].plug == nothing || places[to].plug == nothing || places[from].plug == places[to].plug) return true;
  const std::string &a = plugs[places[from].plug].designator, &b = plugs[places[to].plug].designator;
  bool knows_a = false, knows_b = false;
  for (Index part : {from_.part, to_.part})
    for (const Branch& branch : rows(family_.branches, family_.parts[part].branches)) {
      const auto names = rows(family_.string_refs, branch.connectors);
      const auto has = [&](const std::string& plug) {
        return std::any_of(names.begin(), names.end(), [&](Str name) { return family_.text(name) == plug; });
      };
      if (has(a) && has(b)) return true;
      knows_a = knows_a || has(a), knows_b = knows_b || has(b);
    }
  return !knows_a || !knows_b;
}

bool Job::serves(size_t h, size_t w, bool turned) const {
  const uint32_t a = turned ? want[w].b : want[w].a, b = turned ? want[w].a : want[w].b;
  if (!is_good_for(h, w) || !reaches(have[h].a, a) || !reaches(have[h].b, b)) return false;
  if (have[h].a == a && have[h].b == b) return true;
  const int32_t there = pieces[h].wire.length_mm, wish = wanted[w].length_mm;
  return there == not_given || wish == not_given || there >= wish;
}

int Job::terminal_fits(uint32_t from, uint32_t to) const {
  const Index was = places[from].left_cavity, becomes = places[to].right_cavity;
  if (was == none || becomes == none) return 0;
  const HousingCavity &a = family_.housing_cavities[was], &b = family_.housing_cavities[becomes];
  if (a.contact != b.contact || a.mm2_min != b.mm2_min || a.mm2_max != b.mm2_max || a.amps != b.amps) return 0;
  return a.housing == b.housing ? 2 : 1;
}

Problem Job::problem() const {
  Problem problem;
  for (const Place& place : places) {
    Spot spot;
    spot.takes_one = place.kind == PointKind::cavity;
    spot.is_splice = place.kind == PointKind::splice;
    if (place.plug != nothing && plugs[place.plug].swapped) spot.swapped = place.plug;
    problem.spots.push_back(spot);
  }
  problem.have = have, problem.want = want, problem.effort = settings_.effort;
  problem.serves = [this](size_t h, size_t w, bool turned) { return serves(h, w, turned); };
  // An end in a small plug is easier to reach than one in a large one, that than an earth ring, and that than a splice.
  problem.burden = [this](const Move& move) {
    const Place& place = places[move.first];
    uint32_t burden = terminal_fits(move.first, move.second) ? 0 : 1000;
    if (place.kind == PointKind::splice) return burden + 400;
    if (place.kind != PointKind::cavity) return burden + 200;
    return burden +
           (place.left_cavity == none
                ? 1
                : std::min(family_.housings[family_.housing_cavities[place.left_cavity].housing].cavities.count, 199u));
  };
  return problem;
}

}  // namespace loomproof::repin
