// The cache of `check`: whatever is edited, and whatever lies in its folder, output is that of a run without it.
#include "compile/cache.h"

#include <sys/stat.h>

#include <catch2/catch.hpp>
#include <fstream>
#include <random>
#include <thread>

#include "compile/family_result.h"
#include "diag/render.h"
#include "fixture_harness.h"
#include "upkeep_run.h"

namespace lt = loomproof::testing;
namespace fs = std::filesystem;
using namespace loomproof;
using lt::Folder;
using lt::run;

namespace {

using Random = std::mt19937_64;

size_t below(Random& random, size_t bound) {
  return random() % bound;  // the same on every platform; even enough
}

// All that a run says, as text and JSON, and what each rule judged.
std::string said(const Files& files, Cache* cache, unsigned threads = 1, const std::string& family = "") {
  CompileOptions options;
  options.threads = threads;
  options.family = family;
  options.cache = cache;
  std::unique_ptr<Compiled> compiled;
  try {
    compiled = compile(files, lt::corpus_folder, options);
  } catch (const EnvironmentError& error) {
    return error.what();
  }
  const std::vector<Finding>& findings = compiled->report.findings();
  std::string out = render_text(findings, compiled->sources, {}) + render_json(findings, compiled->sources);
  for (size_t rule = 0; rule < static_cast<size_t>(Rule::count); ++rule)
    out += fmt::format("{} ", compiled->report.judged_count(static_cast<Rule>(rule)));
  for (const std::string& waiting : compiled->not_judged) out += "\nwaits: " + waiting;
  return out;
}

// The base of the fixtures with its family three times over, so that some are edited and others are not.
lt::FixtureFiles three_families() {
  lt::FixtureFiles files = lt::base_corpus();
  const auto base = files.files;
  for (const char* const name : {"robin", "wren"})
    for (const auto& [path, text] : base) {
      const size_t at = path.find("families/quill/");
      if (at == std::string::npos) continue;
      std::string copy = text;
      if (const size_t id = copy.find("family: quill"); id != std::string::npos) copy.replace(id + 8, 5, name);
      files.files[std::string(path).replace(at + 9, 5, name)] = copy;
    }
  return files;
}

// One edit such as people and accidents make: a line dropped, doubled, exchanged, a byte changed, a word taken from
// elsewhere; a file gone, moved or new.
void edit(lt::FixtureFiles& corpus, Random& random) {
  auto& files = corpus.files;
  auto file = std::next(files.begin(), static_cast<std::ptrdiff_t>(below(random, files.size())));
  std::string& text = file->second;
  std::vector<size_t> lines{0};
  for (size_t at = 0; (at = text.find('\n', at)) != text.npos;) lines.push_back(++at);
  const size_t line = below(random, lines.size());
  const size_t begin = lines[line], end = line + 1 < lines.size() ? lines[line + 1] : text.size();
  const std::string row = text.substr(begin, end - begin);
  switch (below(random, 10)) {
    case 0:
    case 1:
      text.erase(begin, end - begin);
      break;
    case 2:
      text.insert(begin, row);
      break;
    case 3: {  // with the line before
      if (line == 0) break;
      text.erase(begin, end - begin);
      text.insert(lines[line - 1], row);
      break;
    }
    case 4:
    case 5:
    case 6: {  // a letter or digit for another
      const size_t at = text.find_first_of("ABCDEF0123456789abcdef", begin);
      if (at < end) text[at] = "ABC123abc"[below(random, 9)];
      break;
    }
    case 7:
      if (!text.empty()) text[below(random, text.size())] = static_cast<char>(below(random, 256));
      break;
    case 8:
      if (below(random, 4) == 0) files.erase(file);
      break;
    case 9: {
      const std::string moved = below(random, 2) == 0 ? "./families/wren/looms/moved.yaml" : "./stray.yaml";
      files[moved] = text;
      break;
    }
  }
}

std::vector<fs::path> kept_in(const fs::path& folder) {
  std::vector<fs::path> out;
  for (const auto& entry : fs::recursive_directory_iterator(folder))
    if (entry.is_regular_file()) out.push_back(entry.path());
  std::sort(out.begin(), out.end());
  return out;
}

void write(const fs::path& path, std::string_view bytes) {
  std::ofstream(path, std::ios::binary) << bytes;
}

// How many families a run had to read.
size_t read_again(const Files& files, Cache& cache) {
  CompileOptions options;
  options.threads = 1;
  options.cache = &cache;
  return compile(files, lt::corpus_folder, options)->corpus.families.size();
}

}  // namespace

TEST_CASE("cache: only families whose bytes changed are read again") {
  Folder folder;
  FolderCache cache((folder.path / "kept").string());
  lt::FixtureFiles files = three_families();
  CHECK(read_again(files, cache) == 3);
  CHECK(read_again(files, cache) == 0);
  files.files.at("./families/wren/family.yaml") += "# a remark\n";
  CHECK(read_again(files, cache) == 1);
  CHECK(read_again(files, cache) == 0);
  files.files.at("./sources.yaml") += "# a remark\n";
  CHECK(read_again(files, cache) == 3);
  files.files.erase("./families/robin/circuits.yaml");
  CHECK(read_again(files, cache) == 1);
  CHECK(read_again(files, cache) == 0);
  CHECK(cache.problem().empty());
}

TEST_CASE("cache: whatever is edited, the output is that of a cold run") {
  Folder folder;
  FolderCache cache((folder.path / "kept").string());
  MemoryCache memory;
  Random random(20261126);
  const lt::FixtureFiles good = three_families();
  lt::FixtureFiles files = good;
  size_t with_findings = 0;
  const int edits = lt::tries(400);
  for (int i = 0; i < edits; ++i) {
    if (below(random, 6) == 0) files = good;
    edit(files, random);
    const std::string cold = said(files, nullptr);
    with_findings += cold.find("\"errors\": 0") == std::string::npos;
    INFO("edit " << i);
    REQUIRE(said(files, &cache, 1 + static_cast<unsigned>(i % 4)) == cold);
    REQUIRE(said(files, &memory) == cold);
    if (i % 3 == 0) REQUIRE(said(files, &cache) == cold);
    if (i % 5 == 0) REQUIRE(said(files, &cache, 1, "wren") == said(files, nullptr, 1, "wren"));
  }
  CHECK(with_findings > static_cast<size_t>(edits) / 4);
  CHECK(with_findings < static_cast<size_t>(edits));
}

TEST_CASE("cache: every faulty corpus of the fixtures") {
  Folder folder;
  FolderCache cache((folder.path / "kept").string());
  for (const auto& rule : fs::directory_iterator(lt::fixtures_root() / "rules"))
    for (const fs::path& fires : lt::cases(rule.path(), "fires")) {
      const lt::Fixture fixture = lt::load_fixture(fires);
      INFO(fires.string());
      const std::string cold = said(fixture.files, nullptr);
      CHECK(said(fixture.files, &cache) == cold);
      CHECK(said(fixture.files, &cache) == cold);
    }
}

TEST_CASE("cache: the reference corpus, a file edited") {
  Folder folder;
  FolderCache cache((folder.path / "kept").string());
  lt::FixtureFiles files = lt::corpus_in_memory(fs::path(LOOMPROOF_SOURCE_DIR) / "reference");
  CHECK(said(files, &cache) == said(files, nullptr));
  Random random(7);
  for (int i = 0; i < lt::tries(6); ++i) {
    edit(files, random);
    CHECK(said(files, &cache) == said(files, nullptr));
  }
}

TEST_CASE("cache: what is damaged, cut short or foreign is as if it were not there") {
  Folder folder;
  const fs::path kept = folder.path / "kept";
  lt::FixtureFiles files = three_families();
  files.files.at("./families/wren/circuits.yaml") += "  SPARE-9: {title: Spare, class: signal}\n";
  const std::string cold = said(files, nullptr);
  FolderCache cache(kept.string());
  REQUIRE(said(files, &cache) == cold);
  const std::vector<fs::path> entries = kept_in(kept);
  REQUIRE(entries.size() == 3);
  std::vector<std::string> good;
  for (const fs::path& entry : entries) good.push_back(lt::contents(entry));
  Random random(3);
  for (int i = 0; i < lt::tries(150); ++i) {
    const size_t which = below(random, entries.size());
    std::string bytes = good[which];
    switch (below(random, 5)) {
      case 0:
        bytes.resize(below(random, bytes.size()));
        break;
      case 1:
        bytes[below(random, bytes.size())] ^= static_cast<char>(1 + below(random, 255));
        break;
      case 2:
        bytes += '\0';
        break;
      case 3:
        bytes = good[(which + 1) % entries.size()];  // of another key
        break;
      case 4:
        for (char& byte : bytes) byte = static_cast<char>(below(random, 256));
        break;
    }
    write(entries[which], bytes);
    REQUIRE(read_again(files, cache) == 1);  // and it is put right
    REQUIRE(lt::contents(entries[which]) == good[which]);
    write(entries[which], bytes);
    REQUIRE(said(files, &cache) == cold);
  }
  // No file at all in its place.
  fs::remove(entries[0]);
  fs::create_directory(entries[0]);
  fs::remove(entries[1]);
  REQUIRE(::mkfifo(entries[1].c_str(), 0600) == 0);
  fs::remove(entries[2]);
  fs::create_symlink("nowhere", entries[2]);
  CHECK(said(files, &cache) == cold);
  CHECK(said(files, &cache) == cold);
}

TEST_CASE("cache: bytes that pass the checksum and are no result are refused") {
  lt::FixtureFiles files = three_families();
  files.files.at("./families/wren/circuits.yaml") += "  SPARE-9: {title: Spare, class: signal}\n";
  FamilyResult result;
  result.report.add<Rule::unused>({0, 1, 2}, "circuit", "X").label({1, 0, 1}, "here").help("why").fix({0, 1, 2}, "Y");
  result.report.judged(Rule::unused, 3);
  result.used.housings = {"a", "b"};
  const std::vector<FileId> two{0, 1};
  const std::string good = to_bytes(result, two);
  FamilyResult read;
  REQUIRE(from_bytes(good, two, read));
  CHECK(to_bytes(read, two) == good);
  FamilyResult refused;
  CHECK_FALSE(from_bytes(good, {0}, refused));  // names a file that is not there
  CHECK_FALSE(from_bytes("", two, refused));
  Random random(11);
  for (int i = 0; i < lt::tries(20000); ++i) {
    std::string bytes = good;
    for (size_t n = 1 + below(random, 3); n > 0; --n)
      bytes[below(random, bytes.size())] = static_cast<char>(below(random, 256));
    if (below(random, 3) == 0) bytes.resize(below(random, bytes.size()));
    FamilyResult any;
    if (!from_bytes(bytes, two, any)) continue;
    for (const Finding& finding : any.report.findings()) CHECK((!finding.span.known() || finding.span.file < 2));
  }
}

TEST_CASE("cache: another build's is thrown away, somebody's own files stay") {
  Folder folder;
  const fs::path kept = folder.path / "kept", old = kept / ("build-" + std::string(32, 'a')),
                 mixed = kept / ("build-" + std::string(32, 'b'));
  fs::create_directories(old);
  fs::create_directories(mixed);
  fs::create_directories(kept / "build-mine");
  write(old / std::string(32, '0'), "x");
  write(old / "new-abcdef", "half");
  write(mixed / std::string(32, '0'), "x");
  write(mixed / "letter.txt", "dear");
  write(kept / "notes.txt", "mine");
  FolderCache cache(kept.string());
  said(three_families(), &cache);
  CHECK_FALSE(fs::exists(old));
  CHECK(kept_in(mixed) == std::vector<fs::path>{mixed / "letter.txt"});
  CHECK(fs::exists(kept / "build-mine"));
  CHECK(lt::contents(kept / "notes.txt") == "mine");
}

TEST_CASE("cache: several programs at once, and what the command refuses") {
  Folder folder;
  REQUIRE(run("start heron corpus", folder.path).status == 0);
  std::ofstream(folder.path / "corpus/families/heron/circuits.yaml", std::ios::app)
      << "  X-9: {title: X, class: signal}\n";
  const std::string cold = run("check corpus --stats", folder.path).out;
  std::vector<std::string> out(12);
  std::vector<std::thread> threads;
  for (std::string& each : out)
    threads.emplace_back([&] { each = run("check corpus --stats --cache kept/deep", folder.path).out; });
  for (std::thread& thread : threads) thread.join();
  for (const std::string& each : out) CHECK(each == cold);
  CHECK(run("check corpus --stats --cache kept/deep", folder.path).out == cold);
  // The same corpus by another name.
  fs::create_directory(folder.path / "beside");
  CHECK(run("check ../corpus --stats --cache ../kept/deep", folder.path / "beside").out ==
        run("check ../corpus --stats", folder.path / "beside").out);
  CHECK(kept_in(folder.path / "kept").size() == 1);
  CHECK(run("check corpus --cache corpus/kept", folder.path).status == 2);
  write(folder.path / "file", "x");
  CHECK(run("check corpus --cache file", folder.path).status == 2);
  CHECK(run("check corpus --cache file/kept", folder.path).status == 2);
  CHECK(fs::exists(folder.path / "kept"));
  CHECK(run("check corpus --until trees --cache kept", folder.path).status == 0);
  CHECK(run("check corpus --show tables --cache kept", folder.path).out.find("family heron:") == 0);
}
