#include "source/files.h"

#include <fcntl.h>
#include <sys/stat.h>
#include <unistd.h>

#include <algorithm>
#include <cerrno>
#include <cstring>
#include <filesystem>

namespace loomproof {
namespace {

namespace fs = std::filesystem;

bool hidden(const fs::path& name) {
  return name.native().starts_with('.');
}

void sort_by_path(std::vector<FileEntry>& entries) {
  std::sort(entries.begin(), entries.end(), [](const FileEntry& a, const FileEntry& b) { return a.path < b.path; });
}

FileEntry describe(const fs::directory_entry& entry, std::string path) {
  std::error_code error;
  const fs::file_status status = entry.status(error);  // follows a link
  if (error || !fs::exists(status)) return {std::move(path), 0, FileEntry::Kind::broken};
  if (fs::is_directory(status)) return {std::move(path), 0, FileEntry::Kind::directory};
  if (!fs::is_regular_file(status)) return {std::move(path), 0, FileEntry::Kind::other};
  const uint64_t size = entry.file_size(error);
  if (error) return {std::move(path), 0, FileEntry::Kind::broken};
  return {std::move(path), size, FileEntry::Kind::regular};
}

// Folders wait in a list and not on the call stack, so that no depth of nesting matters.
void list_below(const fs::path& folder, std::vector<FileEntry>& entries) {
  std::vector<std::string> waiting{""};
  while (!waiting.empty()) {
    const std::string prefix = std::move(waiting.back());
    waiting.pop_back();
    std::error_code error;
    fs::directory_iterator it(folder / prefix, error);
    for (; !error && it != fs::directory_iterator(); it.increment(error)) {
      const fs::path name = it->path().filename();
      if (hidden(name)) continue;
      const std::string path = prefix.empty() ? name.string() : prefix + "/" + name.string();
      std::error_code link_error;
      if (!it->is_symlink(link_error) && it->is_directory(link_error)) {
        waiting.push_back(path);
        if (name.extension() == ".yaml") entries.push_back({path, 0, FileEntry::Kind::directory});
      } else {
        entries.push_back(describe(*it, path));
      }
    }
    // A folder that cannot be listed stands for what is in it, so that its reader can say so.
    if (error) entries.push_back({prefix, 0, FileEntry::Kind::locked});
  }
}

class Descriptor {
 public:
  explicit Descriptor(int fd) : fd_(fd) {}
  Descriptor(const Descriptor&) = delete;
  Descriptor& operator=(const Descriptor&) = delete;
  ~Descriptor() {
    if (fd_ >= 0) ::close(fd_);
  }
  int get() const { return fd_; }

 private:
  int fd_;
};

std::string problem_words(int error) {
  switch (error) {
    case ENOENT:
      return "there is no such file";
    case EACCES:
    case EPERM:
      return "no permission to read it";
    case EISDIR:
      return "it is a folder";
    case ELOOP:
      return "its links lead in a circle";
    case ENOTDIR:
      return "a part of its path is no folder";
    case EIO:
      return "the disk reports a fault";
    case ENAMETOOLONG:
      return "its name is too long";
    default:
      return std::strerror(error);
  }
}

bool read_all(int fd, size_t expected, std::string& bytes) {
  bytes.resize(expected + 1);  // one more, so that the end shows without growing
  size_t used = 0;
  for (;;) {
    if (used == bytes.size()) bytes.resize(bytes.size() * 2);
    const ssize_t got = ::read(fd, bytes.data() + used, bytes.size() - used);
    if (got < 0 && errno == EINTR) continue;
    if (got < 0) return false;
    if (got == 0) break;
    used += static_cast<size_t>(got);
  }
  bytes.resize(used);
  return true;
}

}  // namespace

std::vector<FileEntry> RealFiles::list(const std::string& folder) const {
  std::error_code error;
  if (!fs::is_directory(folder, error)) throw EnvironmentError("`" + folder + "` is no folder that can be read");
  std::vector<FileEntry> entries;
  list_below(folder, entries);
  if (entries.size() == 1 && entries.front().path.empty()) {
    throw EnvironmentError("folder `" + folder + "` cannot be listed");
  }
  sort_by_path(entries);
  return entries;
}

std::string RealFiles::read(const std::string& path, std::string& problem) const {
  problem.clear();
  // Without O_NONBLOCK the opening of a pipe that nobody writes to would never return.
  const Descriptor file(::open(path.c_str(), O_RDONLY | O_NONBLOCK | O_CLOEXEC | O_NOCTTY));
  if (file.get() < 0) {
    // A socket cannot be opened at all (ENXIO); neither is it a file.
    problem = errno == ENXIO ? "it is no regular file" : problem_words(errno);
    return {};
  }
  struct stat status {};
  if (::fstat(file.get(), &status) != 0) {
    problem = problem_words(errno);
    return {};
  }
  if (!S_ISREG(status.st_mode)) {
    problem = S_ISDIR(status.st_mode) ? "it is a folder" : "it is no regular file";
    return {};
  }
  std::string bytes;
  if (!read_all(file.get(), static_cast<size_t>(status.st_size), bytes)) {
    problem = problem_words(errno);
    return {};
  }
  return bytes;
}

std::vector<FileEntry> MemoryFiles::list(const std::string& folder) const {
  std::string prefix = folder;
  if (!prefix.empty() && prefix.back() != '/') prefix += '/';
  std::vector<FileEntry> entries;
  for (const auto& [path, bytes] : files) {
    if (!path.starts_with(prefix)) continue;
    const std::string below = path.substr(prefix.size());
    if (below.starts_with('.') || below.find("/.") != std::string::npos) continue;
    entries.push_back({below, bytes.size(), FileEntry::Kind::regular});
  }
  sort_by_path(entries);
  return entries;
}

std::string MemoryFiles::read(const std::string& path, std::string& problem) const {
  problem.clear();
  const auto found = files.find(path);
  if (found == files.end()) {
    problem = "there is no such file";
    return {};
  }
  return found->second;
}

}  // namespace loomproof
