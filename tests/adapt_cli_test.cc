// loombench adapt as it is run, on the compiled packs of the corpus: what it prints in each format, exit status, and
// questions that cannot be answered. UPDATE_EXPECTED=1 rewrites tests/fixtures/adapt/.
#include <algorithm>

#include "run_bench.h"

using loomproof::testing::hold_against;
using loomproof::testing::Run;

namespace {

Run adapt(const std::string& arguments) {
  return loomproof::testing::run_bench("adapt " + arguments);
}

const std::string unit_c_on_b =
    "croft PUMP-UNIT.X1:era=c,supply=12V croft CHASSIS-LOOM.C1:era=b,exhaust-brake=none,supply=12V";
const std::string unit_12_on_24 =
    "croft PUMP-UNIT.X1:era=c,supply=12V croft CHASSIS-LOOM.C1:era=c,exhaust-brake=none,supply=24V";
const std::string lamps =
    "trailer-12v TOW-VEHICLE.C1:era=ed2012,coupling=13-way trailer-12v TRAILER.C1:era=ed2012,coupling=12N";
const std::string caravan =
    "trailer-12v TOW-VEHICLE.C1:era=ed2012,coupling=13-way trailer-12v "
    "TRAILER.C1:era=ed2012,coupling=12N+TRAILER.C1:era=ed2012,coupling=12S";
const std::string tail_to_trailer =
    "croft CHASSIS-LOOM.C40:era=c,supply=12V trailer-12v TRAILER.C1:era=ed2012,coupling=12N";
const std::string belt = "croft BELT-UNIT:era=c,supply=12V croft BELT-LOOM.Y1:era=d";

}  // namespace

TEST_CASE("what adapt prints") {
  const Run unit = adapt(unit_c_on_b);
  CHECK(unit.status == 1);  // a disputed cavity
  CHECK(unit.out.find("maker's manual") < unit.out.find("Pin to pin"));
  hold_against("adapt/unit-c-on-b.txt", unit.out);
  hold_against("adapt/unit-12-on-24.txt", adapt(unit_12_on_24).out);
  const Run seven = adapt(lamps);
  CHECK(seven.status == 0);
  hold_against("adapt/trailer-13-12n.txt", seven.out);
  hold_against("adapt/trailer-13-12n.csv", adapt(lamps + " --format csv").out);
  hold_against("adapt/trailer-13-12n.json", adapt(lamps + " --format json").out);
  const Run both = adapt(caravan + " --format markdown");
  CHECK(both.status == 1);  // contact 2 of 12S
  hold_against("adapt/caravan.md", both.out);
  const Run tail = adapt(tail_to_trailer);
  CHECK(tail.status == 1);
  hold_against("adapt/tail-to-trailer.txt", tail.out);
  const Run fires = adapt(belt);
  CHECK(fires.status == 1);
  CHECK(fires.out.find("leave it to the maker's") != std::string::npos);
  hold_against("adapt/belt.txt", fires.out);
}

TEST_CASE("pages fit 80 columns") {
  for (const std::string& arguments : {unit_c_on_b, unit_12_on_24, lamps, caravan, tail_to_trailer, belt}) {
    std::istringstream lines(adapt(arguments).out);
    for (std::string line; std::getline(lines, line);) {
      INFO(line);
      size_t columns = 0;
      for (char byte : line) columns += (static_cast<unsigned char>(byte) & 0xc0) != 0x80;
      CHECK(columns <= 80);
    }
  }
}

TEST_CASE("what cannot be answered is one line, and nothing is printed") {
  const std::string right = " croft CHASSIS-LOOM.C1:era=c,exhaust-brake=none,supply=12V";
  const std::pair<std::string, std::string> cases[] = {
      {"crofts PUMP-UNIT.X1:era=c" + right, "did you mean croft?"},
      {"croft PUMP-UNIT.X1:era=c,supply=12V crift CHASSIS-LOOM.C1:era=c", "did you mean croft?"},
      {"croft PUMP-UNTI.X1:era=c" + right, "no place or part of croft \"PUMP-UNTI\"; did you mean PUMP-UNIT?"},
      {"croft PUMP-UNIT.X2:era=c" + right, "PUMP-UNIT has no connector \"X2\"; did you mean X1?"},
      {"croft CHASSIS-LOOM.C7:era=c" + right, "CHASSIS-LOOM has no C7 there; it has one in eras a..b"},
      {"croft PUMP-UNIT.X1.3:era=c" + right, "is one cavity; a side is whole connectors"},
      {"croft PUMP-UNIT.X1:era=z" + right, "no era \"z\"; there is a, b, c, d"},
      {"croft PUMP-UNIT.X1:supply=42V" + right, "no supply \"42V\""},
      {"croft PUMP-UNIT.X1:colour=red" + right, "no option \"colour\""},
      {"croft PUMP-UNIT.X1:late" + right, "a side takes eras and options, not \"late\""},
      {"croft PUMP-UNIT.X1:" + right, "an empty word"},
      {"croft PUMP-UNIT.X1:era=d,supply=12V" + right, "croft was never built with \"era=d,supply=12V\""},
      {"croft PUMP-UNIT.X1:era=c" + right, "leaves 2 that differ; say which: era c, supply 12V | era c, supply 24V"},
      {"croft NEEDLE-SENSOR:era=a" + right, "nothing was built for NEEDLE-SENSOR:era=a"},
      {"croft RADIO:era=a" + right, "nothing was built for RADIO:era=a"},
      {"croft ''" + right, "names no side"},
      {"croft PUMP-UNIT.X1:era=c,supply=12V+" + right, "names no side"},
      {"croft PUMP-UNIT:era=c,supply=12V+PUMP-UNIT.X1:era=c,supply=12V" + right, "names a connector twice"},
      {"croft PUMP-UNIT.X1:era=c,supply=12V croft", "other-side is required"},
      {unit_c_on_b + " --format sarif", "no format \"sarif\""},
  };
  for (const auto& [arguments, line] : cases) {
    const Run run = adapt(arguments);
    INFO(arguments << ": " << run.err);
    CHECK(run.status == 2);
    CHECK(run.out.empty());
    CHECK(run.err.find(line) != std::string::npos);
    CHECK(std::count(run.err.begin(), run.err.end(), '\n') == 1);
  }
}

TEST_CASE("help shows an example that runs") {
  const Run help = adapt("--help");
  CHECK(help.status == 0);
  CHECK(help.out.find("Example:") != std::string::npos);
  CHECK(help.out.find("CHASSIS-LOOM.C1:era=b,exhaust-brake=none,supply=12V") != std::string::npos);
}
