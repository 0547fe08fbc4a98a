// File access behind an interface, so that tests run on files in memory. Paths use '/'.
#pragma once
#include <cstdint>
#include <map>
#include <stdexcept>
#include <string>
#include <string_view>
#include <vector>

namespace loomproof {

// A fault of the environment (not of the corpus, not a bug): caught in main, one line, exit 2.
struct EnvironmentError : std::runtime_error {
  using std::runtime_error::runtime_error;
};

struct FileEntry {
  std::string path;   // relative to the listed folder
  uint64_t size = 0;  // bytes
  // What a link leads to. directory: a link to a folder, or a folder that is named like a file; locked: a folder that
  // cannot be listed.
  enum class Kind { regular, directory, other, broken, locked } kind = Kind::regular;
};

class Files {
 public:
  virtual ~Files() = default;
  // Every file below `folder`, sorted by path; dot files and dot folders left out. Links to folders are not followed.
  virtual std::vector<FileEntry> list(const std::string& folder) const = 0;
  // The whole file. `problem` gets one plain line ("no permission to read it") and the result is empty on failure.
  virtual std::string read(const std::string& path, std::string& problem) const = 0;
};

class RealFiles : public Files {
 public:
  std::vector<FileEntry> list(const std::string& folder) const override;
  std::string read(const std::string& path, std::string& problem) const override;
};

class MemoryFiles : public Files {
 public:
  std::map<std::string, std::string> files;  // path -> bytes
  std::vector<FileEntry> list(const std::string& folder) const override;
  std::string read(const std::string& path, std::string& problem) const override;
};

}  // namespace loomproof
