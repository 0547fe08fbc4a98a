// loomproof review as people run it: a whole pull request as text, and revisions from real git repositories, the odd
// ones too. Every refusal is one line and exit status 2, and leaves the folder as it was.
#include <fmt/format.h>

#include <catch2/catch.hpp>
#include <fstream>
#include <nlohmann/json.hpp>

#include "fixture_harness.h"
#include "pack/pack.h"
#include "pack_seal.h"
#include "upkeep_run.h"

namespace lt = loomproof::testing;
namespace fs = std::filesystem;
namespace packed = loomproof::packed;
namespace pack = loomproof::pack;
using lt::Folder;
using lt::Ran;

namespace {

void write(const fs::path& path, const std::string& text) {
  fs::create_directories(path.parent_path());
  std::ofstream(path, std::ios::binary) << text;
}

void replace(const fs::path& path, const std::string& was, const std::string& becomes) {
  std::string text = lt::contents(path);
  const size_t at = text.find(was);
  INFO(path << ": " << was);
  REQUIRE(at != std::string::npos);
  REQUIRE(text.find(was, at + 1) == std::string::npos);
  write(path, text.replace(at, was.size(), becomes));
}

// Whoever runs the tests may have git set up in any way.
void git(const fs::path& folder, const std::string& arguments) {
  const std::string command = "cd '" + folder.string() + "' && HOME='" + folder.string() +
                              "' GIT_CONFIG_NOSYSTEM=1 GIT_TERMINAL_PROMPT=0 git -c init.defaultBranch=main"
                              " -c user.name=tester -c user.email=tester@localhost -c commit.gpgsign=false"
                              " -c protocol.file.allow=always " +
                              arguments + " >/dev/null 2>&1";
  INFO(command);
  REQUIRE(std::system(command.c_str()) == 0);
}

void put_corpus(const fs::path& folder) {
  fs::create_directories(folder.parent_path());
  fs::copy(lt::fixtures_root() / "base", folder, fs::copy_options::recursive);
}
void commit(const fs::path& repository, const std::string& message) {
  git(repository, "add -A");
  git(repository, "commit -q --allow-empty -m '" + message + "'");
}

// A repository with the small corpus, and one wire of another colour in its second commit.
void make_repository(const fs::path& folder, const std::string& corpus = "reference") {
  fs::create_directories(folder);
  git(folder, "init -q");
  put_corpus(folder / corpus);
  commit(folder, "one");
  git(folder, "tag first");
}

std::map<std::string, std::string> files_below(const fs::path& folder) {
  std::map<std::string, std::string> files;
  for (const auto& entry : fs::recursive_directory_iterator(folder))
    if (entry.is_regular_file()) files[entry.path().string()] = lt::contents(entry.path());
  return files;
}

// One line that says why, nothing changed.
void check_refused(const fs::path& folder, const std::string& arguments, const std::string& line) {
  const auto before = files_below(folder);
  const Ran ran = lt::run("review " + arguments, folder);
  CHECK(ran.status == 2);
  CHECK(ran.out == "loomproof: " + line + "\n");
  CHECK(files_below(folder) == before);
}

std::string summary(const Ran& ran) {
  return ran.out.substr(0, ran.out.find('\n'));
}

}  // namespace

TEST_CASE("a rich pull request, as it is printed") {
  Folder folder;
  fs::copy(fs::path(LOOMPROOF_SOURCE_DIR) / "reference", folder.path / "before", fs::copy_options::recursive);
  for (const auto& entry : fs::directory_iterator(folder.path / "before" / "families"))
    if (entry.path().filename() != "croft") fs::remove_all(entry.path());
  fs::copy(folder.path / "before", folder.path / "after", fs::copy_options::recursive);
  const fs::path croft = folder.path / "after" / "families" / "croft";
  // The drawing of P1, a round plug, read mirrored.
  std::string pump = lt::contents(croft / "looms" / "pump.yaml");
  for (const auto& [a, b] : {std::pair("1", "2"), std::pair("3", "8"), std::pair("4", "7"), std::pair("5", "6")}) {
    const std::string from = std::string("P1.") + a, to = std::string("P1.") + b;
    for (const auto& [was, becomes] :
         {std::pair(from, std::string("P1.@")), std::pair(to, from), std::pair(std::string("P1.@"), to)})
      for (size_t at = pump.find(was); at != std::string::npos; at = pump.find(was, at + becomes.size()))
        pump.replace(at, was.size(), becomes);
  }
  write(croft / "looms" / "pump.yaml", pump);
  // Three of four siblings in another colour.
  for (const char* other : {"OG,   ", "OG/BK,", "OG/WH,"}) {
    const std::string was = std::string("colour: ") + other + " mm2: 2.5,                   with";
    replace(croft / "looms" / "chassis.yaml", was, "colour: VT,    mm2: 2.5,                   with");
  }
  // A colour of a tail lamp, a circuit renamed, something inside a component of four places renamed.
  replace(croft / "looms" / "tail.yaml", "to: T3.58,    colour: GY/GN", "to: T3.58,    colour: GY/RD");
  for (const auto& entry : fs::recursive_directory_iterator(croft)) {
    if (!entry.is_regular_file()) continue;
    std::string text = lt::contents(entry.path());
    for (size_t at = text.find("RACK-REF"); at != std::string::npos; at = text.find("RACK-REF", at))
      text.replace(at, 8, "RACK-SUPPLY");
    write(entry.path(), text);
  }
  replace(croft / "components" / "glow-plug.yaml", "id: R1", "id: HEATER");
  // A reason that says nothing any more, and a combination under another name.
  replace(croft / "changes" / "c-d.yaml", "because: stronger stop-solenoid drive in the pump unit",
          "because: see manual");
  replace(croft / "combinations.yaml", "  unit-d-in-c:\n", "  unit-of-d-in-c:\n");
  const Ran ran = lt::run("review before after", folder.path);
  CHECK(ran.status == 1);  // the plug of the other half was not changed alike
  CHECK(lt::differs_from_expected(lt::fixtures_root() / "review" / "rich.txt", ran.out).empty());
  const auto json = nlohmann::json::parse(lt::run("review before after --format json", folder.path).out);
  CHECK(json["families"][0]["breaks"].size() == 3);
  CHECK(json["families"][0]["causes"].size() == 1);
}

TEST_CASE("revisions of a repository: a branch, a tag, a detached HEAD, the folder as it is") {
  Folder folder;
  make_repository(folder.path);
  CHECK(summary(lt::run("review main", folder.path)) == "quill: no change in meaning; packs identical");
  replace(folder.path / "reference" / "sources.yaml", "quill-manual:  {kind: invented",
          "quill-manual:  {kind: practice");
  const std::string changed = summary(lt::run("review HEAD", folder.path));
  CHECK(changed == "quill: 1 change of the record");
  commit(folder.path, "two");
  CHECK(summary(lt::run("review first main", folder.path)) == changed);
  CHECK(summary(lt::run("review HEAD~1", folder.path)) == changed);
  git(folder.path, "checkout -q --detach first");
  CHECK(summary(lt::run("review main HEAD", folder.path)) == changed);
  CHECK(summary(lt::run("review first HEAD", folder.path)) == "quill: no change in meaning; packs identical");
  // From a folder below, the corpus is where it is from there.
  CHECK(summary(lt::run("review main --corpus .", folder.path / "reference")) == changed);
}

TEST_CASE("a bare repository has revisions and no folder") {
  Folder folder;
  make_repository(folder.path / "work");
  git(folder.path, "clone -q --bare work bare.git");
  CHECK(summary(lt::run("review first main", folder.path / "bare.git")) ==
        "quill: no change in meaning; packs identical");
  CHECK(lt::run("review main", folder.path / "bare.git").status == 2);
}

TEST_CASE("files split, moved and laid out otherwise are no change in meaning") {
  Folder folder;
  make_repository(folder.path);
  const fs::path looms = folder.path / "reference" / "families" / "quill" / "looms";
  size_t moved = 0;
  for (const char* name : {"main", "dash"}) {
    std::string text = lt::contents(looms / (std::string(name) + ".yaml"));
    // Rows of wires with other blanks, and a comment at each.
    for (size_t at = text.find(", to:"); at != std::string::npos; at = text.find(", to:", at + 8)) {
      text.replace(at, 5, ",   to:");
      ++moved;
    }
    fs::remove(looms / (std::string(name) + ".yaml"));
    write(looms / (std::string("z-") + name + ".yaml"), text + "# laid out\n");
  }
  REQUIRE(moved > 3);
  // A family's housings in two files.
  const fs::path housings = folder.path / "reference" / "housings";
  std::string plugs = lt::contents(housings / "plugs.yaml");
  const size_t list = plugs.find("housings:\n");
  size_t second = plugs.find("\n  ", list + 10);
  while (plugs[second + 3] == ' ' || plugs[second + 3] == '#') second = plugs.find("\n  ", second + 1);
  write(housings / "plugs.yaml", plugs.substr(0, second + 1));
  write(housings / "more.yaml", plugs.substr(0, list + 10) + plugs.substr(second + 1));
  const Ran ran = lt::run("review main", folder.path);
  CHECK(ran.out == "quill: no change in meaning; packs identical\n\nno new findings\n");
  CHECK(ran.status == 0);
}

TEST_CASE("no such revision, and no repository") {
  Folder folder;
  check_refused(folder.path, "main",
                "`main` is no folder, and there is no git repository here in which it could be a revision");
  make_repository(folder.path);
  check_refused(folder.path, "no-such", "`no-such` is neither a folder nor a revision of this repository");
  check_refused(folder.path, "main no-such", "`no-such` is neither a folder nor a revision of this repository");
  check_refused(folder.path, "'HEAD:reference/corpus.yaml'",
                "`HEAD:reference/corpus.yaml` names something in this repository that is no commit");
  for (const char* const arguments : {"review ''", "review main ''"}) {
    const Ran ran = lt::run(arguments, folder.path);
    CHECK(ran.status == 2);
    CHECK(ran.out.find("names nothing\n") != ran.out.npos);
  }
}

TEST_CASE("a range is two revisions, and says so") {
  Folder folder;
  make_repository(folder.path);
  check_refused(folder.path, "first..main", "`first..main` is a range; give its two ends instead: `first main`");
  check_refused(folder.path, "first...", "`first...` is a range; give its two ends instead: `first HEAD`");
}

TEST_CASE("a file that the clone lacks is no fault of the corpus") {
  Folder folder;
  make_repository(folder.path / "work");
  git(folder.path / "work", "config uploadpack.allowFilter true");
  git(folder.path,
      "clone -q --no-checkout --filter=blob:none 'file://" + (folder.path / "work").string() + "' partial");
  const Ran ran = lt::run("review main main", folder.path / "partial");
  CHECK(ran.status == 2);
  INFO(ran.out);
  CHECK(ran.out.starts_with("loomproof: git cannot read `"));
  CHECK(ran.out.find("` of that revision: ") != std::string::npos);
  CHECK(std::count(ran.out.begin(), ran.out.end(), '\n') == 1);
}

TEST_CASE("a repository without a commit") {
  Folder folder;
  git(folder.path, "init -q");
  put_corpus(folder.path / "reference");
  check_refused(folder.path, "HEAD", "`HEAD` names nothing: this repository has no commit yet");
}

TEST_CASE("a shallow clone that lacks the base says how to get it") {
  Folder folder;
  make_repository(folder.path / "work");
  commit(folder.path / "work", "two");
  git(folder.path, "clone -q --depth 1 --no-tags 'file://" + (folder.path / "work").string() + "' shallow");
  check_refused(folder.path / "shallow", "HEAD~1",
                "`HEAD~1` is neither a folder nor a revision of this repository; it is a shallow clone, which may lack "
                "it: `git fetch --unshallow` gets the rest");
  CHECK(lt::run("review HEAD", folder.path / "shallow").status == 0);
}

TEST_CASE("a corpus that is a submodule is reviewed in its own repository") {
  Folder folder;
  make_repository(folder.path / "data", ".");
  fs::create_directories(folder.path / "work");
  git(folder.path / "work", "init -q");
  git(folder.path / "work", "submodule add '" + (folder.path / "data").string() + "' reference");
  commit(folder.path / "work", "with data");
  check_refused(folder.path / "work", "main",
                "in `main` the corpus `reference` is a submodule; run the command in that repository instead");
  check_refused(folder.path / "work", "main --corpus reference/families",
                "in `main` the corpus `reference/families` is a submodule; run the command in that repository instead");
}

TEST_CASE("a corpus that moved between revisions is found") {
  Folder folder;
  make_repository(folder.path, "data/corpus");
  git(folder.path, "mv data/corpus reference");
  commit(folder.path, "moved");
  CHECK(summary(lt::run("review first main", folder.path)) == "quill: no change in meaning; packs identical");
  CHECK(summary(lt::run("review first", folder.path)) == "quill: no change in meaning; packs identical");
  // Two that it could be: it is not guessed.
  git(folder.path, "checkout -q first");
  fs::copy(folder.path / "data", folder.path / "more", fs::copy_options::recursive);
  commit(folder.path, "two of them");
  git(folder.path, "tag both");
  check_refused(folder.path, "both main", "`both` has no corpus at `reference`; there are data/corpus, more/corpus");
  check_refused(folder.path, "main --corpus ../elsewhere",
                "the corpus `../elsewhere` lies outside the repository `" + folder.path.string() + "/`");
}

TEST_CASE("a base that does not compile is named, and what does is compared") {
  Folder folder;
  make_repository(folder.path);
  const fs::path loom = folder.path / "reference" / "families" / "quill" / "looms" / "main.yaml";
  const std::string sound = lt::contents(loom);
  write(loom, sound + "odd-key: 1\n");
  commit(folder.path, "broken");
  git(folder.path, "tag broken");
  write(loom, sound);
  const Ran ran = lt::run("review broken", folder.path);
  CHECK(ran.status == 1);
  CHECK(ran.out ==
        "quill: not compared: it does not compile in the base: there are faults in its\n"
        "  text, shape or names\n\nno new findings, 1 mended\n");
  // The other way round the fault is new.
  write(loom, sound + "odd-key: 1\n");
  const Ran turned = lt::run("review first", folder.path);
  CHECK(turned.status == 1);
  CHECK(turned.out.find("it does not compile in the head") != std::string::npos);
  CHECK(turned.out.find("main.yaml:") != std::string::npos);
}

TEST_CASE("a folder without a corpus") {
  Folder folder;
  fs::create_directories(folder.path / "empty");
  put_corpus(folder.path / "reference");
  const Ran ran = lt::run("review empty", folder.path);
  CHECK(ran.status == 2);
  CHECK(std::count(ran.out.begin(), ran.out.end(), '\n') == 1);
}

TEST_CASE("packs in generated/ say which format their readers know") {
  Folder folder;
  make_repository(folder.path);
  REQUIRE(lt::run("build reference --out generated", folder.path).status == 0);
  commit(folder.path, "built");
  CHECK(lt::run("review main", folder.path).out.find("format") == std::string::npos);
  // Packs of an older format: told once.
  const fs::path path = folder.path / "generated" / "packs" / "quill.loompack";
  std::string bytes = lt::contents(path);
  auto* table = reinterpret_cast<flatbuffers::Table*>(const_cast<packed::Pack*>(packed::GetPack(bytes.data())));
  REQUIRE(table->SetField<uint32_t>(packed::Pack::VT_MINOR, pack::format_minor - 1, 0));
  lt::seal(bytes);
  write(path, bytes);
  commit(folder.path, "older packs");
  const std::string was = fmt::format("{}.{}", pack::format_major, pack::format_minor - 1),
                    is = fmt::format("{}.{}", pack::format_major, pack::format_minor);
  for (const char* base : {"main", "reference"}) {  // from a folder likewise
    const Ran ran = lt::run(std::string("review ") + base, folder.path);
    CHECK(ran.status == 0);
    CHECK(ran.out.find("packs are written in format " + is + ", were in " + was + ":") != std::string::npos);
  }
  // Packs that no reader takes nobody has.
  write(path, "no pack");
  CHECK(lt::run("review reference", folder.path).out ==
        "quill: no change in meaning; packs identical\n\nno new findings\n");
}
