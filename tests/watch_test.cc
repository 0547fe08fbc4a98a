// `check --watch` as a process of its own: files are edited, and its output is waited for. Nothing here measures time;
// the deadline only ends a run that would never end.
#include <fcntl.h>
#include <poll.h>
#include <sys/wait.h>
#include <unistd.h>

#include <catch2/catch.hpp>
#include <chrono>
#include <csignal>
#include <fstream>

#include "fixture_harness.h"
#include "upkeep_run.h"

namespace lt = loomproof::testing;
namespace fs = std::filesystem;
using lt::Folder;
using lt::run;

namespace {

constexpr std::chrono::seconds deadline{120};

class Watching {
 public:
  explicit Watching(const fs::path& folder, const std::vector<std::string>& more = {}) {
    int ends[2];
    REQUIRE(::pipe2(ends, O_CLOEXEC) == 0);
    child_ = ::fork();
    REQUIRE(child_ >= 0);
    if (child_ == 0) {
      ::dup2(ends[1], STDOUT_FILENO);
      ::dup2(ends[1], STDERR_FILENO);
      ::setenv("NO_COLOR", "1", 1);
      std::vector<const char*> arguments{LOOMPROOF_BINARY, "check", "corpus", "--watch"};
      for (const std::string& argument : more) arguments.push_back(argument.c_str());
      arguments.push_back(nullptr);
      if (::chdir(folder.c_str()) == 0) ::execv(LOOMPROOF_BINARY, const_cast<char**>(arguments.data()));
      ::_exit(127);
    }
    ::close(ends[1]);
    out_ = ends[0];
  }
  Watching(const Watching&) = delete;
  Watching& operator=(const Watching&) = delete;
  ~Watching() {
    if (child_ > 0) ::kill(child_, SIGKILL), ::waitpid(child_, nullptr, 0);
    ::close(out_);
  }

  // Reads until `text` was printed; gives all up to it, which is then taken.
  std::string until(const std::string& text) {
    const auto end = std::chrono::steady_clock::now() + deadline;
    size_t at;
    while ((at = read_.find(text)) == std::string::npos) {
      INFO("waiting for `" << text << "` after\n" << read_);
      pollfd waiting{out_, POLLIN, 0};
      REQUIRE(std::chrono::steady_clock::now() < end);
      if (::poll(&waiting, 1, 1000) <= 0) continue;
      char buffer[4096];
      const ssize_t got = ::read(out_, buffer, sizeof buffer);
      REQUIRE(got > 0);
      read_.append(buffer, static_cast<size_t>(got));
    }
    std::string taken = read_.substr(0, at + text.size());
    read_.erase(0, at + text.size());
    return taken;
  }

  void stop() {
    ::kill(child_, SIGSTOP);
    int status = 0;
    REQUIRE(::waitpid(child_, &status, WUNTRACED) == child_);
    REQUIRE(WIFSTOPPED(status));
  }
  void go_on() { ::kill(child_, SIGCONT); }

  int end(int signal = SIGINT) {
    ::kill(child_, signal);
    int status = 0;
    REQUIRE(::waitpid(child_, &status, 0) == child_);
    child_ = -1;
    return WIFEXITED(status) ? WEXITSTATUS(status) : -1;
  }

 private:
  pid_t child_ = -1;
  int out_ = -1;
  std::string read_;
};

std::string replaced(std::string text, const std::string& from, const std::string& to) {
  const size_t at = text.find(from);
  REQUIRE(at != std::string::npos);
  return text.replace(at, from.size(), to);
}

void write(const fs::path& path, const std::string& text) {
  std::ofstream(path, std::ios::binary) << text;
}

// As editors do it that never leave half a file under its name.
void write_by_rename(const fs::path& path, const std::string& text) {
  const fs::path aside = path.parent_path() / ".main.yaml.swp";
  write(aside, text);
  fs::rename(aside, path);
}

struct Heron {
  Heron() {
    REQUIRE(run("start heron corpus", folder.path).status == 0);
    family = folder.path / "corpus/families/heron";
    loom = family / "looms/main.yaml";
    good = lt::contents(loom);
    bad = replaced(good, "colour: RD,", "color: RD,");
  }
  Folder folder;
  fs::path family, loom;
  std::string good, bad;
};

}  // namespace

TEST_CASE("watch: a fault is told when it is saved, and its mending; Ctrl-C ends") {
  const Heron heron;
  Watching watching(heron.folder.path);
  CHECK(watching.until("Ctrl-C ends\n") == "no findings\nwatching corpus; Ctrl-C ends\n");
  write(heron.loom, heron.bad);
  CHECK(watching.until("further until its text, shape and names are in order\n") ==
        "\n"
        "corpus/families/heron/looms/main.yaml changed\n"
        "\n"
        "new:\n"
        "corpus/families/heron/looms/main.yaml:13:43: error[unknown-key]: `color` is no key of a wire\n"
        "    13    - {circuit: BAT,  from: C1.1, to: C2.1, color: RD,    mm2: 2.5}\n"
        "                                                  ~~~~~\n"
        "  help: `colour`: an IEC 60757 code, with the tracer after a stroke: GN, or WH/BK for white/black; "
        "vocabulary/colours.yaml has all\n"
        "  edit: write `colour`\n"
        "\n"
        "1 new, 0 mended, 0 as before\n"
        "1 error in 1 file\n"
        "family heron is not judged further until its text, shape and names are in order\n");
  write(heron.loom, heron.good);
  CHECK(watching.until("no findings\n") ==
        "\n"
        "corpus/families/heron/looms/main.yaml changed\n"
        "\n"
        "mended:\n"
        "  corpus/families/heron/looms/main.yaml:13:43: error[unknown-key]: `color` is no key of a wire\n"
        "\n"
        "0 new, 1 mended, 0 as before\n"
        "no findings\n");
  CHECK(watching.end() == 0);
}

TEST_CASE("watch: by rename, in a new folder, gone and back") {
  const Heron heron;
  Watching watching(heron.folder.path);
  watching.until("Ctrl-C ends\n");
  write_by_rename(heron.loom, heron.bad);
  CHECK(watching.until("1 new, 0 mended, 0 as before\n").find("error[unknown-key]") != std::string::npos);
  write_by_rename(heron.loom, heron.good);
  watching.until("0 new, 1 mended, 0 as before\nno findings\n");

  // A folder that was not there when the watching began, and one within it.
  fs::create_directories(heron.family.parent_path() / "wren/looms");
  write(heron.family.parent_path() / "wren/looms/main.yaml", heron.good);
  CHECK(watching.until(" as before\n").find("families/wren/looms/main.yaml is new") != std::string::npos);
  fs::remove_all(heron.family.parent_path() / "wren");
  CHECK(watching.until("no findings\n").find("families/wren/looms/main.yaml is gone") != std::string::npos);

  // A folder moved in whole, then edited where it stands now.
  fs::create_directories(heron.folder.path / "aside/looms");
  write(heron.folder.path / "aside/looms/main.yaml", heron.good);
  fs::rename(heron.folder.path / "aside", heron.family.parent_path() / "wren");
  watching.until("families/wren/looms/main.yaml is new\n");
  write(heron.family.parent_path() / "wren/looms/main.yaml", heron.bad);
  watching.until("families/wren/looms/main.yaml changed\n");
  fs::remove_all(heron.family.parent_path() / "wren");
  watching.until("no findings\n");

  // The corpus itself is moved away and back.
  fs::rename(heron.folder.path / "corpus", heron.folder.path / "elsewhere");
  watching.until("`corpus` is no folder that can be read; name the folder of your corpus (CORPUS in --help)\n");
  fs::rename(heron.folder.path / "elsewhere", heron.folder.path / "corpus");
  watching.until("no findings\n");
  write(heron.loom, heron.bad);
  watching.until("1 new, 0 mended, 0 as before\n");
  CHECK(watching.end(SIGTERM) == 1);
}

// The system keeps so many events and no more; what comes then is lost, and it says so.
TEST_CASE("watch: lost events are made up for") {
  const Heron heron;
  Watching watching(heron.folder.path);
  watching.until("Ctrl-C ends\n");
  watching.stop();
  size_t most = 0;
  std::ifstream("/proc/sys/fs/inotify/max_queued_events") >> most;
  REQUIRE(most > 0);
  const fs::path filler = heron.family / ".filler";  // three events each, of no interest
  for (size_t i = 0; i < most / 3 + 100; ++i) {
    write(filler, "x");
    fs::remove(filler);
  }
  write(heron.loom, heron.bad);
  watching.go_on();
  watching.until("1 new, 0 mended, 0 as before\n");
  CHECK(watching.end() == 1);
}

// A family whose text is at fault is not judged, so that its findings are gone without having been mended.
TEST_CASE("watch: what is not judged for a while is not called mended, nor new when it is back") {
  const Heron heron;
  const std::string faulty =
      replaced(replaced(heron.good, "to: C3.1", "to: C3.2"), "colour: RD,    mm2: 2.5", "colour: RD,    mm2: 25");
  write(heron.loom, faulty);
  Watching watching(heron.folder.path);
  CHECK(watching.until("Ctrl-C ends\n").find("2 errors in 1 file\n") != std::string::npos);
  write(heron.loom, replaced(faulty, "colour: RD,", "color: RD,"));
  const std::string behind = watching.until("1 new, 0 mended, 0 as before, 2 not seen\n");
  CHECK(behind.find("not seen behind what comes first:\n") != std::string::npos);
  CHECK(behind.find("error[cavity-used-twice]") != std::string::npos);
  write(heron.loom, replaced(faulty, "colour: RD,", "colour: RD/XX,"));
  watching.until("1 new, 1 mended, 0 as before, 2 not seen\n");
  write(heron.loom, faulty);
  watching.until("0 new, 1 mended, 2 as before\n2 errors in 1 file\n");
  write(heron.loom, replaced(faulty, "colour: RD,", "colour: RD/XX,"));
  watching.until("1 new, 0 mended, 0 as before, 2 not seen\n");
  write(heron.loom, heron.good);
  watching.until("0 new, 3 mended, 0 as before\nno findings\n");
  CHECK(watching.end() == 0);
}

TEST_CASE("watch: a burst of saves ends with the last of them") {
  const Heron heron;
  Watching watching(heron.folder.path);
  watching.until("Ctrl-C ends\n");
  for (int i = 0; i < 2000; ++i) write(heron.loom, i % 2 == 0 ? heron.bad : heron.good);
  write(heron.loom, replaced(heron.good, "colour: RD,", "colour: XX,"));
  watching.until("`XX`");
  write(heron.loom, heron.good);
  watching.until("no findings\n");
  CHECK(watching.end() == 0);
}

TEST_CASE("watch: dot files and files that stay as they are wake nobody") {
  const Heron heron;
  Watching watching(heron.folder.path);
  watching.until("Ctrl-C ends\n");
  write(heron.family / ".looms.swp", "x");
  write(heron.loom, heron.good);  // no byte differs
  write(heron.loom, heron.bad);
  CHECK(watching.until("1 new, 0 mended, 0 as before\n")
            .starts_with("\ncorpus/families/heron/looms/main.yaml changed\n"));
}

TEST_CASE("watch: with a cache, and what it cannot go with") {
  const Heron heron;
  Watching watching(heron.folder.path, {"--cache", "kept"});
  watching.until("no findings\nwatching corpus; Ctrl-C ends\n");
  write(heron.loom, heron.bad);
  watching.until("1 new, 0 mended, 0 as before\n");
  write(heron.loom, heron.good);
  watching.until("0 new, 1 mended, 0 as before\nno findings\n");
  CHECK(watching.end() == 0);
  for (const char* const other : {"--fix", "--format json", "--stats", "--until trees", "--show files"})
    CHECK(run(std::string("check corpus --watch ") + other, heron.folder.path).status == 2);
  CHECK(run("check nowhere --watch", heron.folder.path).status == 2);
}
