#include "job/file.h"

#include <fcntl.h>
#include <fmt/format.h>
#include <sys/stat.h>
#include <unistd.h>

#include <cerrno>
#include <cstdlib>
#include <cstring>

#include "job/job.h"
#include "source/files.h"

namespace loomproof::job {
namespace {

[[noreturn]] void fail_at(const std::string& path, int error) {
  throw EnvironmentError(fmt::format("{}: {}", path, std::strerror(error)));
}

class Descriptor {
 public:
  Descriptor(const std::string& path, int flags, mode_t mode = 0)
      : path_(path), number_(::open(path.c_str(), flags | O_CLOEXEC, mode)) {
    if (number_ < 0) fail_at(path, errno);
  }
  Descriptor(const Descriptor&) = delete;
  Descriptor& operator=(const Descriptor&) = delete;
  ~Descriptor() {
    if (number_ >= 0) ::close(number_);
  }
  void write(std::string_view bytes) {
    while (!bytes.empty()) {
      const ssize_t count = ::write(number_, bytes.data(), bytes.size());
      if (count < 0 && errno == EINTR) continue;
      if (count < 0) fail_at(path_, errno);
      bytes.remove_prefix(static_cast<size_t>(count));
    }
  }
  void mode(mode_t bits) {
    if (::fchmod(number_, bits) != 0) fail_at(path_, errno);
  }
  void to_disk() {
    if (::fsync(number_) != 0) fail_at(path_, errno);
  }

 private:
  std::string path_;
  int number_;
};

// Where a link leads, so that the file itself is put in place and the link stays.
std::string real_path(const std::string& path) {
  char* const real = ::realpath(path.c_str(), nullptr);
  if (!real) fail_at(path, errno);
  std::string text(real);
  std::free(real);
  return text;
}

void replace(const std::string& path, std::string_view bytes) {
  const std::string real = real_path(path);
  struct stat status {};
  if (::stat(real.c_str(), &status) != 0) fail_at(path, errno);
  const std::string aside = real + ".new";  // what an earlier run left there is overwritten
  try {
    Descriptor file(aside, O_WRONLY | O_CREAT | O_TRUNC | O_NOFOLLOW, 0600);
    file.mode(status.st_mode & 07777);
    file.write(bytes);
    file.to_disk();
    if (::rename(aside.c_str(), real.c_str()) != 0) fail_at(path, errno);
  } catch (const EnvironmentError&) {
    ::unlink(aside.c_str());
    throw;
  }
  Descriptor(real.substr(0, real.rfind('/') + 1), O_RDONLY | O_DIRECTORY).to_disk();
}

}  // namespace

std::string load(const std::string& path) {
  std::string problem;
  std::string bytes = RealFiles().read(path, problem);
  if (!problem.empty()) throw EnvironmentError(fmt::format("{}: {}", path, problem));
  return bytes;
}

void append(const std::string& path, std::string_view row) {
  replace(path, with_row(load(path), row));
}

bool take_back_last(const std::string& path) {
  const std::string was = load(path), becomes = without_last(was);
  if (becomes == was) return false;
  replace(path, becomes);
  return true;
}

}  // namespace loomproof::job
