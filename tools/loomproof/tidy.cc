// loomproof tidy: the canonical layout of corpus files. What they mean is proven unchanged before anything is written.
#include "upkeep/tidy.h"

#include <fmt/format.h>

#include "command.h"
#include "diag/render.h"
#include "emit/plan.h"
#include "model/corpus.h"
#include "rewrite.h"

namespace loomproof::tool {

namespace {

struct TidyArguments {
  std::string corpus = "reference";
  bool check = false;
};

struct Texts {
  MemoryFiles now, tidy;            // at "."
  std::vector<std::string> untidy;  // paths
};

Texts read_corpus(const std::string& corpus) {
  Texts texts;
  const RealFiles files;
  for (const FileEntry& entry : files.list(corpus)) {
    if (entry.kind != FileEntry::Kind::regular || !place_of(entry.path)) continue;
    std::string problem;
    std::string bytes = files.read(corpus + "/" + entry.path, problem);
    if (!problem.empty())
      throw EnvironmentError(fmt::format("cannot read `{}/{}`: {}", corpus, printable(entry.path), problem));
    std::string laid_out = upkeep::tidied(bytes);
    if (laid_out != bytes) texts.untidy.push_back(entry.path);
    texts.tidy.files["./" + entry.path] = std::move(laid_out);
    texts.now.files["./" + entry.path] = std::move(bytes);
  }
  if (texts.now.files.empty()) throw EnvironmentError(fmt::format("no corpus at `{}`", printable(corpus)));
  return texts;
}

// How often each rule fires: the text of a finding may quote a line, which tidying changes.
std::map<std::string_view, size_t> counts(const Compiled& compiled) {
  std::map<std::string_view, size_t> by_rule;
  for (const Finding& finding : compiled.report.findings()) ++by_rule[rule_info(finding.rule).id];
  return by_rule;
}

// The same packs to the byte, and as many findings of each rule. A family that cannot be expanded has no pack; then
// nothing is proven of it.
bool means_the_same(const Texts& texts) {
  const CompileOptions options;
  const std::unique_ptr<Compiled> before = compile(texts.now, ".", options), after = compile(texts.tidy, ".", options);
  if (!before->not_judged.empty())
    throw EnvironmentError("the corpus has faults in its text, shape or names; mend them first: `loomproof check`");
  const auto plan = [](const Compiled& compiled) {
    std::vector<const Family*> families;
    for (const CompiledFamily& family : compiled.families) families.push_back(&family.family);
    return emit::plan_corpus(compiled.title, families).files;
  };
  return counts(*before) == counts(*after) && plan(*before) == plan(*after);
}

int run(const TidyArguments& arguments) {
  const Texts texts = read_corpus(arguments.corpus);
  if (texts.untidy.empty()) {
    fmt::print("tidy: {} files\n", texts.now.files.size());
    return clean;
  }
  if (!means_the_same(texts)) throw std::logic_error("tidying would change what the corpus means; nothing is written");
  for (const std::string& path : texts.untidy)
    fmt::print("{}  {}/{}\n", arguments.check ? "untidy" : "tidied", arguments.corpus, printable(path));
  if (arguments.check) {
    fmt::print("`loomproof tidy {}` mends the layout\n", arguments.corpus);
    return findings;
  }
  std::vector<Rewrite> rewrites;
  for (const std::string& path : texts.untidy)
    rewrites.push_back({path, texts.now.files.at("./" + path), texts.tidy.files.at("./" + path)});
  rewrite(arguments.corpus, rewrites);
  fmt::print("no change in meaning; packs identical\n");
  return clean;
}

}  // namespace

void add_tidy(CLI::App& app, Run& chosen) {
  auto arguments = std::make_shared<TidyArguments>();
  CLI::App* command = app.add_subcommand("tidy", "Lay corpus files out: rows in line, pins in order, comments kept");
  command->add_option("CORPUS", arguments->corpus, "The corpus folder")->capture_default_str();
  command->add_flag("--check", arguments->check, "Write nothing; list what is not tidy");
  command->footer(
      "Examples:\n  loomproof tidy\n  loomproof tidy reference --check\n\n"
      "Nothing is written unless the packs before and after are the same to the byte.");
  command->callback([arguments, &chosen] { chosen = [arguments] { return run(*arguments); }; });
}

}  // namespace loomproof::tool
