// The registry is whole: every rule has its words, snippets that read as YAML, and fixtures; no fixture is of no rule.
#include <catch2/catch.hpp>
#include <regex>
#include <set>

#include "fixture_harness.h"

using namespace loomproof;
namespace lt = loomproof::testing;
namespace fs = std::filesystem;

namespace {

// The rules that reading a piece of text as YAML breaks.
std::set<std::string_view> broken_rules(std::string_view text) {
  Sources sources;
  const FileId id = sources.add("snippet.yaml", std::string(text));
  Report report;
  const yaml::Tree tree = yaml::Tree::read(sources.file(id), id, report);
  std::set<std::string_view> rules;
  for (const Finding& finding : report.findings()) rules.insert(rule_info(finding.rule).id);
  return rules;
}

fs::path folder_of(const RuleInfo& rule) {
  return lt::fixtures_root() / "rules" / std::string(rule.id);
}

}  // namespace

TEST_CASE("ids are kebab-case and unique") {
  std::set<std::string_view> ids;
  const std::regex kebab("[a-z0-9]+(-[a-z0-9]+)*");
  for (const RuleInfo& rule : all_rules()) {
    INFO(rule.id);
    CHECK(ids.insert(rule.id).second);
    CHECK(std::regex_match(std::string(rule.id), kebab));
  }
}

TEST_CASE("every rule says what holds, what was observed and why it matters") {
  for (const RuleInfo& rule : all_rules()) {
    INFO(rule.id);
    for (const std::string_view text : {rule.group, rule.summary, rule.format, rule.why, rule.fault, rule.mend})
      CHECK_FALSE(text.empty());
    CHECK(rule.summary.back() != '.');
    CHECK(rule.format.back() != '.');
    CHECK(rule.why.back() == '.');
    CHECK(rule.fault != rule.mend);
  }
}

// Rules of the group `text` show what cannot be read, or name it in words.
TEST_CASE("fault and mend read as YAML, but for the faults of the text itself") {
  for (const RuleInfo& rule : all_rules()) {
    INFO(rule.id);
    CHECK(broken_rules(rule.mend).empty());
    std::set<std::string_view> broken = broken_rules(rule.fault);
    if (rule.group == "text") broken.erase(rule.id);
    CHECK(broken.empty());
  }
}

TEST_CASE("every rule has a fault, a near miss and its output") {
  for (const RuleInfo& rule : all_rules()) {
    INFO(rule.id);
    const fs::path folder = folder_of(rule);
    const std::vector<fs::path> fires = lt::cases(folder, "fires");
    CHECK_FALSE(fires.empty());
    CHECK_FALSE(lt::cases(folder, "silent").empty());
    for (size_t i = 0; i < fires.size(); ++i)
      CHECK(fs::exists(folder / ("expected" + (i == 0 ? "" : "-" + std::to_string(i + 1)) + ".txt")));
  }
}

TEST_CASE("no fixture is left over") {
  for (const auto& entry : fs::directory_iterator(lt::fixtures_root() / "rules")) {
    const std::string id = entry.path().filename().string();
    INFO(id);
    CHECK(find_rule(id));
    const size_t fires = lt::cases(entry.path(), "fires").size(), silent = lt::cases(entry.path(), "silent").size();
    const auto held = std::distance(fs::directory_iterator(entry.path()), fs::directory_iterator());
    CHECK(static_cast<size_t>(held) == 2 * fires + silent);  // each fault with its output
  }
}
