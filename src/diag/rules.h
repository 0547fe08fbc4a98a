// The rule registry: the one table of everything that can be said about a corpus. Ids are stable and never reused.
#pragma once
#include <cstdint>
#include <span>
#include <string_view>

namespace loomproof {

enum class Severity : uint8_t { error, warning, note };
std::string_view severity_word(Severity severity);

enum class Rule : uint16_t {
#define RULE(name, id, group, severity, summary, format, why, fault, mend) name,
#include "diag/rules.def"
#undef RULE
  count
};

struct RuleInfo {
  std::string_view id;     // kebab-case, as printed
  std::string_view group;  // text, shape, names, housings, looms, termination, eras, mating, sources, safety, joins
  Severity severity;
  std::string_view summary;  // one line: what the rule says
  std::string_view format;   // fmt string of the message: what was observed, lower case, no full stop
  std::string_view why;      // explanation for `explain`: why it matters at the bench
  std::string_view fault;    // a piece of corpus that breaks the rule
  std::string_view mend;     // the same piece put right
};

const RuleInfo& rule_info(Rule rule);
const Rule* find_rule(std::string_view id);  // null when there is none
std::span<const RuleInfo> all_rules();       // in the order of rules.def

}  // namespace loomproof
