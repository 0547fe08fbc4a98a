// The layout of corpus files. Every file of the reference corpus and of the fixtures is laid out twice, as it is and
// after random damage to its layout, and read by the YAML reader: the same data, the same comments, and no second
// change.
#include "upkeep/tidy.h"

#include <algorithm>
#include <catch2/catch.hpp>
#include <map>
#include <random>

#include "fixture_harness.h"
#include "upkeep/rows.h"
#include "yaml/tree.h"

using namespace loomproof;
using namespace loomproof::upkeep;
namespace lt = loomproof::testing;

namespace {

// What a text says, whatever the order of keys in its maps. Lists keep theirs.
std::string meaning(const yaml::Node& node) {
  if (node.is_map()) {
    std::map<std::string, std::string> entries;
    for (const yaml::Node entry : node) entries[std::string(entry.key())] = meaning(entry);
    std::string out = "{";
    for (const auto& [key, value] : entries) out += key + "=" + value + ";";
    return out + "}";
  }
  if (node.is_sequence()) {
    std::string out = "[";
    for (const yaml::Node entry : node) out += meaning(entry) + ";";
    return out + "]";
  }
  return std::string(node.quoted() ? "'" : "") + std::string(node.text());
}

std::string meaning_of(const std::string& text) {
  Sources sources;
  const FileId id = sources.add("x.yaml", text);
  Report report;
  const yaml::Tree tree = yaml::Tree::read(sources.file(id), id, report);
  return tree.root() ? meaning(tree.root()) : "unreadable";
}

std::vector<std::string> comments_of(const std::string& text) {
  std::vector<std::string> comments;
  for (size_t begin = 0; begin < text.size();) {
    const size_t end = std::min(text.find('\n', begin), text.size());
    const std::string line = text.substr(begin, end - begin);
    const size_t at = comment_begin(line);
    if (at != std::string::npos) comments.push_back(line.substr(at, line.find_last_not_of(" \r") + 1 - at));
    begin = end + 1;
  }
  std::sort(comments.begin(), comments.end());
  return comments;
}

std::vector<std::pair<std::string, std::string>> all_files() {
  std::vector<std::pair<std::string, std::string>> files;
  for (const auto& root : {lt::fs::path(LOOMPROOF_SOURCE_DIR) / "reference", lt::fixtures_root()})
    for (const auto& entry : lt::fs::recursive_directory_iterator(root))
      if (entry.is_regular_file() && entry.path().extension() == ".yaml")
        files.emplace_back(entry.path().string(), lt::contents(entry.path()));
  return files;
}

// Blanks where YAML allows them: behind the commas of rows, and empty lines.
std::string disturbed(const std::string& text, std::mt19937& random) {
  std::string out;
  for (size_t begin = 0; begin < text.size();) {
    const size_t end = std::min(text.find('\n', begin), text.size());
    const std::string line = text.substr(begin, end - begin);
    if (parse_row(line)) {
      for (size_t i = 0; i < line.size(); ++i) {
        out += line[i];
        if (i > 0 && line[i] == ' ' && line[i - 1] == ',' && line.find('"') == line.npos &&
            line.find('\'') == line.npos)
          out.append(random() % 4, ' ');
      }
      out.append(random() % 3, ' ');
    } else {
      out += line;
    }
    out += '\n';
    begin = end + 1;
  }
  return out;
}

}  // namespace

TEST_CASE("tidying changes neither data nor comments, and nothing the second time") {
  std::mt19937 random(7);
  size_t judged = 0, changed = 0;
  for (const auto& [path, text] : all_files()) {
    const std::string before = meaning_of(text);
    if (before == "unreadable") continue;
    for (int round = 0; round < lt::tries(3); ++round) {
      const std::string input = round == 0 ? text : disturbed(text, random);
      INFO(path << " round " << round);
      REQUIRE(meaning_of(input) == before);
      const std::string once = tidied(input);
      CHECK(meaning_of(once) == before);
      CHECK(comments_of(once) == comments_of(input));
      CHECK(tidied(once) == once);
      ++judged;
      changed += once != input;
    }
  }
  CHECK(judged > 150);
  CHECK(changed > 50);
}

TEST_CASE("the reference corpus is tidy") {
  for (const auto& [path, text] : all_files()) {
    if (path.find("/reference/") == path.npos || path.find("/fixtures/") != path.npos) continue;
    INFO(path);
    CHECK(tidied(text) == text);
  }
}

TEST_CASE("rows come in line, keys in order, pins by their number") {
  CHECK(tidied("wires:\n"
               "  - {circuit: A, to: C2.1, from: C1.1, colour: RD, mm2: 1}   # first  \n"
               "  - {circuit: LONG, from: C10.1,   to: C2.2, colour: RD/WH, mm2: 1, eras: a}\n\n\n\n") ==
        "wires:\n"
        "  - {circuit: A,    from: C1.1,  to: C2.1, colour: RD,    mm2: 1}    # first\n"
        "  - {circuit: LONG, from: C10.1, to: C2.2, colour: RD/WH, mm2: 1, eras: a}\n");
  CHECK(tidied("    pins:\n      10: {circuit: A, role: open}\n      2:  {circuit: B, role: open}\n") ==
        "    pins:\n      2:  {circuit: B, role: open}\n      10: {circuit: A, role: open}\n");
  CHECK(tidied("    pins:\n      10: {role: open}\n      # the other\n      2: {role: open}\n") ==
        "    pins:\n      10: {role: open}\n      # the other\n      2: {role: open}\n");
}

TEST_CASE("text over several lines stays to the byte") {
  const std::string text = "note: >-\n  a row: {b: c,   d: e}  \n\n\n  - {circuit: A,  to: B,from: C}\n";
  CHECK(tidied(text) == text);
}

TEST_CASE("numbers as a hand counts them") {
  CHECK(numbers_before("2", "10"));
  CHECK(numbers_before("C2.1", "C10.1"));
  CHECK(numbers_before("56a", "56b"));
  CHECK(numbers_before("56", "56a"));
  CHECK_FALSE(numbers_before("10", "2"));
  CHECK_FALSE(numbers_before("7", "7"));
}
