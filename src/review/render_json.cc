#include <fmt/format.h>

#include <array>
#include <nlohmann/json.hpp>

#include "review/render.h"

namespace loomproof::review {
namespace {

using nlohmann::ordered_json;

void put_where(ordered_json& out, const std::optional<Where>& where) {
  out["path"] = where ? ordered_json(where->path) : ordered_json();
  out["line"] = where ? ordered_json(where->line) : ordered_json();
  out["column"] = where ? ordered_json(where->column) : ordered_json();
  out["inBase"] = where ? ordered_json(where->is_base) : ordered_json();
}

ordered_json json_of(const Change& change) {
  ordered_json out{
      {"nature", word(change.nature)}, {"risk", word(change.risk)}, {"kind", change.kind},   {"place", change.place},
      {"part", change.part},           {"circuit", change.circuit}, {"words", change.words}, {"in", change.cells},
      {"remark", change.remark},       {"rows", change.rows}};
  put_where(out, change.where);
  return out;
}

ordered_json json_of(const Break& each) {
  return {{"kind", word(each.kind)}, {"words", each.words}};
}

ordered_json json_of(const FamilyReview& family) {
  ordered_json out{{"id", family.id},
                   {"was", family.was.empty() ? ordered_json() : ordered_json(family.was)},
                   {"status", word(family.status)},
                   {"packsIdentical", family.packs_identical}};
  if (!family.why.empty()) out["why"] = family.why;
  out["renamed"] = family.renamed;
  out["breaks"] = ordered_json::array();
  for (const Break& each : family.breaks) out["breaks"].push_back(json_of(each));
  out["verdicts"] = ordered_json::array();
  for (const VerdictChange& each : family.verdicts)
    out["verdicts"].push_back(
        {{"what", each.what}, {"was", each.was}, {"becomes", each.becomes}, {"because", each.because}});
  out["causes"] = ordered_json::array();
  for (const Cause& each : family.causes) out["causes"].push_back({{"words", each.words}, {"changes", each.changes}});
  out["siblings"] = family.siblings;
  out["changes"] = ordered_json::array();
  for (const Change& each : family.changes) out["changes"].push_back(json_of(each));
  return out;
}

}  // namespace

std::string summary_of(const FamilyReview& family) {
  switch (family.status) {
    case Status::unchanged:
      return family.packs_identical ? "no change in meaning; packs identical"
                                    : "no change in meaning; packs identical but for the order of their rows";
    case Status::added:
      return "a new family";
    case Status::removed:
      return "the family goes";
    case Status::not_compared:
      return "not compared: " + family.why;
    case Status::changed:
      break;
  }
  std::array<size_t, 5> counts{};
  for (const Change& change : family.changes) ++counts[static_cast<size_t>(change.nature)];
  std::string text;
  const auto add = [&](size_t count, std::string_view of) {
    if (count == 0) return;
    if (text.empty())
      text = fmt::format("{} change{} {}", count, count == 1 ? "" : "s", of);
    else
      text += fmt::format(", {} {}", count, of);
  };
  add(counts[0], "of metal");
  add(counts[1], "of knowledge");
  add(counts[2], "of evidence");
  add(counts[3], "of the record");
  if (!family.renamed.empty()) text += fmt::format("{}{} renamed", text.empty() ? "" : ", ", family.renamed.size());
  if (counts[4]) text += fmt::format("; {} that follow{}", counts[4], counts[4] == 1 ? "s" : "");
  return text;
}

std::string findings_summary(const Review& review) {
  const auto count = [](size_t n, std::string_view what) {
    return n == 0 ? fmt::format("no {}s", what) : fmt::format("{} {}{}", n, what, n == 1 ? "" : "s");
  };
  std::string text = count(review.findings.size(), "new finding");
  if (review.old_findings) text += fmt::format(", {} that the base has too", review.old_findings);
  if (review.mended_findings) text += fmt::format(", {} mended", review.mended_findings);
  return text;
}

std::string render_json(const Review& review) {
  ordered_json out{{"base", review.base}, {"head", review.head}};
  out["families"] = ordered_json::array();
  for (const FamilyReview& family : review.families) out["families"].push_back(json_of(family));
  out["breaks"] = ordered_json::array();
  for (const Break& each : review.breaks) out["breaks"].push_back(json_of(each));
  ordered_json fresh = ordered_json::array();
  for (const Finding& finding : review.findings) {
    ordered_json one{{"rule", finding.rule}, {"severity", finding.severity}, {"message", finding.message}};
    put_where(one, finding.where);
    fresh.push_back(std::move(one));
  }
  out["findings"] = {{"new", std::move(fresh)}, {"old", review.old_findings}, {"mended", review.mended_findings}};
  return out.dump(2, ' ', false, ordered_json::error_handler_t::replace) + '\n';
}

}  // namespace loomproof::review
