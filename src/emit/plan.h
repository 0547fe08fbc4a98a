// What is to stand in the generated folder: every file with its bytes. Nothing is written here.
#pragma once
#include <map>
#include <string>
#include <string_view>
#include <vector>

#include "family/family.h"

namespace loomproof::emit {

struct Plan {
  std::map<std::string, std::string> files;  // path below the folder ('/'), bytes
  // What of the folder the plan is about: paths that begin with one of these. Empty: all of it.
  std::vector<std::string> scope;

  bool covers(std::string_view path) const;
};

// `title`: of the corpus. Sheets and pages need a font: both throw draw::FontMissing without it. `with_pdf`: beside
// each sheet the same as PDF. A whole corpus: reports and packs of all families, and the pages that list them. threads:
// 0 takes what the machine has; the plan is the same at any number.
Plan plan_corpus(std::string_view title, const std::vector<const Family*>& families, unsigned threads = 0,
                 bool with_pdf = false);
// One family's own files, without the pages that list all families.
Plan plan_family(std::string_view title, const Family& family, bool with_pdf = false);

// XXH3, 128 bits, as 32 hexadecimal digits in the order in which the xxHash programs print them.
std::string checksum(std::string_view bytes);

}  // namespace loomproof::emit
