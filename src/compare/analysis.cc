#include "compare/analysis.h"

#include <algorithm>
#include <map>
#include <tuple>

#include "nets/components.h"

namespace loomproof::compare {
namespace {

using Key = std::tuple<bool, Index, Index, Index>;  // pin or wire, circuit, the two ends in order

Key key_of(const Strand& strand) {
  return {strand.is_pin, strand.circuit, std::min(strand.a, strand.b), std::max(strand.a, strand.b)};
}

uint32_t distance(const Strand& left, const Strand& right) {
  uint32_t count = 0;
  for (size_t property = 0; property < left.property_count(); ++property) count += !same_value(left, right, property);
  return count;
}

// One strand that would be in its place if its circuit had left one end for another.
struct Support {
  Index from = none, to = none;
  size_t left = alone, right = alone;
  Index shared = none;  // the end that stays; none for a pin
  bool equal = false;   // nothing else would differ
};
// All that speaks for one such rename.
struct Candidate {
  std::vector<Support> support;
  uint32_t strands = 0, equal = 0;
  bool same_connector = false;
  Index from() const { return support.front().from; }
  Index to() const { return support.front().to; }
};

bool better(const Candidate& a, const Candidate& b) {
  if (a.strands != b.strands) return a.strands > b.strands;
  if (a.equal != b.equal) return a.equal > b.equal;
  if (a.same_connector != b.same_connector) return a.same_connector;
  return a.from() != b.from() ? a.from() < b.from() : a.to() < b.to();
}

// Of many strands at one end each is held against the nearest in order only, so that the work stays linear.
constexpr size_t window = 64;

class Analyser {
 public:
  Analyser(const Family& family, std::vector<Strand> left, std::vector<Strand> right, const std::vector<bool>& last)
      : family_(family), before_(left), left_(std::move(left)), right_(std::move(right)) {
    right_of_.assign(left_.size(), alone);
    left_of_.assign(right_.size(), alone);
    renamed_a_.assign(left_.size(), false);
    renamed_b_.assign(left_.size(), false);
    for (size_t i = 0; i < left_.size(); ++i)
      if (last.empty() || !last[i]) order_.push_back(i);
    for (size_t i = 0; i < left_.size(); ++i)
      if (!last.empty() && last[i]) order_.push_back(i);
  }
  Analysis run();

 private:
  struct Group {
    std::vector<size_t> left, right;
  };
  std::map<Key, Group> groups() const;
  void pair(size_t left, size_t right) { right_of_[left] = right, left_of_[right] = left; }
  void part(size_t left) { left_of_[right_of_[left]] = alone, right_of_[left] = alone; }
  bool equal(size_t left, size_t right) const { return distance(left_[left], right_[right]) == 0; }
  void pair_equal();
  void pair_altered();
  void keep_resplices_in_place();
  bool rename_some(Index circuit);
  std::vector<Support> supports(Index circuit) const;
  void support(size_t left, Index shared, const std::vector<size_t>& rights, size_t rank,
               std::vector<Support>& found) const;
  std::vector<Candidate> candidates(Index circuit) const;
  std::set<Index> ends_in_place(Index circuit) const;
  void rename(Index circuit, Index from, Index to);
  void list_alterations();
  void undo_idle_renames();
  std::vector<Index> ends_by_reach(const Strand& strand) const;
  Index end_that_picks(const Alteration& alteration) const;
  void drop_needless_picks();
  bool picks_exactly(const Alteration& alteration, Index at) const;

  const Family& family_;
  std::vector<Strand> before_, left_, right_;
  std::vector<size_t> order_;               // left strands in the order in which they pair
  std::vector<size_t> right_of_, left_of_;  // pairs
  std::vector<bool> renamed_a_, renamed_b_;
  std::vector<bool> left_stays_, right_stays_;  // strands of nets that are respliced
  std::map<Index, std::vector<size_t>> right_at_;
  std::vector<Rename> renames_;
  std::vector<Alteration> alterations_;
};

std::map<Key, Analyser::Group> Analyser::groups() const {
  std::map<Key, Group> groups;
  for (size_t i : order_)
    if (right_of_[i] == alone) groups[key_of(left_[i])].left.push_back(i);
  for (size_t i = 0; i < right_.size(); ++i)
    if (left_of_[i] == alone) groups[key_of(right_[i])].right.push_back(i);
  return groups;
}

void Analyser::pair_equal() {
  for (const auto& [key, group] : groups())
    for (size_t left : group.left)
      for (size_t right : group.right)
        if (left_of_[right] == alone && equal(left, right)) {
          pair(left, right);
          break;
        }
}

// Strands of one key pair in whatever way leaves the fewest alterations; but only if there are as many on both sides.
// If not, nobody can say which of them is the one that went, and all are removed and added.
void Analyser::pair_altered() {
  for (const auto& [key, group] : groups()) {
    if (group.left.size() != group.right.size()) continue;
    std::vector<std::tuple<uint32_t, size_t, size_t>> pairs;
    for (size_t left : group.left)
      for (size_t right : group.right) pairs.emplace_back(distance(left_[left], right_[right]), left, right);
    std::sort(pairs.begin(), pairs.end());
    for (const auto& [count, left, right] : pairs)
      if (right_of_[left] == alone && left_of_[right] == alone) pair(left, right);
  }
}

void Analyser::keep_resplices_in_place() {
  left_stays_.assign(left_.size(), false);
  right_stays_.assign(right_.size(), false);
  const auto left = net_signatures(family_, left_), right = net_signatures(family_, right_);
  const auto mark = [](const auto& own, auto others, std::vector<bool>& stays) {
    std::sort(others.begin(), others.end());
    for (size_t i = 0; i < own.size(); ++i)
      stays[i] = !own[i].empty() && std::binary_search(others.begin(), others.end(), own[i]);
  };
  mark(left, right, left_stays_);
  mark(right, left, right_stays_);
}

// A circuit leaves an end as a whole: no strand of it that is in its place may have an end there.
std::set<Index> Analyser::ends_in_place(Index circuit) const {
  std::set<Index> ends;
  for (size_t i = 0; i < left_.size(); ++i)
    if (left_[i].circuit == circuit && (right_of_[i] != alone || left_stays_[i]))
      ends.insert({before_[i].a, before_[i].b});
  return ends;
}

void Analyser::support(size_t l, Index shared, const std::vector<size_t>& rights, size_t rank,
                       std::vector<Support>& found) const {
  const Strand& left = left_[l];
  const bool leaves_a = left.is_pin || left.b == shared;
  if (leaves_a ? renamed_a_[l] : renamed_b_[l]) return;
  const size_t first = rank > window / 2 ? rank - window / 2 : 0;
  for (size_t i = first; i < std::min(rights.size(), first + window); ++i) {
    const Strand& right = right_[rights[i]];
    // A pin has no other end to know it by: it is the same one only if it has the same role.
    if (left.is_pin && !same_value(left, right, role_property)) continue;
    const Support one{leaves_a ? left.a : left.b, left.is_pin ? right.a : right.other_end(shared), l, rights[i], shared,
                      distance(left, right) == 0};
    if (one.from != one.to) found.push_back(one);
  }
}

std::vector<Support> Analyser::supports(Index circuit) const {
  std::map<std::pair<bool, Index>, std::vector<size_t>> rights;  // pins, and wires by the end that might be shared
  for (size_t r = 0; r < right_.size(); ++r) {
    const Strand& right = right_[r];
    if (right.circuit != circuit || left_of_[r] != alone || right_stays_[r]) continue;
    rights[{right.is_pin, right.is_pin ? none : right.a}].push_back(r);
    if (!right.is_pin && right.b != right.a) rights[{false, right.b}].push_back(r);
  }
  std::map<std::pair<bool, Index>, size_t> ranks;
  std::vector<Support> found;
  for (size_t l : order_) {
    const Strand& left = left_[l];
    if (left.circuit != circuit || right_of_[l] != alone || left_stays_[l]) continue;
    std::set<Index> shared{left.b};
    if (!left.is_pin) shared.insert(left.a);
    for (Index end : shared) {
      const auto at = rights.find({left.is_pin, end});
      if (at != rights.end()) support(l, end, at->second, ranks[at->first]++, found);
    }
  }
  return found;
}

std::vector<Candidate> Analyser::candidates(Index circuit) const {
  std::map<std::pair<Index, Index>, Candidate> by_ends;
  for (const Support& one : supports(circuit)) by_ends[{one.from, one.to}].support.push_back(one);
  std::vector<Candidate> all;
  for (auto& [ends, candidate] : by_ends) {
    const auto connector = [&](Index point) { return family_.points[point].connector; };
    candidate.same_connector = connector(ends.first) != none && connector(ends.first) == connector(ends.second);
    std::set<size_t> lefts, equals;
    for (const Support& one : candidate.support) {
      lefts.insert(one.left);
      if (one.equal) equals.insert(one.left);
    }
    candidate.strands = static_cast<uint32_t>(lefts.size());
    candidate.equal = static_cast<uint32_t>(equals.size());
    all.push_back(std::move(candidate));
  }
  std::sort(all.begin(), all.end(), better);
  return all;
}

void Analyser::rename(Index circuit, Index from, Index to) {
  renames_.push_back({circuit, from, to});
  for (size_t i = 0; i < left_.size(); ++i) {
    if (left_[i].circuit != circuit) continue;
    if (before_[i].a == from && !renamed_a_[i]) left_[i].a = to, renamed_a_[i] = true;
    if (before_[i].b == from && !renamed_b_[i]) left_[i].b = to, renamed_b_[i] = true;
  }
}

// Takes the renames that most speaks for, as long as they do not pull apart what others have brought together. False
// where none is left.
bool Analyser::rename_some(Index circuit) {
  std::set<Index> in_place = ends_in_place(circuit), left_behind;
  std::set<size_t> lefts, rights;  // already brought together
  std::vector<std::pair<Index, Index>> chosen;
  for (const Candidate& candidate : candidates(circuit)) {
    if (in_place.count(candidate.from()) || left_behind.count(candidate.from())) continue;
    bool speaks = false;
    for (const Support& one : candidate.support) {
      if (lefts.count(one.left) || rights.count(one.right) || left_behind.count(one.shared)) continue;
      lefts.insert(one.left), rights.insert(one.right);
      in_place.insert(one.shared);
      speaks = true;
    }
    if (!speaks) continue;
    left_behind.insert(candidate.from());
    chosen.emplace_back(candidate.from(), candidate.to());
  }
  for (const auto& [from, to] : chosen) rename(circuit, from, to);
  pair_equal();
  pair_altered();
  return !chosen.empty();
}

// A declared alteration names a circuit at an end and what was there before. `at` picks exactly if all that it picks is
// altered in the same way.
bool Analyser::picks_exactly(const Alteration& alteration, Index at) const {
  const Strand &was = left_[alteration.left], &becomes = right_[alteration.right];
  const size_t property = alteration.property;
  const Index circuit = std::get<2>(pick_of(was, becomes, property, at));
  for (size_t r : right_at_.at(at)) {
    const Strand& strand = right_[r];
    if (strand.is_pin != was.is_pin) continue;
    if (circuit != none && strand.circuit != circuit) continue;
    if (left_of_[r] == alone) continue;  // what is added comes as it is
    const Strand& before = left_[left_of_[r]];
    if (before.values[property] == was.values[property] && strand.values[property] != becomes.values[property])
      return false;
  }
  return true;
}

// Cavities first: a hand finds them. Of two, the one that the row names first.
std::vector<Index> Analyser::ends_by_reach(const Strand& strand) const {
  std::vector<Index> ends{strand.a};
  if (strand.b != none && strand.b != strand.a) ends.push_back(strand.b);
  std::stable_sort(ends.begin(), ends.end(),
                   [&](Index a, Index b) { return family_.points[a].kind < family_.points[b].kind; });
  return ends;
}

Index Analyser::end_that_picks(const Alteration& alteration) const {
  for (Index end : ends_by_reach(right_[alteration.right]))
    if (picks_exactly(alteration, end)) return end;
  return none;
}

// One pick may cover strands for which another was chosen; a pick that is not needed would say a thing twice.
void Analyser::drop_needless_picks() {
  const auto pick = [&](const Alteration& one, Index at) {
    return pick_of(left_[one.left], right_[one.right], one.property, at);
  };
  std::map<Pick, std::vector<size_t>> covers;
  for (const Alteration& one : alterations_) covers[pick(one, one.at)];
  std::vector<uint32_t> times(alterations_.size(), 0);
  for (size_t i = 0; i < alterations_.size(); ++i)
    for (Index end : ends_by_reach(right_[alterations_[i].right]))
      if (const auto found = covers.find(pick(alterations_[i], end)); found != covers.end())
        found->second.push_back(i), ++times[i];
  for (auto entry = covers.begin(); entry != covers.end();) {
    const auto& covered = entry->second;
    const bool needless = std::all_of(covered.begin(), covered.end(), [&](size_t i) { return times[i] > 1; });
    if (needless)
      for (size_t i : covered) --times[i];
    entry = needless ? covers.erase(entry) : std::next(entry);
  }
  for (Alteration& one : alterations_)
    for (Index end : ends_by_reach(right_[one.right]))
      if (covers.count(pick(one, end))) {
        one.at = end;
        break;
      }
}

// Where no end picks an altered strand, it is removed and added instead; that may take the pick from others.
void Analyser::list_alterations() {
  for (size_t r = 0; r < right_.size(); ++r) {
    right_at_[right_[r].a].push_back(r);
    if (right_[r].b != none && right_[r].b != right_[r].a) right_at_[right_[r].b].push_back(r);
  }
  for (bool again = true; again;) {
    again = false;
    alterations_.clear();
    std::vector<size_t> not_picked;
    for (size_t l = 0; l < left_.size(); ++l) {
      if (right_of_[l] == alone) continue;
      for (size_t property = 0; property < left_[l].property_count(); ++property) {
        if (same_value(left_[l], right_[right_of_[l]], property)) continue;
        Alteration alteration{l, right_of_[l], property};
        alteration.at = end_that_picks(alteration);
        if (alteration.at == none) not_picked.push_back(l);
        alterations_.push_back(alteration);
      }
    }
    for (size_t l : not_picked) {
      if (right_of_[l] != alone) part(l);
      again = true;
    }
  }
  drop_needless_picks();
}

// What was renamed in vain keeps its name.
void Analyser::undo_idle_renames() {
  std::map<std::pair<Index, Index>, Index> to;
  for (const Rename& rename : renames_) to[{rename.circuit, rename.from}] = rename.to;
  for (size_t l = 0; l < left_.size(); ++l) {
    if (right_of_[l] != alone) continue;
    const auto end = [&](Index before) {
      const auto found = to.find({before_[l].circuit, before});
      return found == to.end() ? before : found->second;
    };
    left_[l].a = end(before_[l].a), left_[l].b = end(before_[l].b);
  }
}

Analysis Analyser::run() {
  pair_equal();
  pair_altered();
  keep_resplices_in_place();
  std::vector<Index> circuits;
  for (size_t i = 0; i < left_.size(); ++i)
    if (right_of_[i] == alone && left_[i].circuit != none) circuits.push_back(left_[i].circuit);
  std::sort(circuits.begin(), circuits.end());
  circuits.erase(std::unique(circuits.begin(), circuits.end()), circuits.end());
  for (Index circuit : circuits)
    while (rename_some(circuit)) {
    }
  follow_pairs(left_, pin_moves(before_, left_));
  list_alterations();

  for (Rename& rename : renames_)
    for (size_t l = 0; l < left_.size(); ++l)
      if (left_[l].circuit == rename.circuit && before_[l].ends_at(rename.from) && right_of_[l] != alone) {
        rename.left.push_back(l);
        rename.right.push_back(right_of_[l]);
      }
  Analysis result;
  for (size_t l = 0; l < left_.size(); ++l)
    if (right_of_[l] == alone) result.removed.push_back(l);
  for (size_t r = 0; r < right_.size(); ++r)
    if (left_of_[r] == alone) result.added.push_back(r);
  std::erase_if(renames_, [](const Rename& rename) { return rename.left.empty(); });
  undo_idle_renames();
  result.left = std::move(left_);
  result.right = std::move(right_);
  result.right_of = std::move(right_of_);
  result.renames = std::move(renames_);
  result.alterations = std::move(alterations_);
  return result;
}

}  // namespace

bool same_value(const Strand& left, const Strand& right, size_t property) {
  if (left.values[property] == right.values[property]) return true;
  return (left.wild || right.wild) && !left.property(property).carried;
}

ChangeKind alteration_kind(const Strand& was, const Strand& becomes, size_t property) {
  if (was.is_pin) return property == role_property ? ChangeKind::re_roled : ChangeKind::re_rated;
  const bool colour = property == colour_property, mm2 = property == mm2_property;
  const uint64_t not_said = colour ? 0 : static_cast<uint32_t>(not_given);
  const bool both_said = was.values[property] != not_said && becomes.values[property] != not_said;
  if (both_said && colour) return ChangeKind::recoloured;
  if (both_said && mm2) return ChangeKind::resized;
  return ChangeKind::re_rated;
}

Pick pick_of(const Strand& was, const Strand& becomes, size_t property, Index at) {
  const ChangeKind kind = alteration_kind(was, becomes, property);
  const bool names_circuit = kind == ChangeKind::recoloured || kind == ChangeKind::resized;
  return {kind,
          becomes.is_pin,
          names_circuit ? becomes.circuit : none,
          at,
          property,
          was.values[property],
          becomes.values[property]};
}

Analysis analyse(const Family& family, std::vector<Strand> left, std::vector<Strand> right,
                 const std::vector<bool>& last) {
  return Analyser(family, std::move(left), std::move(right), last).run();
}

std::vector<std::vector<Index>> net_signatures(const Family& family, const std::vector<Strand>& strands) {
  std::map<Index, Index> number;  // of each point that a wire touches
  for (const Strand& strand : strands)
    if (!strand.is_pin) number.emplace(strand.a, none), number.emplace(strand.b, none);
  Index next = 0;
  for (auto& [point, vertex] : number) vertex = next++;
  std::vector<std::pair<Index, Index>> edges;
  for (const Strand& strand : strands)
    if (!strand.is_pin) edges.emplace_back(number.at(strand.a), number.at(strand.b));
  const std::vector<Index> net = components(next, edges);

  std::vector<std::set<Index>> circuits(next), ends(next);
  for (const Strand& strand : strands)
    if (!strand.is_pin) circuits[net[number.at(strand.a)]].insert(strand.circuit);
  for (const auto& [point, vertex] : number)
    if (family.points[point].kind != PointKind::splice) ends[net[vertex]].insert(point);
  std::vector<std::vector<Index>> signatures(strands.size());
  for (size_t i = 0; i < strands.size(); ++i) {
    if (strands[i].is_pin) continue;
    const Index of = net[number.at(strands[i].a)];
    if (ends[of].empty()) continue;
    signatures[i].assign(circuits[of].begin(), circuits[of].end());
    signatures[i].push_back(none);
    signatures[i].insert(signatures[i].end(), ends[of].begin(), ends[of].end());
  }
  return signatures;
}

PointMap pin_moves(const std::vector<Strand>& before, const std::vector<Strand>& after) {
  PointMap moves;
  for (size_t i = 0; i < before.size(); ++i)
    if (before[i].is_pin && before[i].a != after[i].a) moves[before[i].a] = after[i].a;
  return moves;
}

void follow_pairs(std::vector<Strand>& strands, const PointMap& moves) {
  if (moves.empty()) return;
  for (Strand& strand : strands) {
    if (!strand.is_pin || strand.pair_is_said) continue;
    const auto found = moves.find(static_cast<Index>(strand.values[pair_property]));
    if (found != moves.end() && strand.values[pair_property] <= none) strand.values[pair_property] = found->second;
  }
}

}  // namespace loomproof::compare
