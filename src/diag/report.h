// Findings. A finding is a rule, a message, the narrowest text that is wrong, related places and, where there is one,
// an edit that mends it. Reading goes on after a finding; what failed to resolve never causes a second one.
#pragma once
#include <fmt/format.h>

#include <array>
#include <mutex>
#include <string>
#include <string_view>
#include <vector>

#include "diag/rules.h"
#include "source/source.h"

namespace loomproof {

struct Label {
  Span span;
  std::string text;
};

struct Fix {
  Span span;
  std::string text;      // what to put there
  bool certain = false;  // may be applied without asking
};

struct Finding {
  Rule rule{};
  Severity severity = Severity::error;
  Span span;            // Span{} when it is about the corpus as a whole
  std::string message;  // one line
  std::string label;    // short, drawn under the text; may be empty
  std::vector<Label> related;
  std::vector<std::string> help;  // a line each
  std::vector<Fix> fixes;
};

// Chained by report.add(...): each call adds to the finding just made. Valid until the next add() on the same Report.
class FindingBuilder {
 public:
  explicit FindingBuilder(Finding& finding) : finding_(finding) {}
  FindingBuilder& at(std::string text) {
    finding_.label = std::move(text);
    return *this;
  }  // text under the primary span
  FindingBuilder& label(Span span, std::string text) {
    if (span.known()) finding_.related.push_back({span, std::move(text)});
    return *this;
  }
  FindingBuilder& help(std::string text) {
    finding_.help.push_back(std::move(text));
    return *this;
  }
  FindingBuilder& fix(Span span, std::string text, bool certain = false) {
    finding_.fixes.push_back({span, std::move(text), certain});
    return *this;
  }

 private:
  Finding& finding_;
};

template <Rule rule>
struct RuleFormat;  // one specialisation a rule, so that fmt checks arguments at compile time
#define RULE(name, id, group, severity, summary, text, why, fault, mend) \
  template <>                                                            \
  struct RuleFormat<Rule::name> {                                        \
    static constexpr Severity level = Severity::severity;                \
    static constexpr auto format() { return FMT_STRING(text); }          \
  };
#include "diag/rules.def"
#undef RULE

// Not thread safe: one Report a thread or file, merged at the end.
class Report {
 public:
  template <Rule rule, typename... Args>
  FindingBuilder add(Span span, const Args&... args) {
    findings_.push_back(
        {rule, RuleFormat<rule>::level, span, fmt::format(RuleFormat<rule>::format(), args...), {}, {}, {}, {}});
    return FindingBuilder(findings_.back());
  }
  void judged(Rule rule, uint64_t items = 1) { judged_[static_cast<size_t>(rule)] += items; }
  void merge(Report&& other);
  void sort();  // by file, offset, rule, message; equal findings once
  const std::vector<Finding>& findings() const { return findings_; }
  std::vector<Finding>& findings() { return findings_; }
  bool empty() const { return findings_.empty(); }
  bool has_errors() const;
  uint64_t judged_count(Rule rule) const { return judged_[static_cast<size_t>(rule)]; }

 private:
  std::vector<Finding> findings_;
  std::array<uint64_t, static_cast<size_t>(Rule::count)> judged_{};
};

}  // namespace loomproof
