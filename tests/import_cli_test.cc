// loomproof import as people run it, on the small corpus of tests/fixtures/base: what it says, what it writes, and that
// a refusal writes nothing. UPDATE_EXPECTED=1 rewrites tests/fixtures/import/.
#include <catch2/catch.hpp>
#include <fstream>

#include "fixture_harness.h"
#include "upkeep_run.h"

namespace lt = loomproof::testing;
namespace fs = std::filesystem;
using lt::Folder;
using lt::Ran;
using lt::run;

namespace {

struct Edit {
  std::string was, now;
};

// A corpus of its own for each case, and one table in it.
class Case {
 public:
  explicit Case(const std::string& table, const std::vector<Edit>& edits = {},
                const std::string& file = "looms/dash.yaml")
      : file_(folder_.path / "corpus" / "families" / "quill" / file) {
    fs::copy(lt::fixtures_root() / "base", folder_.path / "corpus", fs::copy_options::recursive);
    std::string text = before();
    for (const Edit& edit : edits) {
      const size_t at = text.find(edit.was);
      INFO(edit.was);
      REQUIRE(at != text.npos);
      text.replace(at, edit.was.size(), edit.now);
    }
    std::ofstream(file_, std::ios::binary) << text;
    std::ofstream(folder_.path / "t.csv", std::ios::binary) << table;
  }

  Ran import(const std::string& arguments) const {
    return run("import t.csv corpus --family quill " + arguments, folder_.path);
  }
  std::string before() const { return lt::contents(file_); }
  std::string file() const { return lt::contents(file_); }
  std::map<std::string, std::string> corpus() const { return lt::corpus_in_memory(folder_.path / "corpus").files; }
  Ran loomproof(const std::string& arguments) const { return run(arguments, folder_.path); }
  std::string name() const { return file_.filename().string(); }
  bool is_swept() const { return !fs::exists(folder_.path / "corpus" / ".new"); }

 private:
  Folder folder_;
  fs::path file_;
};

void check_golden(const std::string& name, const std::string& arguments, const Ran& ran) {
  const std::string all = "$ loomproof import t.csv corpus --family quill " + arguments + "\n" + ran.out;
  const std::string difference = lt::differs_from_expected(lt::fixtures_root() / "import" / (name + ".txt"), all);
  INFO(difference);
  CHECK(difference.empty());
}

const std::vector<Edit> bare_d1 = {
    {"rest: empty}\n  D2", "rest: unknown}\n  D2"},
    {"at the panel,    rest: empty", "at the panel,    rest: unknown"},
    {"  - {circuit: FEED, from: D1.3, to: D2.3, colour: RD/YE, mm2: 1}\n", ""},
    {"from: D1.1, to: D2.1, colour: RD,    mm2: 2.5}", "from: D1.1, to: D2.1}    # seen at the show"},
    {"wires:", "cavities:\n  D1.6: {state: unknown}\nwires:"}};

}  // namespace

TEST_CASE("added, filled in, the same, said otherwise") {
  const Case one(
      "Connector,Pin,To,Circuit,Colour,Size mm2,Remark\n"
      "D1,1,D2.1,BAT,red,2.5,\n"
      "D1,2,D2.2,Earth,brown,1.5,\n"
      "D1,3,D2.3,Supply behind the fuse,red/yellow,1,new\n"
      "D1,4,D2.4,WARN,BU/WH,0.75,\n"
      "D1,6,,empty,,,\n",
      bare_d1);
  const std::string arguments = "--loom dash --source quill-bench --eras a";
  const auto before = one.corpus();
  check_golden("fates", arguments, one.import(arguments));
  CHECK(one.corpus() == before);
  const std::string everywhere = "--loom dash --source quill-bench --partly";
  const Ran ran = one.import(everywhere + " --write");
  check_golden("fates-written", everywhere + " --write", ran);
  CHECK(ran.status == 1);  // WARN contradicts the file
  CHECK(one.file().find("# seen at the show") != std::string::npos);
  CHECK(one.file().find(
            "- {circuit: BAT,  from: D1.1, to: D2.1, colour: RD,    mm2: 2.5, source: [quill-manual, quill-bench]}") !=
        std::string::npos);
  CHECK(one.file().find("D1.6: {state: empty, source: quill-bench}") != std::string::npos);
  CHECK(one.loomproof("tidy corpus --check").out.find(one.name()) == std::string::npos);
  CHECK(one.loomproof("check corpus").status == 0);
  CHECK(one.is_swept());
  const auto written = one.corpus();
  CHECK(one.import(everywhere + " --write").out.find(": 0 added, 0 filled in, 4 the same, 1 said otherwise") !=
        std::string::npos);
  CHECK(one.corpus() == written);
}

TEST_CASE("a German table with semicolons, gauges and words that may mean two things") {
  const Case one(
      "\xEF\xBB\xBFKammer;Nach Stecker;Nach Kammer;Bezeichnung;Aderfarbe;AWG;Bemerkung\r\n"
      "3;D2;3;Supply behind the fuse;rot-gelb;18;\r\n"
      "1;D2;1;Battery supply;bl;14;\r\n"
      "4;D2;9;WARN;blau/weiß;20;\r\n"
      "5;;;Wipr;;;\r\n"
      "6;;;leer;;;\r\n",
      bare_d1);
  const std::string arguments = "--loom dash --connector D1 --source quill-bench";
  const Ran ran = one.import(arguments);
  CHECK(ran.status == 1);
  check_golden("german", arguments, ran);
  check_golden("german-key", arguments + " --colour bl=RD --partly",
               one.import(arguments + " --colour bl=RD --partly"));
}

TEST_CASE("tabs, wires by both their ends, a double crimp") {
  const Case one(
      "from\tto\tcircuit\tcolour\tdouble\n"
      "D1:3\tD2/3\tFEED\tRD/YE\t\n"
      "D1.2\tD2.2\tGND\tBN\tyes\n"
      "D1.2\tD3.2\tGND\tBN\tyes\n"
      "D1.3\tD3.1\tFEED\tRD\t\n",
      bare_d1);
  const std::string arguments = "--loom dash --source quill-bench --with lamp=fitted";
  check_golden("ends", arguments, one.import(arguments));
}

TEST_CASE("a component: roles are never guessed") {
  const Case one(
      "cavity,circuit,role,volts,max_a\n"
      "1,FEED,takes-feed,12 V,2\n"
      "2,GND,,,\n"
      "3,WARN,pulls-low,12,\"0,2\"\n"
      "4,WORK,takes-hihg,12,\n",
      {{"    rest: open\n    pins:\n      1: {circuit: FEED, role: takes-feed, volts: 12, max-a: 2}\n",
        "    pins:\n      1: {circuit: FEED, role: takes-feed}\n"},
       {"      3: {circuit: WARN, role: pulls-low, volts: 12, max-a: 0.2}\n", ""}},
      "components/unit.yaml");
  const std::string arguments = "--component unit --connector X1 --source quill-manual";
  check_golden("component", arguments, one.import(arguments));
  CHECK(one.import(arguments + " --partly --write").status == 0);
  CHECK(one.file().find("3: {circuit: WARN, role: pulls-low, volts: 12, max-a: 0.2}") != std::string::npos);
  CHECK(one.loomproof("tidy corpus --check").out.find(one.name()) == std::string::npos);
}

TEST_CASE("a second wire goes beside one that is no double crimp only where the table has both") {
  const std::vector<Edit> single = {
      {"mm2: 1.5, double: true}", "mm2: 1.5}"},
      {"at the panel,    rest: empty", "at the panel,    rest: unknown"},
      {"  - {circuit: GND,  from: D1.2, to: D3.2, colour: BN,    mm2: 1,   double: true, with: {lamp: fitted}}\n", ""}};
  const std::string head = "connector,cavity,to,circuit,double\n",
                    arguments = "--loom dash --source quill-bench --write";
  const Case alone(head + "D1,2,D2.6,GND,yes\n", single);
  CHECK(alone.import(arguments).status == 1);
  CHECK(alone.import(arguments).out.find(
            "in the file D1.2 holds GND to D2.2; for two wires in one terminal that row says "
            "`double: true` first") != std::string::npos);
  CHECK(Case(head + "D1,2,D2.6,GND,\n", single)
            .import(arguments)
            .out.find("two wires in one terminal say so in both rows: `double`") != std::string::npos);
  CHECK(Case(head + "D1,2,D2.6,BAT,\n", single).import(arguments).out.find("two wires in one terminal") ==
        std::string::npos);
  const Case other(head + "D1,2,D2.6,GND,yes\nD1,2,D2.2,BAT,yes\n", single);  // its circuit is GND
  CHECK(other.import(arguments).out.find(": 0 added, 0 filled in, 0 the same, 2 said otherwise") != std::string::npos);
  const Case both(head + "D1,2,D2.6,GND,yes\nD1,2,D2.2,GND,yes\n", single);
  CHECK(both.import(arguments).out.find(": 1 added, 1 filled in, 0 the same\n") != std::string::npos);
  CHECK(both.file().find(
            "from: D1.2, to: D2.2, colour: BN,    mm2: 1.5, double: true, source: [quill-manual, quill-bench]}") !=
        std::string::npos);
}

TEST_CASE("rows that are laid out so that none can be put between them") {
  const std::string table = "connector,cavity,to,circuit,colour\nD1,1,D2.1,BAT,RD\nD1,6,,empty,\n";
  const std::vector<Edit> unknown = {bare_d1[0], bare_d1[1]};
  const auto refused = [&](std::vector<Edit> edits, const std::string& words) {
    edits.insert(edits.begin(), unknown.begin(), unknown.end());
    const Case one(table, edits);
    const auto before = one.corpus();
    const Ran ran = one.import("--loom dash --source quill-bench --write");
    CHECK(ran.status == 2);
    CHECK(ran.out == "loomproof: corpus/families/quill/looms/dash.yaml:" + words + "\n");
    CHECK(one.corpus() == before);
  };
  refused({{"{circuit: BAT,  from: D1.1, to: D2.1, colour: RD,    mm2: 2.5}",
            "circuit: BAT\n    from: D1.1\n    to: D2.1"}},
          "12: this row is not on one line; fill it in by hand");
  refused({{"wires:", "cavities: {D2.5: {state: unknown, eras: a, with: {lamp: none}}}\nwires:"}},
          "11: these rows stand in brackets; write each on a line of its own first");
}

TEST_CASE("what the file says of empty and unknown cavities") {
  const Case one(
      "connector,cavity,to,circuit,state\n"
      "D1,6,D2.6,WORK,wired\n"
      "D1,3,,,unknown\n"
      "D1,7,,,empty\n"
      "D2,2,,,empty\n"
      "D2,6,,,sealed\n"
      "D9,1,,,empty\n");
  const std::string arguments = "--loom dash --source quill-bench --format json";
  check_golden("states", arguments, one.import(arguments));
}

TEST_CASE("every column that cannot be read is told by its heading") {
  const Case one(
      "connector,cavity,to,circuit,description,colour,tracer,mm2,awg,length mm,double,source,mm2_evidence,Teilenummer\n"
      "D1,1,D2.1,BAT,Battery supply,rot,,\"2,5\",,,no,quill-manual,,47-11\n"
      "D1,3,D2.3,FEED,,rot,gelb,1,,,,quill-manual; quill-bench,,\n"
      "D1,2,D2.2,GND,Battery supply,BN,,1.5,,,,quill-manual,,\n"
      "D1,4,D2.4,WARN,,BU/WH,RD,0.5,,,,quill-manual,,\n"
      "D1,4,D2.4,WARN,,,,0.5,20,,,quill-manual,,\n"
      "D1,4,D2.4,WARN,,,,0.5,,1.2 m,,quill-manual,,\n"
      "D1,4,D2.4,WARN,,,,0.5,,,perhaps,quill-manual,,\n"
      "D1,4,D2.4,WARN,,,,0.5,,,,quill-manuel,,\n"
      "D1,4,D2.4,WARN,,,,0.5,,,,,,\n"
      "D1,4,D2.4,WARN,,,,0.5,,,,quill-manual,surely,\n"
      "D1,4,D2.4,WARN,,green,,\"0,5 kg\",,,,quill-manual,,\n"
      "D1,4,S9,WARN,,,,,,,,quill-manual,,\n"
      "D1,,D2.4,WARN,,,,,,,,quill-manual,,\n"
      "D1,4,D1.4,WARN,,,,,,,,quill-manual,,\n"
      "D1,5,,,,,,,,,,quill-manual,,\n");
  check_golden("columns", "--loom dash", one.import("--loom dash"));
}

TEST_CASE("rows without a source rest on that of the file, and on none where it has none") {
  const std::string table = "connector,cavity,to,circuit\nD1,1,D2.1,BAT\n";
  const Case with(table);
  CHECK(with.import("--loom dash").status == 0);
  CHECK(with.import("--loom dash").out.find("rows that name no source rest on that of the file: quill-manual") !=
        std::string::npos);
  CHECK(with.import("--loom dash --source quill-bench").out.find("rows that name no source") == std::string::npos);
  const Case without(table, {{"source: quill-manual\n", ""}});
  const Ran ran = without.import("--loom dash");
  CHECK(ran.status == 1);
  CHECK(ran.out.find("D1.1 has no source\n  help: name one with --source") != std::string::npos);
}

TEST_CASE("a column may be ignored, by its heading") {
  const Case one(
      "connector,cavity,to,circuit,Note,source,Farbe,Streifen\nD1,3,D2.3,FEED,spare: x,book 3,pinkish,none\n");
  CHECK(one.import("--loom dash").status == 1);
  const std::string arguments = "--loom dash --ignore Source --ignore FARBE --ignore note";
  const Ran ran = one.import(arguments);
  CHECK(ran.status == 0);
  CHECK(ran.out.find("left aside  Note, source, Farbe\n") != std::string::npos);
  CHECK(one.import("--loom dash --ignore Quelle").out ==
        "loomproof: t.csv:1:1: no heading is `Quelle`, to be ignored\n");
}

TEST_CASE("a colour or a tracer may be none") {
  const Case one("connector,cavity,to,circuit,colour,tracer\nD1,1,D2.1,BAT,RD,none\nD1,2,D2.2,GND,none,\n");
  const Ran ran = one.import("--loom dash");
  CHECK(ran.status == 0);
  CHECK(ran.out.find(": 0 added, 0 filled in, 2 the same\n") != std::string::npos);
  CHECK(Case("connector,cavity,to,circuit,colour,tracer\nD1,1,D2.1,BAT,none,RD\n").import("--loom dash").status == 1);
}

TEST_CASE("a connector that is not there is told once, with what adds it") {
  const Case one("cavity,to,circuit\n1,D2.1,BAT\n2,D2.2,GND\n");
  const Ran ran = one.import("--loom dash --connector D9");
  CHECK(ran.status == 2);
  CHECK(ran.out ==
        "loomproof: dash has no connector `D9`; did you mean `D1`? --housing adds it to the loom, with the housing "
        "named "
        "there\n");
  CHECK(one.import("--component unit --connector Y9").out ==
        "loomproof: unit has no connector `Y9`; it has to stand in the file first, with its housing\n");
}

TEST_CASE("a component that was begun without pins") {
  const std::string there = lt::contents(lt::fixtures_root() / "base/families/quill/components/unit.yaml");
  const size_t begin = there.find("    rest: open\n"), end = there.find("      3: ");
  REQUIRE(end != there.npos);
  const Case one("cavity,circuit,role\n2,GND,takes-earth\n1,FEED,takes-feed\n",
                 {{there.substr(begin, there.find('\n', end) - begin), "    rest: unknown\n    pins: {}"}},
                 "components/unit.yaml");
  const std::string arguments = "--component unit --connector X1 --write";
  const Ran ran = one.import(arguments);
  CHECK(ran.status == 0);
  check_golden("no-pins", arguments, ran);
  CHECK(one.loomproof("tidy corpus --check").out.find(one.name()) == std::string::npos);
}

TEST_CASE("a connector that the loom does not have yet") {
  const Case one("cavity,to,circuit\n1,D2.6,WORK\n",
                 {{"D2: {housing: six-socket, where: at the panel,    rest: empty}",
                   "D2: {housing: six-socket, where: at the panel,    rest: unknown}"}});
  const std::string arguments = "--loom dash --connector D4 --housing duo-plug --source quill-bench";
  const Ran ran = one.import(arguments + " --write");
  CHECK(ran.status == 0);
  check_golden("housing", arguments + " --write", ran);
  CHECK(one.import(arguments).out == "loomproof: D4 is in the file already; leave --housing out\n");
}

TEST_CASE("a table of something else is not taken in") {
  const Case one(
      "family,part,connector,holds_in,cavity,to,circuit\n"
      "quill,main,D1,all,1,D2.1,BAT\n"
      "heron,dash,D1,all,2,D2.2,GND\n"
      "quill,dash,D1,era a,3,D2.3,FEED\n");
  const std::string arguments = "--loom dash --source quill-bench --connector D1";
  check_golden("elsewhere", arguments, one.import(arguments));
}

TEST_CASE("bad tables: one line with its place, exit status 2, nothing written") {
  const std::pair<const char*, const char*> bad[] = {
      {"connector,cavity,to,circuit\nD1,1,\"D2.1,BAT\n", "t.csv:2:6: the quote that begins here has no end"},
      {"connector,cavity,to,circuit\nD1,1\n", "t.csv:2:1: 2 cells in this row, 4 in the headings"},
      {"connector,cavity,cavity,circuit\nD1,1,1,BAT\n", "t.csv:1:18: the heading `cavity` stands twice"},
      {"connector,cavity,Kammer,circuit\nD1,1,1,BAT\n", "t.csv:1:18: `cavity` and `Kammer` both are the cavity"},
      {"connector,to,circuit\nD1,D2.1,BAT\n",
       "t.csv:1:1: no heading names the cavities, such as `cavity`, `pin`, `from`, `Kammer`"},
      {"cavity,to,circuit\n1,D2.1,BAT\n",
       "t.csv:1:1: no heading names the connectors, such as `connector`, `Stecker`; or name it with --connector"},
      {"connector,cavity,to\nD1,1,D2.1\n",
       "t.csv:1:1: no heading names the circuits, such as `circuit`, `signal`, `title`, `Stromkreis`"},
      {"connector,cavity,to,circuit\nD1,1,D2.1,gr\xFCn\n",
       "t.csv:2:13: byte 0xFC is no UTF-8; save the table as UTF-8"},
      {"", "t.csv:1:1: the table is empty"}};
  for (const auto& [table, words] : bad) {
    const Case one(table);
    const auto before = one.corpus();
    const Ran ran = one.import("--loom dash --source quill-bench --write");
    CHECK(ran.status == 2);
    CHECK(ran.out == "loomproof: " + std::string(words) + "\n");
    CHECK(one.corpus() == before);
    CHECK(one.is_swept());
  }
}

TEST_CASE("bad questions: one line, exit status 2") {
  const Case one("connector,cavity,to,circuit\nD1,1,D2.1,BAT\n");
  const std::pair<const char*, const char*> bad[] = {
      {"", "name the part that the table is of: --loom or --component"},
      {"--loom dash --component unit", "name the part that the table is of: --loom or --component"},
      {"--loom dasch", "no loom is named `dasch`; did you mean `dash`?"},
      {"--component unti", "no component is named `unti`; did you mean `unit`?"},
      {"--loom dash --source quil-bench", "no source is named `quil-bench`; did you mean `quill-bench`?"},
      {"--loom dash --eras c", "no era is named `c`"},
      {"--loom dash --eras b..a", "the range of eras `b..a` runs backward"},
      {"--loom dash --with lamp=fited", "no value of option `lamp` is named `fited`; did you mean `fitted`?"},
      {"--loom dash --with lamp", "--with takes option=value, as in --with supply=24V"},
      {"--loom dash --colour bl", "--colour takes abbreviation=code, as in --colour bl=BU"},
      {"--loom dash --colour bl=XX", "no colour is named `XX`"},
      {"--loom dash --separator pipe", "--separator takes comma, semicolon or tab"},
      {"--loom dash --housing duo-plug", "--housing needs --connector: it is the housing of that one"},
      {"--loom dash --connector D4 --housing duo-plg", "no housing is named `duo-plg`; did you mean `duo-plug`?"}};
  for (const auto& [arguments, words] : bad) {
    const Ran ran = one.import(arguments);
    INFO(arguments);
    CHECK(ran.status == 2);
    CHECK(ran.out == "loomproof: " + std::string(words) + "\n");
  }
  CHECK(one.loomproof("import nowhere.csv corpus --family quill --loom dash")
            .out.starts_with("loomproof: nowhere.csv: "));
  CHECK(one.loomproof("import corpus corpus --family quill --loom dash").status == 2);
}
