// SARIF 2.1.0 as the OASIS standard of 27 March 2020 has it; section numbers below are its own.
#include <fmt/format.h>

#include <iterator>
#include <nlohmann/json.hpp>

#include "diag/render.h"
#include "source/utf8.h"

namespace loomproof {
namespace {

using nlohmann::ordered_json;

// Braces stand for placeholders and `[…](…)` for a link in a message (3.11.5, 3.11.6).
ordered_json message_of(std::string_view text) {
  std::string escaped;
  const bool has_link = text.find("](") != std::string_view::npos;
  for (const char c : text) {
    if (has_link && (c == '[' || c == ']' || c == '\\')) escaped += '\\';
    escaped += c;
    if (c == '{' || c == '}') escaped += c;
  }
  return {{"text", escaped}};
}

// A relative reference (RFC 3986): everything but unreserved characters and '/' percent-encoded. A colon in the first
// segment would read as a scheme, and is encoded with the rest.
std::string uri_of(std::string_view path) {
  std::string uri;
  for (const char c : path) {
    const bool plain = (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z') || (c >= '0' && c <= '9') || c == '-' ||
                       c == '.' || c == '_' || c == '~' || c == '/';
    if (plain) {
      uri += c;
    } else {
      fmt::format_to(std::back_inserter(uri), "%{:02X}", static_cast<unsigned char>(c));
    }
  }
  return uri;
}

ordered_json artifact_of(const SourceFile& file) {
  return {{"uri", uri_of(file.path())}};
}

// From 1, in UTF-16 code units, which is what columnKind says.
uint32_t utf16_column(const SourceFile& file, const LineColumn& at) {
  const std::string_view before = file.bytes().substr(file.line_begin(at.line), at.column - 1);
  uint32_t units = 0;
  for (size_t offset = 0; offset < before.size();) {
    const Utf8Char character = utf8_at(before, offset);
    units += character.good && character.code > 0xFFFF ? 2 : 1;
    offset += character.length;
  }
  return units + 1;
}

ordered_json region_of(const SourceFile& file, const Span& span) {
  const LineColumn begin = file.at(span.begin);
  const LineColumn end = file.at(span.end);
  return {{"startLine", begin.line},  {"startColumn", utf16_column(file, begin)},
          {"endLine", end.line},      {"endColumn", utf16_column(file, end)},
          {"byteOffset", span.begin}, {"byteLength", span.end - span.begin}};
}

ordered_json location_of(const Sources& sources, const Span& span) {
  const SourceFile& file = sources.file(span.file);
  return {{"physicalLocation", {{"artifactLocation", artifact_of(file)}, {"region", region_of(file, span)}}}};
}

ordered_json fix_of(const Sources& sources, const Fix& fix) {
  const SourceFile& file = sources.file(fix.span.file);
  ordered_json replacement;
  replacement["deletedRegion"] = region_of(file, fix.span);
  replacement["insertedContent"]["text"] = fix.text;
  ordered_json change;
  change["artifactLocation"] = artifact_of(file);
  change["replacements"].push_back(std::move(replacement));
  ordered_json out;
  out["description"] = message_of(fix.certain ? "the text that mends it" : "the nearest text that would do");
  out["artifactChanges"].push_back(std::move(change));
  return out;
}

std::string with_help(const Finding& finding) {
  std::string text = finding.message;
  if (!finding.label.empty()) text += fmt::format(" ({})", finding.label);
  for (const std::string& help : finding.help) text += '\n' + help;
  return text;
}

ordered_json result_of(const Finding& finding, const Sources& sources) {
  ordered_json out;
  out["ruleId"] = rule_info(finding.rule).id;
  out["ruleIndex"] = static_cast<int>(finding.rule);
  out["level"] = severity_word(finding.severity);
  out["message"] = message_of(with_help(finding));
  out["locations"] = ordered_json::array();
  if (finding.span.known()) out["locations"].push_back(location_of(sources, finding.span));
  for (size_t i = 0; i < finding.related.size(); ++i) {
    ordered_json location = location_of(sources, finding.related[i].span);
    location["id"] = i + 1;
    location["message"] = message_of(finding.related[i].text);
    out["relatedLocations"].push_back(std::move(location));
  }
  for (const Fix& fix : finding.fixes) {
    if (fix.span.known()) out["fixes"].push_back(fix_of(sources, fix));
  }
  return out;
}

ordered_json result_of(const Remark& remark, const Remarks& remarks) {
  ordered_json out;
  out["ruleId"] = remarks.kinds[remark.kind].id;
  out["ruleIndex"] = all_rules().size() + remark.kind;
  out["level"] = severity_word(Severity::note);
  out["message"] = message_of(remark.message);
  out["rank"] = remark.rank;
  ordered_json location;
  if (!remark.path.empty()) {
    ordered_json& place = location["physicalLocation"];
    place["artifactLocation"]["uri"] = uri_of(remark.path);
    if (remark.line > 0) place["region"]["startLine"] = remark.line;
  }
  if (!remark.name.empty()) location["logicalLocations"].push_back({{"fullyQualifiedName", remark.name}});
  out["locations"] = ordered_json::array();
  if (!location.is_null()) out["locations"].push_back(std::move(location));
  return out;
}

ordered_json kind_json(const RemarkKind& kind) {
  ordered_json out;
  out["id"] = kind.id;
  out["shortDescription"]["text"] = kind.summary;
  out["defaultConfiguration"]["level"] = severity_word(Severity::note);
  return out;
}

ordered_json rule_json(const RuleInfo& rule) {
  ordered_json out;
  out["id"] = rule.id;
  out["shortDescription"]["text"] = rule.summary;
  out["fullDescription"]["text"] = rule.why.empty() ? rule.summary : rule.why;
  out["help"]["text"] =
      rule.fault.empty() ? std::string(rule.summary) : fmt::format("Fault:\n{}\nMend:\n{}", rule.fault, rule.mend);
  out["defaultConfiguration"]["level"] = severity_word(rule.severity);
  out["properties"]["group"] = rule.group;
  return out;
}

}  // namespace

std::string render_sarif(const std::vector<Finding>& findings, const Sources& sources, std::string_view program_version,
                         const Remarks& remarks) {
  ordered_json run;
  ordered_json& driver = run["tool"]["driver"];
  driver["name"] = "loomproof";
  driver["version"] = program_version;
  driver["rules"] = ordered_json::array();
  for (const RuleInfo& rule : all_rules()) driver["rules"].push_back(rule_json(rule));
  for (const RemarkKind& kind : remarks.kinds) driver["rules"].push_back(kind_json(kind));
  run["columnKind"] = "utf16CodeUnits";
  run["results"] = ordered_json::array();
  for (const Finding& finding : findings) run["results"].push_back(result_of(finding, sources));
  for (const Remark& remark : remarks.rows) run["results"].push_back(result_of(remark, remarks));

  ordered_json out;
  out["$schema"] = "https://docs.oasis-open.org/sarif/sarif/v2.1.0/errata01/os/schemas/sarif-schema-2.1.0.json";
  out["version"] = "2.1.0";
  out["runs"].push_back(std::move(run));
  return out.dump(2, ' ', false, ordered_json::error_handler_t::replace) + '\n';
}

}  // namespace loomproof
