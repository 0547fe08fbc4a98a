// Pack files: a path is one pack, or a folder whose *.loompack files are packs. The only file access of loombench.
#pragma once
#include <memory>
#include <string>
#include <string_view>
#include <vector>

#include "pack/pack.h"

namespace loomproof::bench {

// A file mapped for reading. Throws EnvironmentError with one line that names the path.
class MappedFile {
 public:
  explicit MappedFile(const std::string& path);
  ~MappedFile();
  MappedFile(const MappedFile&) = delete;
  MappedFile& operator=(const MappedFile&) = delete;
  std::string_view bytes() const { return bytes_; }

 private:
  std::string_view bytes_;
};

struct PackFile {
  std::string path;
  std::shared_ptr<MappedFile> file;
  pack::Opened opened;  // a pack, or the reason why it is refused
};

// Opens every pack of the paths, sorted by path within a folder. Files that cannot be read throw EnvironmentError;
// files that are no sound pack are in the list with their refusal.
std::vector<PackFile> open_packs(const std::vector<std::string>& paths);

// The family of that id among the packs of the paths. Throws EnvironmentError where there is none, with the nearest.
// `checksum`, where it is asked for, is the pack's.
Family load_family(const std::vector<std::string>& paths, std::string_view id, std::string* checksum = nullptr);

}  // namespace loomproof::bench
