// What runs by itself on a pull request and before a commit: its very script on a repository of the test's own, and its
// configuration held against what there is. The forge itself is not there.
#include <catch2/catch.hpp>
#include <filesystem>
#include <fstream>
#include <nlohmann/json.hpp>
#include <regex>

#include "fixture_harness.h"
#include "upkeep_run.h"
#include "yaml/tree.h"

namespace lt = loomproof::testing;
namespace fs = std::filesystem;
using loomproof::testing::Folder;

namespace {

const fs::path source = LOOMPROOF_SOURCE_DIR;

lt::Ran shell(const std::string& command, const fs::path& folder) {
  const std::string whole =
      "cd '" + folder.string() + "' && export LOOMPROOF='" LOOMPROOF_BINARY "' && { " + command + "; } 2>&1";
  FILE* pipe = ::popen(whole.c_str(), "r");
  REQUIRE(pipe);
  lt::Ran ran;
  std::array<char, 4096> buffer{};
  for (size_t got; (got = std::fread(buffer.data(), 1, buffer.size(), pipe)) > 0;) ran.out.append(buffer.data(), got);
  ran.status = WEXITSTATUS(::pclose(pipe));
  return ran;
}

bool has(const std::string& text, const std::string& piece) {
  return text.find(piece) != text.npos;
}

void replace_in(const fs::path& path, const std::string& from, const std::string& to) {
  std::string text = lt::contents(path);
  const size_t at = text.find(from);
  REQUIRE(at != text.npos);
  text.replace(at, from.size(), to);
  std::ofstream(path, std::ios::binary) << text;
}

// A repository with one small family, committed.
void make_repository(const fs::path& folder) {
  const lt::Ran made = shell(
      "\"$LOOMPROOF\" start heron reference >/dev/null && \"$LOOMPROOF\" build reference --out generated >/dev/null && "
      "git init -q -b main && git config user.name tester && git config user.email tester@example.org && "
      "git add -A && git commit -qm base",
      folder);
  INFO(made.out);
  REQUIRE(made.status == 0);
  fs::create_directories(folder / ".github");
  fs::copy(source / ".github" / "review-corpus", folder / ".github" / "review-corpus");
}

}  // namespace

TEST_CASE("a pull request that changes nothing passes, and says so") {
  const Folder folder;
  make_repository(folder.path);
  const lt::Ran ran = shell(".github/review-corpus main", folder.path);
  INFO(ran.out);
  CHECK(ran.status == 0);
  CHECK(has(ran.out, "no findings"));
  CHECK(has(ran.out, "is up to date"));
  CHECK(has(ran.out, "packs identical"));
  CHECK(has(lt::contents(folder.path / "review.txt"), "packs identical"));
  CHECK_FALSE(has(ran.out, "::"));  // no commands where there is no forge
}

TEST_CASE("at a forge: a comment, a summary, annotations after the report, and SARIF") {
  const Folder folder;
  make_repository(folder.path);
  const fs::path loom = folder.path / "reference" / "families" / "heron" / "looms" / "main.yaml";
  replace_in(loom, "colour: RD/YE", "colour: RD/GN");
  replace_in(loom, "title: ", "title: \"@somebody ::error::#12 <img>\" # ");
  const lt::Ran ran = shell(
      "git commit -qam change && export GITHUB_ACTIONS=true GITHUB_STEP_SUMMARY=summary.md && echo before > summary.md "
      "&& .github/review-corpus main~1",
      folder.path);
  INFO(ran.out);
  const std::string comment = lt::contents(folder.path / "review.md"), marker = "<!-- loomproof review: reference -->";
  CHECK(comment.starts_with(marker + "\n"));
  CHECK(comment.find("<!--", 1) == comment.npos);
  CHECK(comment.size() < 65'536);
  CHECK(has(comment, "recoloured"));
  CHECK(lt::contents(folder.path / "summary.md") == "before\n" + comment);
  // Nothing that the report says is read as a command: what is comes after it.
  std::smatch token;
  REQUIRE(std::regex_search(ran.out, token, std::regex("^::stop-commands::([0-9a-f]{32})\n")));
  const size_t closing = ran.out.find("\n::" + token[1].str() + "::\n");
  REQUIRE(closing != ran.out.npos);
  CHECK(ran.out.find("## check") < closing);
  CHECK(ran.out.find("## review") < closing);
  CHECK(has(ran.out.substr(closing), "\n::notice file=reference/families/heron/looms/main.yaml,line="));
  const nlohmann::json sarif = nlohmann::json::parse(lt::contents(folder.path / "review.sarif"));
  CHECK(sarif["version"] == "2.1.0");
  CHECK(sarif["runs"][0]["results"].size() > 0);
}

TEST_CASE("a pull request with a fault fails, and every question is asked all the same") {
  const Folder folder;
  make_repository(folder.path);
  const fs::path loom = folder.path / "reference" / "families" / "heron" / "looms" / "main.yaml";
  const std::string text = lt::contents(loom);
  std::smatch colour;
  const std::regex colours("colour: ([A-Z]{2})");
  REQUIRE(std::regex_search(text, colour, colours));
  replace_in(loom, "colour: " + colour[1].str(), colour[1].str() == "GN" ? "colour: BU" : "colour: GN");
  const lt::Ran changed = shell("git commit -qam change && .github/review-corpus main~1", folder.path);
  INFO(changed.out);
  CHECK(changed.status == 1);  // generated/ was not built anew
  CHECK(has(changed.out, "## review"));
  CHECK(has(changed.out, "colour"));
  CHECK(shell("\"$LOOMPROOF\" build reference --out generated", folder.path).status == 0);
  CHECK(shell("git add -A && git commit -qm built && .github/review-corpus main~2", folder.path).status == 0);

  replace_in(loom, "circuit: ", "circuit: NOT-");
  const lt::Ran bad = shell("git commit -qam bad && .github/review-corpus main~3", folder.path);
  INFO(bad.out);
  CHECK(bad.status == 1);
  CHECK(has(bad.out, "unknown-name"));
  CHECK(has(bad.out, "## review"));
  CHECK(shell(".github/review-corpus no-such-revision", folder.path).status == 1);
  CHECK(shell(".github/review-corpus", folder.path).status == 2);
}

TEST_CASE("workflow and hooks name what there is") {
  const auto read = [](const std::string& name) {
    const std::string text = lt::contents(source / name);
    loomproof::Sources sources;
    const loomproof::FileId id = sources.add(name, text);
    loomproof::Report report;
    const loomproof::yaml::Tree tree = loomproof::yaml::Tree::read(sources.file(id), id, report);
    CHECK_FALSE(report.has_errors());
    CHECK(tree.root().is_map());
    return text;
  };
  const std::string workflow = read(".github/workflows/corpus.yaml");
  CHECK(has(workflow, ".github/review-corpus \"origin/"));
  CHECK(has(workflow, "tools/setup"));
  CHECK(has(workflow, "fetch-depth: 0"));
  for (const char* output : {"review.txt", "review.md", "review.sarif"}) CHECK(has(workflow, output));
  // Published releases of general actions, nothing else.
  const std::regex uses("uses: ([^\\s]+)");
  for (std::sregex_iterator at(workflow.begin(), workflow.end(), uses), end; at != end; ++at)
    CHECK(std::regex_match((*at)[1].str(),
                           std::regex("actions/(checkout|upload-artifact|download-artifact|github-script)@v[0-9]+")));
  // Every hook is a command of loomproof that has a help.
  const std::string hooks = read(".pre-commit-config.yaml");
  const std::regex entries("entry: \\.build/release/loomproof ([a-z]+)");
  size_t found = 0;
  for (std::sregex_iterator at(hooks.begin(), hooks.end(), entries), end; at != end; ++at, ++found)
    CHECK(shell("\"$LOOMPROOF\" " + (*at)[1].str() + " --help >/dev/null", source).status == 0);
  CHECK(found == 3);
}
