#include "review/review.h"

#include <fmt/format.h>

#include <algorithm>
#include <map>
#include <set>

#include "review/both.h"
#include "review/breaks.h"
#include "review/comparison.h"
#include "review/facts.h"
#include "review/patterns.h"
#include "review/rename.h"

namespace loomproof::review {
namespace {

void compare_families(const FamilyInput& base, const FamilyInput& head, FamilyReview& out) {
  Family was = *base.family;
  if (base.id != head.id) {
    out.was = base.id;
    out.renamed.push_back(fmt::format("family {} renamed {}", base.id, head.id));
    out.breaks.push_back({BreakKind::renamed, out.renamed.back()});
    was.strings.push_back(head.id);
    if (was.title == was.id) was.title = static_cast<Str>(was.strings.size() - 1);
    was.id = static_cast<Str>(was.strings.size() - 1);
  }
  const std::vector<Rename> renames = apply_renames(was, *head.family);
  for (const Rename& rename : renames) out.renamed.push_back(rename_words(rename));
  for (Break& each : find_breaks(was, *head.family, renames)) out.breaks.push_back(std::move(each));
  const bool is_same = all_facts(was) == all_facts(*head.family);
  if (is_same && out.renamed.empty()) {
    out.status = Status::unchanged;
    out.packs_identical = base.pack == head.pack;
    return;
  }
  out.status = Status::changed;
  if (is_same) return;
  std::vector<std::pair<uint32_t, uint32_t>> pairs;
  for (const CellPair& pair : cell_pairs(was, *head.family)) pairs.emplace_back(pair.base, pair.head);
  out.verdicts = find_verdicts(was, *head.family, pairs);
  FamilyComparison(std::move(was), *head.family, out).run();
  out.causes = find_causes(*head.family, out.changes);
  out.siblings = find_siblings(*head.family, out.changes);
}

struct Sides {
  const FamilyInput *base = nullptr, *head = nullptr;
};

// A family that is gone and one that is new are one renamed, where at least half of what they say is the same.
void join_renamed(std::map<std::string, Sides>& by_id) {
  struct Likeness {
    double alike;
    std::string was, becomes;
  };
  std::vector<Likeness> matches;
  std::map<std::string, Uses> gone, come;
  for (const auto& [id, sides] : by_id) {
    if (!sides.head && sides.base->family) gone[id] = all_facts(*sides.base->family);
    if (!sides.base && sides.head->family) come[id] = all_facts(*sides.head->family);
  }
  for (const auto& [was, facts] : gone)
    for (const auto& [becomes, others] : come)
      if (const double alike = likeness(facts, others); alike >= 0.5) matches.push_back({alike, was, becomes});
  std::stable_sort(matches.begin(), matches.end(),
                   [](const Likeness& a, const Likeness& b) { return a.alike > b.alike; });
  for (const Likeness& match : matches) {
    const auto was = by_id.find(match.was), becomes = by_id.find(match.becomes);
    if (was == by_id.end() || becomes->second.base) continue;
    becomes->second.base = was->second.base;
    by_id.erase(was);
  }
}

// Once for all packs, where they were in another format.
std::vector<Break> format_breaks(const std::map<std::string, Sides>& by_id) {
  std::set<std::pair<std::string, std::string>> formats;
  for (const auto& [id, sides] : by_id)
    if (sides.base && sides.head && !sides.base->format.empty() && sides.base->format != sides.head->format)
      formats.insert({sides.base->format, sides.head->format});
  const auto major = [](const std::string& format) { return format.substr(0, format.find('.')); };
  std::vector<Break> breaks;
  for (const auto& [was, is] : formats)
    breaks.push_back(
        {BreakKind::format, fmt::format("packs are written in format {}, were in {}: {}", is, was,
                                        major(was) == major(is) ? "readers of that one pass over what it does not have"
                                                                : "readers of that one refuse them")});
  return breaks;
}

}  // namespace

std::string_view word(Risk risk) {
  static constexpr std::string_view words[] = {"firing",    "verdict",       "feed",         "earth", "return",
                                               "reference", "weaker source", "empty reason", "other"};
  return words[static_cast<size_t>(risk)];
}
std::string_view word(Nature nature) {
  static constexpr std::string_view words[] = {"metal", "knowledge", "evidence", "record", "consequence"};
  return words[static_cast<size_t>(nature)];
}
std::string_view word(Status status) {
  static constexpr std::string_view words[] = {"unchanged", "changed", "added", "removed", "not compared"};
  return words[static_cast<size_t>(status)];
}
std::string_view word(BreakKind kind) {
  static constexpr std::string_view words[] = {"gone", "reused", "renamed", "format"};
  return words[static_cast<size_t>(kind)];
}

bool Review::has_changes() const {
  return std::any_of(families.begin(), families.end(),
                     [](const FamilyReview& family) { return family.status != Status::unchanged; });
}

bool Review::is_complete() const {
  return std::none_of(families.begin(), families.end(),
                      [](const FamilyReview& family) { return family.status == Status::not_compared; });
}

Review review(const std::vector<FamilyInput>& base, const std::vector<FamilyInput>& head) {
  std::map<std::string, Sides> by_id;
  for (const FamilyInput& each : base) by_id[each.id].base = &each;
  for (const FamilyInput& each : head) by_id[each.id].head = &each;
  join_renamed(by_id);
  Review out;
  for (const auto& [id, sides] : by_id) {
    FamilyReview family;
    family.id = id;
    const auto& [was, is] = sides;
    if ((was && !was->family) || (is && !is->family)) {
      family.status = Status::not_compared;
      const bool is_head = is && !is->family;
      family.why = fmt::format("it does not compile in the {}: there are faults in its text, shape or names",
                               is_head ? "head" : "base");
    } else if (!is) {
      family.status = Status::removed;
      family.breaks.push_back({BreakKind::gone, fmt::format("family {} is gone", id)});
    } else if (!was) {
      family.status = Status::added;
    } else {
      compare_families(*was, *is, family);
    }
    out.families.push_back(std::move(family));
  }
  out.breaks = format_breaks(by_id);
  return out;
}

}  // namespace loomproof::review
