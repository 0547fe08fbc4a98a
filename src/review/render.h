// A review for machines and for a pull request. Pure functions: the same review gives the same bytes.
#pragma once
#include <string>
#include <vector>

#include "diag/report.h"
#include "review/review.h"

namespace loomproof::review {

// {"base", "head", "families": [{id, was, status, …, breaks: [{kind, words}], changes: [{nature, risk, kind, place,
// part, circuit, words, in, remark, rows, path, line, column, inBase}]}], "breaks": […], "findings": {"new": […],
// "old", "mended"}}. Absent places are null.
std::string render_json(const Review& review);

// The first line of a comment, which no other has: whoever finds it in a comment puts the new one in its place.
// `corpus` is the folder (of one family, where that alone is told), so that each has a comment of its own.
std::string comment_marker(std::string_view corpus);

struct CommentOptions {
  std::string corpus;     // its folder
  std::string command;    // what shows everything: "loomproof review main"
  size_t limit = 65'000;  // bytes, of which a text has at least as many as characters; forges take 65,536 characters
};
inline constexpr size_t least_comment = 8'000;  // what a limit has to be so that head and closing line always fit

// Markdown (CommonMark with tables, and HTML for folding) for one comment in a pull request: findings, verdicts and
// breaks first, then by family causes, siblings and the changes by place and circuit. Never longer than the limit: what
// `told` has last is left out first, and the comment says how much of what. Longer texts than 500 bytes are cut.
std::string render_markdown(const Review& review, const CommentOptions& options);

// Workflow commands, a line each, which a forge shows beside the lines of a pull request: `::error file=…,line=…::…`,
// `::warning` and `::notice`. As forges show only the first few of each, they stand in the order of `told`. What is
// gone from its file is told of the file. Nothing for families without change.
std::string render_annotations(const Review& review);

// SARIF (see diag/render.h): `fresh` are the findings of Review::findings in full, `sources` those of the head; all
// that is changed are remarks of level note with a rank.
std::string render_sarif(const Review& review, const std::vector<loomproof::Finding>& fresh, const Sources& sources,
                         std::string_view program_version);

// "3 changes of metal, 1 of evidence"; "no change in meaning; packs identical".
std::string summary_of(const FamilyReview& family);
// The closing line about findings: "1 new finding, 2 old ones, 1 mended".
std::string findings_summary(const Review& review);

}  // namespace loomproof::review
