// The first two passes: files, and the tree of each. Private to src/compile.
#pragma once
#include <string>
#include <vector>

#include "compile/compile.h"

namespace loomproof {

struct Pending {
  FileId shown = no_file;  // the file as findings show it
  FileId file = no_file;   // the same; none where it could not be read
  FilePlace place;
  uint64_t size = 0;
};

// Pass 1. Every file has a place and its bytes are at hand, or the finding that says why not.
std::vector<Pending> read_files(const Files& files, std::string folder, const CompileOptions& options, Compiled& out);

// Pass 2. Every file is a tree of the shape that its kind asks for, or unusable and reported: a report for each.
std::vector<Report> read_trees(const std::vector<Pending>& pending, const CompileOptions& options, Compiled& out);

}  // namespace loomproof
