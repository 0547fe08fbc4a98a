// loombench repin as it is run, on the compiled packs of the corpus: what it prints in each format, exit status, and
// questions that cannot be answered. UPDATE_EXPECTED=1 rewrites tests/fixtures/repin/.
#include <algorithm>
#include <nlohmann/json.hpp>

#include "run_bench.h"

using loomproof::testing::hold_against;
using loomproof::testing::Run;

namespace {

Run repin(const std::string& arguments) {
  return loomproof::testing::run_bench("repin " + arguments);
}

const std::string b_to_c =
    "croft CHASSIS-LOOM --from era=b,exhaust-brake=none,supply=24V --to era=c,exhaust-brake=none,supply=24V";
const std::string b_with_unit_c =
    "croft CHASSIS-LOOM --from era=b,exhaust-brake=none,supply=24V --others era=b,exhaust-brake=none,supply=24V "
    "--beside PUMP-UNIT:unit-24-c";
const std::string tail =
    "croft TAIL-LOOM --from era=c --to era=c --found 'moved T1.1 T1.2' --found 'moved T1.2 T1.1' --found 'earth-gone "
    "E20'";
const std::string coupling = "trailer-12v TRAILER --from era=ed2004,coupling=13-way --to era=ed2004,coupling=12N";

}  // namespace

TEST_CASE("what repin prints") {
  const Run chassis = repin(b_to_c);
  CHECK(chassis.status == 1);  // cavities that nobody knows
  CHECK(chassis.out.find("NOT PROVEN") != std::string::npos);
  CHECK(chassis.out.find("maker's manual") < chassis.out.find("Move "));
  hold_against("repin/chassis-b-c.txt", chassis.out);
  const Run mended = repin(tail);
  CHECK(mended.status == 0);
  hold_against("repin/tail-mended.txt", mended.out);
  hold_against("repin/tail-mended.csv", repin(tail + " --format csv").out);
  hold_against("repin/tail-mended.json", repin(tail + " --format json").out);
  hold_against("repin/trailer-13-12n.md", repin(coupling + " --format markdown").out);
  const Run belt = repin("croft BELT-LOOM --from era=c --to era=c --found 'cut Y1.1'");
  CHECK(belt.status == 1);
  hold_against("repin/belt-refused.txt", belt.out);
  // The unit of era c on a loom of era b: three circuits sit elsewhere in its plug.
  const Run unit = repin(b_with_unit_c);
  CHECK(unit.status == 1);  // the work is proven; that the whole fits is not, for cavities nobody knows
  hold_against("repin/chassis-suits-unit-c.txt", unit.out);
  // With any colour a wire of the other era serves as it is.
  const auto free = nlohmann::json::parse(
      repin("croft CHASSIS-LOOM --from era=a,exhaust-brake=none,supply=24V --to era=b,exhaust-brake=none,supply=24V "
            "--colour free --format json")
          .out);
  CHECK(free["stays"].dump().find("CHARGE recoloured") != std::string::npos);
  const auto keep = nlohmann::json::parse(
      repin("croft CHASSIS-LOOM --from era=a,exhaust-brake=none,supply=24V --to era=b,exhaust-brake=none,supply=24V "
            "--format json")
          .out);
  CHECK(keep["stays"].empty());
  CHECK(keep["operations"] == free["operations"].get<int>() + 2);  // out with one wire, in with another
}

TEST_CASE("pages fit 80 columns") {
  for (const std::string& arguments : {b_to_c, b_with_unit_c, tail, coupling}) {
    std::istringstream lines(repin(arguments).out);
    for (std::string line; std::getline(lines, line);) {
      INFO(line);
      size_t columns = 0;
      for (char byte : line) columns += (static_cast<unsigned char>(byte) & 0xc0) != 0x80;
      CHECK(columns <= 80);
    }
  }
}

TEST_CASE("what cannot be answered is one line, and nothing is printed") {
  const std::pair<std::string, std::string> cases[] = {
      {"croft CHASIS-LOOM --from era=b --to era=c", "no place \"CHASIS-LOOM\"; did you mean CHASSIS-LOOM?"},
      {"croft PUMP-UNIT --from era=b --to era=c", "PUMP-UNIT holds a component; this is for looms"},
      {"croft TAIL-LOOM --from era=z --to era=c", "no era \"z\"; there is a, b, c, d"},
      {"croft TAIL-LOOM --from colour=b --to era=c", "no option \"colour\""},
      {"croft TAIL-LOOM --from late --to era=c", "--from takes eras and options, not \"late\""},
      {"croft BELT-LOOM --from era=a --to era=c", "--from: nothing was built for BELT-LOOM with \"era=a\""},
      {"croft CHASSIS-LOOM --from era=b,supply=24V --to era=c",
       "--from \"era=b,supply=24V\" leaves 2 looms of CHASSIS-LOOM; say which: era b, exhaust-brake none, supply 24V | "
       "era b, exhaust-brake fitted, supply 24V"},
      {"croft TAIL-LOOM --from era=c --to era=c --found 'moved T1.1 T1.99'", "no end of tail \"T1.99\""},
      {"croft TAIL-LOOM --from era=c --to era=c --found 'severed T1.1'", "no such edit \"severed\""},
      {"croft TAIL-LOOM --from era=c --to era=c --found 'cut T1.1' --found 'cut T1.1'",
       "another edit speaks of the same wire end"},
      {"croft TAIL-LOOM --from era=c --to era=c --colour any", "--colour takes keep or free, not \"any\""},
      {"croft TAIL-LOOM --from era=c --to era=c --format sarif", "no format \"sarif\""},
      {"croft TAIL-LOOM --from era=c", "--to another of its place, or --others a build to suit"},
      {"croft TAIL-LOOM --from era=c --to era=c --others era=c", "--to another of its place, or --others"},
      {"croft TAIL-LOOM --from era=c --to era=c --beside PUMP-UNIT:unit-24-c", "--beside goes with --others"},
      {"croft TAIL-LOOM --from era=c --others era=c --beside PUMP-UNIT:unit-24-x", "did you mean unit-24-"},
      {"croft TAIL-LOOM --from era=c --others era=x", "no era \"x\""},
      {"croft TAIL-LOOM --from era=c --others late", "--others takes eras and options, not \"late\""},
      {"crofts TAIL-LOOM --from era=c --to era=c", "did you mean croft?"},
  };
  for (const auto& [arguments, line] : cases) {
    const Run run = repin(arguments);
    INFO(arguments << ": " << run.err);
    CHECK(run.status == 2);
    CHECK(run.out.empty());
    CHECK(run.err.find(line) != std::string::npos);
    CHECK(std::count(run.err.begin(), run.err.end(), '\n') == 1);
  }
}
