// loombench fit as it is run, on the compiled packs of the corpus. The Croft and what is done to its looms is invented;
// what the trailer couplings do to each other follows from ISO 1724, ISO 3732 and ISO 11446 as reference/ has them.
#include <nlohmann/json.hpp>

#include "run_bench.h"

using loomproof::testing::Run;

namespace {

Run fit(const std::string& arguments) {
  return loomproof::testing::run_bench("fit " + arguments);
}

nlohmann::json judged(const std::string& arguments) {
  return nlohmann::json::parse(fit(arguments + " --format json").out);
}

const std::string build_c = "croft --others era=c,exhaust-brake=none,supply=24V ";

}  // namespace

TEST_CASE("a factory build fits as far as it is known, and is not called proven while a cavity is unknown") {
  for (const char* build : {"era=a,exhaust-brake=none,supply=12V", "era=b,exhaust-brake=fitted,supply=24V",
                            "era=d,exhaust-brake=none,supply=24V"}) {
    INFO(build);
    const Run run = fit("croft --format json --others " + std::string(build));
    const auto answer = nlohmann::json::parse(run.out);
    CHECK(answer["verdict"]["best"] == "fits");
    CHECK(answer["verdict"]["proven"] == false);
    CHECK(answer["look-at"].size() >= 1);
    CHECK(answer["reasons"].empty());
    CHECK(run.status == 1);
  }
  const Run known = fit("croft --format json --others era=c,exhaust-brake=fitted,supply=12V");
  CHECK(nlohmann::json::parse(known.out)["verdict"]["proven"] == true);
  CHECK(known.status == 0);
}

TEST_CASE("combinations that somebody could make") {
  struct Case {
    std::string what, best, reason, mend;
  };
  const Case cases[] = {
      {build_c + "PUMP-UNIT:unit-12-c", "destroys a part", "PUMP-UNIT.X1.3 (takes-feed, 12 V", "unit-24-c"},
      {build_c + "--found 'CHASSIS-LOOM: bridged C1.8 C1.4'", "endangers people", "LIFT-RELAY.X1.85", ""},
      {build_c + "--found 'CHASSIS-LOOM: bridged C1.23 C1.4'", "destroys a part", "must be kept apart", ""},
      {build_c + "--found 'CHASSIS-LOOM: cut C1.21'", "does not work", "PEDAL-SENSOR.X1.1", ""},
      {build_c + "--found 'CHASSIS-LOOM: moved C1.7 C1.8' --found 'CHASSIS-LOOM: moved C1.8 C1.7'", "destroys a part",
       "PUMP-UNIT.X1.8 (pulls-low, 24 V, LIFT-RLY) meets GLOW-RELAY.X1.85", "chassis as built in era c"},
      {build_c + "--found 'BELT-LOOM: bridged Y1.1 Y1.2'", "endangers people", "BELT-HI",
       "none here: a firing circuit is for the maker's manual and licensed practice alone"},
      {build_c + "CODE-PLUG:none", "fits, with loose ends", "CHASSIS-LOOM.C36 hangs loose", "cap CHASSIS-LOOM.C36"},
      {"croft --others era=b,exhaust-brake=none,supply=12V CAB-LOOM:era=c,exhaust-brake=none", "does not work",
       "CAB-LOOM.C8 hangs loose", "cap CAB-LOOM.C8"},
  };
  for (const Case& each : cases) {
    INFO(each.what);
    const auto answer = judged(each.what);
    CHECK(answer["verdict"]["best"] == each.best);
    bool is_told = false;
    for (const auto& reason : answer["reasons"]) {
      if (reason["what"].get<std::string>().find(each.reason) == std::string::npos) continue;
      is_told |= each.mend.empty() || reason.value("mend", "").find(each.mend) != std::string::npos;
    }
    INFO(answer["reasons"].dump(1));
    CHECK(is_told);
  }
}

TEST_CASE("nobody is led to work on a firing circuit") {
  const auto answer = judged(build_c + "--found 'BELT-LOOM: bridged Y1.1 Y1.2'");
  for (const auto& reason : answer["reasons"])
    if (reason["what"].get<std::string>().find("firing") != std::string::npos)
      CHECK(reason["mend"] == "none here: a firing circuit is for the maker's manual and licensed practice alone");
  CHECK(answer["cautions"].dump().find("airbag") != std::string::npos);
  CHECK(answer["cautions"].dump().find("Never put a meter") != std::string::npos);
}

TEST_CASE("the bar that shorts an open firing plug is no fault: it makes the plug safe") {
  const auto answer = judged(build_c + "BELT-UNIT:none");
  CHECK(answer["reasons"].dump().find("are joined") == std::string::npos);
  CHECK(answer["reasons"].dump().find("nothing is in BELT-UNIT") != std::string::npos);
}

TEST_CASE("a coupling fits its own and no other without an adapter (ISO 1724, ISO 3732, ISO 11446)") {
  const std::string types[] = {"12N", "12S", "13-way"};
  for (const std::string& socket : types)
    for (const std::string& plug : types) {
      INFO(socket << " socket, " << plug << " plug");
      const Run run = fit("trailer-12v TOW-VEHICLE:era=ed2004,coupling=" + socket +
                          " TRAILER:era=ed2004,coupling=" + plug + " ADAPTER:none --format json");
      const auto answer = nlohmann::json::parse(run.out);
      // What lies behind contact 2 of 12S is not said by ISO 3732, and older practice charged a battery by it.
      const bool is_proven = socket != "12S" || plug != "12S";
      CHECK(answer["verdict"]["proven"] == is_proven);
      CHECK(answer["cautions"].dump().find("airbag") == std::string::npos);       // nothing there fires
      CHECK(answer["cautions"].dump().find("yellow plug") != std::string::npos);  // that is recorded: look all the same
      CHECK_FALSE(answer.contains("judged"));                                     // every place is named
      CHECK((answer["verdict"]["best"] == "fits") == (socket == plug));
      CHECK(run.status == (socket == plug && is_proven ? 0 : 1));
      CHECK((answer.dump().find("L-2") != std::string::npos) != is_proven);
      const bool is_hindered = answer["reasons"].dump().find("does not go into") != std::string::npos;
      CHECK(is_hindered == (socket != plug));
    }
}

TEST_CASE("where re-pinning a loom helps, it is said with its work, and decides among fillings that are as bad") {
  const auto answer = judged("croft --others era=b,exhaust-brake=none,supply=24V PUMP-UNIT:unit-24-c");
  CHECK(answer["verdict"]["best"] == "does not work");
  CHECK(answer["re-pin"]["place"] == "CHASSIS-LOOM");
  CHECK(answer["re-pin"]["operations"] == 4);
  CHECK(answer["re-pin"]["then"] == "fits");
  const auto ranked =
      judged("croft CHASSIS-LOOM:era=b,exhaust-brake=none,supply=24V PUMP-UNIT:unit-24-c CAB-LOOM:era=a --keep 4");
  REQUIRE(ranked["fillings"].size() == 4);
  bool has_help = true;
  for (const auto& filling : ranked["fillings"]) {
    CHECK((has_help || !filling.contains("re-pin")));
    has_help = filling.contains("re-pin");
  }
  CHECK(judged(build_c).contains("re-pin") == false);
}

TEST_CASE("what cannot be judged is one line with the nearest name, exit status 2") {
  const std::pair<std::string, std::string> cases[] = {
      {"croft PUMPUNIT:unit-12-c", "loombench: no place \"PUMPUNIT\"; did you mean PUMP-UNIT?\n"},
      {"croft PUMP-UNIT:unit-12-cc", "loombench: no part of PUMP-UNIT \"unit-12-cc\"; did you mean unit-12-c?\n"},
      {"croft CAB-LOOM:unit-12-c", "loombench: unit-12-c goes into PUMP-UNIT, not into CAB-LOOM\n"},
      {"croft CAB-LOOM:cab CAB-LOOM:era=a", "loombench: CAB-LOOM is named twice\n"},
      {"croft CAB-LOOM:era=e", "loombench: no era \"e\"; there is a, b, c, d\n"},
      {"croft CAB-LOOM:sort=a", "loombench: no option \"sort\"; there is era, exhaust-brake, supply\n"},
      {"croft PUMP-UNIT:unit-12-c,era=a", "loombench: nothing was built for PUMP-UNIT with \"unit-12-c,era=a\"\n"},
      {"croft PUMP-UNIT", "loombench: \"PUMP-UNIT\" is no PLACE:WHAT, as in CHASSIS-LOOM:era=c,supply=24V\n"},
      {"croft --others era=d,supply=12V", "loombench: nothing was built with \"era=d,supply=12V\"\n"},
      {build_c + "--found 'CHASSIS-LOOM: cut C1.99'",
       "loombench: edit \"cut C1.99\": no end of chassis \"C1.99\"; did you mean C1.19?\n"},
      {"croft --found 'CHASSIS-LOOM: cut C1.12'", "loombench: say which CHASSIS-LOOM was found: there are 14\n"},
  };
  for (const auto& [arguments, line] : cases) {
    INFO(arguments);
    const Run run = fit(arguments);
    CHECK(run.status == 2);
    CHECK(run.err == line);
    CHECK(run.out.empty());
  }
}

TEST_CASE("what is on the shelf is used, and nothing else") {
  const auto answer =
      judged("croft CHASSIS-LOOM:era=c,exhaust-brake=none,supply=24V --have CAB-LOOM:era=b --have CAB-LOOM:era=c");
  CHECK(answer["parts"].size() > 40);
  for (const auto& part : answer["parts"]) {
    if (part["place"] == "CAB-LOOM") CHECK(part["cells"].get<std::string>().find("era c") != std::string::npos);
    if (part["place"] == "BATTERY") CHECK(part["part"].is_null());
  }
}
