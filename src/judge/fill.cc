#include "judge/fill.h"

#include <algorithm>
#include <tuple>

namespace loomproof::judge {

namespace {

bool is_better(const Filling& a, const Filling& b) {
  return std::tie(a.best, a.conflicts, a.reasons, a.worst) < std::tie(b.best, b.conflicts, b.reasons, b.worst);
}

bool is_before_none(VariantId a, VariantId b) {  // for max_element: any variant rather than none
  return a == none && b != none;
}

bool gives_feed(const Variant& variant) {
  return std::any_of(variant.ports.begin(), variant.ports.end(),
                     [](const Port& port) { return port.role == Role::gives_feed; });
}

class Filler {
 public:
  Filler(Judge& judge, Shelf& shelf, const std::vector<std::vector<VariantId>>& candidates, size_t keep, uint64_t most)
      : judge_(judge), shelf_(shelf), candidates_(candidates), keep_(keep), most_(most) {
    assembly_.at.assign(candidates.size(), none);
    for (Index place = 0; place < candidates.size(); ++place)
      if (!candidates[place].empty()) order_.push_back(place);
    // What is decided first, then looms and what gives a feed: against those every other choice shows its clashes.
    const auto rank = [&](Index place) {
      if (candidates[place].size() == 1) return 0;
      const VariantId id = *std::max_element(candidates[place].begin(), candidates[place].end(), is_before_none);
      if (shelf.family().parts[shelf[id].part].kind == PartKind::loom) return 1;
      return gives_feed(shelf[id]) ? 2 : 3;
    };
    std::stable_sort(order_.begin(), order_.end(), [&](Index a, Index b) { return rank(a) < rank(b); });
  }

  Search run() {
    for (uint32_t cell : shelf_.family().set(shelf_.family().built).cells()) improve(start_of(cell));
    steps_ = 0;
    choose(0);
    return std::move(search_);
  }

 private:
  // In each open place what a build had there, or the first that may stand there.
  std::vector<VariantId> start_of(uint32_t cell) const {
    std::vector<VariantId> at(candidates_.size(), none);
    for (Index place : order_) {
      const std::vector<VariantId>& all = candidates_[place];
      const auto of_cell = std::find_if(all.begin(), all.end(),
                                        [&](VariantId id) { return id == none ? false : shelf_[id].cells.has(cell); });
      at[place] = of_cell == all.end() ? all.back() : *of_cell;
    }
    return at;
  }

  // Changes one place at a time as long as that helps.
  void improve(std::vector<VariantId> at) {
    assembly_.at = std::move(at);
    Filling best = judged();
    for (bool again = true; again;) {
      again = false;
      for (Index place : order_) {
        if (candidates_[place].size() == 1) continue;
        for (VariantId id : candidates_[place]) {
          assembly_.at = best.assembly.at;
          if (assembly_.at[place] == id) continue;
          assembly_.at[place] = id;
          Filling other = judged();
          if (!is_better(other, best)) continue;
          best = std::move(other);
          again = true;
        }
      }
    }
    assembly_.at.assign(candidates_.size(), none);
  }

  void choose(size_t depth) {
    while (depth < order_.size() && candidates_[order_[depth]].size() == 1) {  // nothing to choose: on to the next
      assembly_.at[order_[depth]] = candidates_[order_[depth]][0];
      ++depth;
    }
    if (depth == order_.size()) {
      judged();
      return;
    }
    const Index place = order_[depth];
    for (VariantId id : in_order(place)) {
      assembly_.at[place] = id;
      if (++steps_ > most_) search_.is_complete = false;
      if (search_.is_complete && !is_beaten()) choose(depth + 1);
    }
    assembly_.at[place] = none;
  }

  // Nothing that is put to it can make it better than what is kept.
  bool is_beaten() {
    if (search_.fillings.size() < keep_) return false;
    const Conflicts conflicts = judge_.conflicts(assembly_);
    const Filling& last = search_.fillings.back();
    return std::tie(conflicts.worst, conflicts.count) >= std::tie(last.best, last.conflicts);
  }

  // What shares cells with the parts that are there already comes first.
  std::vector<VariantId> in_order(Index place) const {
    std::vector<std::pair<int, VariantId>> scored;
    for (VariantId id : candidates_[place]) {
      int shared = 0;
      if (id != none)
        for (VariantId other : assembly_.at)
          if (other != none && shelf_[other].cells.meets(shelf_[id].cells)) ++shared;
      scored.emplace_back(-shared, id);
    }
    std::stable_sort(scored.begin(), scored.end(), [](const auto& a, const auto& b) { return a.first < b.first; });
    std::vector<VariantId> ids;
    for (const auto& [score, id] : scored) ids.push_back(id);
    return ids;
  }

  // Judges what stands there, and keeps it where it is among the best.
  Filling judged() {
    ++search_.judged;
    const Judgement judgement = judge_.judge(assembly_);
    Filling filling{assembly_, judgement.best, judgement.worst, judgement.conflicts.count, 0};
    for (const Reason& reason : judgement.reasons) filling.reasons += reason.certain;
    std::vector<Filling>& kept = search_.fillings;
    const auto is_same = [&](const Filling& each) { return each.assembly.at == assembly_.at; };
    if (std::any_of(kept.begin(), kept.end(), is_same)) return filling;
    const auto at = std::upper_bound(kept.begin(), kept.end(), filling, is_better);
    if (at == kept.end() && kept.size() == keep_) return filling;
    kept.insert(at, filling);
    if (kept.size() > keep_) kept.pop_back();
    return filling;
  }

  Judge& judge_;
  Shelf& shelf_;
  const std::vector<std::vector<VariantId>>& candidates_;
  size_t keep_;
  uint64_t most_, steps_ = 0;
  Assembly assembly_;
  std::vector<Index> order_;
  Search search_;
};

}  // namespace

Search fill(Judge& judge, Shelf& shelf, const std::vector<std::vector<VariantId>>& candidates, size_t keep,
            uint64_t most_steps) {
  return Filler(judge, shelf, candidates, keep, most_steps).run();
}

}  // namespace loomproof::judge
