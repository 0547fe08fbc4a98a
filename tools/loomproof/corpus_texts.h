// A corpus as texts in memory, for commands that change its files: all that is written is written whole, or nothing.
#pragma once
#include <string>

#include "source/files.h"

namespace loomproof::tool {

// Every corpus file, below ".". Throws EnvironmentError.
MemoryFiles read_texts(const std::string& corpus);

// Writes those that differ. Throws EnvironmentError where one of them is no longer as it was, and then writes none.
void write_texts(const std::string& corpus, const MemoryFiles& before, const MemoryFiles& after);

// Both as one unified diff of this file; empty where they are the same.
std::string text_diff(const std::string& path, const std::string& before, const std::string& after);

}  // namespace loomproof::tool
