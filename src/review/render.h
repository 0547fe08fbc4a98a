// A review for machines and for a pull request. Pure functions: the same review gives the same bytes.
#pragma once
#include <string>

#include "review/review.h"

namespace loomproof::review {

// {"base", "head", "families": [{id, was, status, …, breaks: [{kind, words}], changes: [{nature, risk, kind, place,
// part, circuit, words, in, remark, rows, path, line, column, inBase}]}], "breaks": […], "findings": {"new": […],
// "old", "mended"}}. Absent places are null.
std::string render_json(const Review& review);

// "3 changes of metal, 1 of evidence"; "no change in meaning; packs identical".
std::string summary_of(const FamilyReview& family);
// The closing line about findings: "1 new finding, 2 old ones, 1 mended".
std::string findings_summary(const Review& review);

}  // namespace loomproof::review
