#include "packs.h"

#include <fcntl.h>
#include <fmt/format.h>
#include <sys/mman.h>
#include <sys/stat.h>
#include <unistd.h>

#include <algorithm>
#include <cerrno>
#include <cstring>
#include <filesystem>

#include "diag/suggest.h"
#include "source/files.h"

namespace loomproof::bench {
namespace {

[[noreturn]] void fail(const std::string& path, int error) {
  throw EnvironmentError(fmt::format("{}: {}", path, std::strerror(error)));
}

std::vector<std::string> pack_paths(const std::string& path) {
  std::error_code error;
  if (!std::filesystem::is_directory(path, error)) return {path};
  std::vector<std::string> found;
  for (std::filesystem::directory_iterator entry(path, error), end; !error && entry != end; entry.increment(error))
    if (entry->path().extension() == pack::file_extension) found.push_back(entry->path().string());
  if (error) throw EnvironmentError(fmt::format("{}: {}", path, error.message()));
  if (found.empty()) throw EnvironmentError(fmt::format("{}: no {} file in this folder", path, pack::file_extension));
  std::sort(found.begin(), found.end());
  return found;
}

}  // namespace

MappedFile::MappedFile(const std::string& path) {
  const int file = ::open(path.c_str(), O_RDONLY | O_CLOEXEC | O_NONBLOCK);
  if (file < 0) fail(path, errno);
  struct stat status {};
  const bool known = ::fstat(file, &status) == 0;
  const int stat_error = errno;
  if (!known || !S_ISREG(status.st_mode) || status.st_size == 0) {
    ::close(file);
    if (!known) fail(path, stat_error);
    if (!S_ISREG(status.st_mode)) throw EnvironmentError(path + ": not a file");
    return;  // an empty file has nothing to map
  }
  const auto size = static_cast<size_t>(status.st_size);
  void* const mapped = ::mmap(nullptr, size, PROT_READ, MAP_PRIVATE, file, 0);
  const int map_error = errno;
  ::close(file);
  if (mapped == MAP_FAILED) fail(path, map_error);
  bytes_ = {static_cast<const char*>(mapped), size};
}

MappedFile::~MappedFile() {
  if (!bytes_.empty()) ::munmap(const_cast<char*>(bytes_.data()), bytes_.size());
}

std::vector<PackFile> open_packs(const std::vector<std::string>& paths) {
  std::vector<PackFile> packs;
  for (const std::string& path : paths)
    for (const std::string& file : pack_paths(path)) {
      auto mapped = std::make_shared<MappedFile>(file);
      pack::Opened opened = pack::Pack::open(mapped->bytes());
      packs.push_back({file, std::move(mapped), std::move(opened)});
    }
  return packs;
}

Family load_family(const std::vector<std::string>& paths, std::string_view id, std::string* checksum) {
  const std::vector<PackFile> packs = open_packs(paths);
  std::vector<std::string_view> known;
  std::string refused;
  for (const PackFile& pack : packs) {
    if (!pack.opened.pack) {
      refused += fmt::format("; {} is refused: {}", pack.path, pack.opened.refusal);
      continue;
    }
    if (pack.opened.pack->id() == id) {
      if (checksum) *checksum = pack.opened.pack->checksum();
      return load(*pack.opened.pack);
    }
    known.push_back(pack.opened.pack->id());
  }
  std::string line = fmt::format("no family \"{}\" in {}", id, fmt::join(paths, ", "));
  if (const std::string_view near = nearest(id, known); !near.empty()) line += fmt::format("; did you mean {}?", near);
  throw EnvironmentError(line + refused);
}

}  // namespace loomproof::bench
