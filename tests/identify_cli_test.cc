// loombench identify as it is run, on the compiled packs of the corpus. UPDATE_EXPECTED=1 rewrites
// tests/fixtures/identify/.
#include <nlohmann/json.hpp>

#include "run_bench.h"

using namespace loomproof::testing;

namespace {

const std::string fixtures = std::string(LOOMPROOF_SOURCE_DIR) + "/tests/fixtures/identify/";

bool has(const std::string& text, const std::string& piece) {
  return text.find(piece) != text.npos;
}

}  // namespace

TEST_CASE("what identify prints") {
  const Run run = run_bench("identify " + fixtures + "chassis.yaml");
  CHECK(run.err.empty());
  hold_against("identify/chassis.txt", run.out);
  CHECK(run.status == 0);
  CHECK_FALSE(has(run.out, "CHASSIS-LOOM is "));  // like, never is
  CHECK(has(run.out, "Only a completed"));
  hold_against("identify/chassis.md", run_bench("identify " + fixtures + "chassis.yaml --format markdown").out);
}

TEST_CASE("what the decision sheet prints") {
  const Run run = run_bench("identify " + fixtures + "chassis.yaml --plan");
  CHECK(run.status == 0);
  hold_against("identify/plan.txt", run.out);
}

TEST_CASE("nothing stands out before anything is read") {
  const Run run = run_bench("identify " + fixtures + "two-places.yaml --format json");
  CHECK(run.status == 1);
  const auto json = nlohmann::json::parse(run.out);
  REQUIRE(json.at("places").size() == 2);
  for (const auto& place : json.at("places")) {
    const bool is_tail = place.at("place") == "TAIL-LOOM";  // the record has one alone, and one reading of it
    CHECK(place.at("leads").get<bool>() == is_tail);
    CHECK(place.at("readings").get<int>() == (is_tail ? 1 : 0));
    CHECK((place.at("verdict").get<std::string>().find("the only one recorded") != std::string::npos) == is_tail);
  }
  CHECK(json.at("places")[0].at("next").at("bits").get<double>() > 0.5);
  CHECK_FALSE(json.at("cautions").empty());
}

TEST_CASE("readings that cannot be are told where they stand") {
  const Run run = run_bench("identify " + fixtures + "faults.yaml");
  CHECK(run.status == 2);
  CHECK(run.out.empty());
  const std::string shown = run.err.substr(run.err.find("faults.yaml"));
  for (const char* place :
       {"faults.yaml:4:12:", "faults.yaml:5:14:", "faults.yaml:6:25:", "faults.yaml:7:14:", "faults.yaml:8:71:"}) {
    INFO(place << '\n' << run.err);
    CHECK(has(run.err, place));
  }
  CHECK(has(run.err, "firing circuit"));
  CHECK(has(run.err, "did you mean `C8`?"));
}

TEST_CASE("a card for buying") {
  const Run run = run_bench("identify " + fixtures + "chassis.yaml --looks-only");
  CHECK(run.status == 0);
  hold_against("identify/card.txt", run.out);
  CHECK_FALSE(has(run.out, "beeps"));
  CHECK(has(run.out, "belongs to a vehicle built 2001-01"));
}

TEST_CASE("a plug by its looks") {
  hold_against("identify/find.txt", run_bench("find --ways 12 --colours GN/WH,PK/WH,BN,SR").out);
  const Run fires = run_bench("find --key yellow");
  CHECK(has(fires.out, "MAY FIRE"));
  CHECK(has(fires.out, "STOP"));
  const Run nothing = run_bench("find --ways 7 --rows 5");
  CHECK(nothing.status == 1);
  CHECK(has(nothing.out, "0 recorded plugs"));
  CHECK(run_bench("find").status == 2);
  CHECK(run_bench("find --ways none").status == 2);
  CHECK(run_bench("find --colours green1").status == 2);
}

TEST_CASE("one way at a time") {
  const Run run = run_bench("identify " + fixtures + "chassis.yaml --plan --looks-only");
  CHECK(run.status == 2);
  CHECK(has(run.err, "take one"));
}
