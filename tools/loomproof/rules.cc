// loomproof rules: the registry.
#include <fmt/format.h>

#include <nlohmann/json.hpp>

#include "command.h"

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

}  // namespace loomproof::tool
