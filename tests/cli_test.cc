// The program as people run it: exit status, help, colour, progress, formats. The binary is that of this build.
#include <fcntl.h>
#include <pty.h>
#include <sys/wait.h>
#include <unistd.h>

#include <catch2/catch.hpp>
#include <cstdlib>
#include <fstream>
#include <functional>
#include <nlohmann/json.hpp>
#include <set>
#include <sstream>

#include "fixture_harness.h"

using nlohmann::json;
namespace lt = loomproof::testing;
namespace fs = std::filesystem;

namespace {

struct Ran {
  int status = -1;
  std::string out, err;
};

// Where a stream of the program leads: into a file, or to a terminal of its own.
enum class To { file, terminal };

struct Call {
  std::vector<std::string> arguments;
  std::map<std::string, std::string> environment;  // beside the usual one, without NO_COLOR and COLUMNS
  To out = To::file, err = To::file;
  fs::path folder = LOOMPROOF_SOURCE_DIR;
};

class Stream {
 public:
  explicit Stream(To to) {
    if (to == To::terminal) {
      winsize size{24, 100, 0, 0};
      REQUIRE(::openpty(&ours_, &theirs_, nullptr, nullptr, &size) == 0);
    } else {
      int ends[2];
      REQUIRE(::pipe(ends) == 0);
      ours_ = ends[0], theirs_ = ends[1];
    }
    ::fcntl(ours_, F_SETFD, FD_CLOEXEC);
  }
  ~Stream() { ::close(ours_); }
  int theirs() const { return theirs_; }
  int ours() const { return ours_; }

 private:
  int ours_ = -1, theirs_ = -1;
};

void become(const Call& call, int out, int err) {
  ::dup2(out, STDOUT_FILENO);
  ::dup2(err, STDERR_FILENO);
  ::unsetenv("NO_COLOR");
  ::unsetenv("COLUMNS");
  for (const auto& [name, value] : call.environment) ::setenv(name.c_str(), value.c_str(), 1);
  std::vector<char*> arguments{const_cast<char*>(LOOMPROOF_BINARY)};
  for (const std::string& argument : call.arguments) arguments.push_back(const_cast<char*>(argument.c_str()));
  arguments.push_back(nullptr);
  if (::chdir(call.folder.c_str()) == 0) ::execv(LOOMPROOF_BINARY, arguments.data());
  ::_exit(127);
}

// Both streams are read in turn, so that neither fills up; a terminal's end reads as an error.
void drain(const Stream& out, const Stream& err, Ran& ran) {
  struct Source {
    int descriptor;
    std::string* text;
  };
  std::vector<Source> open{{out.ours(), &ran.out}, {err.ours(), &ran.err}};
  while (!open.empty()) {
    fd_set ready;
    FD_ZERO(&ready);
    int most = 0;
    for (const Source& source : open) FD_SET(source.descriptor, &ready), most = std::max(most, source.descriptor);
    REQUIRE(::select(most + 1, &ready, nullptr, nullptr, nullptr) > 0);
    for (size_t i = open.size(); i-- > 0;) {
      if (!FD_ISSET(open[i].descriptor, &ready)) continue;
      char buffer[4096];
      const ssize_t got = ::read(open[i].descriptor, buffer, sizeof buffer);
      if (got > 0)
        open[i].text->append(buffer, static_cast<size_t>(got));
      else
        open.erase(open.begin() + static_cast<std::ptrdiff_t>(i));
    }
  }
}

Ran run(const Call& call) {
  const Stream out(call.out), err(call.err);
  const pid_t child = ::fork();
  REQUIRE(child >= 0);
  if (child == 0) become(call, out.theirs(), err.theirs());
  ::close(out.theirs());
  ::close(err.theirs());
  Ran ran;
  drain(out, err, ran);
  int status = 0;
  REQUIRE(::waitpid(child, &status, 0) == child);
  if (WIFEXITED(status)) ran.status = WEXITSTATUS(status);
  return ran;
}

Ran run(std::vector<std::string> arguments) {
  return run(Call{std::move(arguments), {}});
}

size_t lines(const std::string& text) {
  return static_cast<size_t>(std::count(text.begin(), text.end(), '\n'));
}

const std::string base = "tests/fixtures/base";

// A corpus on disk: the base with one fault laid over it.
class Corpus {
 public:
  explicit Corpus(const fs::path& fixture) : Corpus(lt::load_fixture(fixture).files) {}
  explicit Corpus(const lt::FixtureFiles& files) {
    std::string made = (fs::temp_directory_path() / "loomproof-XXXXXX").string();
    path = ::mkdtemp(made.data());
    for (const auto& [name, bytes] : files.files) {
      fs::create_directories((path / name).parent_path());
      std::ofstream(path / name, std::ios::binary) << bytes;
    }
  }
  Corpus(const Corpus&) = delete;
  Corpus& operator=(const Corpus&) = delete;
  ~Corpus() {
    std::error_code error;
    fs::remove_all(path, error);
  }
  fs::path path;
};

fs::path fault(const std::string& rule) {
  return lt::fixtures_root() / "rules" / rule / "fires";
}

// The commands that `--help` lists.
std::vector<std::string> commands() {
  std::istringstream help(run({"--help"}).out);
  std::vector<std::string> names;
  bool listed = false;
  for (std::string line; std::getline(help, line);) {
    if (line.starts_with("Subcommands:"))
      listed = true;
    else if (listed && line.starts_with("  ") && line[2] != ' ')
      names.push_back(line.substr(2, line.find(' ', 2) - 2));
    else if (listed && line.empty())
      break;
  }
  return names;
}

}  // namespace

TEST_CASE("exit status 0: clean") {
  const Ran ran = run({"check", base});
  CHECK(ran.status == 0);
  CHECK(ran.out == "no findings\n");
  CHECK(ran.err.empty());
  CHECK(run({"rules"}).status == 0);
  CHECK(run({"explain", "dead-end"}).status == 0);
  CHECK(run({"--version"}).status == 0);
}

TEST_CASE("exit status 1: findings, whatever their severity and form") {
  for (const std::string rule : {"dead-end", "unused", "looks-alike"}) {
    const Corpus corpus(fault(rule));
    for (const std::string format : {"text", "json", "sarif"}) {
      const Ran ran = run({"check", corpus.path.string(), "--format", format});
      CHECK(ran.status == 1);
      CHECK_THAT(ran.out, Catch::Contains(rule));
      CHECK(ran.err.empty());
    }
  }
}

TEST_CASE("exit status 2: usage and environment, in one line on stderr") {
  const std::vector<std::vector<std::string>> calls = {
      {},
      {"chek"},
      {"check", "--formt", "json"},
      {"check", base, "--format", "xml"},
      {"check", base, base},
      {"check", base, "--threads", "many"},
      {"explain", "dead-end", "wire"},
      {"explain", "dead-ends"},
      {"check", "nowhere"},
      {"check", "README.md"},
      {"check", base, "--family", "quil"},
  };
  for (const std::vector<std::string>& arguments : calls) {
    const Ran ran = run(arguments);
    INFO(ran.err);
    CHECK(ran.status == 2);
    CHECK(ran.out.empty());
    CHECK(lines(ran.err) >= 1);
  }
  for (const std::vector<std::string>& arguments :
       std::vector<std::vector<std::string>>(calls.begin() + 7, calls.end())) {
    const Ran ran = run(arguments);
    CHECK(lines(ran.err) == 1);
    CHECK_THAT(ran.err, Catch::StartsWith("loomproof: "));
  }
  for (const std::string command : {"check", "tidy"})
    CHECK(run({command, "nowhere"}).err ==
          "loomproof: `nowhere` is no folder that can be read; name the folder of your corpus (CORPUS in --help)\n");
  CHECK_THAT(run({"explain", "dead-ends"}).err, Catch::Contains("did you mean `dead-end`?"));
  CHECK_THAT(run({"explain", "wyre"}).err, Catch::Contains("did you mean `wire`?"));
  CHECK(run({"explain", "\x1B[31mred"}).err ==
        "loomproof: no rule, file or key is called `\\x1B[31mred`; `loomproof explain` says what there is\n");
  CHECK_THAT(run({"explain", "zzzzzz"}).err, Catch::Contains("`loomproof explain` says what there is"));
  CHECK(run({"explain", "a\nb\x1b[31m"}).err ==
        "loomproof: no rule, file or key is called `a\\nb\\x1B[31m`; `loomproof explain` says what there is\n");
  CHECK_THAT(run({"check", base, "--family", "quil"}).err, Catch::Contains("did you mean `quill`?"));
}

TEST_CASE("exit status 2: what is printed cannot be written, be it short or long") {
  if (!fs::exists("/dev/full")) return;
  for (const std::string arguments : {"explain dead-end", "rules", "rules --format json"}) {
    const int ended = std::system(("'" LOOMPROOF_BINARY "' " + arguments + " >/dev/full 2>/dev/null").c_str());
    INFO(arguments);
    REQUIRE(WIFEXITED(ended));
    CHECK(WEXITSTATUS(ended) == 2);
  }
}

TEST_CASE("explain lists the keys of files and entries") {
  const fs::path goldens = lt::fixtures_root() / "explain";
  for (const std::string name :
       {"", "loom", "wire", "connector", "cavities", "changes", "added", "role", "readings", "colour"}) {
    const Ran ran = run(name.empty() ? std::vector<std::string>{"explain"} : std::vector<std::string>{"explain", name});
    INFO(name);
    CHECK(ran.status == 0);
    CHECK(ran.err.empty());
    CHECK(lt::differs_from_expected(goldens / ((name.empty() ? "all" : name) + ".txt"), ran.out) == "");
  }
}

// Every key of a schema is told somewhere, and what is listed can be asked for.
TEST_CASE("explain leaves no key out, and no rule hides one") {
  std::set<std::string> keys;
  const std::function<void(const json&)> gather = [&](const json& schema) {
    if (schema.is_object() && schema.contains("properties") && schema["properties"].is_object())
      for (const auto& [name, value] : schema["properties"].items()) keys.insert(name);
    if (schema.is_structured())
      for (const json& inner : schema) gather(inner);
  };
  for (const auto& file : fs::directory_iterator(fs::path(LOOMPROOF_SOURCE_DIR) / "schema"))
    if (file.path().extension() == ".json") gather(json::parse(lt::contents(file.path())));
  CHECK(keys.size() > 100);
  for (const std::string& key : keys) {
    const Ran ran = run({"explain", key});
    INFO(key << ran.err);
    CHECK(ran.status == 0);
    CHECK(ran.out.find("The mend:") == ran.out.npos);
    const bool is_told = ran.out.find("`" + key + "` of ") != ran.out.npos;
    const bool leads_to_entry = ran.out.find("`" + key + "`\n") != ran.out.npos;  // in a file, under it
    CHECK((is_told || leads_to_entry));
  }
}

TEST_CASE("every command helps with an example") {
  const std::vector<std::string> names = commands();
  CHECK(std::set<std::string>(names.begin(), names.end()).count("check") == 1);
  CHECK(names.size() >= 3);
  CHECK_THAT(run({"--help"}).out, Catch::Contains("Example"));
  for (const std::string& name : names) {
    INFO(name);
    const Ran ran = run({name, "--help"});
    CHECK(ran.status == 0);
    CHECK_THAT(ran.out, Catch::Contains("Example"));
    CHECK_THAT(ran.out, Catch::Contains("loomproof " + name));
    CHECK(ran.err.empty());
  }
}

TEST_CASE("colour on a terminal alone, and not where NO_COLOR is set") {
  const Corpus corpus(fault("dead-end"));
  const std::vector<std::string> check = {"check", corpus.path.string()};
  CHECK(run(Call{check, {}, To::terminal}).out.find('\x1b') != std::string::npos);
  CHECK(run(Call{check, {{"NO_COLOR", ""}}, To::terminal}).out.find('\x1b') != std::string::npos);  // set, and empty
  CHECK(run(Call{check, {{"NO_COLOR", "1"}}, To::terminal}).out.find('\x1b') == std::string::npos);
  CHECK(run(Call{check, {}}).out.find('\x1b') == std::string::npos);
  for (const std::string format : {"json", "sarif"})
    CHECK(run(Call{{"check", corpus.path.string(), "--format", format}, {}, To::terminal}).out.find('\x1b') ==
          std::string::npos);
}

TEST_CASE("what a terminal gets is what a file gets, but for colour") {
  const Corpus corpus(fault("dead-end"));
  std::string shown = run(Call{{"check", corpus.path.string()}, {{"NO_COLOR", "1"}}, To::terminal}).out;
  shown.erase(std::remove(shown.begin(), shown.end(), '\r'), shown.end());  // a terminal's line ends
  CHECK(shown == run(Call{{"check", corpus.path.string()}, {{"COLUMNS", "100"}}}).out);
}

TEST_CASE("progress goes to a terminal on stderr alone, and is wiped out") {
  Ran shown;
  // Progress comes after a moment only, and how much work lasts that long depends on the machine: twice as many
  // families until it is seen.
  for (int families = 50; shown.err.empty() && families <= 3200; families *= 2) {
    lt::FixtureFiles large = lt::base_corpus();
    for (const auto& [path, text] : lt::base_corpus().files)
      for (int i = 0; i < families; ++i)
        if (const std::string_view first = "./families/quill/"; path.starts_with(first)) {
          const std::string id = "quill-" + std::to_string(i);
          std::string copy = text;
          if (const size_t at = copy.find("family: quill"); at != copy.npos) copy.replace(at, 13, "family: " + id);
          large.files["./families/" + id + "/" + path.substr(first.size())] = copy;
        }
    const Corpus corpus(large);
    shown = run(Call{{"check", corpus.path.string(), "--threads", "1"}, {}, To::file, To::terminal});
    CHECK(shown.status == 0);
    CHECK(shown.out == "no findings\n");
    const Ran silent = run({"check", corpus.path.string(), "--threads", "1"});
    CHECK(silent.out == "no findings\n");
    CHECK(silent.err.empty());
  }
  CHECK_THAT(shown.err, Catch::Contains("\r\x1b[K"));
  CHECK_THAT(shown.err, Catch::Contains(" of "));
  CHECK(shown.err.ends_with("\r\x1b[K"));
}

TEST_CASE("JSON and SARIF hold what the text says") {
  const Corpus corpus(fault("undeclared-difference"));
  const json findings = json::parse(run({"check", corpus.path.string(), "--format", "json"}).out);
  REQUIRE(findings["findings"].size() == 1);
  CHECK(findings["findings"][0]["rule"] == "undeclared-difference");
  CHECK(findings["summary"]["errors"] == 1);
  const json sarif = json::parse(run({"check", corpus.path.string(), "--format", "sarif"}).out);
  CHECK(sarif["version"] == "2.1.0");
  REQUIRE(sarif["runs"][0]["results"].size() == 1);
  CHECK(sarif["runs"][0]["results"][0]["ruleId"] == "undeclared-difference");
  const json clean = json::parse(run({"check", base, "--format", "json"}).out);
  CHECK(clean["findings"].empty());
  CHECK(json::parse(run({"rules", "--format", "json"}).out).size() == loomproof::all_rules().size());
}

TEST_CASE("one run is like the other") {
  const Corpus corpus(fault("plug-circuits-differ"));
  for (const std::string format : {"text", "json", "sarif"}) {
    const std::vector<std::string> check = {"check", corpus.path.string(), "--format", format};
    CHECK(run(check).out == run(check).out);
  }
  CHECK(run({"check", "reference", "--threads", "1", "--stats"}).out ==
        run({"check", "reference", "--threads", "8", "--stats"}).out);
}

TEST_CASE("phases can be shown, and the run stopped after one") {
  const Corpus corpus(fault("dead-end"));  // a fault of the last phase
  for (const std::string phase : {"files", "trees", "names", "tables"})
    CHECK(run({"check", corpus.path.string(), "--until", phase}).status == 0);
  CHECK(run({"check", corpus.path.string(), "--until", "rules"}).status == 1);
  for (const std::string phase : {"files", "trees", "names", "tables", "nets"})
    CHECK_FALSE(run({"check", base, "--show", phase}).out.empty());
  const Ran timed = run({"check", base, "--timings"});
  CHECK(timed.out == "no findings\n");
  CHECK_THAT(timed.err, Catch::Contains("rules") && Catch::Contains(" ms\n"));
}

TEST_CASE("nothing unseen from a corpus reaches the terminal") {
  const Corpus corpus(lt::fixtures_root() / "rules" / "control-character" / "fires-2");
  const std::string out = run(Call{{"check", corpus.path.string()}, {{"NO_COLOR", "1"}}, To::terminal}).out;
  CHECK(std::none_of(out.begin(), out.end(), [](char c) { return c >= 0 && c < ' ' && c != '\r' && c != '\n'; }));
}

TEST_CASE("source lines are cut to the width, around what is wrong") {
  for (const int width : {60, 80, 120})
    for (const auto& rule : fs::directory_iterator(lt::fixtures_root() / "rules"))
      for (const fs::path& fires : lt::cases(rule.path(), "fires")) {
        std::istringstream text(lt::rendered(*lt::compile_fixture(lt::load_fixture(fires)), width));
        for (std::string line; std::getline(text, line);) {
          const bool is_excerpt = line.starts_with("  ") && line.find_first_of("0123456789") < 6;
          if (!is_excerpt) continue;
          const auto columns = std::count_if(line.begin(), line.end(), [](char c) { return (c & 0xC0) != 0x80; });
          INFO(fires << ": " << line);
          CHECK(columns <= width);
        }
      }
}

// ISO 1724:2003 prints 58L for contact 7 of type 12N; the numbers of the croft's body are invented.
TEST_CASE("trace finds a cavity as it is moulded and as a manual has it") {
  const auto moulded = run({"trace", "trailer-12v", "TRAILER", "C1.58L", "reference", "--with", "coupling=12N"});
  CHECK(moulded.status == 0);
  CHECK(moulded.out.find("cavity 7 is moulded 58L") != std::string::npos);
  CHECK(moulded.out.find("POS-L to L-POS-L") != std::string::npos);
  const auto by_book = run({"trace", "croft", "HEAT-UNIT", "X1.a8", "reference"});
  CHECK(by_book.status == 0);
  CHECK(by_book.out.find("cavity 8 is a8 in croft-body-book") != std::string::npos);
  CHECK(run({"trace", "croft", "HEAT-UNIT", "X1.a13", "reference"}).status == 2);
}

TEST_CASE("trace tells a lead, an earth point and a splice as it tells a cavity") {
  const auto lead = run({"trace", "trailer-12v", "TRAILER", "L-POS-L", "reference", "--with", "coupling=12N"});
  CHECK(lead.status == 0);
  CHECK_THAT(lead.out,
             Catch::StartsWith("L-POS-L of trailer-12n in TRAILER: coupling 12N\n  lead      POS-L, takes-high\n"));
  CHECK_THAT(lead.out, Catch::Contains("  wire      POS-L to C1.7, BK, 1.5 mm²\n") &&
                           Catch::Contains("  leads to  C1.7\n") && Catch::Contains("iso-1724-2003"));
  const auto earth = run({"trace", "croft", "chassis", "E1", "reference", "--era", "a"});
  CHECK_THAT(earth.out, Catch::Contains("  earth     GND-CHS, to the chassis\n"));
  CHECK_THAT(run({"trace", "quill", "main", "S1", base}).out, Catch::Contains("  leads to  "));
  CHECK(run({"trace", "quill", "main", "S9", base}).err ==
        "loomproof: no cavity (as C1.12), splice, earth point or lead of `main` is named `S9`; did you mean `S1`?\n");
}
