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
    sort_by_circuit(last);
  }
  Analysis run();

 private:
  struct Group {
    std::vector<size_t> left, right;
  };
  // The strands of one circuit: what pairs or is renamed never leaves it.
  struct Circuit {
    Index index = none;
    std::vector<size_t> left, right;  // those on the left in the order in which they pair
  };
  void sort_by_circuit(const std::vector<bool>& last);
  bool is_paired(const Circuit& circuit) const;
  std::map<Key, Group> groups(const Circuit& circuit) const;
  void pair(size_t left, size_t right) { right_of_[left] = right, left_of_[right] = left; }
  void part(size_t left) { left_of_[right_of_[left]] = alone, right_of_[left] = alone; }
  bool equal(size_t left, size_t right) const { return distance(left_[left], right_[right]) == 0; }
  void pair_up(const Circuit& circuit);
  void pair_equal(const Circuit& circuit);
  void pair_altered(const Circuit& circuit);
  void keep_resplices_in_place();
  bool rename_some(const Circuit& circuit);
  std::vector<Support> supports(const Circuit& circuit) const;
  void support(size_t left, Index shared, const std::vector<size_t>& rights, size_t rank,
               std::vector<Support>& found) const;
  std::vector<Candidate> candidates(const Circuit& circuit) const;
  std::set<Index> ends_in_place(const Circuit& circuit) const;
  void rename(const Circuit& circuit, Index from, Index to);
  void list_renamed();
  void list_alterations();
  void undo_idle_renames();
  std::vector<Index> ends_by_reach(const Strand& strand) const;
  Index end_that_picks(const Alteration& alteration) const;
  void drop_needless_picks();
  bool picks_exactly(const Alteration& alteration, Index at) const;

  const Family& family_;
  std::vector<Strand> before_, left_, right_;
  std::vector<Circuit> circuits_;           // ascending
  std::vector<size_t> right_of_, left_of_;  // pairs
  std::vector<bool> renamed_a_, renamed_b_;
  std::vector<bool> left_stays_, right_stays_;  // strands of nets that are respliced
  std::map<Index, std::vector<size_t>> right_at_;
  std::vector<Rename> renames_;
  std::vector<Alteration> alterations_;
};

void Analyser::sort_by_circuit(const std::vector<bool>& last) {
  std::map<Index, Circuit> all;
  for (bool is_last : {false, true})
    for (size_t i = 0; i < left_.size(); ++i)
      if ((!last.empty() && last[i]) == is_last) all[left_[i].circuit].left.push_back(i);
  for (size_t i = 0; i < right_.size(); ++i) all[right_[i].circuit].right.push_back(i);
  for (auto& [index, circuit] : all) {
    circuit.index = index;
    circuits_.push_back(std::move(circuit));
  }
}

// Nothing of it is alone on one side or the other, so that nothing is left to pair.
bool Analyser::is_paired(const Circuit& circuit) const {
  const auto all = [](const std::vector<size_t>& strands, const std::vector<size_t>& pairs) {
    return std::none_of(strands.begin(), strands.end(), [&](size_t i) { return pairs[i] == alone; });
  };
  return all(circuit.left, right_of_) || all(circuit.right, left_of_);
}

std::map<Key, Analyser::Group> Analyser::groups(const Circuit& circuit) const {
  std::map<Key, Group> groups;
  for (size_t i : circuit.left)
    if (right_of_[i] == alone) groups[key_of(left_[i])].left.push_back(i);
  for (size_t i : circuit.right)
    if (left_of_[i] == alone) groups[key_of(right_[i])].right.push_back(i);
  return groups;
}

void Analyser::pair_up(const Circuit& circuit) {
  pair_equal(circuit);
  if (!is_paired(circuit)) pair_altered(circuit);
}

void Analyser::pair_equal(const Circuit& circuit) {
  for (const auto& [key, group] : groups(circuit))
    for (size_t left : group.left)
      for (size_t right : group.right)
        if (left_of_[right] == alone && equal(left, right)) {
          pair(left, right);
          break;
        }
}

// Strands of one key pair in whatever way leaves the fewest alterations; but only if there are as many on both sides.
// If not, nobody can say which of them is the one that went, and all are removed and added.
void Analyser::pair_altered(const Circuit& circuit) {
  for (const auto& [key, group] : groups(circuit)) {
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
  const StrandNets left(family_, left_), right(family_, right_);
  left_stays_ = left.also_in(right);
  right_stays_ = right.also_in(left);
}

// A circuit leaves an end as a whole: no strand of it that is in its place may have an end there.
std::set<Index> Analyser::ends_in_place(const Circuit& circuit) const {
  std::set<Index> ends;
  for (size_t i : circuit.left)
    if (right_of_[i] != alone || left_stays_[i]) ends.insert({before_[i].a, before_[i].b});
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

std::vector<Support> Analyser::supports(const Circuit& circuit) const {
  std::map<std::pair<bool, Index>, std::vector<size_t>> rights;  // pins, and wires by the end that might be shared
  for (size_t r : circuit.right) {
    const Strand& right = right_[r];
    if (left_of_[r] != alone || right_stays_[r]) continue;
    rights[{right.is_pin, right.is_pin ? none : right.a}].push_back(r);
    if (!right.is_pin && right.b != right.a) rights[{false, right.b}].push_back(r);
  }
  std::map<std::pair<bool, Index>, size_t> ranks;
  std::vector<Support> found;
  for (size_t l : circuit.left) {
    const Strand& left = left_[l];
    if (right_of_[l] != alone || left_stays_[l]) continue;
    std::set<Index> shared{left.b};
    if (!left.is_pin) shared.insert(left.a);
    for (Index end : shared) {
      const auto at = rights.find({left.is_pin, end});
      if (at != rights.end()) support(l, end, at->second, ranks[at->first]++, found);
    }
  }
  return found;
}

std::vector<Candidate> Analyser::candidates(const Circuit& circuit) const {
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

void Analyser::rename(const Circuit& circuit, Index from, Index to) {
  renames_.push_back({circuit.index, from, to});
  for (size_t i : circuit.left) {
    if (before_[i].a == from && !renamed_a_[i]) left_[i].a = to, renamed_a_[i] = true;
    if (before_[i].b == from && !renamed_b_[i]) left_[i].b = to, renamed_b_[i] = true;
  }
}

// Takes the renames that most speaks for, as long as they do not pull apart what others have brought together. False
// where none is left.
bool Analyser::rename_some(const Circuit& circuit) {
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
  pair_up(circuit);
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

void Analyser::list_renamed() {
  for (Rename& rename : renames_) {
    const auto circuit = std::lower_bound(circuits_.begin(), circuits_.end(), rename.circuit,
                                          [](const Circuit& one, Index index) { return one.index < index; });
    for (size_t l : circuit->left)
      if (before_[l].ends_at(rename.from) && right_of_[l] != alone) rename.left.push_back(l);
    std::sort(rename.left.begin(), rename.left.end());
    for (size_t l : rename.left) rename.right.push_back(right_of_[l]);
  }
}

Analysis Analyser::run() {
  for (const Circuit& circuit : circuits_) pair_up(circuit);
  const auto is_open = [this](const Circuit& circuit) { return circuit.index != none && !is_paired(circuit); };
  if (std::any_of(circuits_.begin(), circuits_.end(), is_open)) keep_resplices_in_place();
  for (const Circuit& circuit : circuits_)
    while (is_open(circuit) && rename_some(circuit)) {
    }
  follow_pairs(left_, pin_moves(before_, left_));
  list_alterations();

  list_renamed();
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

StrandNets::StrandNets(const Family& family, const std::vector<Strand>& strands) {
  std::vector<Index> points;  // that a wire touches; their places in this list number them
  for (const Strand& strand : strands)
    if (!strand.is_pin) points.push_back(strand.a), points.push_back(strand.b);
  std::sort(points.begin(), points.end());
  points.erase(std::unique(points.begin(), points.end()), points.end());
  const auto number = [&](Index point) {
    return static_cast<Index>(std::lower_bound(points.begin(), points.end(), point) - points.begin());
  };
  std::vector<std::pair<Index, Index>> edges;
  for (const Strand& strand : strands)
    if (!strand.is_pin) edges.emplace_back(number(strand.a), number(strand.b));
  const std::vector<Index> net_of = components(static_cast<uint32_t>(points.size()), edges);

  std::vector<std::pair<Index, Index>> circuits, ends;  // net, circuit or point
  size_t edge = 0;
  for (const Strand& strand : strands) {
    net_of_.push_back(strand.is_pin ? none : net_of[edges[edge++].first]);
    if (!strand.is_pin) circuits.emplace_back(net_of_.back(), strand.circuit);
  }
  std::sort(circuits.begin(), circuits.end());
  circuits.erase(std::unique(circuits.begin(), circuits.end()), circuits.end());
  for (size_t i = 0; i < points.size(); ++i)
    if (family.points[points[i]].kind != PointKind::splice) ends.emplace_back(net_of[i], points[i]);
  std::sort(ends.begin(), ends.end());

  signatures_.resize(circuits.empty() ? 0 : circuits.back().first + 1);
  auto circuit = circuits.begin();
  for (auto end = ends.begin(); end != ends.end();) {  // a net without ends has no signature
    const Index net = end->first;
    std::vector<Index>& signature = signatures_[net];
    while (circuit->first < net) ++circuit;
    for (; circuit != circuits.end() && circuit->first == net; ++circuit) signature.push_back(circuit->second);
    signature.push_back(none);
    for (; end != ends.end() && end->first == net; ++end) signature.push_back(end->second);
  }
}

const std::vector<Index>& StrandNets::signature(size_t strand) const {
  static const std::vector<Index> nothing;
  return net_of_[strand] == none ? nothing : signatures_[net_of_[strand]];
}

std::vector<bool> StrandNets::also_in(const StrandNets& other) const {
  std::vector<std::vector<Index>> theirs = other.signatures_;
  std::sort(theirs.begin(), theirs.end());
  std::vector<bool> by_net;
  for (const std::vector<Index>& own : signatures_)
    by_net.push_back(!own.empty() && std::binary_search(theirs.begin(), theirs.end(), own));
  std::vector<bool> by_strand;
  for (Index net : net_of_) by_strand.push_back(net != none && by_net[net]);
  return by_strand;
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
