// Every rule on its fixture: it fires on the fault, alone, with the words that are written down; it is silent on the
// near miss, which it has judged. UPDATE_EXPECTED=1 rewrites the words; the other conditions hold all the same.
#include <catch2/catch.hpp>

#include "fixture_harness.h"

using namespace loomproof;
namespace lt = loomproof::testing;
namespace fs = std::filesystem;

namespace {

std::vector<fs::path> rule_folders() {
  std::vector<fs::path> folders;
  for (const auto& entry : fs::directory_iterator(lt::fixtures_root() / "rules")) folders.push_back(entry.path());
  std::sort(folders.begin(), folders.end());
  return folders;
}

// What is wrong with the findings of a faulty corpus; empty when the rule is found once and nothing beside what is
// said.
std::string wrong_findings(const Compiled& compiled, const lt::Fixture& fixture, const std::string& rule) {
  std::map<std::string, int> found;
  for (const Finding& finding : compiled.report.findings()) ++found[std::string(rule_info(finding.rule).id)];
  std::map<std::string, int> wanted = fixture.also;
  ++wanted[rule];
  if (found == wanted) return {};
  std::string words;
  for (const auto& [id, count] : wanted)
    if (found[id] != count)
      words += id + " " + std::to_string(found[id]) + " times, wanted " + std::to_string(count) + "\n";
  for (const auto& [id, count] : found)
    if (count > 0 && wanted.count(id) == 0) words += id + " beside it\n";
  return words + lt::rendered(compiled);
}

fs::path expected_of(const fs::path& fires) {
  const std::string name = fires.filename().string();
  return fires.parent_path() / ("expected" + name.substr(std::string("fires").size()) + ".txt");
}

}  // namespace

TEST_CASE("the base corpus is clean") {
  const std::unique_ptr<Compiled> compiled = lt::compile_files(lt::base_corpus());
  CHECK(lt::rendered(*compiled).empty());
  REQUIRE(compiled->families.size() == 1);
  CHECK(compiled->families.front().judged);
}

TEST_CASE("each rule fires on its fault, once, in its words") {
  for (const fs::path& folder : rule_folders()) {
    const std::string rule = folder.filename().string();
    for (const fs::path& fires : lt::cases(folder, "fires")) {
      DYNAMIC_SECTION(rule << " " << fires.filename().string()) {
        const lt::Fixture fixture = lt::load_fixture(fires);
        const std::unique_ptr<Compiled> compiled = lt::compile_fixture(fixture);
        CHECK(wrong_findings(*compiled, fixture, rule) == "");
        CHECK(lt::differs_from_expected(expected_of(fires), lt::rendered(*compiled)) == "");
      }
    }
  }
}

TEST_CASE("each rule judges its near miss and says nothing") {
  for (const fs::path& folder : rule_folders()) {
    const std::string rule = folder.filename().string();
    for (const fs::path& silent : lt::cases(folder, "silent")) {
      DYNAMIC_SECTION(rule << " " << silent.filename().string()) {
        const lt::Fixture fixture = lt::load_fixture(silent);
        CHECK(fixture.differs);
        const std::unique_ptr<Compiled> compiled = lt::compile_fixture(fixture);
        CHECK(lt::rendered(*compiled) == "");
        const Rule* known = find_rule(rule);
        REQUIRE(known);
        CHECK(compiled->report.judged_count(*known) > 0);
      }
    }
  }
}
