// Everything that a review tells, a line each and in one order: what must not be missed first. Annotations and SARIF go
// by it, and so does what is left out of a comment that would be too long.
#pragma once
#include <string>
#include <vector>

#include "review/review.h"

namespace loomproof::review {

enum class Telling : uint32_t { finding, family, verdict, break_, cause, sibling, renamed, change };
inline constexpr size_t telling_count = 8;
inline constexpr size_t no_family = ~size_t{0};

struct Told {
  Telling telling{};
  size_t family = 0;             // into Review::families; `no_family` for a finding and what is said of all packs
  size_t row = 0;                // into the list of that kind; 0 for a family
  double rank = 0;               // 0 to 100, never rising in the order of `told`; 100 for findings
  std::string words;             // a line
  std::string name;              // what it is about, from the outermost: "croft/CHASSIS-LOOM/RACK-POS"
  const Where* where = nullptr;  // in the review
};

// New errors, the first at each line before the second at any; families that are not compared; other new findings and
// families that changed; then by risk, a cause before changes. What was said already comes after all that stands for
// itself: changes that a cause explains, and verdicts that another became for the same reason. Then what follows from
// others, then families without change. Points into `review`.
std::vector<Told> told(const Review& review);
// The lines that say something new of themselves: not those of families whose changes are told, or that have none.
bool is_news(const Review& review, const Told& line);

// "RACK-POS moved from C1.12 to C1.28; in era c; rests on memory, was manual"; `follows: ` before a consequence.
std::string words_of(const Change& change);
// "combination unit-12-on-24: was fits, is destroys a part; it has twice the volts …".
std::string words_of(const VerdictChange& change);
// Rows of FamilyReview::changes by place, and in each by circuit; a place or circuit stands where its riskiest change
// puts it.
std::vector<std::vector<size_t>> by_place(const FamilyReview& family);
// Of the renamed those that break no reader of packs: the others are said there.
std::vector<std::string> only_renamed(const FamilyReview& family);
// By change: whether a cause explains it.
std::vector<bool> explained(const FamilyReview& family);

}  // namespace loomproof::review
