// Adding a reading to a job file, stopped at every step. The system calls that write are taken over here, so that the
// n-th of them kills the process or fails, and a write that is killed has put down half of its bytes. What is held
// against the disk: the file is whole, as it was or as it becomes, so that at most the answer being typed is lost.
#include <fcntl.h>
#include <signal.h>
#include <sys/stat.h>
#include <sys/syscall.h>
#include <sys/wait.h>
#include <unistd.h>

#include <catch2/catch.hpp>
#include <cerrno>
#include <filesystem>
#include <fstream>
#include <string_view>

#include "job/file.h"
#include "job/job.h"
#include "source/files.h"

using namespace loomproof;
namespace fs = std::filesystem;

namespace {

enum class Stop { never, kill, fail };
Stop stop = Stop::never;
int calls_left = 0;

bool has_to_fail() {
  if (stop == Stop::never || --calls_left > 0) return false;
  if (stop == Stop::kill) ::raise(SIGKILL);
  if (calls_left < 0) return false;  // one fault, then the system works again
  errno = EIO;
  return true;
}

}  // namespace

extern "C" {
ssize_t write(int file, const void* bytes, size_t count) {
  if (stop == Stop::kill && calls_left == 1) ::syscall(SYS_write, file, bytes, count / 2);
  if (has_to_fail()) return -1;
  return ::syscall(SYS_write, file, bytes, count);
}
int fsync(int file) {
  if (has_to_fail()) return -1;
  return static_cast<int>(::syscall(SYS_fsync, file));
}
int fchmod(int file, mode_t mode) noexcept {
  if (has_to_fail()) return -1;
  return static_cast<int>(::syscall(SYS_fchmod, file, mode));
}
int rename(const char* from, const char* to) noexcept {
  if (has_to_fail()) return -1;
  return static_cast<int>(::syscall(SYS_renameat2, AT_FDCWD, from, AT_FDCWD, to, 0));
}
}

namespace {

const std::string before =
    "family: croft   # by hand\n"
    "bench: {CHASSIS-LOOM: {}}\n"
    "readings:\n"
    "  - {plug: C7, is: absent}\n";
constexpr std::string_view row = "{plug: C8, is: present}";

// 0: came through; 1: an error was told; -1: killed.
int append_stopped(const std::string& path, Stop how, int n) {
  const pid_t child = ::fork();
  if (child == 0) {
    stop = how, calls_left = n;
    int status = 3;
    try {
      job::append(path, row);
      status = 0;
    } catch (const EnvironmentError&) {
      status = 1;
    } catch (...) {
    }
    ::_exit(status);
  }
  int status = 0;
  ::waitpid(child, &status, 0);
  if (WIFSIGNALED(status)) return -1;
  CHECK(WEXITSTATUS(status) < 2);
  return WEXITSTATUS(status);
}

void try_all(Stop how) {
  const std::string after = job::with_row(before, row);
  std::string pattern = (fs::temp_directory_path() / "loomproof-job-stopped-XXXXXX").string();
  const fs::path folder = ::mkdtemp(pattern.data());
  const std::string path = (folder / "job.yaml").string();
  int old_files = 0, new_files = 0;
  for (int n = 1; n < 100; ++n) {
    INFO("stopped at step " << n);
    std::ofstream(path, std::ios::binary) << before;
    if (append_stopped(path, how, n) == 0) {
      CHECK(job::load(path) == after);
      CHECK(old_files > 2);
      CHECK(new_files > 0);  // the name was changed, the folder not yet brought to the disk
      fs::remove_all(folder);
      return;
    }
    const std::string left = job::load(path);
    INFO(left);
    CHECK((left == before || left == after));
    ++(left == before ? old_files : new_files);
    if (how == Stop::fail) CHECK_FALSE(fs::exists(path + ".new"));
    // What a killed run leaves beside the file is in nobody's way.
    job::append(path, row);
    CHECK(job::load(path) == job::with_row(left, row));
    CHECK_FALSE(fs::exists(path + ".new"));
  }
  FAIL("no run came through");
}

}  // namespace

TEST_CASE("a run that is killed at any write leaves the job whole") {
  try_all(Stop::kill);
}

TEST_CASE("a run that fails at any write leaves the job whole") {
  try_all(Stop::fail);
}
