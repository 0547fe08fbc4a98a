// `loomproof build` as people run it: what it says, what it leaves, how it ends. Oracle: the files on the disk.
#include <sys/wait.h>
#include <unistd.h>

#include <algorithm>
#include <catch2/catch.hpp>
#include <cstdlib>
#include <fstream>

#include "fixture_harness.h"

namespace fs = std::filesystem;
using namespace loomproof::testing;

namespace {

struct Ran {
  int status = -1;
  std::string out, err;
};

// A folder with a clean corpus in `corpus`, in which the program is run.
class Bench {
 public:
  Bench() {
    std::string pattern = (fs::temp_directory_path() / "loomproof-build-XXXXXX").string();
    folder_ = ::mkdtemp(pattern.data());
    for (const auto& [path, bytes] : base_corpus().files) put("corpus/" + path.substr(corpus_folder.size() + 1), bytes);
  }
  Bench(const Bench&) = delete;
  Bench& operator=(const Bench&) = delete;
  ~Bench() {
    std::error_code ignored;
    fs::remove_all(folder_, ignored);
  }

  void put(const std::string& path, const std::string& bytes) const {
    fs::create_directories((folder_ / path).parent_path());
    std::ofstream(folder_ / path, std::ios::binary) << bytes;
  }
  fs::path operator/(const std::string& path) const { return folder_ / path; }

  Ran run(const std::string& arguments, const std::string& before = "") const {
    const fs::path out = folder_ / "stdout.txt", err = folder_ / "stderr.txt";
    const std::string line = "cd '" + folder_.string() + "' && " + before + " '" + LOOMPROOF_BINARY + "' build " +
                             arguments + " >'" + out.string() + "' 2>'" + err.string() + "'";
    const int status = std::system(line.c_str());
    return {WIFEXITED(status) ? WEXITSTATUS(status) : 128, contents(out), contents(err)};
  }

  // Every file that a build left, by path.
  std::map<std::string, std::string> written(const std::string& below = "generated") const {
    std::map<std::string, std::string> files;
    if (!fs::exists(folder_ / below)) return files;
    for (const auto& entry : fs::recursive_directory_iterator(folder_ / below))
      if (!entry.is_directory()) files[fs::relative(entry.path(), folder_ / below).string()] = contents(entry.path());
    return files;
  }
  void edit(const std::string& path, const std::string& from, const std::string& to) const {
    std::string text = contents(folder_ / path);
    REQUIRE(text.find(from) != std::string::npos);
    text.replace(text.find(from), from.size(), to);
    put(path, text);
  }

 private:
  fs::path folder_;
};

bool one_line(const std::string& text) {
  return std::count(text.begin(), text.end(), '\n') == 1 && text.back() == '\n';
}

}  // namespace

TEST_CASE("a clean corpus is written, said so, and verified") {
  const Bench bench;
  const Ran first = bench.run("corpus --out generated");
  CHECK(first.status == 0);
  CHECK(first.err.empty());
  CHECK(first.out.find("quill: Skelbeck Quill yard tractor (invented)") != std::string::npos);
  CHECK(first.out.find(" 0 unchanged, 0 removed") != std::string::npos);
  CHECK(first.out.find("start with generated/index.md") != std::string::npos);
  const auto files = bench.written();
  for (const char* const path : {".manifest", "index.md", "quill/index.md", "packs/quill.loompack", "packs/index.json"})
    CHECK(files.contains(path));

  CHECK(bench.run("corpus --out generated --verify").status == 0);
  const Ran second = bench.run("corpus --out generated --threads 1");
  CHECK(second.out.find("0 written") != std::string::npos);
  CHECK(bench.written() == files);
}

TEST_CASE("--verify lists what is out of date and writes nothing") {
  const Bench bench;
  const Ran none = bench.run("corpus --out generated --verify");
  CHECK(none.status == 1);
  CHECK(none.out.find("missing   index.md") != std::string::npos);
  CHECK_FALSE(fs::exists(bench / "generated"));

  bench.run("corpus --out generated");
  bench.edit("corpus/families/quill/looms/dash.yaml", "colour: GY/RD", "colour: GY/WH");
  bench.edit("corpus/families/quill/changes/lamp.yaml", "colour: GY/RD", "colour: GY/WH");
  fs::remove(bench / "generated/quill/coverage.csv");
  const auto before = bench.written();
  const Ran stale = bench.run("corpus --out generated --verify");
  CHECK(stale.status == 1);
  CHECK(stale.out.find("missing   quill/coverage.csv") != std::string::npos);
  CHECK(stale.out.find("differs   packs/quill.loompack") != std::string::npos);
  CHECK(stale.out.find("generated is out of date; `loomproof build corpus --out generated` renews it") !=
        std::string::npos);
  CHECK(bench.written() == before);
  CHECK(bench.run("corpus --out generated").status == 0);
  CHECK(bench.run("corpus --out generated --verify").status == 0);
}

TEST_CASE("on findings nothing is written") {
  const Bench bench;
  bench.run("corpus --out generated");
  const auto before = bench.written();
  bench.edit("corpus/families/quill/looms/dash.yaml", "to: D2.1", "to: D9.1");
  for (const std::string arguments :
       {"corpus --out generated", "corpus --out generated --verify", "corpus --out elsewhere"}) {
    const Ran ran = bench.run(arguments);
    CHECK(ran.status == 1);
    CHECK(ran.out.find("error[unknown-name]") != std::string::npos);
    CHECK(ran.out.find("until the corpus is clean") != std::string::npos);
  }
  CHECK(bench.written() == before);
  CHECK_FALSE(fs::exists(bench / "elsewhere"));
}

TEST_CASE("one family alone leaves the pages of all as they were") {
  const Bench bench;
  bench.run("corpus --out generated");
  const auto before = bench.written();
  const Ran ran = bench.run("corpus --out generated --family quill");
  CHECK(ran.status == 0);
  CHECK(ran.out.find("0 written") != std::string::npos);
  CHECK(ran.out.find("build without --family") != std::string::npos);
  CHECK(bench.written() == before);
  CHECK(bench.run("corpus --out generated --family quill --verify").status == 0);
  const Ran unknown = bench.run("corpus --out generated --family quil");
  CHECK(unknown.status == 2);
  CHECK(one_line(unknown.err));
}

TEST_CASE("what cannot be written ends in one line and exit status 2") {
  const Bench bench;
  const auto fails = [&](const Ran& ran, const std::string& words) {
    INFO(ran.err);
    CHECK(ran.status == 2);
    CHECK(one_line(ran.err));
    CHECK(ran.err.find(words) != std::string::npos);
  };
  bench.put("file", "x");
  fails(bench.run("corpus --out file"), "cannot make folder `file`");
  fails(bench.run("corpus --out corpus"), "lies in the corpus");
  fails(bench.run("corpus --out corpus/generated"), "lies in the corpus");
  fails(bench.run("nowhere --out generated"), "nowhere");
  bench.put("mine/index.md", "somebody's own");
  fails(bench.run("corpus --out mine"), "was not written by this program");
  CHECK(bench.written("mine").size() == 1);
  fs::create_directories(bench / "linked");
  fs::create_directory_symlink(bench / "mine", bench / "linked/quill");
  fails(bench.run("corpus --out linked"), "is a symbolic link");
  // The shell's limit on the size of files, in blocks: the pack does not fit.
  fails(bench.run("corpus --out small", "ulimit -f 8;"), "larger than is permitted");
  CHECK(bench.written("small").empty());
  CHECK_FALSE(fs::exists(bench / "corpus/generated"));
}

TEST_CASE("two builds at once leave what one would") {
  const Bench bench;
  const Ran one =
      bench.run("corpus --out generated",
                "true; ('" LOOMPROOF_BINARY
                "' build corpus --out generated >/dev/null 2>&1; echo $? >other.part; mv other.part other) &");
  CHECK(one.status == 0);
  for (int i = 0; i < 1000 && !fs::exists(bench / "other"); ++i) ::usleep(20'000);
  CHECK(contents(bench / "other") == "0\n");
  CHECK(bench.run("corpus --out generated --verify").status == 0);
  const auto files = bench.written();
  bench.run("corpus --out alone");
  CHECK(bench.written("alone") == files);
}

// The sheets that the family's page leads to are there, and are SVG with words in it.
TEST_CASE("sheets on paper: SVG always, PDF where asked for") {
  const Bench bench;
  REQUIRE(bench.run("corpus --out generated").status == 0);
  size_t sheets = 0;
  const std::string index = contents(bench / "generated/quill/index.md");
  for (const auto& [path, bytes] : bench.written()) {
    CHECK(path.find(".pdf") == std::string::npos);
    if (path.find("quill/sheets/") != 0) continue;
    ++sheets;
    INFO(path);
    CHECK(bytes.find("<svg ") == 0);
    CHECK(bytes.find("<title>") != std::string::npos);
    CHECK(index.find("](" + path.substr(6) + ")") != std::string::npos);
  }
  CHECK(sheets > 0);
  REQUIRE(bench.run("corpus --out paper --pdf").status == 0);
  size_t pdfs = 0;
  for (const auto& [path, bytes] : bench.written("paper")) {
    if (path.find(".pdf") == std::string::npos) continue;
    ++pdfs;
    CHECK(bytes.find("%PDF-") == 0);
    CHECK(fs::exists(bench / ("paper/" + path.substr(0, path.size() - 4) + ".svg")));
  }
  CHECK(pdfs == sheets);
  CHECK(bench.run("corpus --out paper --pdf --verify").status == 0);
}

TEST_CASE("without the font nothing is written, in one line") {
  const Bench bench;
  bench.put("fonts.conf", "<?xml version=\"1.0\"?><fontconfig><dir>/nowhere</dir></fontconfig>\n");
  const Ran ran = bench.run("corpus --out generated", "FONTCONFIG_FILE='" + (bench / "fonts.conf").string() + "'");
  INFO(ran.err);
  CHECK(ran.status == 2);
  CHECK(ran.err.find("the font DejaVu Sans is not installed") != std::string::npos);
  CHECK_FALSE(fs::exists(bench / "generated"));
}
