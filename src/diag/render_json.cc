#include <array>
#include <nlohmann/json.hpp>
#include <set>

#include "diag/render.h"

namespace loomproof {
namespace {

using nlohmann::ordered_json;

// The places of `span`, all null when it has none.
void add_place(ordered_json& out, const Span& span, const Sources& sources) {
  for (const char* const key : {"path", "line", "column", "endLine", "endColumn"}) out[key] = nullptr;
  if (!span.known()) return;
  const SourceFile& file = sources.file(span.file);
  const LineColumn begin = file.at(span.begin);
  const LineColumn end = file.at(span.end);
  out["path"] = file.path();
  out["line"] = begin.line;
  out["column"] = begin.column;
  out["endLine"] = end.line;
  out["endColumn"] = end.column;
}

ordered_json finding_json(const Finding& finding, const Sources& sources) {
  ordered_json out;
  out["rule"] = rule_info(finding.rule).id;
  out["severity"] = severity_word(finding.severity);
  out["message"] = finding.message;
  add_place(out, finding.span, sources);
  out["label"] = finding.label;
  out["related"] = ordered_json::array();
  for (const Label& related : finding.related) {
    ordered_json& entry = out["related"].emplace_back(ordered_json::object());
    entry["message"] = related.text;
    add_place(entry, related.span, sources);
  }
  out["help"] = finding.help;
  out["fixes"] = ordered_json::array();
  for (const Fix& fix : finding.fixes) {
    ordered_json& entry = out["fixes"].emplace_back(ordered_json::object());
    entry["text"] = fix.text;
    entry["certain"] = fix.certain;
    add_place(entry, fix.span, sources);
  }
  return out;
}

ordered_json applied_json(const AppliedFix& fix) {
  ordered_json out;
  out["rule"] = rule_info(fix.rule).id;
  out["path"] = fix.path;
  out["line"] = fix.begin.line;
  out["column"] = fix.begin.column;
  out["endLine"] = fix.end.line;
  out["endColumn"] = fix.end.column;
  out["was"] = fix.was;
  out["now"] = fix.now;
  return out;
}

}  // namespace

std::string render_json(const std::vector<Finding>& findings, const Sources& sources,
                        const std::vector<AppliedFix>* applied) {
  ordered_json out;
  if (applied != nullptr) {
    out["applied"] = ordered_json::array();
    for (const AppliedFix& fix : *applied) out["applied"].push_back(applied_json(fix));
  }
  out["findings"] = ordered_json::array();
  std::array<size_t, 3> counts{};
  std::set<FileId> files;
  for (const Finding& finding : findings) {
    out["findings"].push_back(finding_json(finding, sources));
    ++counts[static_cast<size_t>(finding.severity)];
    if (finding.span.known()) files.insert(finding.span.file);
  }
  ordered_json& summary = out["summary"];
  summary["errors"] = counts[static_cast<size_t>(Severity::error)];
  summary["warnings"] = counts[static_cast<size_t>(Severity::warning)];
  summary["notes"] = counts[static_cast<size_t>(Severity::note)];
  summary["files"] = files.size();
  // A path need not be UTF-8.
  return out.dump(2, ' ', false, ordered_json::error_handler_t::replace) + '\n';
}

}  // namespace loomproof
