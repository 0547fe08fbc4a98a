// loombench as it is run: a small family, its pack in a folder of its own, the program's output and exit status. The
// family is invented and every expectation follows from the rows below; the trade words are those of the project.
#include <sys/wait.h>
#include <unistd.h>

#include <algorithm>
#include <catch2/catch.hpp>
#include <cstdlib>
#include <filesystem>
#include <fstream>
#include <nlohmann/json.hpp>

#include "family_builder.h"
#include "pack/pack.h"

using namespace loomproof;
using loomproof::testing::FamilyBuilder;

namespace {

// Two eras, 12 V and 24 V. A loom between a fuse box, a unit and a pump; the rack position moves from cavity 2 to 3 in
// era b. Cavity 4 is disputed, 5 sealed, 6 unknown by the connector's rest. The squib's plug has its own loom end.
Family bench_family() {
  FamilyBuilder build;
  Family& family = build.family;
  family.id = build.text("tarn");
  family.title = build.text("Tarn \x1b[31mtruck (invented)");  // a title that tries to colour the terminal
  build.era("a");
  build.era("b");
  build.option("supply", {"12V", "24V"});
  const CellSet all = CellSet::first(4);
  CellSet early, late;
  for (uint32_t cell : {0u, 1u}) early.insert(cell);
  for (uint32_t cell : {2u, 3u}) late.insert(cell);
  family.built = build.everywhere();
  family.builds.push_back(family.built);

  const Index manual = build.source("tarn-manual", SourceKind::manual),
              bench = build.source("bench-7", SourceKind::measurement);
  const CiteId by_manual = build.cite({manual}), by_bench = build.cite({bench});
  const Index green = build.colour("GN", "green"), white = build.colour("WH", "white"), red = build.colour("RD", "red"),
              yellow = build.colour("YE", "yellow");
  const Index signal = build.function("rack position");
  const Index rack = build.circuit("RACK-POS", "Rack position", CircuitClass::signal, signal);
  const Index feed = build.circuit("FEED", "Feed behind the fuse", CircuitClass::feed);
  const Index battery = build.circuit("BAT", "Battery supply", CircuitClass::feed);
  const Index fire = build.circuit("BELT-HI", "Belt tensioner, plus", CircuitClass::firing);
  const Index plug6 = build.housing("plug-6", 6), pin6 = build.housing("header-6", 6, Contact::pin),
              plug2 = build.housing("firing-2", 2);
  const Index loom = build.place("LOOM"), unit = build.place("UNIT"), box = build.place("FUSE-BOX"),
              pump = build.place("PUMP"), belt = build.place("BELT");
  build.plug(loom, "C1", unit, "X1");
  build.plug(loom, "C2", pump, "X1");
  build.plug(loom, "C3", box, "X1");
  build.plug(loom, "C4", belt, "X1");
  build.caution("firing-no-meter", "Never a meter on a firing circuit.", {"firing"});
  build.caution("prove", "Prove the meter before you probe.", {"probe"});

  build.begin_part("main-loom", PartKind::loom, loom, all);
  const Index c1 = build.connector("C1", plug6, Rest::unknown, all),
              c2 = build.connector("C2", plug6, Rest::empty, all), c3 = build.connector("C3", plug6, Rest::empty, all),
              c4 = build.connector("C4", plug2, Rest::unknown, all);
  const Index c1_1 = build.cavity(c1, "1"), c1_2 = build.cavity(c1, "2"), c1_3 = build.cavity(c1, "3"),
              c1_4 = build.cavity(c1, "4"), c1_5 = build.cavity(c1, "5"), c2_1 = build.cavity(c2, "1"),
              c2_2 = build.cavity(c2, "2"), c3_1 = build.cavity(c3, "1"), c4_1 = build.cavity(c4, "1"),
              c1_fire = build.cavity(c1, "6");
  const Index splice = build.point(PointKind::splice, "S1");
  family.splices.push_back({splice, build.text("150 mm from C1"), 0, family.built, by_manual});
  build.wire(rack, c1_2, c2_1, green, white, 500, early, by_manual);
  build.wire(rack, c1_3, c2_1, green, white, 500, late, by_bench);
  build.wire(feed, c3_1, splice, red, none, 1500, all, by_manual);
  build.wire(feed, splice, c1_1, red, none, 1000, all, by_manual);
  build.wire(feed, splice, c2_2, red, none, 750, all, by_manual);
  build.wire(fire, c4_1, c1_fire, yellow, none, 750, late, by_manual);
  build.cavity_row(c1_4, State::disputed, all);
  build.say(State::wired, rack, by_manual);
  build.say(State::empty, none, by_bench);
  build.cavity_row(c1_5, State::sealed, all);
  build.end_part();

  build.begin_part("unit", PartKind::component, unit, all);
  const Index x1 = build.connector("X1", pin6, Rest::open, all);
  build.pin(build.cavity(x1, "1"), feed, Role::takes_feed, all, by_manual);
  build.pin(build.cavity(x1, "2"), rack, Role::takes_signal, early, by_manual);
  build.pin(build.cavity(x1, "3"), rack, Role::takes_signal, late, by_manual);
  build.end_part();

  build.begin_part("fuse-box", PartKind::component, box, all);
  const Index b1 = build.connector("X1", pin6, Rest::open, all);
  const Index out = build.cavity(b1, "1"), in = build.cavity(b1, "2"), node = build.point(PointKind::inner, "N1");
  build.pin(out, feed, Role::passes, all, by_manual);
  build.pin(in, battery, Role::passes, all, by_manual);
  family.insides[build.inside("F2", InsideKind::fuse, out, node, all)].amps = 20000;
  build.inside("K1c", InsideKind::contact, node, in, all);
  build.end_part();

  build.begin_part("pump", PartKind::component, pump, all);
  const Index p1 = build.connector("X1", pin6, Rest::open, all);
  build.pin(build.cavity(p1, "1"), rack, Role::gives_signal, all, by_manual);
  build.pin(build.cavity(p1, "2"), feed, Role::takes_feed, all, by_manual);
  build.end_part();
  return family;
}

struct Run {
  int status = -1;
  std::string out, err;
};

std::string slurp(const std::filesystem::path& path) {
  std::ifstream file(path, std::ios::binary);
  return {std::istreambuf_iterator<char>(file), {}};
}

class Bench {
 public:
  Bench() {
    std::string name = (std::filesystem::temp_directory_path() / "loombench_test.XXXXXX").string();
    REQUIRE(::mkdtemp(name.data()) != nullptr);
    folder_ = name;
    std::filesystem::create_directory(folder_ / "packs");
    put("packs/tarn.loompack", pack::write(bench_family()));
  }
  ~Bench() { std::filesystem::remove_all(folder_); }
  Bench(const Bench&) = delete;
  Bench& operator=(const Bench&) = delete;

  void put(const std::string& name, const std::string& bytes) const {
    std::ofstream(folder_ / name, std::ios::binary) << bytes;
  }
  std::string path(const std::string& name) const { return (folder_ / name).string(); }

  Run run(const std::string& arguments, const std::string& out = "out") const {
    const std::string command = "cd '" + folder_.string() + "' && '" LOOMBENCH_PROGRAM "' " + arguments;
    const int status = std::system((command + " >" + out + " 2>err").c_str());
    return {WIFEXITED(status) ? WEXITSTATUS(status) : -1, out == "out" ? slurp(folder_ / out) : "",
            slurp(folder_ / "err")};
  }
  // `show tarn …`, which succeeds.
  std::string show(const std::string& arguments) const {
    const Run run_ = run("show tarn " + arguments + " --packs packs");
    INFO(run_.err);
    REQUIRE(run_.status == 0);
    CHECK(run_.err.empty());
    return run_.out;
  }
  nlohmann::json show_json(const std::string& arguments) const {
    return nlohmann::json::parse(show(arguments + " --format json"));
  }

 private:
  std::filesystem::path folder_;
};

bool has(const std::string& text, const std::string& part) {
  return text.find(part) != std::string::npos;
}

size_t longest_line(const std::string& text) {
  size_t longest = 0, length = 0;
  for (char c : text) {
    if ((c & 0xc0) == 0x80) continue;  // a continuation byte of UTF-8
    length = c == '\n' ? 0 : length + 1;
    longest = std::max(longest, length);
  }
  return longest;
}

}  // namespace

TEST_CASE("list says what packs hold", "[loombench]") {
  const Bench bench;
  const Run text = bench.run("list packs");
  CHECK(text.status == 0);
  CHECK(has(text.out, "5: BELT, FUSE-BOX, LOOM, PUMP, UNIT"));
  CHECK(has(text.out, "supply: 12V, 24V"));
  CHECK(has(text.out, "1 looms, 3 components"));
  CHECK(text.out.find('\x1b') == std::string::npos);
  const auto json = nlohmann::json::parse(bench.run("list packs/tarn.loompack --format json").out);
  CHECK(json["families"][0]["id"] == "tarn");
  CHECK(json["families"][0]["eras"].size() == 2);
  CHECK(json["families"][0]["options"]["supply"] == nlohmann::json({"12V", "24V"}));
  CHECK(json["families"][0]["counts"]["wires"] == 6);
  CHECK(json["refused"].empty());
}

TEST_CASE("a pack that is refused is listed with the reason, beside those that are sound", "[loombench]") {
  const Bench bench;
  std::string bytes = pack::write(bench_family());
  bytes[bytes.size() / 2] ^= 1;
  bench.put("packs/bad.loompack", bytes);
  const Run run = bench.run("list packs");
  CHECK(run.status == 1);
  CHECK(has(run.out, "packs/bad.loompack: refused"));
  CHECK(has(run.out, "damaged: "));
  CHECK(has(run.out, "LOOM"));
  CHECK(has(bench.show("LOOM.C1"), "RACK-POS"));  // the sound one is still there
}

TEST_CASE("show gives a connector once for each range in which it differs", "[loombench]") {
  const Bench bench;
  const auto json = bench.show_json("LOOM.C1");
  REQUIRE(json["variants"].size() == 2);
  const auto& early = json["variants"][0];
  CHECK(early["cells"] == "era a");
  CHECK(early["plugs-into"] == "UNIT.X1");
  REQUIRE(early["cavities"].size() == 6);
  const auto& moved = early["cavities"][1];
  CHECK(moved["cavity"] == "2");
  CHECK(moved["state"] == "wired");
  CHECK(moved["circuit"] == "RACK-POS");
  CHECK(moved["function"] == "rack position");
  CHECK(moved["colour"] == "GN/WH");
  CHECK(moved["colour-name"] == "green with white tracer");
  CHECK(moved["mm2"] == "0.5");
  CHECK(moved["to"] == "C2.1");
  CHECK(moved["source"] == "tarn-manual");
  CHECK(early["cavities"][0]["to"] == "S1");
  CHECK(early["cavities"][0]["reaches"] == "C2.2, C3.1");
  CHECK(early["cavities"][2]["state"] == "unknown");
  CHECK(early["cavities"][3]["state"] == "disputed");
  CHECK(early["cavities"][4]["state"] == "sealed");
  CHECK(json["variants"][1]["cells"] == "era b");
  CHECK(json["variants"][1]["cavities"][1]["state"] == "unknown");
  CHECK(json["variants"][1]["cavities"][2]["circuit"] == "RACK-POS");
}

TEST_CASE("show narrows to an era and options", "[loombench]") {
  const Bench bench;
  CHECK(bench.show_json("LOOM.C1 --era b")["variants"].size() == 1);
  CHECK(bench.show_json("LOOM.C1 --era b --with supply=24V")["variants"][0]["cells"] == "era b, supply 24V");
  CHECK(bench.show_json("main-loom.C2")["variants"][0]["part"] == "main-loom");
}

TEST_CASE("tables keep to 80 columns and are escaped for Markdown", "[loombench]") {
  const Bench bench;
  const std::string text = bench.show("LOOM.C1");
  CHECK(longest_line(text) <= 80);
  CHECK(has(text, "tarn LOOM.C1"));
  CHECK(has(text, "In era a\n"));
  const std::string markdown = bench.show("LOOM.C1 --format markdown");
  CHECK(has(markdown, "## tarn LOOM.C1"));
  CHECK(has(markdown, "| cavity | state |"));
  CHECK(has(markdown, "| 2 | wired | RACK-POS | rack position | GN/WH | green with white tracer | 0.5 | C2.1 |"));
  CHECK(has(bench.show("UNIT.X1"), "takes-signal"));
}

TEST_CASE("one cavity says its state in words", "[loombench]") {
  const Bench bench;
  CHECK(has(bench.show("LOOM.C1.4"), "disputed: tarn-manual says wired, RACK-POS; bench-7 says empty"));
  CHECK_FALSE(has(bench.show("LOOM.C1.4"), "one with"));  // nothing is told of a net that a disputed cavity may be on
  CHECK(has(bench.show("LOOM.C1.5"), "sealed: a terminal or plug, no wire"));
  CHECK(has(bench.show("LOOM.C1.3 --era a"), "unknown: nobody has looked"));
  CHECK(has(bench.show("LOOM.C2.6"), "empty: known to hold nothing"));
  CHECK(has(bench.show("UNIT.X1.5"), "open: connected to nothing inside"));
  const std::string wired = bench.show("LOOM.C1.2 --era a");
  CHECK(has(wired, "GN/WH green with white tracer, 0.5 mm²"));
  CHECK(has(wired, "UNIT.X1.2: wired, takes-signal, RACK-POS"));
  CHECK(has(wired, "PUMP.X1.1 (gives-signal)"));
}

TEST_CASE("a circuit is shown from end to end", "[loombench]") {
  const Bench bench;
  CHECK(has(bench.show("circuit RACK-POS --era a"),
            "In era a\n"
            "  PUMP.X1.1: gives-signal\n"
            "  plugs into LOOM.C2.1\n"
            "  wire GN/WH 0.5 mm² to LOOM.C1.2\n"
            "  plugs into UNIT.X1.2: takes-signal\n"));
  CHECK(has(bench.show("circuit FEED"),
            "In all eras and options\n"
            "  FUSE-BOX.X1.1: passes\n"
            "  - plugs into LOOM.C3.1\n"
            "    wire RD 1.5 mm² to LOOM.S1: splice, 150 mm from C1\n"
            "    - wire RD 1 mm² to LOOM.C1.1\n"
            "      plugs into UNIT.X1.1: takes-feed\n"
            "    - wire RD 0.75 mm² to LOOM.C2.2\n"
            "      plugs into PUMP.X1.2: takes-feed\n"
            "  - through fuse F2, 20 A to FUSE-BOX.N1\n"
            "    through contact K1c, rest not known to FUSE-BOX.X1.2: circuit BAT\n"));
  CHECK(bench.show_json("circuit RACK-POS")["variants"].size() == 2);
  CHECK(has(bench.show("circuit FEED --format markdown"), "LOOM.C1.1 → plugs into UNIT.X1.1: takes-feed"));
}

TEST_CASE("firing circuits come with their cautions, and nothing suggests a probe", "[loombench]") {
  const Bench bench;
  for (const char* what : {"LOOM.C4", "LOOM.C4.1", "LOOM.C4.2", "LOOM.C1", "LOOM.C1.6", "circuit BELT-HI"}) {
    const std::string text = bench.show(what);
    CHECK(has(text, "! Never a meter on a firing circuit."));
    CHECK_FALSE(has(text, "probe"));
  }
  CHECK(has(bench.show("LOOM.C4 --era a"), "FIRING"));                 // in any era: it carries one in era b
  CHECK(has(bench.show("LOOM.C4.2"), "possible: nobody has looked"));  // unknown, in such a housing
  CHECK_FALSE(has(bench.show("FUSE-BOX.X1"), "Never a meter"));
  CHECK(bench.show_json("LOOM.C4")["cautions"][0] == "Never a meter on a firing circuit.");
}

TEST_CASE("mistakes end in one line with the nearest name and status 2", "[loombench]") {
  const Bench bench;
  const std::pair<const char*, const char*> mistakes[] = {
      {"show tran LOOM.C1 --packs packs", "no family \"tran\" in packs; did you mean tarn?"},
      {"show tarn LOM.C1 --packs packs", "no place or part of tarn \"LOM\"; did you mean LOOM?"},
      {"show tarn LOOM.D1 --packs packs", "LOOM has no connector \"D1\"; did you mean C1?"},
      {"show tarn LOOM --packs packs", "say which connector of LOOM: C1, C2, C3, C4"},
      {"show tarn LOOM.C1.77 --packs packs", "LOOM.C1 has no cavity \"77\"; it has 1, 2, 3, 4, 5, 6"},
      {"show tarn circuit RACK-PO --packs packs", "no circuit of tarn \"RACK-PO\"; did you mean RACK-POS?"},
      {"show tarn circuit --packs packs", "say which circuit: show FAMILY circuit ID"},
      {"show tarn LOOM.C1 --era z --packs packs", "no era of tarn \"z\"; there is a, b"},
      {"show tarn LOOM.C1 --with supply --packs packs", "--with takes option=value, not \"supply\""},
      {"show tarn LOOM.C1 --with suply=12V --packs packs", "no option of tarn \"suply\"; did you mean supply?"},
      {"show tarn LOOM.C1 --with supply=36V --packs packs", "no value of supply \"36V\""},
      {"show tarn LOOM.C1 --with supply=12V --with supply=24V --packs packs", "tarn was never built like that"},
      {"show tarn LOOM.C1 --format xml --packs packs", "no format \"xml\""},
      {"show tarn BELT.X1 --packs packs", "BELT has no connectors"},
      {"show tarn LOOM.C1", "generated/packs: No such file or directory"},
      {"list nowhere", "nowhere: No such file or directory"},
      {"list .", "no .loompack file in this folder"},
      {"list /dev/null", "/dev/null: not a file"},
      {"frobnicate", "loombench: "},
      {"", "loombench: "},
  };
  for (const auto& [arguments, line] : mistakes) {
    const Run run = bench.run(arguments);
    INFO(arguments << ": " << run.err);
    CHECK(run.status == 2);
    CHECK(run.out.empty());
    CHECK(has(run.err, line));
    CHECK(std::count(run.err.begin(), run.err.end(), '\n') == 1);
  }
}

TEST_CASE("a name that comes from outside cannot write to the terminal", "[loombench]") {
  const Bench bench;
  const Run run = bench.run("show tarn \"$(printf '\\033[31mX')\" --packs packs");
  CHECK(run.status == 2);
  CHECK(run.err.find('\x1b') == std::string::npos);
}

TEST_CASE("an empty file, a cut pack and a full disk", "[loombench]") {
  const Bench bench;
  bench.put("empty.loompack", "");
  CHECK(has(bench.run("list empty.loompack").out, "not a pack: it is too short"));
  bench.put("cut.loompack", pack::write(bench_family()).substr(0, 1000));
  const Run cut = bench.run("show tarn LOOM.C1 --packs cut.loompack");
  CHECK(cut.status == 2);
  CHECK(has(cut.err, "cut.loompack is refused: damaged"));
  if (std::filesystem::exists("/dev/full")) {
    const Run full = bench.run("list packs", "/dev/full");
    CHECK(full.status == 2);
  }
}

TEST_CASE("help shows an example of each command", "[loombench]") {
  const Bench bench;
  for (const char* command : {"list", "show"}) {
    const Run run = bench.run(std::string(command) + " --help");
    CHECK(run.status == 0);
    CHECK(has(run.out, "Example:\n  loombench " + std::string(command)));
    CHECK(has(run.out, "Exit status"));
  }
}

// What the program says of the reference corpus, as people see it. Each file begins with its command; UPDATE_EXPECTED=1
// rewrites the rest.
TEST_CASE("the reference packs are shown as expected", "[loombench][golden]") {
  namespace fs = std::filesystem;
  const fs::path source(LOOMPROOF_SOURCE_DIR);
  const Bench bench;
  std::vector<fs::path> files;
  for (const auto& entry : fs::directory_iterator(source / "tests/fixtures/loombench")) files.push_back(entry.path());
  std::sort(files.begin(), files.end());
  REQUIRE(files.size() >= 6);
  for (const fs::path& file : files) {
    INFO(file.filename().string());
    const std::string expected = slurp(file);
    const std::string command = expected.substr(0, expected.find('\n') + 1);
    const std::string prompt = "$ loombench ";
    REQUIRE(command.rfind(prompt, 0) == 0);
    const std::string arguments = command.substr(prompt.size(), command.size() - prompt.size() - 1);
    const Run run = bench.run(arguments + " --packs '" + (source / "generated/packs").string() + "'");
    CHECK(run.err.empty());
    CHECK(run.status == 0);
    if (std::getenv("UPDATE_EXPECTED") != nullptr)
      std::ofstream(file, std::ios::binary) << command << run.out;
    else
      CHECK(command + run.out == expected);
  }
}
