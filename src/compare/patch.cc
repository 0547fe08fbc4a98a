#include "compare/patch.h"

#include <fmt/format.h>

#include <algorithm>
#include <set>
#include <tuple>

#include "compare/values.h"

namespace loomproof::compare {
namespace {

// A value that no strand has: the text of an alteration that the right side does not know.
constexpr uint64_t unheard_of = uint64_t{1} << 63;

const std::string changes_nothing = "it changes nothing";
const std::string still_so = "it is there before and after";
const std::string said_before = "an earlier step says so already";

bool is_removal(const ChangeItem& item) {
  return item.kind == ChangeKind::removed || (item.kind == ChangeKind::respliced && item.step == 0);
}
bool is_addition(const ChangeItem& item) {
  return item.kind == ChangeKind::added || (item.kind == ChangeKind::respliced && item.step != 0);
}
bool is_rename(const ChangeItem& item) {
  return item.kind == ChangeKind::moved || item.kind == ChangeKind::swapped || item.kind == ChangeKind::replugged;
}

class Patcher {
 public:
  Patcher(const Family& family, const std::vector<Strand>& left, const std::vector<Strand>& right,
          const std::set<Index>& true_steps)
      : family_(family), left_(left), right_(right), true_steps_(true_steps) {
    result_.strands = left;
    result_.touches.resize(left.size());
    for (size_t i = 0; i < left.size(); ++i) result_.origin.push_back(i);
  }
  Patched run(const std::vector<Index>& steps);

 private:
  const ChangeItem& item(Index step) const { return family_.change_items[step]; }
  void refuse(Index step, std::string why) {
    if (why == said_before) result_.contested.insert(step);
    result_.refused.emplace(step, std::move(why));
  }
  bool removes(const ChangeItem& item, const Strand& strand) const;
  bool is_refilled(const Strand& place, const std::vector<Index>& steps, Index but = none) const;
  bool stays(Index step, Index circuit, Index end, const std::vector<Index>& steps);
  using Place = std::tuple<bool, Index, Index, Index>;  // pin or wire, circuit, the two ends in order
  static Place place_of(const Strand& strand) {
    return {strand.is_pin, strand.circuit, std::min(strand.a, strand.b), std::max(strand.a, strand.b)};
  }
  bool is_belied(Index step, const std::vector<Index>& steps) const;
  void count_arrivals(const std::vector<Index>& steps);
  Place renamed_place(Strand strand) const;
  size_t too_many(const Place& place);
  void remove(const std::vector<Index>& removals, const std::vector<Index>& steps);
  void take_out(const std::set<size_t>& gone);
  void plan_renames(Index step, const std::vector<Index>& steps);
  void refuse_contested();
  void rename(const std::vector<Index>& renames, const std::vector<Index>& steps);
  Index new_end(const Strand& strand, Index end, Index& by) const;
  void add(Index step);
  uint64_t value_of(Strand strand, size_t property, const std::string& text);
  void alter(Index step);
  size_t property_of(const ChangeItem& item, const Strand& strand) const;
  std::string text(const Strand& strand, size_t property) const;

  std::string circuit(Index circuit) const {
    return circuit == none ? "a pin" : std::string(family_.text(family_.circuits[circuit].id));
  }
  std::string point(Index point) const { return point_name(family_, point); }
  std::string ends_of(Index circuit) const;
  std::string not_there(const ChangeItem& item) const;
  std::string not_at(Index circuit, Index end) const;
  std::string not_so(const ChangeItem& item) const;

  const Family& family_;
  const std::vector<Strand>&left_, &right_;
  const std::set<Index>& true_steps_;
  Patched result_;
  std::map<Place, size_t> arrivals_, right_at_;
  std::vector<Strand> unaltered_;
  std::map<std::pair<bool, size_t>, std::set<uint64_t>> known_values_;
  std::set<Index> altered_;  // steps that were to alter something
  struct Plan {
    Index step = none;
    bool whichever = false;  // any circuit
    Index circuit = none, from = none, to = none;
  };
  std::vector<Plan> plans_;
  std::map<std::pair<Index, Index>, std::pair<Index, Index>> circuit_renames_;  // circuit, end -> end, step
  std::map<Index, std::pair<Index, Index>> end_renames_;                        // end -> end, step: any circuit
};

// --- removals -------------------------------------------------------------------------------------------------------

bool Patcher::removes(const ChangeItem& item, const Strand& strand) const {
  if (item.to == none) {  // a pin
    const bool circuit = item.circuit == none || item.circuit == strand.circuit;
    const bool role = item.role == Role::unset || static_cast<uint64_t>(item.role) == strand.values[role_property];
    return strand.is_pin && strand.a == item.from && circuit && role;
  }
  const bool ends = (strand.a == item.from && strand.b == item.to) || (strand.a == item.to && strand.b == item.from);
  return !strand.is_pin && strand.circuit == item.circuit && ends;
}

// Whether another step brings a strand of the same circuit to where this one is.
bool Patcher::is_refilled(const Strand& place, const std::vector<Index>& steps, Index but) const {
  return std::any_of(steps.begin(), steps.end(), [&](Index step) {
    const ChangeItem& one = item(step);
    if (step == but || is_removal(one) || !(is_rename(one) || is_addition(one))) return false;
    const bool circuit = one.kind == ChangeKind::replugged || one.circuit == place.circuit ||
                         (one.kind == ChangeKind::swapped && one.circuit_b == place.circuit);
    const bool there = place.ends_at(one.to) || (!is_rename(one) && place.ends_at(one.from)) ||
                       (one.kind == ChangeKind::swapped && place.ends_at(one.from));
    return circuit && there;
  });
}

// Whether a step moves what a step that is in the right removes.
bool Patcher::is_belied(Index step, const std::vector<Index>& steps) const {
  if (true_steps_.count(step)) return false;
  return std::any_of(steps.begin(), steps.end(), [&](Index other) {
    const ChangeItem &gone = item(other), &moved = item(step);
    if (!is_removal(gone) || !true_steps_.count(other)) return false;
    const bool circuit = moved.kind == ChangeKind::replugged || gone.circuit == none || moved.circuit == gone.circuit;
    return circuit && (moved.from == gone.from || moved.from == gone.to);
  });
}

// How many strands the steps would bring to each place, were none removed.
void Patcher::count_arrivals(const std::vector<Index>& steps) {
  for (Index step : steps) {
    const ChangeItem& one = item(step);
    if (is_rename(one) && is_belied(step, steps)) continue;
    if (one.kind == ChangeKind::replugged) end_renames_.emplace(one.from, std::pair(one.to, step));
    if (one.kind == ChangeKind::moved || one.kind == ChangeKind::swapped)
      circuit_renames_.emplace(std::pair(one.circuit, one.from), std::pair(one.to, step));
    if (one.kind == ChangeKind::swapped)
      circuit_renames_.emplace(std::pair(one.circuit_b, one.to), std::pair(one.from, step));
    if (is_addition(one)) ++arrivals_[place_of({{}, one.to == none, one.circuit, one.from, one.to})];
  }
  for (const Strand& strand : left_) ++arrivals_[renamed_place(strand)];
  for (const Strand& strand : right_) ++right_at_[place_of(strand)];
}

Patcher::Place Patcher::renamed_place(Strand strand) const {
  Index by = none;
  strand.a = new_end(strand, strand.a, by), strand.b = new_end(strand, strand.b, by);
  return place_of(strand);
}

// No more can have been removed than would arrive at a place beyond what the right side has there.
size_t Patcher::too_many(const Place& place) {
  const size_t arrive = arrivals_[place], stay = right_at_[place];
  return arrive > stay ? arrive - stay : 0;
}

void Patcher::remove(const std::vector<Index>& removals, const std::vector<Index>& steps) {
  std::map<std::vector<size_t>, std::vector<Index>> by_strands;
  for (Index step : removals) {
    std::vector<size_t> strands;
    for (size_t i = 0; i < left_.size(); ++i)
      if (removes(item(step), left_[i])) strands.push_back(i);
    if (strands.empty())
      refuse(step, not_there(item(step)));
    else
      by_strands[strands].push_back(step);
  }
  count_arrivals(steps);
  std::set<size_t> gone;
  for (auto& [strands, by] : by_strands) {
    const size_t surplus = too_many(renamed_place(left_[strands.front()]));
    const size_t go = std::min({by.size(), strands.size(), surplus});
    for (size_t i = go; i < by.size(); ++i) refuse(by[i], i < strands.size() ? still_so : said_before);
    by.resize(go);
    if (go < strands.size()) {
      if (go > 0) result_.choices.push_back({strands, by});
      continue;
    }
    for (size_t i = 0; i < go; ++i) {
      result_.removed[by[i]] = strands[i];
      gone.insert(strands[i]);
    }
  }
  circuit_renames_.clear();
  end_renames_.clear();
  take_out(gone);
}

void Patcher::take_out(const std::set<size_t>& gone) {
  Patched kept;
  std::map<size_t, size_t> now_at;
  for (size_t i = 0; i < left_.size(); ++i) {
    if (gone.count(i)) continue;
    now_at[i] = kept.strands.size();
    kept.strands.push_back(left_[i]);
    kept.origin.push_back(i);
  }
  result_.strands = std::move(kept.strands);
  result_.origin = std::move(kept.origin);
  result_.touches.assign(result_.strands.size(), {});
  for (RemovalChoice& choice : result_.choices) {
    std::erase_if(choice.strands, [&](size_t strand) { return gone.count(strand) > 0; });
    for (size_t& strand : choice.strands) strand = now_at.at(strand);
  }
}

// --- renames --------------------------------------------------------------------------------------------------------

void Patcher::plan_renames(Index step, const std::vector<Index>& steps) {
  const ChangeItem& one = item(step);
  const bool is_swap = one.kind == ChangeKind::swapped;
  if (one.from == one.to) return refuse(step, changes_nothing);
  if (stays(step, one.circuit, one.from, steps) || (is_swap && stays(step, one.circuit_b, one.to, steps)))
    return refuse(step, still_so);
  const bool whichever = one.kind == ChangeKind::replugged;
  plans_.push_back({step, whichever, whichever ? none : one.circuit, one.from, one.to});
  if (is_swap) plans_.push_back({step, false, one.circuit_b, one.to, one.from});
}

// Steps that send the same thing to different ends contradict each other, and nobody can say which is right.
void Patcher::refuse_contested() {
  const auto contest = [&](const Plan& a, const Plan& b) {
    const std::string both = fmt::format("two steps move what is at {}", point(a.from));
    const bool a_is_true = true_steps_.count(a.step) > 0, b_is_true = true_steps_.count(b.step) > 0;
    for (const auto& [step, other_is_true] : {std::pair(a.step, b_is_true), std::pair(b.step, a_is_true)}) {
      if (true_steps_.count(step) && !other_is_true) continue;
      refuse(step, both);
      result_.contested.insert(step);
    }
  };
  for (size_t i = 0; i < plans_.size(); ++i)
    for (size_t j = 0; j < i; ++j) {
      const Plan &a = plans_[j], &b = plans_[i];
      if (a.whichever != b.whichever || a.circuit != b.circuit || a.from != b.from) continue;
      if (a.to == b.to)
        refuse(b.step, said_before);
      else
        contest(a, b);
    }
  for (const Plan& plug : plans_) {  // all that is in the cavity is taken by steps on its circuits
    if (!plug.whichever) continue;
    const Plan* taken_by = nullptr;
    bool leaves_some = false;
    for (const Strand& strand : result_.strands) {
      if (!strand.ends_at(plug.from)) continue;
      const auto found = std::find_if(plans_.begin(), plans_.end(), [&](const Plan& plan) {
        return !plan.whichever && plan.circuit == strand.circuit && plan.from == plug.from;
      });
      leaves_some |= found == plans_.end();
      if (found != plans_.end()) taken_by = &*found;
    }
    if (taken_by && !leaves_some) contest(*taken_by, plug);
  }
}

Index Patcher::new_end(const Strand& strand, Index end, Index& by) const {
  if (end == none) return end;
  const auto circuit = circuit_renames_.find({strand.circuit, end});
  if (circuit != circuit_renames_.end()) {
    by = circuit->second.second;
    return circuit->second.first;
  }
  const auto plug = end_renames_.find(end);
  if (plug == end_renames_.end()) return end;
  by = plug->second.second;
  return plug->second.first;
}

// Whether all that a step says has left an end is still there on the right, and no other step has put it there.
bool Patcher::stays(Index step, Index circuit, Index end, const std::vector<Index>& steps) {
  bool any = false;
  for (const Strand& strand : result_.strands) {
    if (!strand.ends_at(end) || (item(step).kind != ChangeKind::replugged && strand.circuit != circuit)) continue;
    if (right_at_[place_of(strand)] == 0 || is_refilled(strand, steps, step)) return false;
    any = true;
  }
  return any;
}

void Patcher::rename(const std::vector<Index>& renames, const std::vector<Index>& steps) {
  for (Index step : renames) plan_renames(step, steps);
  refuse_contested();
  for (const Plan& plan : plans_) {
    if (result_.refused.count(plan.step)) continue;
    if (plan.whichever)
      end_renames_[plan.from] = {plan.to, plan.step};
    else
      circuit_renames_[{plan.circuit, plan.from}] = {plan.to, plan.step};
  }
  std::set<std::pair<Index, Index>> did;  // step, end that it moved
  const std::vector<Strand> before = result_.strands;
  for (size_t i = 0; i < before.size(); ++i) {
    Strand& strand = result_.strands[i];
    Touch& touch = result_.touches[i];
    strand.a = new_end(before[i], before[i].a, touch.moved_a_by);
    strand.b = new_end(before[i], before[i].b, touch.moved_b_by);
    if (touch.moved_a_by != none) did.emplace(touch.moved_a_by, before[i].a);
    if (touch.moved_b_by != none) did.emplace(touch.moved_b_by, before[i].b);
  }
  follow_pairs(result_.strands, pin_moves(before, result_.strands));
  for (Index step : renames) {
    const ChangeItem& one = item(step);
    if (result_.refused.count(step)) continue;
    if (!did.count({step, one.from}))
      refuse(step, not_at(one.kind == ChangeKind::replugged ? none : one.circuit, one.from));
    else if (one.kind == ChangeKind::swapped && !did.count({step, one.to}))
      refuse(step, not_at(one.circuit_b, one.to));
  }
}

// --- additions and alterations --------------------------------------------------------------------------------------

void Patcher::add(Index step) {
  const ChangeItem& one = item(step);
  Strand strand{{}, one.to == none, one.circuit, one.from, one.to};
  strand.wild = true;
  if (strand.is_pin) {
    strand.values[role_property] = static_cast<uint64_t>(one.role);
  } else {
    strand.values[colour_property] = colour_value(one.base, one.tracer, one.shade);
    strand.values[mm2_property] = static_cast<uint32_t>(one.mm2);
  }
  result_.strands.push_back(strand);
  result_.origin.push_back(alone);
  result_.touches.push_back({step});
}

size_t Patcher::property_of(const ChangeItem& item, const Strand& strand) const {
  std::string_view of = family_.text(item.of);
  if (item.kind == ChangeKind::recoloured) of = "colour";
  if (item.kind == ChangeKind::resized) of = "mm2";
  if (item.kind == ChangeKind::re_roled) of = "role";
  for (size_t property = 0; property < strand.property_count(); ++property)
    if (strand.property(property).of == of) return property;
  return alone;
}

std::string Patcher::text(const Strand& strand, size_t property) const {
  return strand.values[property] & unheard_of ? std::string() : value_text(family_, strand, property);
}

// The value of a declared text. One that the right side does not know equals nothing there.
uint64_t Patcher::value_of(Strand strand, size_t property, const std::string& text) {
  std::set<uint64_t>& known = known_values_[{strand.is_pin, property}];
  if (known.empty())
    for (const Strand& right : right_)
      if (right.is_pin == strand.is_pin) known.insert(right.values[property]);
  for (uint64_t value : known) {
    strand.values[property] = value;
    if (value_text(family_, strand, property) == text) return value;
  }
  return unheard_of;
}

void Patcher::alter(Index step) {
  const ChangeItem& one = item(step);
  const std::string was(family_.text(one.was)), becomes(family_.text(one.becomes));
  if (was == becomes) return refuse(step, changes_nothing);
  bool picks = false, did = false;
  for (size_t i = 0; i < result_.strands.size(); ++i) {
    const Strand& strand = unaltered_[i];  // several steps may pick one strand
    if (!strand.ends_at(one.from) || (one.circuit != none && strand.circuit != one.circuit)) continue;
    const size_t property = property_of(one, strand);
    if (property == alone || strand.wild) continue;  // what is added comes as it is
    if (text(strand, property) != was) continue;
    picks = true;
    if (strand.values[property] != result_.strands[i].values[property]) continue;
    result_.strands[i].values[property] = value_of(strand, property, becomes);
    result_.strands[i].pair_is_said |= strand.is_pin && property == pair_property;
    result_.touches[i].altered_by.emplace_back(property, step);
    did = true;
  }
  altered_.insert(step);
  if (did) return;
  if (!picks) return refuse(step, not_so(one));
  refuse(step, "what it is about is altered by another step");
  const auto same = [&](Index other) {
    const ChangeItem& before = item(other);
    return other < step && before.kind == one.kind && before.from == one.from && before.circuit == one.circuit &&
           before.of == one.of && before.becomes == one.becomes;
  };
  if (std::any_of(altered_.begin(), altered_.end(), same)) result_.contested.insert(step);
}

Patched Patcher::run(const std::vector<Index>& steps) {
  std::vector<Index> removals, renames;
  for (Index step : steps) {
    if (is_removal(item(step))) removals.push_back(step);
    if (is_rename(item(step))) renames.push_back(step);
  }
  remove(removals, steps);
  rename(renames, steps);
  for (Index step : steps)
    if (is_addition(item(step))) add(step);
  unaltered_ = result_.strands;
  for (bool is_true : {true, false})
    for (Index step : steps)
      if (!is_removal(item(step)) && !is_rename(item(step)) && !is_addition(item(step)) &&
          (true_steps_.count(step) > 0) == is_true)
        alter(step);
  return std::move(result_);
}

// --- why a step could not be applied --------------------------------------------------------------------------------

// Where a circuit does end, if that is few places.
std::string Patcher::ends_of(Index circuit) const {
  std::set<Index> ends;
  for (const Strand& strand : left_) {
    if (strand.circuit != circuit) continue;
    ends.insert(strand.a);
    if (strand.b != none) ends.insert(strand.b);
  }
  constexpr size_t few = 4;
  std::string text;
  if (ends.empty() || ends.size() > few) return text;
  for (Index end : ends) text += (text.empty() ? "" : ", ") + point(end);
  return text;
}

std::string Patcher::not_at(Index circuit_index, Index end) const {
  if (circuit_index == none) return fmt::format("nothing is at {} before", point(end));
  const std::string ends = ends_of(circuit_index);
  return fmt::format("{} is not at {} before{}", circuit(circuit_index), point(end),
                     ends.empty() ? ends : ", but at " + ends);
}

std::string Patcher::not_there(const ChangeItem& item) const {
  if (item.to != none)
    return fmt::format("no wire of {} runs between {} and {} before", circuit(item.circuit), point(item.from),
                       point(item.to));
  for (const Strand& strand : left_)
    if (strand.is_pin && strand.a == item.from)
      return fmt::format("pin {} is {}, {} before", point(item.from), circuit(strand.circuit),
                         value_text(family_, strand, role_property));
  return fmt::format("no pin is at {} before", point(item.from));
}

std::string Patcher::not_so(const ChangeItem& item) const {
  std::set<std::string> texts;
  std::string_view of;
  for (const Strand& strand : unaltered_) {
    if (!strand.ends_at(item.from) || (item.circuit != none && strand.circuit != item.circuit)) continue;
    const size_t property = property_of(item, strand);
    if (property == alone) continue;
    of = strand.property(property).of;
    texts.insert(text(strand, property));
  }
  texts.erase("");
  if (texts.empty()) {
    if (item.circuit != none) return not_at(item.circuit, item.from);
    return fmt::format("nothing at {} has such a property before", point(item.from));
  }
  std::string list;
  for (const std::string& one : texts) list += (list.empty() ? "" : " and ") + one;
  return fmt::format("{} at {} is {} before", of, point(item.from), list);
}

}  // namespace

bool Touch::any_but(const std::set<Index>& steps) const {
  const auto is_other = [&](Index step) { return step != none && !steps.count(step); };
  return is_other(added_by) || is_other(moved_a_by) || is_other(moved_b_by) ||
         std::any_of(altered_by.begin(), altered_by.end(), [&](const auto& entry) { return is_other(entry.second); });
}

bool is_about_strands(const Family& family, const ChangeItem& item) {
  switch (item.kind) {
    case ChangeKind::moved:
    case ChangeKind::swapped:
    case ChangeKind::replugged:
    case ChangeKind::added:
    case ChangeKind::removed:
    case ChangeKind::recoloured:
    case ChangeKind::resized:
    case ChangeKind::respliced:
    case ChangeKind::re_roled:
      return true;
    case ChangeKind::re_rated: {
      if (item.from == none) return false;
      const std::string_view of = family.text(item.of);
      return family.points[item.from].kind == PointKind::cavity ||
             std::any_of(wire_properties.begin(), wire_properties.end(),
                         [&](const Property& property) { return property.of == of; });
    }
    default:
      return false;
  }
}

Patched patch(const Family& family, const std::vector<Strand>& left, const std::vector<Strand>& right,
              const std::vector<Index>& steps, const std::set<Index>& true_steps) {
  return Patcher(family, left, right, true_steps).run(steps);
}

}  // namespace loomproof::compare
