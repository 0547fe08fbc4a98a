// loomproof check: all rules over a corpus.
#include <fmt/format.h>

#include "command.h"
#include "diag/render.h"
#include "show.h"

namespace loomproof::tool {

namespace {

struct CheckArguments {
  CorpusArguments corpus;
  std::string format = "text", show, until = "rules";
  bool stats = false;
};

void print_stats(const Report& report) {
  fmt::print("{:<26}{:>12}{:>10}\n", "rule", "judged", "findings");
  for (const RuleInfo& info : all_rules()) {
    Rule rule = *find_rule(info.id);
    size_t found = 0;
    for (const Finding& finding : report.findings()) found += finding.rule == rule;
    fmt::print("{:<26}{:>12}{:>10}\n", info.id, report.judged_count(rule), found);
  }
}

int run(const CheckArguments& arguments) {
  Phase until{};
  parse_phase(arguments.until, until);
  std::unique_ptr<Compiled> compiled = arguments.corpus.compile(until);
  if (!arguments.show.empty()) {
    show_phase(*compiled, arguments.show);
    return compiled->report.empty() ? clean : findings;
  }
  if (arguments.format == "json") {
    fmt::print("{}", render_json(compiled->report.findings(), compiled->sources));
  } else if (arguments.format == "sarif") {
    fmt::print("{}", render_sarif(compiled->report.findings(), compiled->sources, LOOMPROOF_VERSION));
  } else {
    print_findings(*compiled);
    if (arguments.stats) {
      print_stats(compiled->report);
      fmt::print("\n");
    }
    fmt::print("{}\n", summary_words(*compiled));
  }
  return compiled->report.empty() ? clean : findings;
}

}  // namespace

void add_check(CLI::App& app, Run& chosen) {
  auto arguments = std::make_shared<CheckArguments>();
  CLI::App* command = app.add_subcommand("check", "Judge a corpus by every rule");
  arguments->corpus.add_to(*command);
  command->add_option("--format", arguments->format, "text, json or sarif")
      ->check(CLI::IsMember({"text", "json", "sarif"}))
      ->capture_default_str();
  command->add_flag("--stats", arguments->stats, "Say how many items each rule judged");
  command->add_option("--until", arguments->until, "Stop after this phase: files, trees, names, tables or rules")
      ->check(CLI::IsMember({"files", "trees", "names", "tables", "rules"}))
      ->capture_default_str();
  command->add_option("--show", arguments->show, "Print what a phase made: files, trees, names, tables or nets")
      ->check(CLI::IsMember({"files", "trees", "names", "tables", "nets"}));
  command->footer(
      "Examples:\n  loomproof check\n  loomproof check reference --family croft --stats\n"
      "  loomproof check --format sarif > findings.sarif");
  command->callback([arguments, &chosen] { chosen = [arguments] { return run(*arguments); }; });
}

}  // namespace loomproof::tool
