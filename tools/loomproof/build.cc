// loomproof build: judge a corpus, then write what it compiles to.
#include <fmt/format.h>

#include <csignal>
#include <filesystem>

#include "command.h"
#include "diag/render.h"
#include "draw/draw.h"
#include "emit/emit.h"

namespace loomproof::tool {

namespace {

namespace fs = std::filesystem;

struct BuildArguments {
  CorpusArguments corpus;
  std::string out = "generated";
  bool verify = false, pdf = false;
};

// What is written into the corpus would be read as part of it.
void require_apart(const std::string& corpus, const std::string& out) {
  const fs::path inside = fs::weakly_canonical(out).lexically_relative(fs::weakly_canonical(corpus));
  if (!inside.empty() && *inside.begin() != "..")
    throw EnvironmentError(fmt::format("`{}` lies in the corpus `{}`; name a folder outside it", out, corpus));
}

emit::Plan plan_of(const Compiled& compiled, const BuildArguments& arguments) {
  if (!arguments.corpus.family.empty())
    return emit::plan_family(compiled.title, compiled.families.front().family, arguments.pdf);
  std::vector<const Family*> families;
  for (const CompiledFamily& family : compiled.families) families.push_back(&family.family);
  return emit::plan_corpus(compiled.title, families, arguments.corpus.threads, arguments.pdf);
}

int verify(const emit::Plan& plan, const BuildArguments& arguments) {
  const emit::Outdated outdated = emit::verify(plan, arguments.out);
  const auto list = [](std::string_view what, const std::vector<std::string>& paths) {
    for (const std::string& path : paths) fmt::print("{:<8}  {}\n", what, path);
  };
  list("missing", outdated.missing);
  list("differs", outdated.differs);
  list("stale", outdated.stale);
  if (outdated.is_clean()) {
    fmt::print("{} is up to date: {} files\n", arguments.out, plan.files.size());
    return clean;
  }
  fmt::print("{} is out of date; `loomproof build {} --out {}` renews it\n", arguments.out, arguments.corpus.corpus,
             arguments.out);
  return findings;
}

int write(const Compiled& compiled, const emit::Plan& plan, const BuildArguments& arguments) {
  std::signal(SIGXFSZ, SIG_IGN);  // a file over the permitted size is then an error of write(), said in one line
  const emit::Written written = emit::write(plan, arguments.out);
  for (const std::string& path : written.kept)
    fmt::print("kept      {}  (no longer written, but changed since: remove it by hand)\n", path);
  for (const CompiledFamily& family : compiled.families)
    fmt::print("{}: {}\n", printable(family.family.text(family.family.id)),
               printable(family.family.text(family.family.title)));
  fmt::print("{} written, {} unchanged, {} removed\n", written.written, written.unchanged, written.removed);
  if (plan.scope.empty()) {
    fmt::print("start with {}/index.md\n", arguments.out);
  } else {
    fmt::print("the pages that list all families are as they were; build without --family to renew them\n");
    fmt::print("start with {}/{}index.md\n", arguments.out, plan.scope.front());
  }
  return clean;
}

int run(const BuildArguments& arguments) {
  require_apart(arguments.corpus.corpus, arguments.out);
  const std::unique_ptr<Compiled> compiled = arguments.corpus.compile();
  if (!compiled->report.empty()) {
    print_findings(*compiled);
    fmt::print("{}\nnothing is {} until the corpus is clean\n", summary_words(*compiled),
               arguments.verify ? "verified" : "written");
    return findings;
  }
  const emit::Plan plan = [&] {
    try {
      return plan_of(*compiled, arguments);
    } catch (const draw::FontMissing& fault) {
      throw EnvironmentError(fault.what());
    }
  }();
  return arguments.verify ? verify(plan, arguments) : write(*compiled, plan, arguments);
}

}  // namespace

void add_build(CLI::App& app, Run& chosen) {
  auto arguments = std::make_shared<BuildArguments>();
  CLI::App* command =
      app.add_subcommand("build", "Judge a corpus, then write tables, differences, sheets, pages and packs");
  arguments->corpus.add_to(*command);
  command->add_option("--out", arguments->out, "The folder to write to")->capture_default_str();
  command->add_flag("--verify", arguments->verify,
                    "Write nothing; list what is missing, differs or is no longer wanted");
  command->add_flag("--pdf", arguments->pdf,
                    "Each sheet also as PDF; for a folder that is not kept under version control");
  command->footer(
      "Examples:\n  loomproof build reference --out generated\n  loomproof build --verify\n"
      "  loomproof build --family croft\n"
      "  loomproof build reference --out .build/paper --pdf\n\n"
      "Files that are not listed in DIR/.manifest are left alone; so is everything on findings.");
  command->callback([arguments, &chosen] { chosen = [arguments] { return run(*arguments); }; });
}

}  // namespace loomproof::tool
