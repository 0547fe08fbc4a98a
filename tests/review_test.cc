// What changes between two revisions, by meaning: nothing where only text changed, and each kind of change told as
// exactly that. The corpus is the reference corpus, edited in memory.
#include "review/review.h"

#include <catch2/catch.hpp>
#include <random>
#include <sstream>

#include "review/render.h"
#include "review/risk.h"
#include "review_edits.h"

namespace lt = loomproof::testing;
using namespace loomproof;
using lt::croft_after;
using lt::croft_alone;
using lt::croft_with;
using lt::file_of;
using lt::inputs;
using lt::replace_all;
using lt::replace_once;
using lt::words_of;

namespace {

const std::string chassis = "./families/croft/looms/chassis.yaml";

// Rows of one list, `- {…}` on a line each, that stand together.
struct Block {
  std::string key;
  size_t first, count;
};

std::vector<std::string> lines_of(const std::string& text) {
  std::vector<std::string> lines;
  std::istringstream stream(text);
  for (std::string line; std::getline(stream, line);) lines.push_back(line);
  return lines;
}

std::string joined(const std::vector<std::string>& lines) {
  std::string text;
  for (const std::string& line : lines) text += line + "\n";
  return text;
}

// Rows of wires in another order, inner blanks doubled, comments between them.
std::string disturbed(const std::string& text, std::mt19937& random) {
  std::vector<std::string> lines = lines_of(text);
  std::vector<size_t> rows;
  bool in_wires = false;
  for (size_t i = 0; i < lines.size(); ++i) {
    if (!lines[i].empty() && lines[i][0] != ' ' && lines[i][0] != '#') in_wires = lines[i].starts_with("wires:");
    if (in_wires && lines[i].starts_with("  - {") && lines[i].find('}') != std::string::npos) rows.push_back(i);
  }
  std::vector<std::string> taken;
  for (size_t row : rows) taken.push_back(lines[row]);
  for (size_t i = taken.size(); i > 1; --i) std::swap(taken[i - 1], taken[random() % i]);
  for (size_t i = 0; i < rows.size(); ++i) {
    std::string line = taken[i];
    if (random() % 2) replace_all(line, ", ", ",   ");
    lines[rows[i]] = line + (random() % 3 ? "" : "  # moved");
  }
  return joined(lines);
}

}  // namespace

TEST_CASE("a corpus against itself has not changed") {
  const review::FamilyReview croft = croft_after(croft_alone());
  CHECK(croft.status == review::Status::unchanged);
  CHECK(croft.packs_identical);
  CHECK(review::summary_of(croft) == "no change in meaning; packs identical");
}

TEST_CASE("re-ordered, re-spaced and commented rows are no change in meaning") {
  std::mt19937 random(20261);
  const std::unique_ptr<Compiled> base = lt::compile_files(lt::reference());
  for (int i = 0; i < lt::tries(6); ++i) {
    lt::FixtureFiles files = lt::reference();
    size_t disturbed_files = 0;
    for (auto& [path, text] : files.files) {
      if (path.find("/looms/") == std::string::npos) continue;
      const std::string before = text;
      text = disturbed(text, random);
      disturbed_files += text != before;
    }
    REQUIRE(disturbed_files > 5);
    const std::unique_ptr<Compiled> head = lt::compile_files(files);
    for (const review::FamilyReview& family : review::review(inputs(*base), inputs(*head)).families) {
      INFO(family.id);
      CHECK(review::summary_of(family) == "no change in meaning; packs identical");
    }
  }
}

TEST_CASE("files under other names and circuits in another order are no change in meaning") {
  lt::FixtureFiles files = croft_alone();
  const auto key = std::find_if(files.files.begin(), files.files.end(),
                                [](const auto& file) { return file.first.ends_with("/croft/looms/chassis.yaml"); });
  REQUIRE(key != files.files.end());
  std::string other = key->first;
  replace_once(other, "chassis.yaml", "z-other.yaml");
  files.files[other] = key->second;
  files.files.erase(key);
  // The rows of circuits.yaml from the last to the first.
  std::string& circuits = file_of(files, "./families/croft/circuits.yaml");
  std::vector<std::string> lines = lines_of(circuits), rows;
  std::vector<size_t> at;
  for (size_t i = 0; i < lines.size(); ++i)
    if (lines[i].starts_with("  ") && lines[i][2] != ' ' && lines[i].find("}") == lines[i].size() - 1)
      at.push_back(i), rows.push_back(lines[i]);
  REQUIRE(rows.size() > 20);
  for (size_t i = 0; i < at.size(); ++i) lines[at[i]] = rows[rows.size() - 1 - i];
  circuits = joined(lines);
  CHECK(croft_after(files).status == review::Status::unchanged);
}

TEST_CASE("a wire in another colour") {
  const review::FamilyReview croft =
      croft_with("./families/croft/looms/tail.yaml", "to: T3.58,    colour: GY/GN", "to: T3.58,    colour: GY/RD");
  REQUIRE(words_of(croft).size() == 1);
  CHECK(croft.changes[0].words.starts_with("SIDE-R recoloured from GY/GN to GY/RD at T"));
  CHECK(croft.changes[0].kind == "recoloured");
  CHECK(croft.changes[0].place == "TAIL-LOOM");
  CHECK(croft.changes[0].cells == "all");
  CHECK(croft.changes[0].risk == review::Risk::other);
}

TEST_CASE("two ends exchanged are told as that, with the risk of what they carry") {
  lt::FixtureFiles files = croft_alone();
  std::string& pump = file_of(files, "./families/croft/looms/pump.yaml");
  replace_once(pump, "from: P1.4,", "from: P1.@,");
  replace_once(pump, "from: P1.5,", "from: P1.4,");
  replace_once(pump, "from: P1.@,", "from: P1.5,");
  const review::FamilyReview croft = croft_after(files);
  CHECK(words_of(croft) == std::vector<std::string>{"RACK-POS and RACK-RTN exchanged P1.4 and P1.5"});
  CHECK(croft.changes[0].risk == review::Risk::return_);
  CHECK(croft.changes[0].nature == review::Nature::metal);
}

TEST_CASE("an id renamed everywhere is one renaming and nothing else") {
  lt::FixtureFiles files = croft_alone();
  size_t count = 0;
  for (auto& [path, text] : files.files) count += replace_all(text, "RACK-REF", "RACK-SUPPLY");
  REQUIRE(count > 5);
  const review::FamilyReview croft = croft_after(files);
  CHECK(croft.renamed == std::vector<std::string>{"circuit RACK-REF renamed RACK-SUPPLY"});
  CHECK(words_of(croft).empty());
  CHECK(review::summary_of(croft) == "1 renamed");
}

TEST_CASE("a source weakened is evidence, and told with what it rests on now") {
  lt::FixtureFiles files = croft_alone();
  std::string& sources = file_of(files, "./sources.yaml");
  const size_t at = sources.find("kind: invented", sources.find("croft-manual-c:"));
  sources.replace(at, std::string("kind: invented").size(), "kind: memory");
  const review::FamilyReview croft = croft_after(files);
  REQUIRE(words_of(croft).size() == 1);
  CHECK(croft.changes[0].words == "kind of source croft-manual-c changed from invented to memory");
}

TEST_CASE("siblings of which one did not change are named") {
  lt::FixtureFiles files = croft_alone();
  std::string& text = file_of(files, chassis);
  for (const char* other : {"OG,   ", "OG/BK,", "OG/WH,"}) {
    const std::string was = std::string("colour: ") + other + " mm2: 2.5,                   with";
    replace_once(text, was, "colour: VT,    mm2: 2.5,                   with");
  }
  const review::FamilyReview croft = croft_after(files);
  CHECK(croft.siblings == std::vector<std::string>{"3 of the 4 GLOW circuits changed, GLOW-4 did not"});
}

TEST_CASE("a family that does not compile is not compared, and never called unchanged") {
  const review::FamilyReview croft = croft_with(chassis, "loom: chassis", "loom: chassis\nodd-key: 1");
  CHECK(croft.status == review::Status::not_compared);
  CHECK_FALSE(review::summary_of(croft).empty());
}

TEST_CASE("reasons that say nothing are known from those that say something") {
  for (const char* talk :
       {"", "tbd", "n/a", "TODO", "changed in era c", "see manual", "pins differ", "different wiring", "???"})
    CHECK(review::is_empty_talk(talk));
  for (const char* reason : {"new output stage", "one 20-way plug parted in two at the cab hinge", "Zündung verlegt"})
    CHECK_FALSE(review::is_empty_talk(reason));
}
