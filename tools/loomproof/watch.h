// loomproof check --watch: one check after another, as files are saved.
#pragma once
#include <functional>
#include <memory>
#include <string>

#include "compile/compile.h"

namespace loomproof::tool {

// Prints the first check whole, and of each later one what is new, what is mended, and the summary. Returns the exit
// status of the last one when the user ends it. A later check that cannot be made (the corpus is gone for a moment)
// says why and waits for the next change.
int watch(const std::string& corpus, const std::function<std::unique_ptr<Compiled>()>& check);

}  // namespace loomproof::tool
