#include "diag/rules.h"

#include <algorithm>
#include <array>

namespace loomproof {
namespace {

constexpr auto rule_count = static_cast<size_t>(Rule::count);

constexpr std::array<RuleInfo, rule_count> rules{{
#define RULE(name, id, group, severity, summary, format, why, fault, mend) \
  {id, group, Severity::severity, summary, format, why, fault, mend},
#include "diag/rules.def"
#undef RULE
}};

std::array<Rule, rule_count> rules_by_id() {
  std::array<Rule, rule_count> sorted{};
  for (size_t i = 0; i < rule_count; ++i) sorted[i] = static_cast<Rule>(i);
  std::sort(sorted.begin(), sorted.end(), [](Rule a, Rule b) { return rule_info(a).id < rule_info(b).id; });
  return sorted;
}

}  // namespace

std::string_view severity_word(Severity severity) {
  switch (severity) {
    case Severity::error:
      return "error";
    case Severity::warning:
      return "warning";
    case Severity::note:
      return "note";
  }
  return "";
}

const RuleInfo& rule_info(Rule rule) {
  return rules[static_cast<size_t>(rule)];
}

const Rule* find_rule(std::string_view id) {
  static const std::array<Rule, rule_count> sorted = rules_by_id();
  const auto found = std::lower_bound(sorted.begin(), sorted.end(), id,
                                      [](Rule rule, std::string_view wanted) { return rule_info(rule).id < wanted; });
  return found != sorted.end() && rule_info(*found).id == id ? &*found : nullptr;
}

std::span<const RuleInfo> all_rules() {
  return rules;
}

}  // namespace loomproof
