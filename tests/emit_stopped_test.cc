// Writing the generated folder, stopped at every step. The system calls that change names are taken over here, so that
// the n-th of them kills the process or fails: each n is tried until a run comes through. What is held against the
// disk: every file whole, as it was or as it becomes; and a next run that puts all in order.
#include <fcntl.h>
#include <signal.h>
#include <sys/syscall.h>
#include <sys/wait.h>
#include <unistd.h>

#include <catch2/catch.hpp>
#include <cerrno>
#include <filesystem>
#include <fstream>
#include <map>
#include <sstream>

#include "emit/emit.h"
#include "source/files.h"

using namespace loomproof;
using namespace loomproof::emit;
namespace fs = std::filesystem;

namespace {

enum class Stop { never, kill, fail };
Stop stop = Stop::never;
int calls_left = 0;

// Whether this call has to fail; does not come back where it has to kill.
bool has_to_fail() {
  if (stop == Stop::never || --calls_left > 0) return false;
  if (stop == Stop::kill) ::raise(SIGKILL);
  if (calls_left < 0) return false;  // one fault, then the system works again
  errno = EIO;
  return true;
}

}  // namespace

extern "C" {
int renameat(int from_folder, const char* from, int to_folder, const char* to) noexcept {
  if (has_to_fail()) return -1;
  return static_cast<int>(::syscall(SYS_renameat2, from_folder, from, to_folder, to, 0));
}
int unlinkat(int folder, const char* name, int flags) noexcept {
  if (has_to_fail()) return -1;
  return static_cast<int>(::syscall(SYS_unlinkat, folder, name, flags));
}
int mkdirat(int folder, const char* name, mode_t mode) noexcept {
  if (has_to_fail()) return -1;
  return static_cast<int>(::syscall(SYS_mkdirat, folder, name, mode));
}
}

namespace {

using Tree = std::map<std::string, std::string>;

class TempFolder {
 public:
  TempFolder() {
    std::string pattern = (fs::temp_directory_path() / "loomproof-stopped-XXXXXX").string();
    path_ = ::mkdtemp(pattern.data());
  }
  TempFolder(const TempFolder&) = delete;
  TempFolder& operator=(const TempFolder&) = delete;
  ~TempFolder() {
    std::error_code ignored;
    fs::remove_all(path_, ignored);
  }
  std::string str() const { return path_.string(); }

 private:
  fs::path path_;
};

// Every file below a folder but the list.
Tree tree(const fs::path& folder) {
  Tree files;
  for (const auto& entry : fs::recursive_directory_iterator(folder)) {
    if (entry.is_directory() || entry.path().filename() == ".manifest") continue;
    std::stringstream text;
    text << std::ifstream(entry.path(), std::ios::binary).rdbuf();
    files[fs::relative(entry.path(), folder).string()] = text.str();
  }
  return files;
}

Plan plan(const Tree& files) {
  return {files, {}};
}

struct Plans {
  Tree before, after;
  Plans() {
    for (int i = 0; i < 6; ++i) {
      const std::string name = "/f" + std::to_string(i) + ".md";
      before["gone" + name] = "old";
      before["both" + name] = "old";
      after["both" + name] = "new, and longer";
      after["come" + name] = "new";
    }
    before["same.md"] = after["same.md"] = "same";
  }
};

enum class End { came_through, stopped };

// Writes the plan in a process of its own that is stopped at the n-th change of a name.
End write_stopped(const Tree& files, const std::string& folder, Stop how, int n) {
  const pid_t child = ::fork();
  if (child == 0) {
    stop = how;
    calls_left = n;
    int status = 1;
    try {
      write(plan(files), folder);
      status = 0;
    } catch (const EnvironmentError& error) {
      status = std::string_view(error.what()).find('\n') == std::string_view::npos ? 2 : 3;
    } catch (...) {
    }
    ::_exit(calls_left > 0 ? status : status == 0 ? 4 : status);  // 4: the fault did not matter
  }
  int status = 0;
  ::waitpid(child, &status, 0);
  if (WIFSIGNALED(status)) return End::stopped;
  INFO("status " << WEXITSTATUS(status));
  CHECK((WEXITSTATUS(status) == 0 || WEXITSTATUS(status) == 2 || WEXITSTATUS(status) == 4));
  return WEXITSTATUS(status) == 0 ? End::came_through : End::stopped;
}

// How many files are as they were, and how many as they become; any other is a fault.
std::pair<size_t, size_t> count_whole(const Plans& plans, const Tree& left) {
  size_t old_files = 0, new_files = 0;
  for (const auto& [path, bytes] : left) {
    if (path.starts_with(".new/")) continue;
    const auto was = plans.before.find(path), becomes = plans.after.find(path);
    const bool is_old = was != plans.before.end() && was->second == bytes;
    const bool is_new = becomes != plans.after.end() && becomes->second == bytes;
    INFO(path << ": " << bytes);
    CHECK((is_old || is_new));
    old_files += is_old && !is_new;
    new_files += is_new && !is_old;
  }
  return {old_files, new_files};
}

// Stops the change from one plan to the other at every step, and ends each time with a run that is let through.
void try_all(Stop how) {
  const Plans plans;
  size_t stopped = 0, mixed = 0;
  for (int n = 1; n < 1'000; ++n) {
    for (const Tree* next : {&plans.after, &plans.before}) {
      INFO("stopped at step " << n << ", then " << (next == &plans.after ? "again" : "back"));
      const TempFolder top;
      write(plan(plans.before), top.str());
      if (write_stopped(plans.after, top.str(), how, n) == End::came_through) {
        CHECK(tree(top.str()) == plans.after);
        CHECK(stopped > 2 * plans.after.size());
        CHECK(mixed > plans.after.size());
        return;
      }
      ++stopped;
      const auto [old_files, new_files] = count_whole(plans, tree(top.str()));
      mixed += old_files > 0 && new_files > 0;
      if (how == Stop::fail) CHECK_FALSE(fs::exists(fs::path(top.str()) / ".new/0"));
      write(plan(*next), top.str());
      CHECK(tree(top.str()) == *next);  // nothing left aside, nothing old left over, nothing taken for somebody else's
      CHECK(verify(plan(*next), top.str()).is_clean());
    }
  }
  FAIL("no run came through");
}

}  // namespace

TEST_CASE("a run that is killed leaves whole files, and the next one puts all in order") {
  try_all(Stop::kill);
}

TEST_CASE("a run that fails leaves whole files, and the next one puts all in order") {
  try_all(Stop::fail);
}
