// Bad input: every fault ends in a finding with its place or in one line about the environment; never in a crash, a
// hang or silence. (A schema with a keyword that is not supported: schema_test.)
#include <sys/stat.h>
#include <sys/wait.h>
#include <unistd.h>

#include <catch2/catch.hpp>
#include <chrono>
#include <fstream>
#include <random>

#include "diag/render.h"
#include "fixture_harness.h"

using namespace loomproof;
namespace lt = loomproof::testing;
namespace fs = std::filesystem;

namespace {

// The base corpus as files of a folder that goes away again.
class Folder {
 public:
  explicit Folder(const std::string& name = "corpus") {
    std::string made = (fs::temp_directory_path() / "loomproof-XXXXXX").string();
    top_ = ::mkdtemp(made.data());
    fs::permissions(top_, fs::perms::owner_all | fs::perms::others_read | fs::perms::others_exec);
    corpus = top_ / name;
    fs::copy(lt::fixtures_root() / "base", corpus, fs::copy_options::recursive);
  }
  Folder(const Folder&) = delete;
  Folder& operator=(const Folder&) = delete;
  ~Folder() {
    std::error_code error;
    fs::remove_all(top_, error);
  }
  void write(const std::string& name, std::string_view bytes) const {
    fs::create_directories((corpus / name).parent_path());
    std::ofstream(corpus / name, std::ios::binary) << bytes;
  }
  std::string read(const std::string& name) const { return lt::contents(corpus / name); }
  fs::path corpus;

 private:
  fs::path top_;
};

const std::string dash = "families/quill/looms/dash.yaml";

std::string findings_in(const fs::path& corpus) {
  const std::unique_ptr<Compiled> compiled = loomproof::compile(RealFiles(), corpus.string(), {.threads = 1});
  std::string words;
  for (const Finding& finding : compiled->report.findings()) {
    REQUIRE(finding.span.known());
    const SourceFile& file = compiled->sources.file(finding.span.file);
    const LineColumn at = file.at(finding.span.begin);
    words += fs::path(file.path()).lexically_relative(corpus).string() + ":" + std::to_string(at.line) + ":" +
             std::to_string(at.column) + " " + std::string(rule_info(finding.rule).id) + ": " + finding.message + "\n";
  }
  return words;
}

std::string environment_error(const fs::path& corpus) {
  try {
    loomproof::compile(RealFiles(), corpus.string(), {.threads = 1});
  } catch (const EnvironmentError& error) {
    return error.what();
  }
  return "no fault of the environment";
}

std::string crlf(const std::string& text) {
  std::string out;
  for (char c : text) out += c == '\n' ? std::string("\r\n") : std::string(1, c);
  return out;
}

// As somebody who may read only what everybody may. Tests often run as root, who may read everything.
std::string findings_without_rights(const fs::path& corpus) {
  int pipe_ends[2];
  REQUIRE(::pipe(pipe_ends) == 0);
  const pid_t child = ::fork();
  if (child == 0) {
    constexpr uid_t nobody = 65534;
    if (::getuid() == 0 && (::setgid(nobody) != 0 || ::setuid(nobody) != 0)) ::_exit(3);
    const std::string words = findings_in(corpus);
    const bool written = ::write(pipe_ends[1], words.data(), words.size()) == static_cast<ssize_t>(words.size());
    ::_exit(written ? 0 : 4);
  }
  ::close(pipe_ends[1]);
  std::string words(1 << 16, '\0');
  size_t used = 0;
  for (ssize_t got; (got = ::read(pipe_ends[0], words.data() + used, words.size() - used)) > 0;)
    used += static_cast<size_t>(got);
  ::close(pipe_ends[0]);
  words.resize(used);
  int status = 0;
  REQUIRE(::waitpid(child, &status, 0) == child);
  CHECK(WIFEXITED(status));
  CHECK(WEXITSTATUS(status) == 0);
  return words;
}

}  // namespace

TEST_CASE("an empty file") {
  const Folder folder;
  folder.write("families/quill/looms/roof.yaml", "");
  CHECK(findings_in(folder.corpus) == "families/quill/looms/roof.yaml:1:1 empty-file: nothing in this file\n");
}

TEST_CASE("a folder in place of a file") {
  const Folder folder;
  fs::remove(folder.corpus / dash);
  fs::create_directory(folder.corpus / dash);
  CHECK(findings_in(folder.corpus) == dash + ":1:1 unreadable-file: cannot be read: it is a folder\n");
}

TEST_CASE("a link that leads nowhere, in a circle, or to a folder") {
  const Folder folder;
  fs::remove(folder.corpus / dash);
  SECTION("nowhere") {
    fs::create_symlink("dash-before.yaml", folder.corpus / dash);
    CHECK(findings_in(folder.corpus) ==
          dash + ":1:1 unreadable-file: cannot be read: it is a link that leads nowhere\n");
  }
  SECTION("circle") {
    fs::create_symlink("dash.yaml", folder.corpus / dash);
    CHECK(findings_in(folder.corpus) ==
          dash + ":1:1 unreadable-file: cannot be read: it is a link that leads nowhere\n");
  }
  SECTION("folder") {
    fs::rename(folder.corpus / "families/quill/components", folder.corpus / "elsewhere");
    fs::create_directory_symlink("../../elsewhere", folder.corpus / "families/quill/components");
    const std::string words = findings_in(folder.corpus);
    CHECK_THAT(words,
               Catch::Contains("families/quill/components:1:1 unreadable-file: cannot be read: it is a link to a "
                               "folder, and these are not followed\n"));
    CHECK_THAT(words, Catch::Contains("elsewhere/battery.yaml:1:1 stray-file"));
    CHECK_THAT(words, !Catch::Contains("unknown-name"));
  }
}

TEST_CASE("a pipe that nobody writes to") {
  const Folder folder;
  REQUIRE(::mkfifo((folder.corpus / "families/quill/looms/pipe.yaml").c_str(), 0644) == 0);
  CHECK(findings_in(folder.corpus) ==
        "families/quill/looms/pipe.yaml:1:1 unreadable-file: cannot be read: it is no regular file\n");
}

TEST_CASE("a file that one may not read") {
  const Folder folder;
  fs::permissions(folder.corpus / dash, fs::perms::none);
  CHECK(findings_without_rights(folder.corpus) ==
        dash + ":1:1 unreadable-file: cannot be read: no permission to read it\n");
}

TEST_CASE("a folder that one may not list") {
  const Folder folder;
  fs::permissions(folder.corpus / "families/quill/looms", fs::perms::none);
  CHECK(findings_without_rights(folder.corpus) ==
        "families/quill/looms:1:1 unreadable-file: cannot be read: no permission to list this folder\n");
}

TEST_CASE("a file of 200 MB") {
  const Folder folder;
  folder.write("families/quill/looms/big.yaml", "");
  fs::resize_file(folder.corpus / "families/quill/looms/big.yaml", 200u << 20);
  CHECK(findings_in(folder.corpus) ==
        "families/quill/looms/big.yaml:1:1 too-large: this file of 209715200 bytes is larger "
        "than the limit of 16777216 bytes\n");
}

TEST_CASE("100,000 open brackets") {
  const Folder folder;
  for (const char bracket : {'[', '{'}) {
    folder.write("families/quill/looms/deep.yaml", "wires: " + std::string(100'000, bracket));
    CHECK_THAT(findings_in(folder.corpus), Catch::Contains("deep.yaml:1:39 too-deep: nested deeper than 32 levels\n"));
  }
  std::string lists = "wires:\n";
  for (int i = 0; i < 5000; ++i) lists += std::string(static_cast<size_t>(i), ' ') + "-\n";
  folder.write("families/quill/looms/deep.yaml", lists);
  CHECK_THAT(findings_in(folder.corpus), Catch::Contains("too-deep"));
}

TEST_CASE("folders that are no corpus") {
  const Folder folder;
  const fs::path nowhere = folder.corpus / "nowhere", empty = folder.corpus / "empty",
                 file = folder.corpus / "sources.yaml";
  fs::create_directory(empty);
  CHECK(environment_error(nowhere) == "`" + nowhere.string() + "` is no folder that can be read");
  CHECK(environment_error(file) == "`" + file.string() + "` is no folder that can be read");
  CHECK(environment_error(empty) == "`" + empty.string() + "` is no corpus: there is no corpus.yaml in it");
}

TEST_CASE("a path with spaces and letters of every kind") {
  const Folder folder("corpus für den Schlepper 拖拉机 \\ 'x' \"y\"");
  CHECK(findings_in(folder.corpus).empty());
  folder.write(dash, folder.read(dash) + "color: blue\n");
  CHECK_THAT(findings_in(folder.corpus),
             Catch::Contains("dash.yaml:19:1 unknown-key: `color` is no key of a loom file"));
}

TEST_CASE("line ends of another system, and a byte order mark") {
  const Folder folder;
  for (const fs::directory_entry& entry : fs::recursive_directory_iterator(folder.corpus))
    if (entry.is_regular_file()) {
      const std::string name = entry.path().lexically_relative(folder.corpus).string();
      folder.write(name, "\xEF\xBB\xBF" + crlf(folder.read(name)));
    }
  CHECK(findings_in(folder.corpus).empty());
  folder.write(dash, folder.read(dash) + "color: blue\r\n");
  CHECK_THAT(findings_in(folder.corpus), Catch::Contains("dash.yaml:19:1 unknown-key"));
}

TEST_CASE("a family without its own file, or without circuits") {
  for (const std::string name : {"family.yaml", "circuits.yaml"}) {
    const Folder folder;
    fs::remove(folder.corpus / "families/quill" / name);
    CHECK_THAT(findings_in(folder.corpus),
               Catch::EndsWith(".yaml:1:1 missing-key: family folder `quill` lacks `" + name + "`\n"));
  }
}

TEST_CASE("one id in two files") {
  const Folder folder;
  folder.write("families/quill/looms/zz.yaml", folder.read(dash));
  CHECK(findings_in(folder.corpus) == "families/quill/looms/zz.yaml:3:7 duplicate-id: loom `dash` is declared twice\n");
}

TEST_CASE("no id leads out of the folder") {
  const Folder folder;
  for (const std::string id : {"../dash", "..", "a/b", "/etc", "dash\\..", "~"}) {
    std::string text = folder.read(dash);
    const size_t at = text.find("loom: ") + 6;
    const size_t end = text.find('\n', at);
    const Folder other;
    other.write(dash, text.substr(0, at) + "\"" + (id == "dash\\.." ? "dash\\\\.." : id) + "\"" + text.substr(end));
    INFO(id);
    CHECK_THAT(findings_in(other.corpus), Catch::Contains("dash.yaml:3:7 bad-form: `" + id + "` is not an id"));
  }
}

// --- damaged files --------------------------------------------------------------------------------

namespace {

// One damage to one file: bytes, lines or words.
class Damage {
 public:
  Damage(const lt::FixtureFiles& files, const std::string& family, uint32_t seed) : files_(files), random_(seed) {
    for (const auto& [path, text] : files.files)
      if (path.find("./families/") != 0 || path.find("/" + family + "/") != std::string::npos) paths_.push_back(path);
  }

  std::pair<std::string, std::string> next() {
    const std::string path = paths_[below(paths_.size())];
    std::string text = files_.files.at(path);
    for (size_t times = 1 + below(3); times > 0; --times) harm(text);
    return {path, text};
  }

 private:
  size_t below(size_t limit) { return limit == 0 ? 0 : std::uniform_int_distribution<size_t>(0, limit - 1)(random_); }

  void harm(std::string& text) {
    if (text.empty()) return;
    static const std::string telling = "{}[]:,-#&*!|>'\"%@`?\n\t .\xFF";
    switch (below(8)) {
      case 0:
        text[below(text.size())] ^= static_cast<char>(1u << below(8));
        break;
      case 1:
        text.erase(below(text.size()), 1 + below(12));
        break;
      case 2:
        text.insert(below(text.size()), 1 + below(3), telling[below(telling.size())]);
        break;
      case 3:
        text.resize(below(text.size()));
        break;
      case 4:
        swap_pieces(text, "\n");
        break;
      case 5:
        swap_pieces(text, " ,{}[]:\n");
        break;
      case 6:
        take_word(text);
        break;
      default:
        repeat_line(text);
        break;
    }
  }

  // The piece around some place, up to the next of `ends` on either side.
  std::pair<size_t, size_t> piece(const std::string& text, std::string_view ends) {
    const size_t at = below(text.size());
    const size_t before = at == 0 ? std::string::npos : text.find_last_of(ends, at - 1);
    const size_t begin = before == std::string::npos ? 0 : before + 1;
    return {begin, std::min(text.find_first_of(ends, begin), text.size())};
  }

  void swap_pieces(std::string& text, std::string_view ends) {
    auto a = piece(text, ends), b = piece(text, ends);
    if (a.first > b.first) std::swap(a, b);
    if (a.second > b.first) return;
    const std::string first = text.substr(a.first, a.second - a.first),
                      second = text.substr(b.first, b.second - b.first);
    text.replace(b.first, second.size(), first).replace(a.first, first.size(), second);
  }

  // A word of another file in place of one of this: names that exist, where they do not belong.
  void take_word(std::string& text) {
    const std::string& other = files_.files.at(paths_[below(paths_.size())]);
    const auto to = piece(text, " ,{}[]:\n"), from = piece(other, " ,{}[]:\n");
    text.replace(to.first, to.second - to.first, other.substr(from.first, from.second - from.first));
  }

  void repeat_line(std::string& text) {
    const auto line = piece(text, "\n");
    text.insert(line.first, text.substr(line.first, line.second - line.first) + "\n");
  }

  const lt::FixtureFiles& files_;
  std::mt19937 random_;
  std::vector<std::string> paths_;
};

// Compiles, and renders what is found in every form; returns the number of findings.
size_t survive(const lt::FixtureFiles& files, const CompileOptions& options) {
  const std::unique_ptr<Compiled> compiled = lt::compile_files(files, options);
  for (const Finding& finding : compiled->report.findings()) {
    if (!finding.span.known()) FAIL("a finding without a place: " << finding.message);
    const size_t size = compiled->sources.file(finding.span.file).bytes().size();
    if (finding.span.begin > finding.span.end || finding.span.end > size)
      FAIL("a finding beyond its file: " << finding.message);
  }
  render_text(compiled->report.findings(), compiled->sources, {.colour = true, .width = 80});
  render_json(compiled->report.findings(), compiled->sources);
  render_sarif(compiled->report.findings(), compiled->sources, "0");
  return compiled->report.findings().size();
}

void survive_damage(lt::FixtureFiles files, const CompileOptions& options, uint32_t seed, int count) {
  using Clock = std::chrono::steady_clock;
  const lt::FixtureFiles whole = files;
  Damage damage(whole, options.family, seed);
  int with_findings = 0;
  double longest = 0;  // seconds
  count = lt::tries(count);
  for (int i = 0; i < count; ++i) {
    const auto [path, text] = damage.next();
    INFO("seed " << seed << ", case " << i << ", " << path << ":\n" << text);
    files.files[path] = text;
    const Clock::time_point start = Clock::now();
    with_findings += survive(files, options) > 0;
    longest = std::max(longest, std::chrono::duration<double>(Clock::now() - start).count());
    files.files[path] = whole.files.at(path);
  }
  CHECK(longest < 20);  // seconds: it ends, even under sanitizers on a busy machine
  CHECK(with_findings > 0);
  WARN(count << " damaged files, " << with_findings << " with findings");
}

}  // namespace

TEST_CASE("damaged files of the base corpus") {
  survive_damage(lt::base_corpus(), {.family = "quill", .threads = 1}, 7, 4000);
}

TEST_CASE("damaged files of the trailer couplings") {
  survive_damage(lt::corpus_in_memory(fs::path(LOOMPROOF_SOURCE_DIR) / "reference"),
                 {.family = "trailer-12v", .threads = 1}, 11, 300);
}

TEST_CASE("damaged files of the Croft") {
  survive_damage(lt::corpus_in_memory(fs::path(LOOMPROOF_SOURCE_DIR) / "reference"), {.family = "croft", .threads = 1},
                 13, 200);
}
