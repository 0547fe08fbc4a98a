#include "known/known.h"

#include <fmt/format.h>

#include <algorithm>

#include "found/as_found.h"
#include "judge/judgement.h"
#include "judge/outcomes.h"

namespace loomproof::known {

namespace {

using judge::Shelf;
using judge::VariantId;

class Maker {
 public:
  Maker(Shelf& shelf, const Combination& combination, std::vector<Fault>& faults)
      : shelf_(shelf), family_(shelf.family()), combination_(combination), faults_(faults) {}

  Stands make() {
    stands_.resize(family_.places.size());
    put_others();
    const Range parts = combination_.parts, edits = combination_.edits;
    for (Index row = parts.first; row < parts.end(); ++row) put_named(row);
    if (!faults_.empty()) return std::move(stands_);  // an edit would be looked up in another part
    for (Index row = edits.first; row < edits.end(); ++row) read_edit(row);
    if (faults_.empty()) hold_edits_together();
    return std::move(stands_);
  }

 private:
  bool is_named(Index place) const {
    for (const CombinationPart& row : rows(family_.combination_parts, combination_.parts))
      if (row.place == place) return true;
    return false;
  }

  // What was built in the cells of `others`: one variant a place, or nothing in all of them.
  void put_others() {
    const CellSet& cells = family_.set(combination_.others);
    for (Index place = 0; place < stands_.size(); ++place) {
      if (is_named(place)) continue;
      std::vector<VariantId> found;
      for (uint32_t cell : cells.cells()) {
        const Index part = shelf_.index().part_in(place, cell);
        const VariantId variant = part == none ? none : shelf_.variant(part, cell);
        if (std::find(found.begin(), found.end(), variant) == found.end()) found.push_back(variant);
      }
      if (found.size() > 1) faults_.push_back({.flaw = Flaw::not_one, .place = place, .variants = found});
      if (found.size() == 1) stands_[place].variant = found[0];
    }
  }

  void put_named(Index index) {
    const CombinationPart& row = family_.combination_parts[index];
    if (row.is_left_off != 0) return;
    std::vector<VariantId> found;
    for (VariantId each : shelf_.of_place(row.place))
      if ((row.part == none || shelf_[each].part == row.part) && shelf_[each].cells.meets(family_.set(row.cells)))
        found.push_back(each);
    if (found.size() == 1) {
      stands_[row.place].variant = found[0];
      return;
    }
    const Flaw flaw = found.empty() ? Flaw::no_variant : Flaw::not_one;
    faults_.push_back({.flaw = flaw, .place = row.place, .part_row = index, .variants = found});
  }

  void read_edit(Index index) {
    const CombinationEdit& row = family_.combination_edits[index];
    Stand& stand = stands_[row.place];
    if (stand.variant == none) {
      faults_.push_back({.flaw = Flaw::nothing_here, .place = row.place, .edit_row = index});
      return;
    }
    const judge::Variant& variant = shelf_[stand.variant];
    found::Fault fault;
    stand.edits.push_back(found::parse_edit(shelf_.index(), variant.part, variant.cell, family_.text(row.text), fault));
    if (!fault.any()) return;
    const Flaw flaw = fault.kind.empty() ? Flaw::bad_edit : Flaw::bad_name;
    faults_.push_back({.flaw = flaw, .place = row.place, .edit_row = index, .edit = std::move(fault)});
  }

  // Edits that cannot all be true of one part are told at the last of them.
  void hold_edits_together() {
    const Range edits = combination_.edits;
    for (Index place = 0; place < stands_.size(); ++place) {
      if (stands_[place].edits.empty()) continue;
      const judge::Variant& variant = shelf_[stands_[place].variant];
      found::Fault fault = found::fault_of(shelf_.index(), variant.part, variant.cell, stands_[place].edits);
      if (!fault.any()) continue;
      Index last = none;
      for (Index row = edits.first; row < edits.end(); ++row)
        if (family_.combination_edits[row].place == place) last = row;
      faults_.push_back({.flaw = Flaw::bad_edit, .place = place, .edit_row = last, .edit = std::move(fault)});
    }
  }

  Shelf& shelf_;
  const Family& family_;
  const Combination& combination_;
  std::vector<Fault>& faults_;
  Stands stands_;
};

Found judge_assembly(Shelf& shelf, const judge::Assembly& assembly) {
  judge::Judge judge(shelf);
  const judge::Judgement judgement = judge.judge(assembly);
  Found out{.best = judgement.best, .worst = judgement.worst, .outcome = Outcome::fine};
  for (const judge::Reason& reason : judgement.reasons)
    if (judge::is_worse(reason.outcome, out.outcome)) out.outcome = reason.outcome;
  for (const judge::Reason& reason : judgement.reasons) {
    if (reason.outcome != out.outcome) continue;
    for (Index place : judge::sufferers(judge.network(), reason)) out.suffers.push_back(place);
  }
  std::sort(out.suffers.begin(), out.suffers.end());
  out.suffers.erase(std::unique(out.suffers.begin(), out.suffers.end()), out.suffers.end());
  if (!judgement.reasons.empty()) out.first = judge::reason_text(judge.network(), judgement.reasons.front());
  return out;
}

bool are_same(const Stand& a, const Stand& b) {
  if (a.variant != b.variant || a.edits.size() != b.edits.size()) return false;
  return std::is_permutation(a.edits.begin(), a.edits.end(), b.edits.begin());
}

}  // namespace

Stands put_together(Shelf& shelf, const Combination& combination, std::vector<Fault>& faults) {
  return Maker(shelf, combination, faults).make();
}

// Parts as found go into tables of their own, so that the others are judged as if these were not there.
Found judge_stands(Shelf& shelf, const Stands& stands) {
  judge::Assembly assembly;
  bool is_as_built = true;
  for (const Stand& stand : stands) {
    assembly.at.push_back(stand.variant);
    is_as_built &= stand.edits.empty();
  }
  if (is_as_built) return judge_assembly(shelf, assembly);
  Family family = shelf.family();
  std::vector<Index> as_found(stands.size(), none);
  for (Index place = 0; place < stands.size(); ++place) {
    if (stands[place].edits.empty()) continue;
    const judge::Variant& variant = shelf[stands[place].variant];
    as_found[place] = found::add_as_found(family, variant.part, variant.cell, stands[place].edits);
  }
  const FamilyIndex index(family);
  Shelf edited(index);
  for (Index place = 0; place < stands.size(); ++place) {
    if (stands[place].variant == none) continue;
    const judge::Variant& variant = shelf[stands[place].variant];
    const Index part = as_found[place] == none ? variant.part : as_found[place];
    assembly.at[place] = edited.variant(part, variant.cell);
  }
  return judge_assembly(edited, assembly);
}

bool is_as_stated(const Family& family, const Combination& combination, const Found& found) {
  if (found.best != combination.best || found.worst != combination.worst || found.outcome != combination.outcome)
    return false;
  const auto places = rows(family.place_refs, combination.suffers);
  return std::all_of(places.begin(), places.end(), [&](Index place) {
    return std::binary_search(found.suffers.begin(), found.suffers.end(), place);
  });
}

Index find(Shelf& shelf, const Stands& stands) {
  const Family& family = shelf.family();
  for (Index index = 0; index < family.combinations.size(); ++index) {
    std::vector<Fault> faults;
    const Stands known = put_together(shelf, family.combinations[index], faults);
    if (faults.empty() && std::equal(known.begin(), known.end(), stands.begin(), stands.end(), are_same)) return index;
  }
  return none;
}

std::string verdict_words(Verdict best, Verdict worst) {
  if (best == worst) return std::string(judge::word(best));
  return fmt::format("not proven: from \"{}\" to \"{}\"", judge::word(best), judge::word(worst));
}

}  // namespace loomproof::known
