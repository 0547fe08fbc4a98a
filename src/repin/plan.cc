#include "repin/plan.h"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <set>

#include "compare/differences.h"
#include "family/words.h"
#include "nets/firing.h"
#include "repin/words.h"

namespace loomproof::repin {
namespace {

bool is_hidden(State state) {
  return state == State::unknown || state == State::disputed;
}

// Spots that some task leads a hand to.
std::set<uint32_t> touched_by(const Job& job, const Work& work) {
  std::set<uint32_t> spots;
  for (const Task& task : work.tasks()) {
    if (task.move.first != nothing) spots.insert({task.move.first, task.move.second});
    if (task.spot != nothing) spots.insert(task.spot);
    if (task.kind == StepKind::remove) spots.insert({job.have[task.wire].a, job.have[task.wire].b});
    if (task.kind == StepKind::add) spots.insert({job.want[task.wire].a, job.want[task.wire].b});
    if (task.plug == nothing) continue;
    for (uint32_t spot = 0; spot < job.places.size(); ++spot)
      if (job.places[spot].plug == task.plug) spots.insert(spot);
  }
  return spots;
}

std::string refusal_of(const FamilyIndex& index, const Job& job, const Work& work) {
  const Family& family = job.family();
  const auto refuse = [&](const std::string& what) {
    return fmt::format(
        "{} a firing circuit (airbag, belt tensioner): no plan is made for it. Follow the maker's manual, and leave "
        "the "
        "work to someone trained and licensed for it.",
        what);
  };
  for (uint32_t spot : touched_by(job, work)) {
    const Place& place = job.places[spot];
    if (place.plug != nothing && job.plugs[place.plug].may_fire)
      return refuse(
          fmt::format("{} would have to be worked on, and carries or may carry", job.plugs[place.plug].designator));
    for (Index point : {place.left, place.right})
      if (point != none && carries_firing(index, point))
        return refuse(fmt::format("{} would have to be worked on, and carries", place.name));
  }
  for (const Task& task : work.tasks())
    if ((task.kind == StepKind::remove && is_firing(family, job.pieces[task.wire].wire.circuit)) ||
        (task.kind == StepKind::add && is_firing(family, job.wanted[task.wire].circuit)))
      return refuse("A wire would have to be worked on that belongs to");
  return {};
}

// What nobody knows of either side. Where one recorded loom is both, what is said of neither is as recorded.
std::vector<Look> looks(const Job& job, const Work& work) {
  const Family& family = job.family();
  const std::set<uint32_t> touched = touched_by(job, work);
  const bool same_loom =
      job.from().cell == job.to().cell && family.parts[job.from().part].place == family.parts[job.to().part].place;
  std::vector<Look> found;
  for (uint32_t spot = 0; spot < job.places.size(); ++spot) {
    const Place& place = job.places[spot];
    if (place.kind != PointKind::cavity) continue;
    const bool left = place.left_there && is_hidden(place.left_state),
               right = place.right_there && is_hidden(place.right_state);
    const bool used = touched.count(spot) > 0;
    if ((!left && !right) || (same_loom && !used && place.left_state == place.right_state)) continue;
    Look look{place.name, {}, used};
    if (left)
      look.why = place.left_state == State::unknown ? "nobody has recorded what this loom holds there"
                                                    : "the sources disagree about what this loom holds there";
    if (right) {
      if (left) look.why += "; ";
      look.why += place.right_state == State::unknown ? "nobody has recorded what it should hold"
                                                      : "the sources disagree about what it should hold";
    }
    if (job.plugs[place.plug].may_fire)
      look.why += ". Such a plug may carry a firing circuit: leave it to the maker's manual";
    found.push_back(std::move(look));
  }
  std::stable_sort(found.begin(), found.end(), [](const Look& a, const Look& b) { return a.used > b.used; });
  return found;
}

// Whether a difference that stays is only about what nobody knows, which is told by the looks.
bool is_knowledge(const Family& family, const Difference& difference, const std::vector<Look>& looks) {
  const ChangeItem& item = difference.item;
  if (item.kind == ChangeKind::re_rated && difference.of == "rest") return true;
  if (item.kind != ChangeKind::now_known && item.kind != ChangeKind::no_longer_known &&
      item.kind != ChangeKind::restated)
    return false;
  const std::string name = point_name(family, item.from);
  return std::any_of(looks.begin(), looks.end(), [&](const Look& look) { return look.cavity == name; });
}

// What matters to nobody's circuits: where things sit, thicker wires, other colours and splices, what lies beyond.
bool is_harmless(const Difference& difference) {
  switch (difference.item.kind) {
    case ChangeKind::resized:
    case ChangeKind::recoloured:
    case ChangeKind::relocated:
    case ChangeKind::respliced:
    case ChangeKind::re_rated:
      return true;
    default:
      return false;
  }
}

void hold_against_target(Plan& plan, const FamilyIndex& index, Side to) {
  plan.worked = index.family();
  plan.worked_part = found::append(plan.worked, plan.done);
  const FamilyIndex worked(plan.worked);
  // The worked loom holds in one cell alone; so does the comparison of it.
  plan.proven = plan.look_first.empty();
  for (Difference& difference : differences(worked, plan.worked_part, plan.done.cell, to.part, to.cell)) {
    if (is_knowledge(plan.worked, difference, plan.look_first)) continue;
    plan.proven = plan.proven && is_harmless(difference);
    plan.stays.push_back(std::move(difference));
  }
}

}  // namespace

std::string_view word(StepKind kind) {
  constexpr std::array<std::string_view, 10> words{"unseal", "remove", "move",  "park",   "swap-housing",
                                                   "add",    "link",   "renew", "fasten", "seal"};
  return words[static_cast<size_t>(kind)];
}

Plan plan(const FamilyIndex& index, Side from, Side to, const Settings& settings) {
  Plan plan{.done = found::PartDraft(index.family(), from.part, from.cell)};
  const Job job(index, from, to, settings, plan.done);
  const Solution solution = solve(job.problem());
  Work work(job, solution, plan.done);
  plan.refusal = refusal_of(index, job, work);
  if (!plan.refusal.empty()) return plan;
  plan.look_first = looks(job, work);
  for (size_t task : work.order()) {
    Step step;
    step.kind = work.tasks()[task].kind, step.cuts = work.tasks()[task].cuts;
    work.carry_out(work.tasks()[task], step);
    tell(job, work, work.tasks()[task], step);
    plan.steps.push_back(std::move(step));
  }
  work.finish();
  plan.operations = static_cast<uint32_t>(work.tasks().size());
  plan.least = plan.operations - solution.operations + solution.least;
  list_material(job, work, plan);
  hold_against_target(plan, index, to);
  return plan;
}

}  // namespace loomproof::repin
