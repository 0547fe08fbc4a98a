// loomproof rules, loomproof explain: the registry.
#include <fmt/format.h>

#include <nlohmann/json.hpp>

#include "command.h"
#include "diag/suggest.h"
#include "terminal.h"

namespace loomproof::tool {

namespace {

void print_rules_text() {
  std::string_view group;
  for (const RuleInfo& info : all_rules()) {
    if (info.group != group) fmt::print("{}{}\n", group.empty() ? "" : "\n", info.group);
    group = info.group;
    fmt::print("  {:<26}{:<9}{}\n", info.id, severity_word(info.severity), info.summary);
  }
}

void print_rules_json() {
  nlohmann::ordered_json all = nlohmann::ordered_json::array();
  for (const RuleInfo& info : all_rules())
    all.push_back({{"id", info.id},
                   {"group", info.group},
                   {"severity", severity_word(info.severity)},
                   {"summary", info.summary}});
  fmt::print("{}\n", all.dump(2));
}

void print_indented(std::string_view text) {
  while (!text.empty()) {
    size_t end = std::min(text.find('\n'), text.size());
    fmt::print("    {}\n", text.substr(0, end));
    text.remove_prefix(std::min(end + 1, text.size()));
  }
}

int explain(const std::string& id) {
  const Rule* rule = find_rule(id);
  if (!rule) {
    std::vector<std::string_view> ids;
    for (const RuleInfo& info : all_rules()) ids.push_back(info.id);
    std::string_view near = nearest(id, ids);
    throw EnvironmentError(
        "no rule is called `" + id + "`" +
        (near.empty() ? "; `loomproof rules` lists them" : "; did you mean `" + std::string(near) + "`?"));
  }
  const RuleInfo& info = rule_info(*rule);
  fmt::print("{} ({}, {})\n{}.\n\n", info.id, info.group, severity_word(info.severity), info.summary);
  fmt::print("{}\n", wrapped(info.why, 0, 78));
  fmt::print("\nThe fault:\n\n");
  print_indented(info.fault);
  fmt::print("\nThe mend:\n\n");
  print_indented(info.mend);
  return clean;
}

}  // namespace

void add_rules(CLI::App& app, Run& chosen) {
  auto format = std::make_shared<std::string>("text");
  CLI::App* command = app.add_subcommand("rules", "List every rule");
  command->add_option("--format", *format, "text or json")
      ->check(CLI::IsMember({"text", "json"}))
      ->capture_default_str();
  command->footer("Example:\n  loomproof rules");
  command->callback([format, &chosen] {
    chosen = [format] {
      if (*format == "json")
        print_rules_json();
      else
        print_rules_text();
      return clean;
    };
  });
}

void add_explain(CLI::App& app, Run& chosen) {
  auto id = std::make_shared<std::string>();
  CLI::App* command = app.add_subcommand("explain", "Explain one rule, with a fault and its mend");
  command->add_option("RULE", *id, "The rule's id")->required();
  command->footer("Example:\n  loomproof explain dead-end");
  command->callback([id, &chosen] { chosen = [id] { return explain(*id); }; });
}

}  // namespace loomproof::tool
