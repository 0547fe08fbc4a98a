#include "compare/judge.h"

#include <fmt/format.h>

#include <algorithm>
#include <map>
#include <tuple>

#include "compare/classify.h"
#include "compare/judge_part.h"
#include "compare/neighbours.h"
#include "compare/thing_steps.h"
#include "compare/words.h"
#include "family/words.h"
#include "nets/classes.h"

namespace loomproof {
namespace {

using namespace compare;

// A step about a place itself, rather than about what the part in it is.
bool is_about_place(const ChangeItem& item) {
  if (item.kind == ChangeKind::replaced) return true;
  return item.kind == ChangeKind::relocated && item.connector == none && item.from == none;
}

Index place_of(const Family& family, const ChangeItem& item) {
  return item.place != none ? item.place : item.part != none ? family.parts[item.part].place : none;
}

std::string part_words(const Family& family, Index part) {
  return part == none ? "nothing" : std::string(family.text(family.parts[part].id));
}

// A step about a part that is not there on both sides cannot be applied.
void refuse_all(const Family& family, Index place, Index left, Index right, uint32_t left_cell,
                const std::vector<Index>& steps, PairVerdict& verdict) {
  for (Index step : steps) {
    const std::string words =
        left == right ? fmt::format("{} holds {}", family.text(family.places[place].id), part_words(family, left))
                      : fmt::format("{} holds {} before and {} after", family.text(family.places[place].id),
                                    part_words(family, left), part_words(family, right));
    verdict.untrue.push_back({step, words, {}, CellSet::of(left_cell)});
  }
}

class FamilyJudge {
 public:
  explicit FamilyJudge(const FamilyIndex& index) : index_(index), family_(index.family()) {}
  FamilyVerdict run();

 private:
  void judge_pairs();
  std::vector<Index> steps_between(const Pair& pair);
  void merge(const Pair& pair, PairVerdict verdict);
  void merge_undeclared(const Pair& pair, Difference difference, uint32_t occurrence);
  void merge_untrue(Untrue untrue);
  void tell_unjudged();
  std::string why_unjudged(const ChangeItem& item) const;
  std::string owner(const ChangeItem& item) const;

  const FamilyIndex& index_;
  const Family& family_;
  FamilyVerdict verdict_;
  std::vector<Pair> pairs_;
  std::vector<bool> judged_;
  std::map<std::string, size_t> undeclared_, untrue_;  // what is told -> where in the verdict
};

std::vector<Index> FamilyJudge::steps_between(const Pair& pair) {
  std::vector<Index> steps;
  for (const Change& change : family_.changes) {
    if (change.axis != pair.axis || change.left != family_.coordinate(pair.left, pair.axis) ||
        change.right != family_.coordinate(pair.right, pair.axis))
      continue;
    for (Index step = change.items.first; step < change.items.end(); ++step) {
      if (!family_.holds(family_.change_items[step].cells, pair.left)) continue;
      judged_[step] = true;
      steps.push_back(step);
    }
  }
  return steps;
}

// A component that several places hold stands once a place; what is said of it is said of all.
std::string FamilyJudge::owner(const ChangeItem& item) const {
  if (is_about_place(item) || item.part == none) return fmt::format("place {}", item.place);
  return fmt::format("part {}", family_.parts[item.part].id);
}

void unite(std::vector<RowRef>& rows, const std::vector<RowRef>& more) {
  rows.insert(rows.end(), more.begin(), more.end());
  std::sort(rows.begin(), rows.end());
  rows.erase(std::unique(rows.begin(), rows.end()), rows.end());
}

void FamilyJudge::merge_undeclared(const Pair& pair, Difference difference, uint32_t occurrence) {
  const Index left = family_.coordinate(pair.left, pair.axis), right = family_.coordinate(pair.right, pair.axis);
  const std::string key = fmt::format("{} {} {} {} {} {}", pair.axis, left, right, owner(difference.item), occurrence,
                                      difference_words(family_, difference));
  const auto [entry, is_new] = undeclared_.emplace(key, verdict_.undeclared.size());
  if (is_new) {
    verdict_.undeclared.push_back({pair.axis, left, right, std::move(difference)});
    return;
  }
  Difference& first = verdict_.undeclared[entry->second].difference;
  first.cells |= difference.cells;
  unite(first.left, difference.left);
  unite(first.right, difference.right);
}

void FamilyJudge::merge_untrue(Untrue untrue) {
  const ChangeItem& item = family_.change_items[untrue.item];
  const std::string key =
      fmt::format("{} {} {} {}", item.change, owner(item), change_words(family_, item), untrue.words);
  const auto [entry, is_new] = untrue_.emplace(key, verdict_.untrue.size());
  if (is_new) {
    verdict_.untrue.push_back(std::move(untrue));
    return;
  }
  Untrue& first = verdict_.untrue[entry->second];
  first.item = std::min(first.item, untrue.item);
  first.cells |= untrue.cells;
  unite(first.rows, untrue.rows);
}

void FamilyJudge::merge(const Pair& pair, PairVerdict verdict) {
  std::map<std::pair<Index, std::string>, uint32_t> seen;  // the same words twice are two differences
  for (Difference& difference : verdict.undeclared) {
    const uint32_t occurrence = seen[{difference.item.place, difference_words(family_, difference)}]++;
    merge_undeclared(pair, std::move(difference), occurrence);
  }
  for (Untrue& untrue : verdict.untrue) merge_untrue(std::move(untrue));
}

std::string FamilyJudge::why_unjudged(const ChangeItem& item) const {
  const Change& change = family_.changes[item.change];
  const auto is_between = [&](const Pair& pair) {
    return pair.axis == change.axis && family_.coordinate(pair.left, pair.axis) == change.left &&
           family_.coordinate(pair.right, pair.axis) == change.right;
  };
  if (std::any_of(pairs_.begin(), pairs_.end(), is_between)) return "no vehicle was built to which it is limited";
  if (change.axis > 0 && family_.options[change.axis - 1].independent)
    return "the values of this option are separate designs that nobody compares";
  return "the two are not neighbours among what was built";
}

void FamilyJudge::tell_unjudged() {
  for (Index step = 0; step < family_.change_items.size(); ++step) {
    const ChangeItem& item = family_.change_items[step];
    if (judged_[step]) ++verdict_.items;
    if (!judged_[step] && item.change != none) merge_untrue({step, why_unjudged(item), {}, {}});
  }
}

// Pairs that no row of the family tells apart differ alike and have the same steps: one of them is judged for all.
void FamilyJudge::judge_pairs() {
  const std::vector<CellClass> classes = cell_classes(family_);
  std::vector<Index> class_of(family_.cell_count(), none);
  for (Index i = 0; i < classes.size(); ++i)
    for (uint32_t cell : classes[i].cells.cells()) class_of[cell] = i;
  struct Alike {
    Pair first;
    CellSet left;
  };
  std::vector<Alike> all;
  std::map<std::tuple<uint32_t, Index, Index, Index, Index>, size_t> known;
  for (const Pair& pair : pairs_) {
    const Index left = family_.coordinate(pair.left, pair.axis), right = family_.coordinate(pair.right, pair.axis);
    const auto [entry, is_new] =
        known.emplace(std::tuple(pair.axis, left, right, class_of[pair.left], class_of[pair.right]), all.size());
    if (is_new) all.push_back({pair, {}});
    all[entry->second].left.insert(pair.left);
  }
  for (const Alike& alike : all) {
    PairVerdict verdict = judge_cells(index_, alike.first.left, alike.first.right, steps_between(alike.first));
    for (Difference& difference : verdict.undeclared) difference.cells = alike.left;
    for (Untrue& untrue : verdict.untrue) untrue.cells = alike.left;
    merge(alike.first, std::move(verdict));
  }
}

FamilyVerdict FamilyJudge::run() {
  judged_.assign(family_.change_items.size(), false);
  pairs_ = neighbours(family_);
  verdict_.pairs = static_cast<uint32_t>(pairs_.size());
  judge_pairs();
  tell_unjudged();
  std::stable_sort(verdict_.undeclared.begin(), verdict_.undeclared.end(),
                   [](const Undeclared& a, const Undeclared& b) {
                     return std::tie(a.axis, a.left, a.right, a.difference.item.place) <
                            std::tie(b.axis, b.left, b.right, b.difference.item.place);
                   });
  std::stable_sort(verdict_.untrue.begin(), verdict_.untrue.end(),
                   [](const Untrue& a, const Untrue& b) { return a.item < b.item; });
  return std::move(verdict_);
}

}  // namespace

PairVerdict judge_cells(const FamilyIndex& index, uint32_t left_cell, uint32_t right_cell,
                        const std::vector<Index>& items) {
  const Family& family = index.family();
  std::map<Index, std::vector<Index>> of_places, of_parts;  // by place
  const auto at = [](const std::map<Index, std::vector<Index>>& steps, Index place) -> const std::vector<Index>& {
    static const std::vector<Index> no_steps;
    const auto found = steps.find(place);
    return found == steps.end() ? no_steps : found->second;
  };
  for (Index step : items) {
    const ChangeItem& item = family.change_items[step];
    const Index place = place_of(family, item);
    if (place != none) (is_about_place(item) ? of_places : of_parts)[place].push_back(step);
  }
  PairVerdict verdict;
  for (Index place = 0; place < family.places.size(); ++place) {
    std::vector<Difference> actual;
    compare_place(index, place, left_cell, right_cell, actual);
    judge_place(family, actual, left_cell, at(of_places, place), verdict);
    const Index left = index.part_in(place, left_cell), right = index.part_in(place, right_cell);
    std::vector<Index> steps;
    std::vector<Index> elsewhere;
    for (Index step : at(of_parts, place)) {
      const Index part = family.change_items[step].part;
      (left == right && left != none && (part == none || part == left) ? steps : elsewhere).push_back(step);
    }
    refuse_all(family, place, left, right, left_cell, elsewhere, verdict);
    if (left != none && left == right && (!steps.empty() || index.tells_apart(left, left_cell, right_cell)))
      judge_part(Side(index, left, left_cell), Side(index, left, right_cell), steps, verdict);
  }
  std::stable_sort(verdict.untrue.begin(), verdict.untrue.end(),
                   [](const Untrue& a, const Untrue& b) { return a.item < b.item; });
  return verdict;
}

PairVerdict judge_cells(const Family& family, uint32_t left_cell, uint32_t right_cell,
                        const std::vector<Index>& items) {
  return judge_cells(FamilyIndex(family), left_cell, right_cell, items);
}

FamilyVerdict judge_family(const FamilyIndex& index) {
  return FamilyJudge(index).run();
}
FamilyVerdict judge_family(const Family& family) {
  return judge_family(FamilyIndex(family));
}

}  // namespace loomproof
