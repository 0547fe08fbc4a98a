// What is known of one family when it has been read and judged. Private to src/compile.
#pragma once
#include <map>
#include <string>
#include <string_view>
#include <vector>

#include "compile/read.h"
#include "diag/report.h"
#include "expand/expand.h"

namespace loomproof {

struct FamilyResult {
  Report report;                  // of its files, names and rules; allowances are not yet applied
  std::vector<AllowSpan> allows;  // none where the rules did not run
  SharedUse used;
  bool waits = false;  // for its text, shape or names to be put in order
};

using FamilyResults = std::map<std::string, FamilyResult>;  // by folder

// As bytes. Files are told by their number among `files`: those of the family and those that all share.
std::string to_bytes(const FamilyResult& result, const std::vector<FileId>& files);
// False, and `result` of no use, where the bytes are not such.
bool from_bytes(std::string_view bytes, const std::vector<FileId>& files, FamilyResult& result);

// The families of one run in a cache.
class Recall {
 public:
  Recall(const std::vector<Pending>& pending, const CompileOptions& options, const Compiled& compiled);
  // What is known goes to `results`; returns the files that are still to be read.
  std::vector<Pending> find(FamilyResults& results) const;
  // Keeps the results that were not found.
  void keep(const FamilyResults& results) const;

 private:
  struct Entry {
    pack::Digest key{};
    std::vector<FileId> files;
    mutable bool was_found = false;
  };
  const std::vector<Pending>& pending_;
  Cache& cache_;
  std::map<std::string, Entry> families_;  // by folder
};

}  // namespace loomproof
