// What a maintainer's commands do to files, as people run them: what is written, what is refused, and that nothing is
// left half-written.
#include <sys/stat.h>
#include <sys/wait.h>

#include <catch2/catch.hpp>
#include <fstream>

#include "fixture_harness.h"
#include "upkeep/start.h"
#include "upkeep_run.h"

namespace lt = loomproof::testing;
namespace fs = std::filesystem;
using loomproof::testing::Folder;
using loomproof::testing::Ran;
using loomproof::testing::run;

TEST_CASE("start: an empty folder becomes a clean corpus") {
  Folder folder;
  const Ran ran = run("start heron corpus", folder.path);
  INFO(ran.out);
  CHECK(ran.status == 0);
  CHECK(run("check corpus --family heron", folder.path).out == "no findings\n");
  CHECK(run("build corpus --out generated", folder.path).status == 0);
  CHECK(fs::exists(folder.path / "schema" / "loom.schema.json"));
  CHECK_FALSE(fs::exists(folder.path / "corpus" / ".new"));
}

TEST_CASE("start: a second family joins the first, and a third the reference corpus") {
  Folder folder;
  REQUIRE(run("start heron corpus", folder.path).status == 0);
  CHECK(run("start b2 corpus", folder.path).status == 0);
  CHECK(run("check corpus", folder.path).out == "no findings\n");
  fs::copy(fs::path(LOOMPROOF_SOURCE_DIR) / "reference", folder.path / "reference", fs::copy_options::recursive);
  CHECK(run("start heron", folder.path).status == 0);
  CHECK(run("check --family heron", folder.path).out == "no findings\n");
}

TEST_CASE("start: every modeline leads to a schema") {
  Folder folder;
  REQUIRE(run("start heron corpus", folder.path).status == 0);
  size_t judged = 0;
  for (const auto& entry : fs::recursive_directory_iterator(folder.path / "corpus")) {
    if (!entry.is_regular_file()) continue;
    const std::string text = lt::contents(entry.path());
    const std::string head = "# yaml-language-server: $schema=";
    INFO(entry.path());
    REQUIRE(text.starts_with(head));
    const std::string target = text.substr(head.size(), text.find('\n') - head.size());
    CHECK(fs::exists(entry.path().parent_path() / target));
    ++judged;
  }
  CHECK(judged > 10);
}

TEST_CASE("start: what is there is never overwritten, and a refusal leaves nothing behind") {
  Folder folder;
  REQUIRE(run("start heron corpus", folder.path).status == 0);
  const auto before = lt::corpus_in_memory(folder.path / "corpus").files;
  const Ran again = run("start heron corpus", folder.path);
  CHECK(again.status == 2);
  CHECK(again.out == "loomproof: family `heron` is already in `corpus`; nothing is written\n");
  std::ofstream(folder.path / "corpus/housings/wren.yaml") << "# somebody's own\n";
  const Ran housing = run("start wren corpus", folder.path);
  CHECK(housing.status == 2);
  CHECK(housing.out == "loomproof: `corpus/housings/wren.yaml` is already there; nothing is written\n");
  CHECK_FALSE(fs::exists(folder.path / "corpus/families/wren"));
  fs::remove(folder.path / "corpus/housings/wren.yaml");
  CHECK(lt::corpus_in_memory(folder.path / "corpus").files == before);
  for (const char* const name : {"Heron", "../x", "-x", "a_b", "''", "a-name-that-is-longer-than-24"}) {
    INFO(name);
    const Ran ran = run(std::string("start -- ") + name + " corpus", folder.path);
    CHECK(ran.status == 2);
    CHECK(std::count(ran.out.begin(), ran.out.end(), '\n') == 1);
  }
  CHECK(lt::corpus_in_memory(folder.path / "corpus").files == before);
  fs::create_directories(folder.path / "other");
  std::ofstream(folder.path / "other/letter.txt") << "dear";
  CHECK(run("start heron other", folder.path).status == 2);
  CHECK(std::distance(fs::directory_iterator(folder.path / "other"), fs::directory_iterator()) == 1);
}

TEST_CASE("start: sources that end otherwise are left to a hand") {
  const std::string good = "sources:\n  x: {kind: memory, title: X}\n";
  CHECK(loomproof::upkeep::with_source("# a\n" + good, "heron") ==
        "# a\n" + good + "\n" + loomproof::upkeep::source_entry("heron"));
  CHECK(loomproof::upkeep::with_source("# a\nsources: {x: {kind: memory, title: X}}\n", "heron").empty());
  CHECK(loomproof::upkeep::with_source("# a\n" + good + "other: 1\n", "heron").empty());
  CHECK(loomproof::upkeep::with_source("", "heron").empty());
}

TEST_CASE("tidy: lists what is untidy, mends it, and leaves the packs as they were") {
  Folder folder;
  REQUIRE(run("start heron corpus", folder.path).status == 0);
  CHECK(run("tidy corpus --check", folder.path).status == 0);
  REQUIRE(run("build corpus --out generated", folder.path).status == 0);
  const fs::path loom = folder.path / "corpus/families/heron/looms/main.yaml";
  const std::string neat = lt::contents(loom);
  std::string text = neat;
  text.replace(text.find("from: C1.1, to: C2.1"), 20, "to: C2.1,     from: C1.1");
  std::ofstream(loom) << text;
  const Ran check = run("tidy corpus --check", folder.path);
  CHECK(check.status == 1);
  CHECK(check.out == "untidy  corpus/families/heron/looms/main.yaml\n`loomproof tidy corpus` mends the layout\n");
  CHECK(lt::contents(loom) == text);
  CHECK(run("tidy corpus", folder.path).status == 0);
  CHECK(lt::contents(loom) == neat);
  CHECK(run("build corpus --out generated --verify", folder.path).status == 0);
  CHECK_FALSE(fs::exists(folder.path / "corpus" / ".new"));
}

TEST_CASE("tidy: a corpus that cannot be read is left alone") {
  Folder folder;
  REQUIRE(run("start heron corpus", folder.path).status == 0);
  const fs::path loom = folder.path / "corpus/families/heron/looms/main.yaml";
  std::ofstream(loom, std::ios::app) << "  - {circuit: A,\n\n\n";
  const std::string text = lt::contents(loom);
  const Ran ran = run("tidy corpus", folder.path);
  CHECK(ran.status == 2);
  CHECK(std::count(ran.out.begin(), ran.out.end(), '\n') == 1);
  CHECK(lt::contents(loom) == text);
  CHECK(run("tidy nowhere", folder.path).status == 2);
}
