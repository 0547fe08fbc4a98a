// What the text says counts, not how it is laid out: order, indentation and threads change nothing. And the corpora at
// hand are clean, with every rule judging something in the reference corpus.
#include <catch2/catch.hpp>

#include <random>
#include <set>

#include "diag/render.h"
#include "editable_yaml.h"
#include "family/fields.h"
#include "fixture_harness.h"
#include "pack/pack.h"

using namespace loomproof;
namespace lt = loomproof::testing;
namespace fs = std::filesystem;

namespace {

const fs::path reference = fs::path(LOOMPROOF_SOURCE_DIR) / "reference";

// Every family's tables as bytes: equal packs are equal tables.
std::map<std::string, std::string> packs(const Compiled& compiled) {
  std::map<std::string, std::string> all;
  for (const CompiledFamily& each : compiled.families)
    all[std::string(each.family.text(each.family.id))] = pack::write(each.family);
  return all;
}

// The first table in which two families differ, and the row; empty where they are equal to the last word.
std::string difference(Family& a, Family& b) {
  for (size_t i = 0; i < std::min(a.strings.size(), b.strings.size()); ++i)
    if (a.strings[i] != b.strings[i]) return "strings: " + a.strings[i] + " | " + b.strings[i];
  if (a.cell_sets != b.cell_sets) return "cell_sets";
  std::vector<std::pair<Table, std::string>> tables;
  each_table(a, [&](Table table, const auto& rows) {
    const auto* bytes = reinterpret_cast<const char*>(rows.data());
    tables.emplace_back(table, std::string(bytes, rows.size() * sizeof(rows[0])));
  });
  std::string first;
  size_t next = 0;
  each_table(b, [&](Table table, const auto& rows) {
    const auto* bytes = reinterpret_cast<const char*>(rows.data());
    const std::string other(bytes, rows.size() * sizeof(rows[0]));
    const std::string& own = tables[next++].second;
    if (!first.empty() || own == other) return;
    size_t at = 0;
    while (at < std::min(own.size(), other.size()) && own[at] == other[at]) ++at;
    first = std::string(table_name(table)) + ", row " + std::to_string(at / sizeof(rows[0]));
  });
  return first;
}

// Lists whose order says nothing: one row a wire, a plug, a build, an element inside, a part number, a change, a step.
// The order of eras, values, ends and faces does say something.
bool is_free(std::string_view key) {
  static const std::set<std::string_view> free = {"wires",   "plugs",   "inside",     "builds", "numbers", "mates",
                                                  "changes", "changed", "conductors", "joins",  "but"};
  return free.count(key) > 0;
}

void shuffle(lt::Yaml& node, std::string_view key, std::mt19937& random) {
  const bool is_ordered_map = key == "cautions";  // printed in their order
  if ((node.kind == yaml::Kind::map && !is_ordered_map) || is_free(key))
    std::shuffle(node.entries.begin(), node.entries.end(), random);
  for (auto& [name, child] : node.entries) shuffle(child, name, random);
}

std::string shuffled(const std::string& text, std::mt19937& random) {
  lt::Yaml root = lt::editable(text);
  shuffle(root, "", random);
  return lt::written(root, 2 + random() % 4);
}

// Every file in another order within, and the files of looms, components and changes under other names.
lt::FixtureFiles rearranged(const lt::FixtureFiles& files, uint32_t seed) {
  lt::FixtureFiles out;
  std::mt19937 random(seed);
  for (const auto& [path, text] : files.files) {
    std::string name = path;
    const bool may_be_renamed =
        path.find("/looms/") != std::string::npos || path.find("/components/") != std::string::npos ||
        path.find("/changes/") != std::string::npos || path.find("/housings/") != std::string::npos;
    if (may_be_renamed) name.insert(name.rfind('/') + 1, std::string(1, static_cast<char>('a' + random() % 26)) + "-");
    out.files[name] = shuffled(text, random);
  }
  return out;
}

void check_rearranged(const lt::FixtureFiles& files, const CompileOptions& options, uint32_t seeds) {
  const std::unique_ptr<Compiled> as_written = lt::compile_files(files, options);
  REQUIRE(as_written->families.size() == 1);
  for (uint32_t seed = 1; seed <= seeds; ++seed) {
    INFO("seed " << seed);
    const std::unique_ptr<Compiled> compiled = lt::compile_files(rearranged(files, seed), options);
    CHECK(lt::rendered(*compiled) == "");
    REQUIRE(compiled->families.size() == 1);
    CHECK(difference(as_written->families.front().family, compiled->families.front().family) == "");
    CHECK((packs(*compiled) == packs(*as_written)));
  }
}

}  // namespace

TEST_CASE("order and indentation change nothing: the base corpus") {
  check_rearranged(lt::base_corpus(), {.threads = 1}, 20);
}

TEST_CASE("order and indentation change nothing: the trailer couplings") {
  check_rearranged(lt::corpus_in_memory(reference), {.family = "trailer-12v", .threads = 1}, 4);
}

TEST_CASE("order and indentation change nothing: the Croft") {
  check_rearranged(lt::corpus_in_memory(reference), {.family = "croft", .threads = 1}, 2);
}

TEST_CASE("the number of threads changes nothing") {
  lt::FixtureFiles files = lt::corpus_in_memory(reference);
  // Some faults, in several families and shared files.
  for (auto& [path, text] : files.files)
    if (path.find("/looms/") != std::string::npos) text.replace(text.find("circuit: "), 9, "circut: ");
  for (const bool faulty : {false, true}) {
    const lt::FixtureFiles& corpus = faulty ? files : lt::corpus_in_memory(reference);
    const std::unique_ptr<Compiled> one = lt::compile_files(corpus, {.threads = 1});
    const std::unique_ptr<Compiled> eight = lt::compile_files(corpus, {.threads = 8});
    CHECK(one->report.empty() == !faulty);
    CHECK(lt::rendered(*one) == lt::rendered(*eight));
    CHECK(render_json(one->report.findings(), one->sources) == render_json(eight->report.findings(), eight->sources));
    CHECK((packs(*one) == packs(*eight)));
    for (const RuleInfo& info : all_rules())
      CHECK(one->report.judged_count(*find_rule(info.id)) == eight->report.judged_count(*find_rule(info.id)));
  }
}

TEST_CASE("one family alone gives what it gives among the others") {
  const std::unique_ptr<Compiled> all = lt::compile_files(lt::corpus_in_memory(reference));
  const auto wanted = packs(*all);
  REQUIRE(wanted.size() >= 2);
  for (const auto& [family, bytes] : wanted) {
    INFO(family);
    const std::unique_ptr<Compiled> alone =
        lt::compile_files(lt::corpus_in_memory(reference), {.family = family, .threads = 1});
    CHECK(lt::rendered(*alone) == "");
    REQUIRE(alone->families.size() == 1);
    CHECK(alone->families.front().judged);
    CHECK((pack::write(alone->families.front().family) == bytes));
  }
}

TEST_CASE("a family that is not there is a fault of the environment, with the nearest name") {
  CHECK_THROWS_WITH(lt::compile_files(lt::base_corpus(), {.family = "quil", .threads = 1}),
                    Catch::Contains("did you mean `quill`?"));
}

TEST_CASE("the reference corpus is clean, and every rule judges something in it") {
  const std::unique_ptr<Compiled> compiled = loomproof::compile(RealFiles(), reference.string(), {});
  CHECK(lt::rendered(*compiled) == "");
  CHECK(compiled->not_judged.empty());
  for (const CompiledFamily& each : compiled->families) CHECK(each.judged);
  for (const RuleInfo& info : all_rules()) {
    INFO(info.id);
    CHECK(compiled->report.judged_count(*find_rule(info.id)) > 0);
  }
}
