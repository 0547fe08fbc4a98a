#include "command.h"

#include <fmt/format.h>
#include <unistd.h>

#include <filesystem>
#include <set>

#include "diag/render.h"
#include "terminal.h"

namespace loomproof::tool {

void want_corpus(const std::string& folder) {
  std::error_code error;
  if (!std::filesystem::is_directory(folder, error))
    throw EnvironmentError(
        fmt::format("`{}` is no folder that can be read; name the folder of your corpus (CORPUS in --help)", folder));
}

void CorpusArguments::add_to(CLI::App& command, bool with_family) {
  command.add_option("CORPUS", corpus, "The corpus folder")->capture_default_str();
  if (with_family) command.add_option("--family", family, "Only this family");
  command.add_option("--threads", threads, "Threads to use; 0 takes what the machine has")->capture_default_str();
  command.add_flag("--timings", timings, "Say on stderr how long each phase took");
}

CompileOptions CorpusArguments::options(Progress& progress, Phase until) const {
  want_corpus(corpus);
  CompileOptions options;
  options.family = family;
  options.threads = threads;
  options.until = until;
  options.progress = [&](std::string_view phase, size_t done, size_t total) { progress.show(phase, done, total); };
  return options;
}

std::unique_ptr<Compiled> CorpusArguments::compile(Phase until, Cache* cache) const {
  Progress progress;
  CompileOptions wanted = options(progress, until);
  wanted.cache = cache;
  std::unique_ptr<Compiled> compiled = loomproof::compile(RealFiles(), corpus, wanted);
  print_timings(*compiled);
  return compiled;
}

void CorpusArguments::print_timings(const Compiled& compiled) const {
  if (!timings) return;
  for (const Timing& timing : compiled.timings)
    fmt::print(stderr, "{:<8}{:>9.1f} ms\n", timing.phase, timing.seconds * 1000);
}

std::string summary_words(const Compiled& compiled) {
  std::string words = summary_line(compiled.report.findings());
  for (const std::string& family : compiled.not_judged)
    words += fmt::format("\nfamily {} is not judged further until its text, shape and names are in order", family);
  return words;
}

void print_findings(const Compiled& compiled) {
  if (compiled.report.empty()) return;
  TextStyle style{wants_colour(STDOUT_FILENO), terminal_width(STDOUT_FILENO)};
  fmt::print("{}\n", render_text(compiled.report.findings(), compiled.sources, style));
}

}  // namespace loomproof::tool
