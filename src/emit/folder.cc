#include "emit/folder.h"

#include <dirent.h>
#include <fcntl.h>
#include <fmt/format.h>
#include <sys/file.h>
#include <sys/stat.h>
#include <unistd.h>

#include <cerrno>
#include <cstring>
#include <filesystem>
#include <thread>

#include "source/files.h"
#include "source/write_all.h"

namespace loomproof::emit {
namespace {

constexpr const char* stage_name = ".new";
constexpr int folder_flags = O_RDONLY | O_DIRECTORY | O_CLOEXEC;

std::string error_words(int error) {
  switch (error) {
    case EACCES:
    case EPERM:
      return "no permission";
    case EROFS:
      return "the file system is read-only";
    case ENOSPC:
      return "the disk is full";
    case EDQUOT:
      return "the disk quota is used up";
    case EFBIG:
      return "the file would be larger than is permitted";
    case EIO:
      return "the disk reports a fault";
    case ENOTDIR:
    case EEXIST:
      return "a file stands where a folder should be";
    case EISDIR:
      return "a folder stands where a file should be";
    case ENAMETOOLONG:
      return "its name is too long";
    default:
      return std::strerror(error);
  }
}

[[noreturn]] void fail(std::string_view what, const std::string& path, int error) {
  throw EnvironmentError(fmt::format("cannot {} `{}`: {}", what, path, error_words(error)));
}

[[noreturn]] void refuse_link(const std::string& path) {
  throw EnvironmentError(fmt::format("`{}` is a symbolic link; nothing is written or read through it", path));
}

bool is_link(int folder, const std::string& name) {
  struct stat status {};
  return ::fstatat(folder, name.c_str(), &status, AT_SYMLINK_NOFOLLOW) == 0 && S_ISLNK(status.st_mode);
}

bool read_all(int fd, std::string& bytes) {
  char block[1 << 16];
  for (;;) {
    const ssize_t got = ::read(fd, block, sizeof block);
    if (got < 0 && errno == EINTR) continue;
    if (got < 0) return false;
    if (got == 0) return true;
    bytes.append(block, static_cast<size_t>(got));
  }
}

std::string last_name(std::string_view path) {
  return std::string(path.substr(path.rfind('/') + 1));  // npos + 1 is 0
}

}  // namespace

Descriptor::~Descriptor() {
  if (fd_ >= 0) ::close(fd_);
}

bool Descriptor::close() {
  return ::close(std::exchange(fd_, -1)) == 0;
}

std::string Folder::shown(std::string_view path) const {
  return path_ + (path_.ends_with('/') ? "" : "/") + std::string(path);
}

std::optional<Folder> Folder::open(const std::string& path) {
  Descriptor fd(::open(path.c_str(), folder_flags));
  if (!fd.is_open() && errno == ENOENT) return std::nullopt;
  if (!fd.is_open()) fail("open folder", path, errno);
  return Folder(path, std::move(fd));
}

Folder Folder::open_or_make(const std::string& path) {
  std::error_code error;
  std::filesystem::create_directories(path, error);
  if (error && !std::filesystem::is_directory(path)) fail("make folder", path, error.value());
  std::optional<Folder> folder = open(path);
  if (!folder) fail("open folder", path, ENOENT);
  return std::move(*folder);
}

// The lock is on the open folder itself: it leaves nothing behind, and ends with the program whatever ends it.
void Folder::lock(bool exclusive, std::chrono::milliseconds wait) {
  const auto until = std::chrono::steady_clock::now() + wait;
  while (::flock(fd_.get(), (exclusive ? LOCK_EX : LOCK_SH) | LOCK_NB) != 0) {
    if (errno == EINTR) continue;
    if (errno != EWOULDBLOCK) fail("lock folder", path_, errno);
    if (std::chrono::steady_clock::now() >= until)
      throw EnvironmentError(fmt::format("another build is writing to `{}`; try again when it is done", path_));
    std::this_thread::sleep_for(std::chrono::milliseconds(20));
  }
}

Descriptor Folder::step_into(int folder, const std::string& name, std::string_view shown_path) const {
  Descriptor next(::openat(folder, name.c_str(), folder_flags | O_NOFOLLOW));
  if (next.is_open() || errno == ENOENT) return next;
  const int error = errno;
  if (is_link(folder, name)) refuse_link(shown(shown_path));
  fail("open folder", shown(shown_path), error);
}

Descriptor Folder::parent_of(std::string_view path) const {
  Descriptor at(::openat(fd_.get(), ".", folder_flags));
  if (!at.is_open()) fail("open folder", path_, errno);
  for (size_t begin = 0, slash; (slash = path.find('/', begin)) != std::string_view::npos; begin = slash + 1) {
    Descriptor next = step_into(at.get(), std::string(path.substr(begin, slash - begin)), path.substr(0, slash));
    if (!next.is_open()) return next;
    at = std::move(next);
  }
  return at;
}

void Folder::make_folders_for(std::string_view path) {
  Descriptor at(::openat(fd_.get(), ".", folder_flags));
  if (!at.is_open()) fail("open folder", path_, errno);
  for (size_t begin = 0, slash; (slash = path.find('/', begin)) != std::string_view::npos; begin = slash + 1) {
    const std::string name(path.substr(begin, slash - begin)), so_far(path.substr(0, slash));
    Descriptor next = step_into(at.get(), name, so_far);
    if (!next.is_open()) {
      if (::mkdirat(at.get(), name.c_str(), 0777) != 0) fail("make folder", shown(so_far), errno);
      made_.push_back(so_far);
      next = step_into(at.get(), name, so_far);
      if (!next.is_open()) fail("open folder", shown(so_far), ENOENT);
    }
    at = std::move(next);
  }
}

std::optional<std::string> Folder::read(std::string_view path) const {
  const Descriptor parent = parent_of(path);
  if (!parent.is_open()) return std::nullopt;
  const std::string name = last_name(path);
  // Without O_NONBLOCK the opening of a pipe that nobody writes to would never return.
  const Descriptor file(
      ::openat(parent.get(), name.c_str(), O_RDONLY | O_NOFOLLOW | O_NONBLOCK | O_CLOEXEC | O_NOCTTY));
  if (!file.is_open()) {
    const int error = errno;
    if (error == ENOENT) return std::nullopt;
    if (is_link(parent.get(), name)) refuse_link(shown(path));
    fail("read", shown(path), error);
  }
  struct stat status {};
  if (::fstat(file.get(), &status) != 0) fail("read", shown(path), errno);
  if (!S_ISREG(status.st_mode))
    throw EnvironmentError(fmt::format("`{}` is no regular file, but a file has to stand there", shown(path)));
  std::string bytes;
  if (!read_all(file.get(), bytes)) fail("read", shown(path), errno);
  return bytes;
}

void Folder::open_stage() {
  if (stage_.is_open()) return;
  clear_staged();
  if (::mkdirat(fd_.get(), stage_name, 0777) != 0) fail("write in", path_, errno);
  stage_ = Descriptor(::openat(fd_.get(), stage_name, folder_flags | O_NOFOLLOW));
  if (!stage_.is_open()) fail("write in", path_, errno);
}

void Folder::stage(size_t number, std::string_view bytes) {
  open_stage();
  const std::string name = std::to_string(number);
  Descriptor file(::openat(stage_.get(), name.c_str(), O_WRONLY | O_CREAT | O_EXCL | O_NOFOLLOW | O_CLOEXEC, 0666));
  if (!file.is_open()) fail("write in", path_, errno);
  if (!write_all(file.get(), bytes) || !file.close()) fail("write in", path_, errno);
}

void Folder::rename_staged(size_t number, std::string_view path) {
  const Descriptor parent = parent_of(path);
  if (!parent.is_open()) fail("write", shown(path), ENOENT);
  const std::string from = std::to_string(number), to = last_name(path);
  if (::renameat(stage_.get(), from.c_str(), parent.get(), to.c_str()) != 0) fail("write", shown(path), errno);
}

// Only files with the names that stage() gives: anything else in there is somebody's, and stays.
void Folder::clear_staged(bool with_folders) noexcept {
  stage_ = Descriptor();
  const int fd = ::openat(fd_.get(), stage_name, folder_flags | O_NOFOLLOW);
  if (fd >= 0) {
    if (DIR* const listing = ::fdopendir(fd)) {
      while (const dirent* const entry = ::readdir(listing))
        if (std::strspn(entry->d_name, "0123456789") == std::strlen(entry->d_name)) ::unlinkat(fd, entry->d_name, 0);
      ::closedir(listing);
    } else {
      ::close(fd);
    }
    ::unlinkat(fd_.get(), stage_name, AT_REMOVEDIR);
  }
  if (!with_folders) return;
  for (; !made_.empty(); made_.pop_back()) ::unlinkat(fd_.get(), made_.back().c_str(), AT_REMOVEDIR);
}

void Folder::remove(std::string_view path) {
  for (bool file = true; !path.empty(); file = false) {
    const Descriptor parent = parent_of(path);
    if (!parent.is_open()) return;
    if (::unlinkat(parent.get(), last_name(path).c_str(), file ? 0 : AT_REMOVEDIR) != 0 && file)
      fail("remove", shown(path), errno);
    const size_t slash = path.rfind('/');
    path = slash == std::string_view::npos ? std::string_view() : path.substr(0, slash);
  }
}

}  // namespace loomproof::emit
