#include "compile/cache.h"

#include <fcntl.h>
#include <sys/stat.h>
#include <unistd.h>

#include <algorithm>
#include <cerrno>
#include <chrono>
#include <cstring>
#include <filesystem>
#include <fstream>
#include <vector>

#include "source/files.h"
#include "source/write_all.h"

namespace loomproof {

namespace {

namespace fs = std::filesystem;
using pack::Digest;

constexpr std::string_view mark = "loomproof found\n";  // what a file of ours begins with; key, checksum, bytes follow
constexpr std::string_view build_stem = "build-";
constexpr std::string_view half_stem = "new-";  // being written
constexpr size_t head_size = mark.size() + 2 * std::tuple_size_v<Digest>;

std::string_view bytes_of(const Digest& digest) {
  return {reinterpret_cast<const char*>(digest.data()), digest.size()};
}

// Any change of code, schema or wording is another program.
std::optional<std::string> this_build() {
  std::ifstream program("/proc/self/exe", std::ios::binary);
  if (!program) return std::nullopt;
  std::string bytes;
  program.seekg(0, std::ios::end);
  bytes.resize(static_cast<size_t>(program.tellg()));
  program.seekg(0);
  program.read(bytes.data(), static_cast<std::streamsize>(bytes.size()));
  if (!program) return std::nullopt;
  return pack::hex(pack::digest_of(bytes));
}

bool is_hex(std::string_view text) {
  return text.size() == 2 * std::tuple_size_v<Digest> && text.find_first_not_of("0123456789abcdef") == text.npos;
}

bool is_ours(const fs::path& name) {
  return is_hex(name.native()) || name.native().starts_with(half_stem);
}

std::vector<fs::path> names_in(const fs::path& folder) {
  std::vector<fs::path> names;
  std::error_code error;
  for (fs::directory_iterator it(folder, error), end; !error && it != end; it.increment(error))
    names.push_back(it->path().filename());
  return names;
}

// Files of ours alone; with anything else in it the folder stays.
void throw_away(const fs::path& folder) {
  std::error_code ignored;
  for (const fs::path& name : names_in(folder))
    if (is_ours(name)) fs::remove(folder / name, ignored);
  ::rmdir(folder.c_str());
}

}  // namespace

std::optional<std::string> MemoryCache::find(const Digest& key) const {
  const auto found = kept_.find(key);
  return found == kept_.end() ? std::nullopt : std::optional(found->second);
}

void MemoryCache::keep(const Digest& key, std::string_view bytes) {
  if (kept_.size() >= most_entries) kept_.clear();
  kept_.insert_or_assign(key, std::string(bytes));
}

FolderCache::FolderCache(const std::string& folder) : folder_(folder) {
  const std::optional<std::string> build = this_build();
  if (!build) throw EnvironmentError("nothing can be kept here: this system does not show a program its own file");
  own_ = folder_ + "/" + std::string(build_stem) + *build;
  std::error_code error;
  fs::create_directories(fs::path(folder_).parent_path(), error);
  if (::mkdir(folder_.c_str(), 0700) != 0 && errno != EEXIST)
    throw EnvironmentError("cannot make folder `" + folder_ + "`: " + std::strerror(errno));
  if (!fs::is_directory(folder_, error)) throw EnvironmentError("`" + folder_ + "` is no folder");
}

std::optional<std::string> FolderCache::find(const Digest& key) const {
  std::string problem;
  std::string bytes = RealFiles().read(own_ + "/" + pack::hex(key), problem);
  const std::string_view all = bytes;
  if (!problem.empty() || all.size() < head_size || !all.starts_with(mark)) return std::nullopt;
  const std::string_view payload = all.substr(head_size);
  if (all.substr(mark.size(), key.size()) != bytes_of(key)) return std::nullopt;
  if (all.substr(mark.size() + key.size(), key.size()) != bytes_of(pack::digest_of(payload))) return std::nullopt;
  return std::string(payload);
}

void FolderCache::keep(const Digest& key, std::string_view bytes) {
  if (!cleaned_) clean();
  std::string half = own_ + "/" + std::string(half_stem) + "XXXXXX";
  const int fd = ::mkostemp(half.data(), O_CLOEXEC);
  if (fd < 0) {
    problem_ = std::strerror(errno);
    return;
  }
  std::string all(mark);
  all += bytes_of(key);
  all += bytes_of(pack::digest_of(bytes));
  all += bytes;
  const bool written = write_all(fd, all);
  const bool closed = ::close(fd) == 0;
  if (written && closed && ::rename(half.c_str(), (own_ + "/" + pack::hex(key)).c_str()) == 0) return;
  problem_ = std::strerror(errno);
  ::unlink(half.c_str());
}

void FolderCache::clean() {
  cleaned_ = true;
  std::error_code ignored;
  for (const fs::path& name : names_in(folder_)) {
    const fs::path path = fs::path(folder_) / name;
    const std::string_view text = name.native();
    const bool is_build = text.starts_with(build_stem) && is_hex(text.substr(build_stem.size()));
    if (is_build && path != own_ && !fs::is_symlink(path, ignored)) throw_away(path);
  }
  ::mkdir(own_.c_str(), 0700);
  struct Aged {
    fs::file_time_type time;
    fs::path path;
    bool operator<(const Aged& other) const { return std::tie(time, path) < std::tie(other.time, other.path); }
  };
  std::vector<Aged> kept;
  for (const fs::path& name : names_in(own_)) {
    const fs::path path = fs::path(own_) / name;
    const fs::file_time_type time = fs::last_write_time(path, ignored);
    // Half written an hour ago is left over.
    const bool is_half = name.native().starts_with(half_stem);
    if (is_half && fs::file_time_type::clock::now() - time > std::chrono::hours(1)) fs::remove(path, ignored);
    if (is_hex(name.native())) kept.push_back({time, path});
  }
  if (kept.size() <= most_entries) return;
  std::sort(kept.begin(), kept.end());
  for (size_t i = 0; i < kept.size() - most_entries / 2; ++i) fs::remove(kept[i].path, ignored);
}

}  // namespace loomproof
