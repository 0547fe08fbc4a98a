// The list of what this program wrote into a folder, `.manifest` in it: only what is listed may ever be removed, and
// only while it is as it was written. A line a file: its checksum, two blanks, its path. While files are being replaced
// a path may stand there twice, with what it was and what it becomes. Lines that are no such line are passed over, so
// that a list that somebody merged badly makes less removable, never more.
#pragma once
#include <map>
#include <set>
#include <string>
#include <string_view>

namespace loomproof::emit {

inline constexpr std::string_view manifest_name = ".manifest";

class Manifest {
 public:
  static Manifest parse(std::string_view text);
  std::string text() const;

  void add(std::string_view path, std::string_view checksum) { files_[std::string(path)].emplace(checksum); }
  void drop(const std::string& path) { files_.erase(path); }
  bool lists(const std::string& path) const { return files_.contains(path); }
  bool wrote(const std::string& path, const std::string& checksum) const;
  const std::map<std::string, std::set<std::string>>& files() const { return files_; }

 private:
  std::map<std::string, std::set<std::string>> files_;
};

// Whether a path may be written or removed below the folder: names of [a-z0-9._-] that do not begin with a dot, joined
// by '/'; nothing that leads anywhere else.
bool is_safe_path(std::string_view path);

}  // namespace loomproof::emit
