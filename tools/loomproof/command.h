// One subcommand a file: each adds itself to the command line and, when chosen, returns the exit status.
#pragma once
#include <CLI/CLI.hpp>
#include <functional>
#include <memory>
#include <string>

#include "compile/compile.h"
#include "terminal.h"

namespace loomproof::tool {

// Exit status of every command: 0 clean, 1 findings, 2 usage or environment, 3 a bug in the program.
inline constexpr int clean = 0, findings = 1, usage = 2, bug = 3;

using Run = std::function<int()>;
// Each registers its subcommand on `app`; `chosen` is set to what to do when that subcommand is on the command line.
void add_check(CLI::App& app, Run& chosen);
void add_build(CLI::App& app, Run& chosen);
void add_rules(CLI::App& app, Run& chosen);
void add_explain(CLI::App& app, Run& chosen);
void add_trace(CLI::App& app, Run& chosen);
void add_compare(CLI::App& app, Run& chosen);
void add_start(CLI::App& app, Run& chosen);
void add_review(CLI::App& app, Run& chosen);
void add_import(CLI::App& app, Run& chosen);
void add_tidy(CLI::App& app, Run& chosen);

// Throws where there is none, with how to name another: the one that is looked for where none is named may be missing.
void want_corpus(const std::string& folder);

// What check, build, trace and compare share: the corpus, and how far to go.
struct CorpusArguments {
  std::string corpus = "reference";
  std::string family;
  unsigned threads = 0;
  bool timings = false;
  void add_to(CLI::App& command, bool with_family = true);
  // What to compile, with progress on a terminal that lasts as long as `progress`.
  CompileOptions options(Progress& progress, Phase until = Phase::rules) const;
  // Compiles with progress on a terminal; prints timings where asked.
  std::unique_ptr<Compiled> compile(Phase until = Phase::rules, Cache* cache = nullptr) const;
  void print_timings(const Compiled& compiled) const;  // where asked
};

// Findings as text with a closing line; to stdout.
void print_findings(const Compiled& compiled);
std::string summary_words(const Compiled& compiled);  // "2 errors, 1 note in 3 files"

}  // namespace loomproof::tool
