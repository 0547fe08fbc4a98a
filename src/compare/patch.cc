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
  Patcher(const Family& family, const std::vector<Strand>& left, const std::vector<Strand>& right)
      : family_(family), left_(left), right_(right) {
    result_.strands = left;
    result_.touches.resize(left.size());
    for (size_t i = 0; i < left.size(); ++i) result_.origin.push_back(i);
  }
  Patched run(const std::vector<Index>& steps);

 private:
  const ChangeItem& item(Index step) const { return family_.change_items[step]; }
  void refuse(Index step, std::string why) { result_.refused.emplace(step, std::move(why)); }
  bool removes(const ChangeItem& item, const Strand& strand) const;
  void remove(const std::vector<Index>& steps);
  void take_out(const std::set<size_t>& gone);
  void plan_rename(Index step, Index circuit, Index from, Index to);
  void rename(const std::vector<Index>& steps);
  Index new_end(const Strand& strand, Index end, Index& by) const;
  void add(Index step);
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
  Patched result_;
  std::vector<Strand> unaltered_;
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

void Patcher::remove(const std::vector<Index>& steps) {
  std::map<std::vector<size_t>, std::vector<Index>> by_strands;
  for (Index step : steps) {
    std::vector<size_t> strands;
    for (size_t i = 0; i < left_.size(); ++i)
      if (removes(item(step), left_[i])) strands.push_back(i);
    if (strands.empty())
      refuse(step, not_there(item(step)));
    else
      by_strands[strands].push_back(step);
  }
  std::set<size_t> gone;
  for (auto& [strands, by] : by_strands) {
    for (size_t i = strands.size(); i < by.size(); ++i) refuse(by[i], said_before);
    if (by.size() > strands.size()) by.resize(strands.size());
    if (by.size() < strands.size()) {
      result_.choices.push_back({strands, by});
      continue;
    }
    for (size_t i = 0; i < by.size(); ++i) {
      result_.removed[by[i]] = strands[i];
      gone.insert(strands[i]);
    }
  }
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

void Patcher::plan_rename(Index step, Index circuit, Index from, Index to) {
  if (from == to) return refuse(step, changes_nothing);
  const bool is_new = item(step).kind == ChangeKind::replugged
                          ? end_renames_.emplace(from, std::pair(to, step)).second
                          : circuit_renames_.emplace(std::pair(circuit, from), std::pair(to, step)).second;
  if (!is_new) refuse(step, fmt::format("an earlier step moves what is at {}", point(from)));
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

void Patcher::rename(const std::vector<Index>& steps) {
  for (Index step : steps) {
    plan_rename(step, item(step).circuit, item(step).from, item(step).to);
    if (item(step).kind == ChangeKind::swapped && !result_.refused.count(step))
      plan_rename(step, item(step).circuit_b, item(step).to, item(step).from);
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
  for (Index step : steps) {
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

void Patcher::alter(Index step) {
  const ChangeItem& one = item(step);
  const std::string was(family_.text(one.was)), becomes(family_.text(one.becomes));
  if (was == becomes) return refuse(step, changes_nothing);
  bool picks = false, did = false;
  for (size_t i = 0; i < result_.strands.size(); ++i) {
    const Strand& strand = unaltered_[i];  // several steps may pick one strand
    if (!strand.ends_at(one.from) || (one.circuit != none && strand.circuit != one.circuit)) continue;
    const size_t property = property_of(one, strand);
    if (property == alone || (strand.wild && !strand.property(property).carried)) continue;
    if (text(strand, property) != was) continue;
    uint64_t value = unheard_of;
    for (const Strand& right : right_)
      if (right.is_pin == strand.is_pin && value_text(family_, right, property) == becomes)
        value = right.values[property];
    picks = true;
    if (strand.values[property] != result_.strands[i].values[property]) continue;
    result_.strands[i].values[property] = value;
    result_.touches[i].altered_by.emplace_back(property, step);
    did = true;
  }
  if (!did) refuse(step, picks ? said_before : not_so(one));
}

Patched Patcher::run(const std::vector<Index>& steps) {
  std::vector<Index> removals, renames;
  for (Index step : steps) {
    if (is_removal(item(step))) removals.push_back(step);
    if (is_rename(item(step))) renames.push_back(step);
  }
  remove(removals);
  rename(renames);
  for (Index step : steps)
    if (is_addition(item(step))) add(step);
  unaltered_ = result_.strands;
  for (Index step : steps)
    if (!is_removal(item(step)) && !is_rename(item(step)) && !is_addition(item(step))) alter(step);
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
              const std::vector<Index>& steps) {
  return Patcher(family, left, right).run(steps);
}

}  // namespace loomproof::compare
