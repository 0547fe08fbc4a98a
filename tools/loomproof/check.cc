// loomproof check: all rules over a corpus.
#include <fmt/format.h>

#include <algorithm>
#include <filesystem>
#include <set>

#include "command.h"
#include "diag/render.h"
#include "rewrite.h"
#include "show.h"
#include "upkeep/mend.h"
#include "watch.h"

namespace loomproof::tool {

namespace {

struct CheckArguments {
  CorpusArguments corpus;
  std::string format = "text", show, until = "rules", cache;
  bool stats = false, fix = false, watch = false;
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

void print(const CheckArguments& arguments, const Compiled& compiled, const std::vector<AppliedFix>* applied) {
  if (!arguments.show.empty()) return show_phase(compiled, arguments.show);
  const std::vector<Finding>& found = compiled.report.findings();
  if (arguments.format == "json") return fmt::print("{}", render_json(found, compiled.sources, applied));
  if (arguments.format == "sarif") return fmt::print("{}", render_sarif(found, compiled.sources, LOOMPROOF_VERSION));
  print_findings(compiled);
  if (arguments.stats) {
    print_stats(compiled.report);
    fmt::print("\n");
  }
  fmt::print("{}\n", summary_words(compiled));
  const auto is_certain = [](const Finding& finding) {
    return std::any_of(finding.fixes.begin(), finding.fixes.end(), [](const Fix& fix) { return fix.certain; });
  };
  if (const auto certain = std::count_if(found.begin(), found.end(), is_certain); certain > 0)
    fmt::print("`loomproof check {} --fix` mends {} of them\n", printable(arguments.corpus.corpus), certain);
}

// SARIF has no place for what was mended, so it is said beside it.
void print_applied(const CheckArguments& arguments, const std::vector<AppliedFix>& applied) {
  if (arguments.format == "json") return;
  std::FILE* const to = arguments.format == "sarif" ? stderr : stdout;
  std::set<std::string> files;
  for (const AppliedFix& fix : applied) {
    fmt::print(to, "{}:{}:{}: mended[{}]: `{}` is now `{}`\n", printable(fix.path), fix.begin.line, fix.begin.column,
               rule_info(fix.rule).id, printable(fix.was), printable(fix.now));
    files.insert(fix.path);
  }
  if (applied.empty())
    fmt::print(to, "nothing to mend that is certain\n");
  else
    fmt::print(to, "{} edit{} in {} file{}\n", applied.size(), applied.size() == 1 ? "" : "s", files.size(),
               files.size() == 1 ? "" : "s");
  if (to == stdout) fmt::print("\n");
}

// Null where none was asked for.
std::unique_ptr<FolderCache> open_cache(const CheckArguments& arguments) {
  if (arguments.cache.empty()) return nullptr;
  namespace fs = std::filesystem;
  const fs::path cache = fs::weakly_canonical(arguments.cache), corpus = fs::weakly_canonical(arguments.corpus.corpus);
  if (std::mismatch(corpus.begin(), corpus.end(), cache.begin(), cache.end()).first == corpus.end())
    throw EnvironmentError(fmt::format("the cache `{}` cannot lie in the corpus", printable(arguments.cache)));
  return std::make_unique<FolderCache>(arguments.cache);
}

// The findings are whole either way.
void warn_of_cache(const CheckArguments& arguments, const FolderCache* cache) {
  if (cache != nullptr && !cache->problem().empty())
    fmt::print(stderr, "loomproof: not all could be kept in `{}`: {}\n", printable(arguments.cache), cache->problem());
}

int run_fix(const CheckArguments& arguments, Cache* cache) {
  Progress progress;
  CompileOptions options = arguments.corpus.options(progress);
  options.cache = cache;
  const upkeep::Mended mended = upkeep::mend(RealFiles(), arguments.corpus.corpus, options);
  arguments.corpus.print_timings(*mended.compiled);
  const size_t prefix = mended.compiled->shown_folder.size();
  std::vector<Rewrite> files;
  for (const auto& [path, now] : mended.after) files.push_back({path.substr(prefix), mended.before.at(path), now});
  if (!files.empty()) rewrite(arguments.corpus.corpus, files);
  print_applied(arguments, mended.made);
  print(arguments, *mended.compiled, &mended.made);
  return mended.compiled->report.empty() ? clean : findings;
}

int run_once(const CheckArguments& arguments, Cache* cache) {
  Phase until{};
  parse_phase(arguments.until, until);
  // What is shown has to be made first.
  const std::unique_ptr<Compiled> compiled = arguments.corpus.compile(until, arguments.show.empty() ? cache : nullptr);
  print(arguments, *compiled, nullptr);
  return compiled->report.empty() ? clean : findings;
}

// One save changes one family: what is known of the others is kept while it runs.
int run_watch(const CheckArguments& arguments, Cache* cache) {
  MemoryCache own;
  Cache* const used = cache != nullptr ? cache : &own;
  return watch(arguments.corpus.corpus, [&] { return arguments.corpus.compile(Phase::rules, used); });
}

int run(const CheckArguments& arguments) {
  const std::unique_ptr<FolderCache> cache = open_cache(arguments);
  int status = clean;
  if (arguments.fix)
    status = run_fix(arguments, cache.get());
  else if (arguments.watch)
    status = run_watch(arguments, cache.get());
  else
    status = run_once(arguments, cache.get());
  warn_of_cache(arguments, cache.get());
  return status;
}

}  // namespace

void add_check(CLI::App& app, Run& chosen) {
  auto arguments = std::make_shared<CheckArguments>();
  CLI::App* command = app.add_subcommand("check", "Judge a corpus by every rule");
  arguments->corpus.add_to(*command);
  CLI::Option* const format = command->add_option("--format", arguments->format, "text, json or sarif")
                                  ->check(CLI::IsMember({"text", "json", "sarif"}))
                                  ->capture_default_str();
  CLI::Option* const stats = command->add_flag("--stats", arguments->stats, "Say how many items each rule judged");
  CLI::Option* const until =
      command->add_option("--until", arguments->until, "Stop after this phase: files, trees, names, tables or rules")
          ->check(CLI::IsMember({"files", "trees", "names", "tables", "rules"}))
          ->capture_default_str();
  CLI::Option* const show =
      command->add_option("--show", arguments->show, "Print what a phase made: files, trees, names, tables or nets")
          ->check(CLI::IsMember({"files", "trees", "names", "tables", "nets"}));
  CLI::Option* const fix =
      command->add_flag("--fix", arguments->fix, "Make the suggested edits that are certain, and say which");
  CLI::Option* const watching =
      command->add_flag("--watch", arguments->watch, "Check again whenever a file is saved; Ctrl-C ends");
  command
      ->add_option("--cache", arguments->cache,
                   "Keep what is found of each family in this folder, for the next run to look up what is unchanged")
      ->envname("LOOMPROOF_CACHE");
  for (CLI::Option* const other : {until, show}) fix->excludes(other);
  for (CLI::Option* const other : {until, show, fix, format, stats}) watching->excludes(other);
  command->footer(
      "Examples:\n  loomproof check\n  loomproof check reference --family croft --stats\n"
      "  loomproof check --fix\n  loomproof check --watch\n"
      "  loomproof check --cache ~/.cache/loomproof\n  loomproof check --format sarif > findings.sarif");
  command->callback([arguments, &chosen] { chosen = [arguments] { return run(*arguments); }; });
}

}  // namespace loomproof::tool
