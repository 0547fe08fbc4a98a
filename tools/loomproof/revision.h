// A revision of a corpus: a folder, or a commit of the git repository that the command is run in.
#pragma once
#include <memory>
#include <string>

#include "source/files.h"

namespace loomproof::tool {

struct Revision {
  std::unique_ptr<Files> files;
  std::string corpus;  // the corpus folder, for `files`
  std::string name;    // as people call it
};

// `text` is a folder that is there, or a revision as git writes them (main, HEAD~2, a1b2c3d, origin/main). Empty: the
// folder `corpus` as it is on disk. In a commit the corpus is looked for at `corpus`, relative to the folder the
// command is run in. Throws EnvironmentError with one plain line where there is nothing to read.
Revision open_revision(const std::string& text, const std::string& corpus);

}  // namespace loomproof::tool
