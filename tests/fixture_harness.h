// Fixtures: a small clean corpus (tests/fixtures/base) and, a folder a rule, the faults that are laid over it.
//
//   fixtures/rules/RULE/fires/       what has to be found; fires-2/, fires-3/ … where the rule has several messages
//   fixtures/rules/RULE/silent/      the near miss: just legal, nothing to be found; silent-2/ … likewise
//   fixtures/rules/RULE/expected.txt the whole text output of fires/; expected-2.txt of fires-2/ …
//
// A folder holds files that take the place of files of the base or stand beside them, and control files:
//   _patch    edits to files of the base: `@ path`, then hunks as in a diff (` ` kept, `-` taken out, `+` put in); the
//   old
//             lines of each hunk stand exactly once in the file; an empty line or the next `@` ends a hunk
//   _remove   paths of the base that are left out, a line each
//   _cannot-read  `path: problem`, a line each: files that are there and cannot be read
//   _limits   `file-bytes N`, `depth N`, `nodes N`, `scalar-bytes N`: limits other than the usual ones
//   _also     `rule-id: why`, a line each: findings that necessarily come along
//   _why      what this case is, for people
// A dangling link in the folder is a dangling link of the corpus.
#pragma once
#include <filesystem>
#include <map>
#include <memory>
#include <string>
#include <string_view>
#include <vector>

#include "compile/compile.h"

namespace loomproof::testing {

namespace fs = std::filesystem;

// A corpus in memory, with entries that no MemoryFiles can hold: what cannot be read, links that lead nowhere.
class FixtureFiles : public MemoryFiles {
 public:
  std::map<std::string, std::string> problems;  // path -> why it cannot be read
  std::map<std::string, FileEntry::Kind> odd;   // path -> what stands there, where it is no regular file
  std::vector<FileEntry> list(const std::string& folder) const override;
  std::string read(const std::string& path, std::string& problem) const override;
};

// The corpus stands at "." in memory, so that findings show paths relative to it.
inline const std::string corpus_folder = ".";

struct Fixture {
  fs::path folder;
  FixtureFiles files;
  yaml::Limits limits;
  std::map<std::string, int> also;  // rule id -> how often it comes along
  bool differs = false;             // from the base
};

fs::path fixtures_root();
std::string contents(const fs::path& path);  // of a file; throws where there is none
FixtureFiles base_corpus();
// Every regular file below `folder`, as a corpus in memory.
FixtureFiles corpus_in_memory(const fs::path& folder);
Fixture load_fixture(const fs::path& folder);  // throws std::runtime_error with path and line where it is malformed
std::unique_ptr<Compiled> compile_fixture(const Fixture& fixture);
std::unique_ptr<Compiled> compile_files(const Files& files, const CompileOptions& options = {.threads = 1});
std::string rendered(const Compiled& compiled, int width = 100);

// The folders of a rule whose names are `stem`, `stem-2`, … in order.
std::vector<fs::path> cases(const fs::path& rule_folder, std::string_view stem);

// How many random cases to try: the usual number, times LOOMPROOF_TRIES where that is set.
int tries(int usual);

// Holds `actual` against the file; where UPDATE_EXPECTED is set, writes it first. Empty when equal, else what differs.
std::string differs_from_expected(const fs::path& expected, const std::string& actual);

}  // namespace loomproof::testing
