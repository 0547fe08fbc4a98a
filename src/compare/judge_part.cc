#include "compare/judge_part.h"

#include <fmt/format.h>

#include <algorithm>
#include <map>
#include <set>

#include "compare/classify.h"
#include "compare/patch.h"
#include "compare/relation.h"
#include "compare/thing_steps.h"
#include "compare/words.h"

namespace loomproof::compare {
namespace {

// One thing that still differs when all steps are applied, and by which steps, if any, it came about.
struct Leftover {
  enum class Kind { rename, alteration, removed, added } kind{};
  size_t at = 0;  // into the list of the analysis
  Reach reach;
  std::set<Index> caused_by;
  bool told = false;  // with a step
};

class PartJudge {
 public:
  PartJudge(const Side& left, const Side& right, const std::vector<Index>& steps, PairVerdict& verdict)
      : left_(left), right_(right), family_(left.family()), verdict_(verdict) {
    for (Index step : steps) (is_about_strands(family_, item(step)) ? strand_steps_ : thing_steps_).push_back(step);
  }
  void run();

 private:
  const ChangeItem& item(Index step) const { return family_.change_items[step]; }
  bool is_so(Index step) const { return true_steps_.count(step) && !patched_.contested.count(step); }
  std::set<Index> circuits() const;
  void settle_choices();
  void list_leftovers();
  bool is_missing_at(const Strand& strand, Index end) const;
  bool is_missing_with(const Strand& strand, size_t property) const;
  Leftover leftover(Leftover::Kind kind, size_t at) const;
  void blame(Leftover& one, const std::set<Index>& steps) {
    one.told = true;
    wrong_.insert(steps.begin(), steps.end());
  }
  void lay_at_the_door();
  void lay_at_the_nearest(Index step);
  bool is_akin(Index step, const Leftover& one) const;
  void check_resplices();
  void tell_undeclared(std::vector<Difference>& found) const;
  PointMap moves_of_pins() const;
  void find_true_steps();
  void acquit();
  bool is_told(Index step, const Difference& difference) const;
  void tell_untrue();
  std::string reason(Index step) const;

  const Side &left_, &right_;
  const Family& family_;
  PairVerdict& verdict_;
  std::vector<Index> strand_steps_, thing_steps_;
  std::vector<Strand> before_, after_;
  std::vector<Difference> actual_;  // what a comparison finds by itself
  std::set<Index> true_steps_;
  Patched patched_;
  Analysis analysis_;
  std::vector<Leftover> leftovers_;
  std::set<Index> wrong_;                      // strand steps that are untrue
  std::map<Index, std::string> said_instead_;  // by step, where the analysis itself knows
};

// The circuits that differ, that are declared on, and that meet those.
std::set<Index> PartJudge::circuits() const {
  std::set<Index> circuits;
  left_.collect(circuits, right_);
  right_.collect(circuits, left_);
  for (Index step : strand_steps_) {
    const ChangeItem& one = item(step);
    for (Index circuit : {one.circuit, one.circuit_b})
      if (circuit != none) circuits.insert(circuit);
    for (Index end : {one.from, one.to}) {
      if (end == none) continue;
      circuits.merge(left_.circuits_at(end));
      circuits.merge(right_.circuits_at(end));
    }
  }
  return circuits;
}

// Which of several like strands a step removed turns out here: one that is gone.
void PartJudge::settle_choices() {
  for (const RemovalChoice& choice : patched_.choices) {
    size_t next = 0;
    for (size_t strand : choice.strands) {
      if (next == choice.steps.size() || analysis_.right_of[strand] != alone) continue;
      std::erase(analysis_.removed, strand);
      ++next;
    }
    for (; next < choice.steps.size(); ++next) wrong_.insert(choice.steps[next]);
  }
}

// Whether the right side has a strand of this circuit at an end that nothing on the left has become: then the end is
// right, and what is wrong with the strand is its other end.
bool PartJudge::is_missing_at(const Strand& strand, Index end) const {
  return std::any_of(analysis_.added.begin(), analysis_.added.end(), [&](size_t r) {
    const Strand& right = analysis_.right[r];
    return right.is_pin == strand.is_pin && right.circuit == strand.circuit && right.ends_at(end);
  });
}

// The same of a property: a missing strand has the value that was declared.
bool PartJudge::is_missing_with(const Strand& strand, size_t property) const {
  return std::any_of(analysis_.added.begin(), analysis_.added.end(), [&](size_t r) {
    const Strand& right = analysis_.right[r];
    return right.is_pin == strand.is_pin && right.circuit == strand.circuit &&
           right.values[property] == strand.values[property];
  });
}

Leftover PartJudge::leftover(Leftover::Kind kind, size_t at) const {
  Leftover one{kind, at, {}, {}};
  const auto caused = [&](Index step) {  // a step that says what is there is not what went wrong
    if (step != none && !true_steps_.count(step)) one.caused_by.insert(step);
  };
  switch (kind) {
    case Leftover::Kind::rename: {
      const Rename& rename = analysis_.renames[at];
      one.reach.circuits.insert(rename.circuit);
      one.reach.ends = {rename.from, rename.to};
      for (size_t l : rename.left) {
        const Touch& touch = patched_.touches[l];
        caused(touch.added_by);
        caused(patched_.strands[l].a == rename.from ? touch.moved_a_by : touch.moved_b_by);
      }
      break;
    }
    case Leftover::Kind::alteration: {
      const Alteration& alteration = analysis_.alterations[at];
      one.reach.add(analysis_.right[alteration.right]);
      const Touch& touch = patched_.touches[alteration.left];
      caused(touch.added_by);
      for (const auto& [property, step] : touch.altered_by)
        if (property == alteration.property) caused(step);
      break;
    }
    case Leftover::Kind::removed: {
      const Touch& touch = patched_.touches[at];
      one.reach.add(patched_.strands[at]);
      if (patched_.origin[at] != alone) one.reach.add(before_[patched_.origin[at]]);
      caused(touch.added_by);
      const bool a_is_right = is_missing_at(patched_.strands[at], patched_.strands[at].a);
      const bool b_is_right = is_missing_at(patched_.strands[at], patched_.strands[at].b);
      if (!a_is_right || b_is_right) caused(touch.moved_a_by);
      if (!b_is_right || a_is_right) caused(touch.moved_b_by);
      for (const auto& [property, step] : touch.altered_by)
        if (!is_missing_with(patched_.strands[at], property)) caused(step);
      break;
    }
    case Leftover::Kind::added: {
      const Strand& strand = analysis_.right[at];
      one.reach.add(strand);
      for (const auto& [step, index] : patched_.removed) {  // said to be removed, and still there
        const Strand& gone = before_[index];
        if (gone.is_pin == strand.is_pin && gone.circuit == strand.circuit && gone.ends_at(strand.a) &&
            (strand.is_pin || gone.other_end(strand.a) == strand.b))
          caused(step);
      }
      break;
    }
  }
  return one;
}

void PartJudge::list_leftovers() {
  for (size_t i = 0; i < analysis_.renames.size(); ++i) leftovers_.push_back(leftover(Leftover::Kind::rename, i));
  for (size_t i = 0; i < analysis_.alterations.size(); ++i)
    leftovers_.push_back(leftover(Leftover::Kind::alteration, i));
  for (size_t l : analysis_.removed) leftovers_.push_back(leftover(Leftover::Kind::removed, l));
  for (size_t r : analysis_.added) leftovers_.push_back(leftover(Leftover::Kind::added, r));
}

// Whether a step that went wrong altogether may have meant this, though it names other ends.
bool PartJudge::is_akin(Index step, const Leftover& one) const {
  if (!share_circuit(reach_of(item(step)), one.reach)) return false;
  switch (item(step).kind) {
    case ChangeKind::moved:
    case ChangeKind::swapped:
    case ChangeKind::replugged:
      return one.kind == Leftover::Kind::rename;
    case ChangeKind::added:
    case ChangeKind::removed:
    case ChangeKind::respliced:
      return one.kind != Leftover::Kind::alteration;
    default:
      return one.kind == Leftover::Kind::alteration;
  }
}

void PartJudge::lay_at_the_nearest(Index step) {
  const Reach reach = reach_of(item(step));
  bool any = false;
  for (Leftover& one : leftovers_) {
    if (relation(family_, reach, one.reach) == 0) continue;
    any = true;
    one.told = true;
  }
  if (any) return;
  std::vector<Leftover*> akin;
  for (Leftover& one : leftovers_)
    if (!one.told && is_akin(step, one)) akin.push_back(&one);
  if (akin.size() == 1) akin.front()->told = true;
}

// What a step itself brought about is its fault; what it is about, where it went wrong, is told with it. Steps that are
// so are told with nothing, unless others that are not so stood in their way.
void PartJudge::lay_at_the_door() {
  for (Leftover& one : leftovers_)
    if (!one.caused_by.empty()) blame(one, one.caused_by);
  for (const auto& [step, why] : patched_.refused) wrong_.insert(step);
  const bool only_true = std::all_of(wrong_.begin(), wrong_.end(), [&](Index step) { return is_so(step); });
  if (only_true) return;
  for (Index step : wrong_) lay_at_the_nearest(step);
}

// `respliced` also says that the net joins what it joined before. That can be judged once all else is right.
void PartJudge::check_resplices() {
  const auto is_resplice = [&](Index step) { return item(step).kind == ChangeKind::respliced; };
  if (!wrong_.empty() || !leftovers_.empty()) return;  // what else is wrong may be what parts the nets
  if (std::none_of(strand_steps_.begin(), strand_steps_.end(), is_resplice)) return;
  std::vector<Strand> left = before_;  // with its ends named as on the right
  std::map<std::pair<Index, Index>, Index> renamed;
  for (size_t i = 0; i < patched_.strands.size(); ++i) {
    if (patched_.origin[i] == alone) continue;
    const Strand& was = before_[patched_.origin[i]];
    renamed[{was.circuit, was.a}] = analysis_.left[i].a;
    renamed[{was.circuit, was.b}] = analysis_.left[i].b;
  }
  for (Strand& strand : left)
    for (Index* end : {&strand.a, &strand.b})
      if (const auto found = renamed.find({strand.circuit, *end}); found != renamed.end()) *end = found->second;
  const StrandNets before(family_, left), after(family_, after_);
  const std::vector<bool> left_stays = before.also_in(after), right_stays = after.also_in(before);
  const auto is_other_net = [&](Index step) {
    for (const auto& [by, strand] : patched_.removed)
      if (by == step) return !left_stays[strand];
    for (const RemovalChoice& choice : patched_.choices)
      if (std::find(choice.steps.begin(), choice.steps.end(), step) != choice.steps.end())
        return !left_stays[patched_.origin[choice.strands.front()]];
    for (size_t i = 0; i < patched_.touches.size(); ++i)
      if (patched_.touches[i].added_by == step && analysis_.right_of[i] != alone)
        return !right_stays[analysis_.right_of[i]];
    return false;
  };
  for (Index step : strand_steps_) {
    if (!is_resplice(step) || !is_other_net(step)) continue;
    wrong_.insert(step);
    said_instead_[step] = fmt::format("the net of {} joins other cavities before than after",
                                      family_.text(family_.circuits[item(step).circuit].id));
  }
}

void PartJudge::tell_undeclared(std::vector<Difference>& found) const {
  Analysis rest = analysis_;
  const auto told = [&](Leftover::Kind kind, size_t at) {
    return std::any_of(leftovers_.begin(), leftovers_.end(),
                       [&](const Leftover& one) { return one.kind == kind && one.at == at && one.told; });
  };
  rest.renames.clear();
  rest.alterations.clear();
  for (size_t i = 0; i < analysis_.renames.size(); ++i)
    if (!told(Leftover::Kind::rename, i)) rest.renames.push_back(analysis_.renames[i]);
  for (size_t i = 0; i < analysis_.alterations.size(); ++i)
    if (!told(Leftover::Kind::alteration, i)) rest.alterations.push_back(analysis_.alterations[i]);
  std::erase_if(rest.removed, [&](size_t l) { return told(Leftover::Kind::removed, l); });
  std::erase_if(rest.added, [&](size_t r) { return told(Leftover::Kind::added, r); });
  std::vector<Strand> before = patched_.strands;  // what goes is told by the ends it had
  for (size_t l = 0; l < before.size(); ++l)
    if (patched_.origin[l] != alone) before[l] = before_[patched_.origin[l]];
  const std::vector<Difference> strands = classify_strands(left_, right_, before, rest);
  found.insert(found.end(), strands.begin(), strands.end());
}

PointMap PartJudge::moves_of_pins() const {
  PointMap moves;
  for (size_t i = 0; i < patched_.strands.size(); ++i) {
    if (patched_.origin[i] == alone || !patched_.strands[i].is_pin) continue;
    const Index was = before_[patched_.origin[i]].a, is = analysis_.left[i].a;
    if (was != is) moves[was] = is;
  }
  return moves;
}

std::string PartJudge::reason(Index step) const {
  const auto refused = patched_.refused.find(step);
  if (refused != patched_.refused.end()) return refused->second;
  const auto said = said_instead_.find(step);
  if (said != said_instead_.end()) return said->second;
  const ChangeItem& one = item(step);
  if (one.kind == ChangeKind::removed) return "it is there before and after";
  if (one.kind == ChangeKind::added) return fmt::format("no such {} comes", one.to == none ? "pin" : "wire");
  return "nothing of the kind is there";
}

// Steps that say what a comparison finds by itself.
void PartJudge::find_true_steps() {
  if (strand_steps_.empty()) return;
  actual_ = classify_strands(left_, right_, before_, analyse(family_, before_, after_));
  for (Index step : strand_steps_)
    if (std::any_of(actual_.begin(), actual_.end(),
                    [&](const Difference& difference) { return says(family_, item(step), difference); }))
      true_steps_.insert(step);
}

// A step that says what is there, and only failed because of what others say wrongly or nobody says, is not told.
void PartJudge::acquit() {
  std::set<Index> wrong;
  for (Index step : wrong_)
    if (!is_so(step) || said_instead_.count(step)) wrong.insert(step);
  const bool anything_untold =
      std::any_of(leftovers_.begin(), leftovers_.end(), [](const Leftover& one) { return !one.told; });
  if (wrong.empty() && !wrong_.empty() && !anything_untold)  // then it is what the others say that stands in the way
    for (Index step : strand_steps_)
      if (!true_steps_.count(step)) wrong.insert(step);
  if (!wrong.empty() || anything_untold) wrong_ = wrong;
}

// What the step says itself, or another says rightly, would explain nothing.
bool PartJudge::is_told(Index step, const Difference& difference) const {
  if (says(family_, item(step), difference)) return true;
  return difference.steps.empty() && std::any_of(true_steps_.begin(), true_steps_.end(),
                                                 [&](Index other) { return says(family_, item(other), difference); });
}

// What a step got wrong is said by what differs in truth and is nearest to it; where nothing is, by why it failed.
void PartJudge::tell_untrue() {
  for (Index step : wrong_) {
    const Reach reach = reach_of(item(step));
    const Difference* nearest = nullptr;
    int closest = 0;
    for (const Difference& difference : actual_) {
      if (is_told(step, difference)) continue;
      int close = 2 * relation(family_, reach, reach_of(difference));
      if (close > 0 && difference.item.kind == item(step).kind) ++close;
      if (close > closest) nearest = &difference, closest = close;
    }
    Untrue untrue{step, reason(step), {}, CellSet::of(left_.cell())};
    if (nearest && !said_instead_.count(step) && !patched_.contested.count(step)) {
      untrue.rows = nearest->left;
      untrue.rows.insert(untrue.rows.end(), nearest->right.begin(), nearest->right.end());
      untrue.words = "the corpus has: " + difference_words(family_, *nearest);
    }
    verdict_.untrue.push_back(std::move(untrue));
  }
}

void PartJudge::run() {
  const std::set<Index> involved = circuits();
  before_ = left_.strands(involved);
  after_ = right_.strands(involved);
  find_true_steps();
  patched_ = patch(family_, before_, after_, strand_steps_, true_steps_);
  std::vector<bool> doubtful;
  for (const Touch& touch : patched_.touches) doubtful.push_back(touch.any_but(true_steps_));
  analysis_ = analyse(family_, patched_.strands, after_, doubtful);
  settle_choices();
  list_leftovers();
  lay_at_the_door();
  check_resplices();

  std::vector<Difference> found;
  tell_undeclared(found);
  judge_things(left_, right_, moves_of_pins(), thing_steps_, found, verdict_);
  sort_differences(found);
  verdict_.undeclared.insert(verdict_.undeclared.end(), found.begin(), found.end());
  acquit();
  tell_untrue();
}

}  // namespace

void judge_part(const Side& left, const Side& right, const std::vector<Index>& steps, PairVerdict& verdict) {
  PartJudge(left, right, steps, verdict).run();
}

}  // namespace loomproof::compare
