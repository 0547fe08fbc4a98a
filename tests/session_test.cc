// loombench identify --ask in a real pseudo-terminal of 80 columns, on the compiled packs of the corpus.
#include <poll.h>
#include <pty.h>
#include <signal.h>

#include <algorithm>

#include "run_bench.h"

using namespace loomproof::testing;

namespace {

const std::string job_head = "# kept by hand\nfamily: croft\nbench: {CHASSIS-LOOM: {}}\n";

// One session: what the program wrote so far, and what is typed.
class Terminal {
 public:
  explicit Terminal(const std::string& job) {
    winsize size{24, 80, 0, 0};
    child_ = ::forkpty(&fd_, nullptr, nullptr, &size);
    if (child_ == 0) {
      ::execl(LOOMBENCH_PROGRAM, "loombench", "identify", job.c_str(), "--ask", "--packs", PACKS, nullptr);
      ::_exit(127);
    }
  }
  ~Terminal() {
    if (child_ > 0) ::kill(child_, SIGKILL), ::waitpid(child_, nullptr, 0);
    ::close(fd_);
  }
  // Waits for the text behind what was waited for last. False where the program ends without it.
  bool sees(const std::string& text) {
    for (;;) {
      const size_t at = out_.find(text, seen_);
      if (at != out_.npos) {
        seen_ = at + text.size();
        return true;
      }
      if (!read_more()) return false;
    }
  }
  void types(const std::string& text) {
    const std::string line = text + "\n";
    REQUIRE(::write(fd_, line.data(), line.size()) == static_cast<ssize_t>(line.size()));
  }
  void ends_input() { REQUIRE(::write(fd_, "\x04", 1) == 1); }
  void is_killed() {
    ::kill(child_, SIGKILL);
    ::waitpid(child_, nullptr, 0);
    child_ = -1;
  }
  int status() {
    while (read_more()) continue;
    int status = 0;
    ::waitpid(child_, &status, 0);
    child_ = -1;
    return WEXITSTATUS(status);
  }
  const std::string& out() const { return out_; }
  // What was asked last: "Reading 3: …".
  std::string asked() const {
    const size_t at = out_.rfind("Reading ");
    return out_.substr(at, out_.find('\r', at) - at);
  }

 private:
  bool read_more() {
    pollfd wait{fd_, POLLIN, 0};
    if (::poll(&wait, 1, 60'000) <= 0) return false;
    char buffer[4096];
    const ssize_t count = ::read(fd_, buffer, sizeof buffer);
    if (count <= 0) return false;  // the other end is closed
    out_.append(buffer, static_cast<size_t>(count));
    return true;
  }
  int fd_ = -1;
  pid_t child_ = -1;
  std::string out_;
  size_t seen_ = 0;
};

struct JobOnDisk {
  JobOnDisk() { std::ofstream(path) << job_head; }
  ~JobOnDisk() { std::filesystem::remove(path); }
  std::string text() const { return read_file(path); }
  std::filesystem::path path =
      std::filesystem::temp_directory_path() / ("session." + std::to_string(::getpid()) + ".yaml");
};

bool has(const std::string& text, const std::string& piece) {
  return text.find(piece) != text.npos;
}

size_t rows(const std::string& job) {
  size_t count = 0;
  for (size_t at = job.find("\n  - "); at != job.npos; at = job.find("\n  - ", at + 1)) ++count;
  return count;
}

void prove_meter(Terminal& terminal) {
  REQUIRE(terminal.sees("Does it beep?"));
  terminal.types("yes");
  REQUIRE(terminal.sees("in ohm?"));
  terminal.types("0.3");
}

// Columns of a line on the terminal: bytes that begin a character.
size_t columns(const std::string& line) {
  return static_cast<size_t>(std::count_if(
      line.begin(), line.end(), [](char c) { return (static_cast<unsigned char>(c) & 0xC0) != 0x80 && c != '\r'; }));
}

}  // namespace

TEST_CASE("a session from the meter to the verdict") {
  const JobOnDisk job;
  Terminal terminal(job.path.string());
  REQUIRE(terminal.sees("Never put a meter"));  // cautions first
  REQUIRE(terminal.sees("hold the two leads of the meter together"));
  prove_meter(terminal);
  REQUIRE(terminal.sees("Reading 1: "));
  REQUIRE(terminal.sees("cannot reach, back, stop) "));
  CHECK(has(job.text(), "  - {meter: proved, ohm: 0.3, on: 20"));
  CHECK(job.text().starts_with(job_head));

  terminal.types("perhaps");  // no answer: asked again, and nothing kept
  REQUIRE(terminal.sees("Say yes, no or cut off."));
  REQUIRE(terminal.sees("stop) "));
  CHECK(rows(job.text()) == 1);
  const std::string first = terminal.asked();
  terminal.types("no");
  REQUIRE(terminal.sees("Reading 2: "));
  REQUIRE(terminal.sees("stop) "));
  CHECK(rows(job.text()) == 2);

  terminal.types("back");  // the same question again
  REQUIRE(terminal.sees("Reading 1: "));
  REQUIRE(terminal.sees("stop) "));
  CHECK(terminal.asked() == first);
  CHECK(has(job.text(), "mistaken: true"));
  terminal.types("unsure");
  REQUIRE(terminal.sees("Reading 1: "));  // left open: another question
  REQUIRE(terminal.sees("stop) "));
  CHECK(terminal.asked() != first);
  CHECK(has(job.text(), "unsure"));
  terminal.types("cannot reach");
  REQUIRE(terminal.sees("Reading 1: "));
  CHECK(has(job.text(), "cannot-reach"));
  REQUIRE(terminal.sees(") "));
  terminal.types("stop");
  REQUIRE(terminal.sees("goes on from here"));
  prove_meter(terminal);
  REQUIRE(terminal.sees("So far, among those recorded:"));
  REQUIRE(terminal.sees("confirms none of them"));
  CHECK(terminal.status() == 1);

  const std::string& out = terminal.out();
  for (size_t from = 0; from < out.size();) {
    const size_t end = std::min(out.find('\n', from), out.size());
    const std::string line = out.substr(from, end - from);
    INFO(line);
    CHECK(columns(line) <= 80 + (has(line, "stop) ") ? 40 : 0));  // a prompt has what was typed behind it
    from = end + 1;
  }
}

TEST_CASE("killed at any question, a session goes on where it was") {
  const JobOnDisk job;
  size_t kept = 0;
  for (int round = 0; round < 3; ++round) {
    Terminal terminal(job.path.string());
    prove_meter(terminal);
    REQUIRE(terminal.sees("Reading " + std::to_string(round + 1) + ": "));
    for (;;) {  // whatever comes: cavity 1, then the reading itself
      REQUIRE(terminal.sees("("));
      REQUIRE(terminal.sees("stop) "));
      const std::string& out = terminal.out();
      const std::string prompt = out.substr(out.rfind('\n') + 1);
      const std::string answer = has(prompt, "cavity 1")  ? "yes"
                                 : has(prompt, "there?")  ? "yes"
                                 : has(prompt, "many")    ? "1"
                                 : has(prompt, "colour?") ? "RD"
                                 : has(prompt, "it say?") ? "none"
                                 : has(prompt, "wired,")  ? "empty"
                                                          : "other";
      terminal.types(answer);
      if (!has(prompt, "cavity 1")) break;
    }
    REQUIRE(terminal.sees("Reading " + std::to_string(round + 2) + ": "));
    terminal.is_killed();
    CHECK(rows(job.text()) > kept);
    kept = rows(job.text());
  }
  CHECK(run_bench("identify " + job.path.string()).status != 2);
}

TEST_CASE("a meter that fails ends the session before a reading") {
  const JobOnDisk job;
  Terminal terminal(job.path.string());
  REQUIRE(terminal.sees("Does it beep?"));
  terminal.types("no");
  REQUIRE(terminal.sees("reads like a broken wire"));
  CHECK(terminal.status() == 1);
  CHECK(has(job.text(), "{meter: failed"));
  CHECK_FALSE(has(terminal.out(), "Reading 1: "));
}

TEST_CASE("the end of input is a stop") {
  const JobOnDisk job;
  Terminal terminal(job.path.string());
  prove_meter(terminal);
  REQUIRE(terminal.sees("stop) "));
  terminal.ends_input();
  REQUIRE(terminal.sees("goes on from here"));
  terminal.ends_input();
  CHECK(terminal.status() == 1);
  CHECK(rows(job.text()) == 1);
}

TEST_CASE("without a terminal it says so") {
  const JobOnDisk job;
  const Run run = run_bench("identify " + job.path.string() + " --ask </dev/null");
  CHECK(run.status == 2);
  CHECK(run.out.empty());
  CHECK(has(run.err, "--ask needs a terminal"));
  CHECK(job.text() == job_head);
}
