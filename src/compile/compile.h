// The compiler as one call: corpus in, findings and family tables out. compile() reads as the list of its passes.
#pragma once
#include <functional>
#include <memory>
#include <string>
#include <string_view>
#include <vector>

#include "compile/cache.h"
#include "diag/report.h"
#include "expand/expand.h"
#include "model/corpus.h"
#include "source/files.h"

namespace loomproof {

enum class Phase : uint8_t { files, trees, names, tables, rules };
inline constexpr std::string_view phase_words[] = {"files", "trees", "names", "tables", "rules"};
bool parse_phase(std::string_view text, Phase& phase);

struct CompileOptions {
  std::string family;          // this one alone; empty: all
  unsigned threads = 0;        // 0: as many as the machine has
  Phase until = Phase::rules;  // stop after this phase
  yaml::Limits limits;
  // What earlier runs found of families that are unchanged; not asked where `until` stops before the rules. Families
  // found there are missing from Compiled::families and the corpus: their findings alone are known.
  Cache* cache = nullptr;
  // Called now and then from any thread: what is done and how much of it.
  std::function<void(std::string_view phase, size_t done, size_t total)> progress;
};

struct Timing {
  std::string_view phase;
  double seconds = 0;
};

struct CompiledFamily {
  Family family;
  Spans spans;
  bool judged = false;  // its names resolved, and the rules have run
};

struct Compiled {
  std::string shown_folder;  // what stands before a path of the corpus where findings show it: "reference/", or nothing
  Sources sources;
  Corpus corpus;
  std::string title;
  Report report;                         // sorted; allowances applied
  std::vector<CompiledFamily> families;  // by id; those that could be expanded
  std::vector<std::string> not_judged;   // families left alone because of findings in their text, shape or names
  std::vector<Timing> timings;
  uint64_t bytes = 0;  // of all corpus files
};

// Throws EnvironmentError where the corpus cannot be found or the named family is not in it.
std::unique_ptr<Compiled> compile(const Files& files, const std::string& corpus_folder, const CompileOptions& options);

}  // namespace loomproof
