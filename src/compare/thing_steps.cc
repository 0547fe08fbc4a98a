#include "compare/thing_steps.h"

#include <fmt/format.h>

#include <algorithm>
#include <map>

#include "compare/classify.h"
#include "compare/things.h"
#include "compare/words.h"
#include "family/words.h"

namespace loomproof::compare {
namespace {

ThingKey key_of(const Family& family, const ChangeItem& item) {
  switch (item.kind) {
    case ChangeKind::inside_changed:
      return {ThingKind::inside, none, item.what};
    case ChangeKind::now_known:
    case ChangeKind::no_longer_known:
    case ChangeKind::restated:
      return {ThingKind::cavity, item.from};
    default:
      break;
  }
  if (item.connector != none) return {ThingKind::connector, item.connector};
  const bool is_cavity = item.from != none && family.points[item.from].kind == PointKind::cavity;
  return {is_cavity ? ThingKind::cavity : ThingKind::joint, item.from};
}

std::string_view trait_of(const Family& family, const ChangeItem& item) {
  if (item.kind == ChangeKind::relocated) return "where";
  return family.text(item.of);
}

// What the two sides have, as a step would have to say it.
struct Actual {
  std::string was, becomes;
};

// A declared text that means the same as what is there becomes that very text.
std::string plain(std::string declared, std::string_view of, const std::string& actual) {
  if (of == "rest" && declared == "none" && actual == "unknown") return actual;
  const size_t comma = declared.find(", ");  // the two ends of a join may stand either way round, but for a diode
  if (of == "join" && comma != declared.npos && declared.size() > comma + 3) {
    const std::string turned =
        "[" + declared.substr(comma + 2, declared.size() - comma - 3) + ", " + declared.substr(1, comma - 1) + "]";
    if (turned == actual) return actual;
  }
  return declared;
}

class ThingJudge {
 public:
  ThingJudge(const Side& left, const Side& right, const PointMap& moves, PairVerdict& verdict)
      : left_(left), right_(right), moves_(moves), family_(left.family()), verdict_(verdict) {}
  void run(const std::vector<Index>& steps, std::vector<Difference>& found);

 private:
  const ChangeItem& item(Index step) const { return family_.change_items[step]; }
  Actual actual(Index step) const;
  bool is_diode(Index step) const;
  bool says(Index step, const Actual& actual) const;
  size_t difference_of(Index step) const;
  void judge(Index step);
  std::string label(const ChangeItem& item) const;
  void tell(Index step, std::string words, size_t difference);

  const Side &left_, &right_;
  const PointMap& moves_;
  const Family& family_;
  PairVerdict& verdict_;
  std::vector<ThingDifference> differences_;
  std::vector<bool> told_;
  std::map<std::tuple<ThingKey, std::string_view, ChangeKind>, Index> judged_;
  std::vector<Index> astray_;  // untrue steps about things that do not differ
};

Actual ThingJudge::actual(Index step) const {
  const ThingKey key = key_of(family_, item(step));
  const std::string_view of = trait_of(family_, item(step));
  return {trait_text(left_, key, of, item(step).kind, moves_), trait_text(right_, key, of, item(step).kind)};
}

// As differences() tells it; a thing that comes or goes is told by one trait for all.
size_t ThingJudge::difference_of(Index step) const {
  const ThingKey key = key_of(family_, item(step));
  const std::string_view of = trait_of(family_, item(step));
  const bool is_state = key.kind == ThingKind::cavity;
  for (size_t i = 0; i < differences_.size(); ++i) {
    const ThingDifference& one = differences_[i];
    if (one.key == key && (is_state || (one.of == of && one.kind == item(step).kind))) return i;
  }
  return none;
}

bool ThingJudge::is_diode(Index step) const {
  const ThingKey key = key_of(family_, item(step));
  if (key.kind != ThingKind::inside) return false;
  return trait_text(left_, key, "as", ChangeKind::inside_changed) == "diode" ||
         trait_text(right_, key, "as", ChangeKind::inside_changed) == "diode";
}

bool ThingJudge::says(Index step, const Actual& actual) const {
  const std::string was(family_.text(item(step).was)), becomes(family_.text(item(step).becomes));
  const std::string_view of = is_diode(step) ? std::string_view() : trait_of(family_, item(step));
  const bool whole = item(step).kind == ChangeKind::inside_changed && item(step).of == 0;
  const auto same = [&](const std::string& declared, const std::string& there, const Side& side) {
    if (plain(declared, of, there) == there) return true;
    // What comes or goes inside may be called by what it is: `was: lamp, now: none`.
    return whole && declared == trait_text(side, key_of(family_, item(step)), "as", ChangeKind::inside_changed);
  };
  return same(was, actual.was, left_) && same(becomes, actual.becomes, right_);
}

std::string ThingJudge::label(const ChangeItem& item) const {
  const std::string thing = item.connector != none
                                ? std::string(family_.text(family_.connectors[item.connector].designator))
                            : item.from != none ? point_name(family_, item.from)
                                                : std::string(family_.text(item.what));
  switch (item.kind) {
    case ChangeKind::rehoused:
      return "the housing of " + thing;
    case ChangeKind::relocated:
      return "where " + thing + " sits";
    case ChangeKind::now_known:
    case ChangeKind::no_longer_known:
    case ChangeKind::restated:
      return "the state of " + thing;
    default:
      break;
  }
  return item.of == 0 ? thing : std::string(family_.text(item.of)) + " of " + thing;
}

void ThingJudge::tell(Index step, std::string words, size_t difference) {
  Untrue untrue{step, std::move(words), {}, CellSet::of(left_.cell())};
  if (difference != none) {
    const ThingDifference& one = differences_[difference];
    untrue.rows = one.left;
    untrue.rows.insert(untrue.rows.end(), one.right.begin(), one.right.end());
    told_[difference] = true;
  }
  verdict_.untrue.push_back(std::move(untrue));
}

void ThingJudge::judge(Index step) {
  const ChangeItem& one = item(step);
  const Actual it = actual(step);
  const size_t difference = difference_of(step);
  if (!judged_.emplace(std::tuple(key_of(family_, one), trait_of(family_, one), one.kind), step).second)
    return tell(step, "an earlier step says so already", none);
  const bool by_whole = difference != none && differences_[difference].was == family_.text(one.was) &&
                        differences_[difference].becomes == family_.text(one.becomes);
  if (it.was == it.becomes && !by_whole) {
    if (difference == none) astray_.push_back(step);
    return tell(step, fmt::format("{} is {} before and after", label(one), it.was), difference);
  }
  if (!says(step, it) && !by_whole)
    return tell(step, fmt::format("{} is {} before and {} after", label(one), it.was, it.becomes), difference);
  const bool is_state = key_of(family_, one).kind == ThingKind::cavity;
  if (is_state && state_change(it.was, it.becomes) != one.kind)
    return tell(step, fmt::format("from {} to {} is `{}`", it.was, it.becomes, word(state_change(it.was, it.becomes))),
                difference);
  if (difference != none) told_[difference] = true;
}

void ThingJudge::run(const std::vector<Index>& steps, std::vector<Difference>& found) {
  std::set<ThingKey> keys;
  left_.collect(keys, right_);
  right_.collect(keys, left_);
  for (Index step : steps) {
    const ThingKey key = key_of(family_, item(step));
    if (key.id != none || key.kind == ThingKind::inside) keys.insert(key);
  }
  differences_ = thing_differences(left_, right_, moves_, keys);
  told_.assign(differences_.size(), false);
  for (Index step : steps) {
    const ThingKey key = key_of(family_, item(step));
    if (key.id == none && key.kind != ThingKind::inside)
      tell(step, "it names nothing of this part", none);
    else
      judge(step);
  }
  // A step that is right but for the name of the thing: what it says is told of that thing alone.
  for (Index step : astray_)
    for (size_t i = 0; i < differences_.size(); ++i)
      if (!told_[i] && differences_[i].kind == item(step).kind && differences_[i].was == family_.text(item(step).was) &&
          differences_[i].becomes == family_.text(item(step).becomes)) {
        told_[i] = true;
        break;
      }
  for (size_t i = 0; i < differences_.size(); ++i)
    if (!told_[i]) found.push_back(classify_thing(left_, differences_[i]));
}

}  // namespace

void judge_things(const Side& left, const Side& right, const PointMap& moves, const std::vector<Index>& steps,
                  std::vector<Difference>& found, PairVerdict& verdict) {
  ThingJudge(left, right, moves, verdict).run(steps, found);
}

void judge_place(const Family& family, const std::vector<Difference>& actual, uint32_t left_cell,
                 const std::vector<Index>& steps, PairVerdict& verdict) {
  std::set<ChangeKind> said;
  for (Index step : steps) {
    const ChangeItem& item = family.change_items[step];
    const auto is_it = [&](const Difference& difference) { return difference.item.kind == item.kind; };
    const auto found = std::find_if(actual.begin(), actual.end(), is_it);
    Untrue untrue{step, {}, {}, CellSet::of(left_cell)};
    if (!said.insert(item.kind).second) {
      untrue.words = "an earlier step says so already";
    } else if (found == actual.end()) {
      untrue.words = item.kind == ChangeKind::replaced ? "the place holds the same part before and after"
                                                       : "it sits where it sat before";
    } else if (found->was != family.text(item.was) || found->becomes != family.text(item.becomes)) {
      untrue.words = "the corpus has: " + difference_words(family, *found);
      untrue.rows = found->left;
      untrue.rows.insert(untrue.rows.end(), found->right.begin(), found->right.end());
    }
    if (!untrue.words.empty()) verdict.untrue.push_back(std::move(untrue));
  }
  for (const Difference& difference : actual)
    if (!said.count(difference.item.kind)) verdict.undeclared.push_back(difference);
}

}  // namespace loomproof::compare
