// The edits that findings suggest and that are certain, made: in memory, one round after another, each followed by a
// whole check of what came out. What an edit is certain by is the rule's to say (`Fix::certain`).
#pragma once
#include <map>
#include <memory>
#include <string>
#include <string_view>
#include <vector>

#include "compile/compile.h"
#include "diag/render.h"

namespace loomproof::upkeep {

struct Edits {
  std::vector<AppliedFix> made;              // by file and place
  std::map<std::string, std::string> texts;  // path -> the whole file with them
};

// The first certain edit of each finding, where it shares no byte with one of an earlier finding. Files in `left_alone`
// are passed over.
Edits certain_edits(const std::vector<Finding>& findings, const Sources& sources,
                    const std::map<std::string, bool>& left_alone = {});

struct Mended {
  std::unique_ptr<Compiled> compiled;         // with all edits made
  std::vector<AppliedFix> made;               // round by round
  std::map<std::string, std::string> before;  // path -> the file as it was read, of each that changed
  std::map<std::string, std::string> after;
};

// Until nothing certain is left. A file in which an edit would make a key stand twice is left as it was. Writes
// nothing.
Mended mend(const Files& files, const std::string& corpus_folder, const CompileOptions& options);

}  // namespace loomproof::upkeep
