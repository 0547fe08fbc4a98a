// Names of generated files and folders: made of ids, of [a-z0-9._-] only, never a path, short enough for every file
// system. Ids that differ only in what a name cannot hold still get names of their own.
#pragma once
#include <set>
#include <string>
#include <string_view>

namespace loomproof::reports {

inline constexpr size_t longest_name = 119;  // bytes, with the longest extension

// An id in lower case, everything but letters and digits as a hyphen; "unnamed" where nothing is left.
std::string file_word(std::string_view id);

// The folder of a family: its id where that can be a name, else its file_word with a fingerprint of the id.
std::string folder_name(std::string_view family_id);

// The names in one folder, without extension.
class FileNames {
 public:
  // `wanted`, of [a-z0-9._-] only; shortened where too long, and with a number where already given out.
  std::string claim(const std::string& wanted);

 private:
  std::set<std::string> taken_;
};

}  // namespace loomproof::reports
