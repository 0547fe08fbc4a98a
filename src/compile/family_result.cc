#include "compile/family_result.h"

#include <algorithm>
#include <nlohmann/json.hpp>

namespace loomproof {

namespace {

using nlohmann::json;

class Writer {
 public:
  explicit Writer(const std::vector<FileId>& files) {
    for (size_t i = 0; i < files.size(); ++i) numbers_.emplace(files[i], i);
  }
  json span(const Span& span) const {
    if (!span.known()) return nullptr;
    return {numbers_.at(span.file), span.begin, span.end};
  }
  json finding(const Finding& finding) const {
    json related = json::array(), fixes = json::array();
    for (const Label& label : finding.related) related.push_back({span(label.span), label.text});
    for (const Fix& fix : finding.fixes) fixes.push_back({span(fix.span), fix.text, fix.certain});
    return json::array({static_cast<uint32_t>(finding.rule), static_cast<uint32_t>(finding.severity),
                        span(finding.span), finding.message, finding.label, related, finding.help, fixes});
  }

 private:
  std::map<FileId, size_t> numbers_;
};

// Throws json::exception, or std::out_of_range of its own, where something is not as Writer writes it.
class Reader {
 public:
  explicit Reader(const std::vector<FileId>& files) : files_(files) {}
  Span span(const json& value) const {
    if (value.is_null()) return {};
    return {files_.at(value.at(0).get<size_t>()), value.at(1).get<uint32_t>(), value.at(2).get<uint32_t>()};
  }
  Finding finding(const json& value) const {
    Finding out;
    out.rule = rule(value.at(0));
    out.severity = static_cast<Severity>(below(value.at(1), 3));
    out.span = span(value.at(2));
    out.message = value.at(3).get<std::string>();
    out.label = value.at(4).get<std::string>();
    for (const json& label : value.at(5)) out.related.push_back({span(label.at(0)), label.at(1).get<std::string>()});
    out.help = value.at(6).get<std::vector<std::string>>();
    for (const json& fix : value.at(7))
      out.fixes.push_back({span(fix.at(0)), fix.at(1).get<std::string>(), fix.at(2).get<bool>()});
    return out;
  }
  Rule rule(const json& value) const { return static_cast<Rule>(below(value, static_cast<uint32_t>(Rule::count))); }

 private:
  static uint32_t below(const json& value, uint32_t bound) {
    const auto number = value.get<uint32_t>();
    if (number >= bound) throw std::out_of_range("number");
    return number;
  }
  const std::vector<FileId>& files_;
};

}  // namespace

std::string to_bytes(const FamilyResult& result, const std::vector<FileId>& files) {
  const Writer writer(files);
  json judged = json::array(), findings = json::array(), allows = json::array();
  for (uint32_t rule = 0; rule < static_cast<uint32_t>(Rule::count); ++rule)
    if (const uint64_t count = result.report.judged_count(static_cast<Rule>(rule)); count > 0)
      judged.push_back({rule, count});
  for (const Finding& finding : result.report.findings()) findings.push_back(writer.finding(finding));
  for (const AllowSpan& allow : result.allows)
    allows.push_back(
        {static_cast<uint32_t>(*find_rule(allow.rule)), writer.span(allow.scope), writer.span(allow.rule_text)});
  const json all = json::array({judged, findings, allows, result.used.housings, result.used.sources, result.waits});
  std::string bytes;
  json::to_cbor(all, bytes);
  return bytes;
}

bool from_bytes(std::string_view bytes, const std::vector<FileId>& files, FamilyResult& result) {
  try {
    const Reader reader(files);
    const json all = json::from_cbor(bytes.begin(), bytes.end());
    for (const json& count : all.at(0)) result.report.judged(reader.rule(count.at(0)), count.at(1).get<uint64_t>());
    for (const json& finding : all.at(1)) result.report.findings().push_back(reader.finding(finding));
    for (const json& allow : all.at(2))
      result.allows.push_back(
          {rule_info(reader.rule(allow.at(0))).id, {}, reader.span(allow.at(1)), reader.span(allow.at(2))});
    for (const json& name : all.at(3)) result.used.housings.insert(name.get<std::string>());
    for (const json& name : all.at(4)) result.used.sources.insert(name.get<std::string>());
    result.waits = all.at(5).get<bool>();
    return true;
  } catch (const json::exception&) {
  } catch (const std::out_of_range&) {
  }
  return false;
}

}  // namespace loomproof
