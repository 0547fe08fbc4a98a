// `check --fix`: which edits are certain, what they do to files, and what is left alone.
#include <catch2/catch.hpp>
#include <fstream>
#include <nlohmann/json.hpp>

#include "diag/suggest.h"
#include "fixture_harness.h"
#include "upkeep/mend.h"
#include "upkeep_run.h"

namespace lt = loomproof::testing;
namespace fs = std::filesystem;
using namespace loomproof;
using lt::Folder;
using lt::Ran;
using lt::run;
using Names = std::vector<std::string_view>;

namespace {

const std::string loom = "corpus/families/heron/looms/main.yaml";

// A corpus of one small family, its loom edited.
class Heron {
 public:
  Heron() {
    REQUIRE(run("start heron corpus", folder.path).status == 0);
    good = text();
  }
  std::string text() const { return lt::contents(folder.path / loom); }
  void replace(const std::string& from, const std::string& to) {
    std::string all = text();
    const size_t at = all.find(from);
    REQUIRE(at != std::string::npos);
    std::ofstream(folder.path / loom, std::ios::binary) << all.replace(at, from.size(), to);
  }
  Ran check(const std::string& arguments) const { return run("check corpus " + arguments, folder.path); }

  Folder folder;
  std::string good;
};

size_t comments(const std::string& text) {
  return static_cast<size_t>(std::count(text.begin(), text.end(), '#'));
}

}  // namespace

TEST_CASE("a name is certain where case alone differs, and one name is meant") {
  CHECK(surely_named("gnd-pwr", Names{"GND-PWR", "GND"}) == "GND-PWR");
  CHECK(surely_named("GND_PWR", Names{"GND-PWR", "GND"}) == "GND-PWR");
  CHECK(surely_named("gnd", Names{"GND", "Gnd"}).empty());
  CHECK(surely_named("C12", Names{"C1-2", "C13", "C1"}).empty());
  CHECK(surely_named("FEED-L", Names{"FEED-R"}).empty());
  CHECK(surely_named("RACK-POSN", Names{"RACK-POS"}).empty());
  CHECK(surely_named("a", Names{}).empty());
}

TEST_CASE("a word is certain an edit away, where it is long and no other is near") {
  CHECK(surely_meant("color", Names{"colour", "circuit"}) == "colour");
  CHECK(surely_meant("Unknown", Names{"unknown", "empty"}) == "unknown");
  CHECK(surely_meant("unkown", Names{"unknown", "empty"}) == "unknown");
  CHECK(surely_meant("gives-low", Names{"takes-low"}).empty());
  CHECK(surely_meant("form", Names{"from"}).empty());
  CHECK(surely_meant("senses-hih", Names{"senses-high", "senses-hi"}).empty());
  CHECK(surely_meant("wired1", Names{"wired"}).empty());
  CHECK(surely_meant("series-13", Names{"series-12"}).empty());
}

TEST_CASE("--fix makes every certain edit, says which, and keeps all else to the byte") {
  Heron heron;
  heron.replace("{circuit: BAT,  from: C1.1, to: C2.1, colour: RD,    mm2: 2.5}",
                "{circuit: bat,  from: C1.1, to: C2.1, color: RD,    mm2: \"2.5\"}");
  const Ran ran = heron.check("--fix");
  CHECK(ran.out ==
        "corpus/families/heron/looms/main.yaml:13:43: mended[unknown-key]: `color` is now `colour`\n"
        "corpus/families/heron/looms/main.yaml:13:62: mended[wrong-type]: `\"2.5\"` is now `2.5`\n"
        "corpus/families/heron/looms/main.yaml:13:15: mended[unknown-name]: `bat` is now `BAT`\n"
        "3 edits in 1 file\n\nno findings\n");
  CHECK(ran.status == 0);
  CHECK(heron.text() == heron.good);
  CHECK_FALSE(fs::exists(heron.folder.path / "corpus/.new"));
  const Ran again = heron.check("--fix");
  CHECK(again.out == "nothing to mend that is certain\n\nno findings\n");
  CHECK(heron.text() == heron.good);
}

TEST_CASE("--fix: what is applied stands in the JSON, and beside the SARIF") {
  Heron heron;
  heron.replace("colour: RD,", "color: RD,");
  CHECK(heron.check("").out.ends_with("in order\n`loomproof check corpus --fix` mends 1 of them\n"));
  const nlohmann::json plain = nlohmann::json::parse(heron.check("--format json").out);
  CHECK_FALSE(plain.contains("applied"));
  CHECK(plain["findings"][0]["fixes"][0]["certain"] == true);
  const nlohmann::json json = nlohmann::json::parse(heron.check("--fix --format json").out);
  REQUIRE(json["applied"].size() == 1);
  CHECK(json["applied"][0]["rule"] == "unknown-key");
  CHECK(json["applied"][0]["was"] == "color");
  CHECK(json["applied"][0]["now"] == "colour");
  CHECK(json["applied"][0]["path"] == loom);
  CHECK(json["applied"][0]["line"] == 13);
  CHECK(json["findings"].empty());
  heron.replace("colour: RD,", "color: RD,");
  const Ran sarif = heron.check("--fix --format sarif");  // both streams
  CHECK(sarif.out.find("mended[unknown-key]") != std::string::npos);
  CHECK(sarif.out.find("\"results\": []") != std::string::npos);
}

TEST_CASE("--fix: what may be another wire is left to a hand") {
  for (const auto& [from, to] : {std::pair{"to: C2.1", "to: C4.1"}, std::pair{"circuit: BAT", "circuit: BATT"},
                                 std::pair{"colour: RD,", "color: 2,"}, std::pair{"from: C1.1", "from: C1.9"},
                                 std::pair{"colour: RD,", "colour: red,"}, std::pair{"to: C2.1", "to: c2.1"},
                                 std::pair{"colour: RD,", "color: RD, colur: BN,"}}) {
    Heron heron;
    heron.replace(from, to);
    const std::string before = heron.text();
    const Ran ran = heron.check("--fix");
    INFO(to << '\n' << ran.out);
    CHECK(ran.status == 1);
    CHECK(ran.out.starts_with("nothing to mend that is certain\n"));
    CHECK(heron.text() == before);
  }
}

TEST_CASE("of edits that overlap the first is made, and the others wait for the next round") {
  Sources sources;
  const FileId file = sources.add("a.yaml", "abcdef\n");
  Report report;
  report.add<Rule::unused>({file, 0, 1}, "x", "1").fix({file, 1, 3}, "X", true);
  report.add<Rule::unused>({file, 0, 1}, "x", "2").fix({file, 2, 4}, "Y", true);
  report.add<Rule::unused>({file, 0, 1}, "x", "3").fix({file, 3, 3}, "Z", true);
  report.add<Rule::unused>({file, 0, 1}, "x", "4").fix({file, 3, 3}, "V", true);
  report.add<Rule::unused>({file, 0, 1}, "x", "5").fix({file, 4, 5}, "W", false);
  const upkeep::Edits edits = upkeep::certain_edits(report.findings(), sources);
  REQUIRE(edits.made.size() == 2);
  CHECK(edits.made[0].was == "bc");
  CHECK(edits.texts.at("a.yaml") == "aXZdef\n");
  CHECK(upkeep::certain_edits(report.findings(), sources, {{"a.yaml", true}}).made.empty());
}

// Over every faulty corpus of the fixtures: mending twice is mending once, findings get no more, comments stay.
TEST_CASE("mending is settled after once, whatever the fault") {
  size_t corpora = 0, edits = 0;
  for (const auto& rule : fs::directory_iterator(lt::fixtures_root() / "rules"))
    for (const fs::path& folder : lt::cases(rule.path(), "fires")) {
      INFO(folder.string());
      lt::Fixture fixture = lt::load_fixture(folder);
      CompileOptions options{.threads = 1};
      options.limits = fixture.limits;
      const size_t before = compile(fixture.files, lt::corpus_folder, options)->report.findings().size();
      const upkeep::Mended mended = upkeep::mend(fixture.files, lt::corpus_folder, options);
      ++corpora, edits += mended.made.size();
      CHECK(mended.compiled->report.findings().size() <= before);
      CHECK(mended.before.size() == mended.after.size());
      for (const auto& [path, text] : mended.after) {
        CHECK(comments(text) == comments(mended.before.at(path)));
        REQUIRE(fixture.files.files.contains("./" + path));
        fixture.files.files["./" + path] = text;
      }
      for (const AppliedFix& fix : mended.made) CHECK(fix.was != fix.now);
      CHECK(upkeep::mend(fixture.files, lt::corpus_folder, options).made.empty());
    }
  CHECK(corpora > 60);
  CHECK(edits > 0);
}
