#include "compare/classify.h"

#include <algorithm>
#include <map>
#include <tuple>

#include "compare/values.h"

namespace loomproof::compare {
namespace {

bool unknown_state(const std::string& state) {
  return state == "unknown" || state == "disputed";
}

void add_row(std::vector<RowRef>& rows, const Strand& strand) {
  if (strand.row.row != none) rows.push_back(strand.row);
}

void sort_rows(std::vector<RowRef>& rows) {
  std::sort(rows.begin(), rows.end());
  rows.erase(std::unique(rows.begin(), rows.end()), rows.end());
}

class Classifier {
 public:
  Classifier(const Side& left, const Side& right, const std::vector<Strand>& before, const Analysis& analysis)
      : left_(left), right_(right), family_(left.family()), before_(before), analysis_(analysis) {}
  std::vector<Difference> run();

 private:
  Difference make(ChangeKind kind) const;
  ChangeItem strand_item(ChangeKind kind, const Strand& strand) const;
  void add_rows(Difference& difference, const Rename& rename) const;
  void tell_swaps();
  void tell_replugs();
  void tell_moves();
  bool is_exchange(const Strand& strand, const std::vector<Strand>& others, const std::vector<size_t>& which) const;
  void tell_resplices();
  void tell_removed_and_added();
  void tell_alterations();
  bool is_replug(const std::vector<size_t>& renames) const;
  void note(Difference& difference, Index point, const Side& side, std::string_view when) const;
  void put(Difference difference);

  const Side &left_, &right_;
  const Family& family_;
  const std::vector<Strand>& before_;
  const Analysis& analysis_;
  std::vector<bool> rename_told_, removed_told_, added_told_;
  std::vector<Difference> found_;
};

Difference Classifier::make(ChangeKind kind) const {
  Difference difference;
  difference.item.kind = kind;
  difference.item.part = left_.part_index();
  difference.item.place = left_.part().place;
  difference.cells.insert(left_.cell());
  return difference;
}

ChangeItem Classifier::strand_item(ChangeKind kind, const Strand& strand) const {
  ChangeItem item = make(kind).item;
  item.circuit = strand.circuit;
  item.from = strand.a;
  item.to = strand.b;
  if (strand.is_pin) {
    item.role = static_cast<Role>(strand.values[role_property]);
    return item;
  }
  const uint64_t colour = strand.values[colour_property];
  if (colour != 0) {
    item.base = colour_base(colour);
    item.tracer = colour_tracer(colour);
    item.shade = colour_shade(colour);
  }
  item.mm2 = static_cast<Quantity>(static_cast<uint32_t>(strand.values[mm2_property]));
  return item;
}

void Classifier::add_rows(Difference& difference, const Rename& rename) const {
  for (size_t l : rename.left) add_row(difference.left, analysis_.left[l]);
  for (size_t r : rename.right) add_row(difference.right, analysis_.right[r]);
}

// Says where a cavity is one that nobody has looked at, or is disputed, on the side where nothing is told of it.
void Classifier::note(Difference& difference, Index point, const Side& side, std::string_view when) const {
  if (point == none || family_.points[point].kind != PointKind::cavity) return;
  const std::string state = side.state(point);
  if (!unknown_state(state)) return;
  if (!difference.note.empty()) difference.note += ", ";
  difference.note += point_name(family_, point) + " is " + state + " " + std::string(when);
}

void Classifier::put(Difference difference) {
  sort_rows(difference.left);
  sort_rows(difference.right);
  found_.push_back(std::move(difference));
}

void Classifier::tell_swaps() {
  std::map<std::pair<Index, Index>, std::vector<size_t>> by_ends;
  for (size_t i = 0; i < analysis_.renames.size(); ++i)
    by_ends[{analysis_.renames[i].from, analysis_.renames[i].to}].push_back(i);
  for (size_t i = 0; i < analysis_.renames.size(); ++i) {
    if (rename_told_[i]) continue;
    const Rename& rename = analysis_.renames[i];
    const auto back = by_ends.find({rename.to, rename.from});
    if (back == by_ends.end()) continue;
    for (size_t other : back->second) {
      if (rename_told_[other] || analysis_.renames[other].circuit == rename.circuit) continue;
      Difference difference = make(ChangeKind::swapped);
      difference.item.circuit = rename.circuit;
      difference.item.circuit_b = analysis_.renames[other].circuit;
      difference.item.from = rename.from;
      difference.item.to = rename.to;
      add_rows(difference, rename);
      add_rows(difference, analysis_.renames[other]);
      put(std::move(difference));
      rename_told_[i] = rename_told_[other] = true;
      break;
    }
  }
}

// A plug that is left by all it had, at least two cavities of it, for other plugs.
bool Classifier::is_replug(const std::vector<size_t>& renames) const {
  std::map<Index, Index> to;
  for (size_t i : renames) {
    const Rename& rename = analysis_.renames[i];
    if (!to.emplace(rename.from, rename.to).second && to[rename.from] != rename.to) return false;
  }
  const Index plug = family_.points[analysis_.renames[renames.front()].from].connector;
  return to.size() >= 2 && !right_.has_strand_in(plug);
}

void Classifier::tell_replugs() {
  std::map<Index, std::vector<size_t>> by_plug;
  for (size_t i = 0; i < analysis_.renames.size(); ++i) {
    const Point &from = family_.points[analysis_.renames[i].from], &to = family_.points[analysis_.renames[i].to];
    if (rename_told_[i] || from.connector == none || to.connector == none || from.connector == to.connector) continue;
    by_plug[from.connector].push_back(i);
  }
  for (auto& [plug, renames] : by_plug) {
    if (!is_replug(renames)) continue;
    Difference difference = make(ChangeKind::replugged);
    std::map<Index, Index> to;
    for (size_t i : renames) {
      rename_told_[i] = true;
      to[analysis_.renames[i].from] = analysis_.renames[i].to;
      add_rows(difference, analysis_.renames[i]);
    }
    for (const auto& [from, target] : to) {
      ChangeItem step = difference.item;
      step.connector = plug;
      step.from = from;
      step.to = target;
      difference.steps.push_back(step);
    }
    difference.item = difference.steps.front();
    put(std::move(difference));
  }
}

void Classifier::tell_moves() {
  for (size_t i = 0; i < analysis_.renames.size(); ++i) {
    if (rename_told_[i]) continue;
    const Rename& rename = analysis_.renames[i];
    Difference difference = make(ChangeKind::moved);
    difference.item.circuit = rename.circuit;
    difference.item.from = rename.from;
    difference.item.to = rename.to;
    add_rows(difference, rename);
    note(difference, rename.to, left_, "before");
    note(difference, rename.from, right_, "after");
    put(std::move(difference));
  }
}

// A wire that comes where one goes, between the same ends, is no other splicing: it looks otherwise.
bool Classifier::is_exchange(const Strand& strand, const std::vector<Strand>& others,
                             const std::vector<size_t>& which) const {
  return std::any_of(which.begin(), which.end(), [&](size_t i) {
    const Strand& other = others[i];
    return !other.is_pin && other.circuit == strand.circuit && other.ends_at(strand.a) &&
           other.other_end(strand.a) == strand.b;
  });
}

// One difference a net that joins what it joined before, by other wires.
void Classifier::tell_resplices() {
  if (analysis_.removed.empty() && analysis_.added.empty()) return;
  const StrandNets left(family_, analysis_.left), right(family_, analysis_.right);
  const std::vector<bool> left_stays = left.also_in(right), right_stays = right.also_in(left);
  std::map<std::vector<Index>, Difference> nets;
  const auto difference_of = [&](const std::vector<Index>& net) -> Difference& {
    return nets.emplace(net, make(ChangeKind::respliced)).first->second;
  };
  for (size_t i = 0; i < analysis_.removed.size(); ++i) {
    const size_t l = analysis_.removed[i];
    if (!left_stays[l] || is_exchange(analysis_.left[l], analysis_.right, analysis_.added)) continue;
    removed_told_[i] = true;
    Difference& difference = difference_of(left.signature(l));
    difference.steps.push_back(strand_item(ChangeKind::respliced, before_[l]));
    add_row(difference.left, before_[l]);
  }
  for (size_t i = 0; i < analysis_.added.size(); ++i) {
    const size_t r = analysis_.added[i];
    if (!right_stays[r] || is_exchange(analysis_.right[r], analysis_.left, analysis_.removed)) continue;
    added_told_[i] = true;
    Difference& difference = difference_of(right.signature(r));
    difference.steps.push_back(strand_item(ChangeKind::respliced, analysis_.right[r]));
    difference.steps.back().step = 1;
    add_row(difference.right, analysis_.right[r]);
  }
  for (auto& [net, difference] : nets) {
    difference.item = difference.steps.front();
    put(std::move(difference));
  }
}

void Classifier::tell_removed_and_added() {
  for (size_t i = 0; i < analysis_.removed.size(); ++i) {
    if (removed_told_[i]) continue;
    const Strand& strand = before_[analysis_.removed[i]];
    Difference difference = make(ChangeKind::removed);
    difference.item = strand_item(ChangeKind::removed, strand);
    add_row(difference.left, strand);
    note(difference, strand.a, right_, "after");
    note(difference, strand.b, right_, "after");
    put(std::move(difference));
  }
  for (size_t i = 0; i < analysis_.added.size(); ++i) {
    if (added_told_[i]) continue;
    const Strand& strand = analysis_.right[analysis_.added[i]];
    Difference difference = make(ChangeKind::added);
    difference.item = strand_item(ChangeKind::added, strand);
    add_row(difference.right, strand);
    note(difference, strand.a, left_, "before");
    note(difference, strand.b, left_, "before");
    put(std::move(difference));
  }
}

// Strands that one declared row picks are one difference.
void Classifier::tell_alterations() {
  std::map<Pick, Difference> picks;
  for (const Alteration& alteration : analysis_.alterations) {
    const Strand &was = analysis_.left[alteration.left], &becomes = analysis_.right[alteration.right];
    const size_t property = alteration.property;
    const ChangeKind kind = alteration_kind(was, becomes, property);
    const Pick pick = pick_of(was, becomes, property, alteration.at);
    const auto [entry, is_new] = picks.emplace(pick, make(kind));
    Difference& difference = entry->second;
    if (is_new) {
      difference.item.circuit = becomes.circuit;
      difference.item.from = alteration.at;
      difference.was = value_text(family_, was, property);
      difference.becomes = value_text(family_, becomes, property);
      if (kind == ChangeKind::re_rated) difference.of = becomes.property(property).of;
    } else if (difference.item.circuit != becomes.circuit) {
      difference.item.circuit = none;
    }
    add_row(difference.left, was);
    add_row(difference.right, becomes);
  }
  for (auto& [pick, difference] : picks) put(std::move(difference));
}

std::vector<Difference> Classifier::run() {
  rename_told_.assign(analysis_.renames.size(), false);
  removed_told_.assign(analysis_.removed.size(), false);
  added_told_.assign(analysis_.added.size(), false);
  tell_swaps();
  tell_replugs();
  tell_moves();
  tell_resplices();
  tell_removed_and_added();
  tell_alterations();
  return std::move(found_);
}

}  // namespace

std::vector<Difference> classify_strands(const Side& left, const Side& right, const std::vector<Strand>& before,
                                         const Analysis& analysis) {
  return Classifier(left, right, before, analysis).run();
}

Difference classify_thing(const Side& left, const ThingDifference& found) {
  const Family& family = left.family();
  Difference difference;
  difference.item.kind = found.kind;
  difference.item.part = left.part_index();
  difference.item.place = left.part().place;
  switch (found.key.kind) {
    case ThingKind::connector:
      difference.item.connector = found.key.id;
      break;
    case ThingKind::joint:
    case ThingKind::cavity:
      difference.item.from = found.key.id;
      break;
    case ThingKind::inside:
    case ThingKind::position:
      difference.what = family.text(found.key.name);
      break;
  }
  if (found.kind == ChangeKind::re_rated || found.kind == ChangeKind::inside_changed) difference.of = found.of;
  difference.was = found.was;
  difference.becomes = found.becomes;
  difference.cells.insert(left.cell());
  difference.left = found.left;
  difference.right = found.right;
  return difference;
}

void compare_place(const FamilyIndex& index, Index place, uint32_t left_cell, uint32_t right_cell,
                   std::vector<Difference>& found) {
  const Family& family = index.family();
  const Index left = index.part_in(place, left_cell), right = index.part_in(place, right_cell);
  const auto make = [&](ChangeKind kind, std::string was, std::string becomes) {
    Difference difference;
    difference.item.kind = kind;
    difference.item.place = place;
    difference.item.part = left != none ? left : right;
    difference.was = std::move(was);
    difference.becomes = std::move(becomes);
    difference.cells.insert(left_cell);
    return difference;
  };
  if (left != right) {
    const auto id = [&](Index part) { return part == none ? "none" : std::string(family.text(family.parts[part].id)); };
    Difference difference = make(ChangeKind::replaced, id(left), id(right));
    if (left != none) difference.left.push_back({Table::parts, left});
    if (right != none) difference.right.push_back({Table::parts, right});
    found.push_back(std::move(difference));
  }
  if (left == none || right == none) return;
  const auto where = [&](uint32_t cell) {
    const Range range = family.places[place].where;
    for (Index row = range.first; row < range.end(); ++row)
      if (family.holds(family.place_where[row].cells, cell)) return row;
    return none;
  };
  const Index was = where(left_cell), becomes = where(right_cell);
  const auto text = [&](Index row) {
    return row == none ? "none" : string_text(family, family.place_where[row].where);
  };
  if (was == becomes || text(was) == text(becomes)) return;
  Difference difference = make(ChangeKind::relocated, text(was), text(becomes));
  if (was != none) difference.left.push_back({Table::place_where, was});
  if (becomes != none) difference.right.push_back({Table::place_where, becomes});
  found.push_back(std::move(difference));
}

void sort_differences(std::vector<Difference>& differences) {
  const auto key = [](const Difference& difference) {
    const ChangeItem& item = difference.item;
    return std::tie(item.kind, item.circuit, item.connector, item.from, item.to, difference.what, difference.of,
                    difference.was, difference.becomes);
  };
  std::stable_sort(differences.begin(), differences.end(),
                   [&](const Difference& a, const Difference& b) { return key(a) < key(b); });
}

}  // namespace loomproof::compare
