// Reports. Oracles: the family's own rows, walked here one by one without any index; CSV and Markdown as report_text.h
// reads them; whole pages of a small corpus, checked in under fixtures/reports.
#include <algorithm>
#include <catch2/catch.hpp>
#include <cstdlib>

#include "family/words.h"
#include "fixture_harness.h"
#include "random_family.h"
#include "report_text.h"
#include "reports/coverage.h"
#include "reports/facts.h"
#include "reports/matrix.h"
#include "reports/pinout.h"
#include "reports/reports.h"

using namespace loomproof;
using namespace loomproof::testing;
using namespace loomproof::reports;

namespace {

// A family of one loom, one component and a firing plug, in which every text is `words`.
Family family_of_text(const std::string& words) {
  Family family = random_family(5);
  for (size_t i = 1; i < family.strings.size(); ++i)
    if (family.strings[i].find_first_of("0123456789") == std::string::npos) family.strings[i] = words;
  return family;
}

bool holds(const Family& family, Cells cells, uint32_t cell) {
  return family.cell_sets[cells].has(cell);
}

}  // namespace

TEST_CASE("whole pages of a small corpus") {
  const Fixture fixture = load_fixture(fixtures_root() / "reports/corpus");
  const std::unique_ptr<Compiled> compiled = compile_fixture(fixture);
  INFO(rendered(*compiled));
  REQUIRE(compiled->report.empty());
  REQUIRE(compiled->families.size() == 1);
  const Family& family = compiled->families[0].family;
  std::vector<ReportFile> files = family_reports(family);
  files.push_back(corpus_index(compiled->title, {family_summary(family, files)}));
  const fs::path expected = fixtures_root() / "reports/expected";
  const bool update = std::getenv("UPDATE_EXPECTED") != nullptr;
  if (update) fs::remove_all(expected);
  std::set<std::string> paths;
  for (const ReportFile& file : files) {
    INFO(file.path);
    CHECK(paths.insert(file.path).second);
    if (update) fs::create_directories((expected / file.path).parent_path());
    CHECK(differs_from_expected(expected / file.path, file.bytes) == "");
  }
  for (const auto& entry : fs::recursive_directory_iterator(expected)) {
    if (entry.is_directory()) continue;
    INFO(entry.path() << " is no longer written");
    CHECK(paths.contains(fs::relative(entry.path(), expected).string()));
  }
}

TEST_CASE("the same corpus gives the same bytes, at any number of threads") {
  const Fixture fixture = load_fixture(fixtures_root() / "reports/corpus");
  std::vector<ReportFile> first;
  for (unsigned threads : {1u, 2u, 7u}) {
    const std::unique_ptr<Compiled> compiled = compile_files(fixture.files, {.threads = threads});
    REQUIRE(compiled->families.size() == 1);
    const std::vector<ReportFile> files = family_reports(compiled->families[0].family);
    if (first.empty()) first = files;
    REQUIRE(files.size() == first.size());
    for (size_t i = 0; i < files.size(); ++i) {
      CHECK(files[i].path == first[i].path);
      CHECK(files[i].bytes == first[i].bytes);
    }
  }
}

TEST_CASE("whatever a family's texts are, pages hold together and names stay inside") {
  std::vector<Family> families;
  for (const std::string& words : nasty) families.push_back(family_of_text(words));
  for (uint32_t seed = 1; seed <= 25; ++seed) families.push_back(random_family(seed));
  for (const Family& family : families) {
    const std::vector<ReportFile> files = family_reports(family);
    std::set<std::string> paths{"index.md"};
    for (const ReportFile& file : files) {
      INFO(file.path);
      CHECK(is_safe_name(file.path));
      CHECK(file.path.rfind(family_folder(family) + "/", 0) == 0);
      CHECK(paths.insert(file.path).second);
    }
    for (const ReportFile& file : files) {
      INFO(file.path << "\n" << file.bytes);
      if (file.path.ends_with(".csv")) {
        CHECK_NOTHROW(rows_of(file.bytes));
        continue;
      }
      CHECK(fault_of_page(file.bytes) == "");
      for (const std::string& link : links_of(file.bytes)) {
        const std::string target = (fs::path(file.path).parent_path() / link).lexically_normal().string();
        CHECK(paths.contains(target));
      }
    }
  }
}

namespace {

// What a cavity holds in a cell, from the rows alone: "C 500 …" a wire, sorted.
struct Naive {
  std::multiset<std::string> wires;  // circuit, colour, mm2
  bool pin = false;
};

std::string wire_key(const Family& family, const Wire& wire) {
  return std::string(family.text(family.circuits[wire.circuit].id)) + "/" + colour_code(family, wire) + "/" +
         milli(wire.mm2);
}

std::map<std::string, Naive> naive_cavities(const Family& family, Index connector, uint32_t cell) {
  std::map<std::string, Naive> found;
  const auto cavity_of = [&](Index point) {
    return family.points[point].connector == connector ? std::string(family.text(family.points[point].name)) : "";
  };
  for (const Wire& wire : family.wires) {
    if (!holds(family, wire.cells, cell)) continue;
    const std::string from = cavity_of(wire.from), to = cavity_of(wire.to);
    if (!from.empty()) found[from].wires.insert(wire_key(family, wire));
    if (!to.empty() && wire.to != wire.from) found[to].wires.insert(wire_key(family, wire));
  }
  for (const Pin& pin : family.pins)
    if (holds(family, pin.cells, cell) && !cavity_of(pin.point).empty()) found[cavity_of(pin.point)].pin = true;
  return found;
}

// The ends that a wire reaches from a point in a cell, by plain search over all wires.
std::set<std::string> naive_ends(const Family& family, Index start, uint32_t cell, Index wire_index) {
  const Wire& first = family.wires[wire_index];
  std::vector<Index> waiting{first.from == start ? first.to : first.from};
  std::set<Index> seen;
  std::set<std::string> ends;
  while (!waiting.empty()) {
    const Index at = waiting.back();
    waiting.pop_back();
    if (!seen.insert(at).second) continue;
    if (family.points[at].kind != PointKind::splice) {
      if (at != start) ends.insert(point_name(family, at));
      continue;
    }
    for (const Wire& wire : family.wires) {
      if (!holds(family, wire.cells, cell)) continue;
      if (wire.from == at) waiting.push_back(wire.to);
      if (wire.to == at) waiting.push_back(wire.from);
    }
  }
  return ends;
}

}  // namespace

TEST_CASE("pinout tables say of every built cell what the rows say") {
  size_t judged = 0;
  for (uint32_t seed = 1; seed <= 40; ++seed) {
    const Family family = random_family(seed);
    const FamilyView view(family);
    const PinoutPages pages(view);
    for (Index connector = 0; connector < family.connectors.size(); ++connector) {
      for (uint32_t cell : view.cells()) {
        const bool there = connector_row_in(family, connector, cell) != none &&
                           holds(family, family.parts[family.connectors[connector].part].cells, cell);
        size_t tables = 0;
        for (Index index : pages.of(connector)) {
          const PinoutPage& page = pages.all()[index];
          if (!page.pinout.cells.has(cell)) continue;
          ++tables;
          INFO("seed " << seed << ", " << page.name << ", " << cell_text(family, cell));
          const std::map<std::string, Naive> naive = naive_cavities(family, connector, cell);
          std::map<std::string, std::multiset<std::string>> wires;
          std::set<std::string> cavities_shown;
          for (const PinoutRow& row : page.pinout.rows) {
            cavities_shown.insert(row.cavity);
            if (!row.to.empty()) wires[row.cavity].insert(row.circuit + "/" + row.colour + "/" + row.mm2);
            CHECK(row.same_in.has(cell));
          }
          for (const auto& [cavity, what] : naive) {
            CHECK(wires[cavity] == what.wires);
            CHECK(cavities_shown.contains(cavity));
            ++judged;
          }
          for (const auto& [cavity, keys] : wires)
            if (!keys.empty()) CHECK(naive.contains(cavity));
        }
        CHECK(tables == (there ? 1 : 0));
      }
    }
  }
  CHECK(judged > 1'000);
}

TEST_CASE("far ends are those that a search over all wires finds") {
  size_t judged = 0;
  for (uint32_t seed = 100; seed < 140; ++seed) {
    const Family family = random_family(seed);
    const FamilyView view(family);
    const PinoutPages pages(view);
    for (const PinoutPage& page : pages.all()) {
      if (page.pinout.cells.count() != 1) continue;  // then no end is limited to some cells
      const uint32_t cell = page.pinout.cells.lowest();
      std::map<std::string, std::multiset<std::string>> shown, wanted;
      for (const PinoutRow& row : page.pinout.rows)
        if (!row.to.empty()) shown[row.cavity].insert(row.to.substr(0, row.to.find(" through ")));
      for (Index wire_index = 0; wire_index < family.wires.size(); ++wire_index) {
        const Wire& wire = family.wires[wire_index];
        if (!holds(family, wire.cells, cell)) continue;
        std::set<Index> points{wire.from, wire.to};
        for (Index point : points) {
          if (family.points[point].connector != page.connector) continue;
          std::vector<std::string> ends;
          for (const std::string& end : naive_ends(family, point, cell, wire_index)) ends.push_back(end);
          std::sort(ends.begin(), ends.end(), natural_less);
          std::string text;
          for (const std::string& end : ends) text += (text.empty() ? "" : ", ") + end;
          const Index far = wire.from == point ? wire.to : wire.from;
          if (text.empty()) text = point_name(family, far);
          wanted[std::string(family.text(family.points[point].name))].insert(text);
          ++judged;
        }
      }
      INFO("seed " << seed << ", " << page.name);
      CHECK(shown == wanted);
    }
  }
  CHECK(judged > 100);
}

TEST_CASE("a row says in which cells it is the same") {
  size_t judged = 0, limited = 0;
  for (uint32_t seed = 1; seed <= 30; ++seed) {
    const Family family = random_family(seed);
    const FamilyView view(family);
    const PinoutPages pages(view);
    for (const PinoutPage& page : pages.all()) {
      for (const PinoutRow& row : page.pinout.rows) {
        if (row.to.empty()) continue;
        for (uint32_t cell : view.cells()) {
          const auto naive = naive_cavities(family, page.connector, cell);
          const auto cavity = naive.find(row.cavity);
          const bool may = cavity != naive.end() &&
                           cavity->second.wires.contains(row.circuit + "/" + row.colour + "/" + row.mm2) &&
                           connector_row_in(family, page.connector, cell) != none;
          if (row.same_in.has(cell)) CHECK(may);
          ++judged;
          limited += !row.same_in.has(cell);
        }
      }
    }
  }
  CHECK(judged > 1'000);
  CHECK(limited > 100);
}

TEST_CASE("the matrix of differences shows every cavity that differs, and none that does not") {
  size_t shown = 0, hidden = 0;
  for (uint32_t seed = 1; seed <= 60; ++seed) {
    const Family family = random_family(seed);
    const FamilyView view(family);
    for (uint32_t axis = 0; axis < family.axis_count(); ++axis) {
      if (family.axis_size(axis) < 2) continue;
      for (Index place = 0; place < family.places.size(); ++place) {
        std::map<std::string, std::vector<MatrixRow>> rows;
        for (const MatrixRow& row : PlaceMatrix(view, place).along(axis)) {
          INFO("seed " << seed << ", " << row.item);
          std::set<std::string> values;
          for (const std::string& value : row.values)
            if (value != not_built) values.insert(value);
          CHECK(values.size() > 1);
          CHECK(row.steps[0] == Step::same);
          rows[row.item].push_back(row);
        }
        // Cavities with wires in both of two built cells that differ on the axis alone.
        for (uint32_t a : view.cells()) {
          for (uint32_t value = family.coordinate(a, axis) + 1; value < family.axis_size(axis); ++value) {
            const uint32_t b = family.with_coordinate(a, axis, value);
            const Index part_a = part_in(family, place, a), part_b = part_in(family, place, b);
            if (!view.built().has(b) || part_a == none || part_a != part_b) continue;
            const Part& part = family.parts[part_a];
            for (Index connector = part.connectors.first; connector < part.connectors.end(); ++connector) {
              const auto in_a = naive_cavities(family, connector, a), in_b = naive_cavities(family, connector, b);
              for (const auto& [cavity, what] : in_a) {
                const auto other = in_b.find(cavity);
                if (other == in_b.end() || what.wires.empty() || other->second.wires.empty()) continue;
                const std::string item =
                    std::string(family.text(family.connectors[connector].designator)) + "." + cavity;
                const bool differs = what.wires != other->second.wires;
                const bool found = std::any_of(rows[item].begin(), rows[item].end(), [&](const MatrixRow& row) {
                  return row.values[family.coordinate(a, axis)] != row.values[value];
                });
                INFO("seed " << seed << ", axis " << axis << ", " << item);
                if (differs) CHECK(found);
                shown += differs;
                hidden += !differs && rows[item].empty();
              }
            }
          }
        }
      }
    }
  }
  CHECK(shown > 100);
  CHECK(hidden > 100);
}

TEST_CASE("facts are counted by their rows") {
  for (uint32_t seed = 1; seed <= 20; ++seed) {
    const Family family = random_family(seed);  // each of its parts is in one place
    std::map<std::string, FactCount> lines;
    for (const FactLine& line : count_facts(family)) lines[std::string(line.what)] = line.count;
    const auto own = [&](const auto& table) {
      size_t count = 0;
      for (const auto& row : table) {
        const Cite& cite = family.cites[row.cite];
        count += cite.own && cite.sources.count > 0;
      }
      return count;
    };
    CHECK(lines["wires"].facts == family.wires.size());
    CHECK(lines["wires"].at_row == own(family.wires));
    CHECK(lines["pins"].facts == family.pins.size());
    CHECK(lines["pins"].at_row == own(family.pins));
    CHECK(lines["circuits"].facts == family.circuits.size());
    CHECK(lines["claims about disputed cavities"].facts == family.says.size());
    for (const auto& [what, count] : lines) {
      INFO(what);
      CHECK(count.at_row + count.from_file + count.uncited == count.facts);
      CHECK(count.one + count.several + count.independent + count.uncited == count.facts);
      size_t kinds = 0;
      for (size_t kind = 0; kind < source_kinds; ++kind) kinds += count.row_kinds[kind] + count.file_kinds[kind];
      CHECK(kinds + count.uncited == count.facts);
    }
  }
}

TEST_CASE("a component that several places hold counts once, and has a table in each") {
  FamilyBuilder b;
  b.era("a");
  b.family.built = b.everywhere();
  const CellSet all = CellSet::first(1);
  const CiteId cite = b.cite({b.source("manual", SourceKind::manual)});
  const Index housing = b.housing("one", 1, Contact::pin), circuit = b.circuit("G", "Glow", CircuitClass::drive);
  for (const std::string place : {"GLOW-1", "GLOW-2", "GLOW-3"}) {
    const Index at = b.place(place);
    b.begin_part("glow-plug", PartKind::component, at, all);
    b.pin(b.cavity(b.connector("X1", housing, Rest::open, all), "1"), circuit, Role::takes_feed, all, cite);
    b.end_part();
  }
  const FamilyView view(b.family);
  CHECK(PinoutPages(view).all().size() == 3);
  for (const FactLine& line : count_facts(b.family))
    if (line.what == "pins") CHECK(line.count.facts == 1);
}

namespace {

// A loom whose plug FIRE meets a firing unit, whose plug SAME has the same housing, and whose plug PLAIN has another.
struct FiringFamily {
  FamilyBuilder b;
  FiringFamily() {
    b.era("a");
    b.family.id = b.text("fam");
    b.family.built = b.everywhere();
    const CellSet all = CellSet::first(1);
    const CiteId cite = b.cite({b.source("manual", SourceKind::manual)});
    b.caution("all", "Read the manual.", {"always"});
    b.caution("fire", "Never a meter here.", {"firing"});
    b.caution("probe", "Prove the meter first.", {"probe"});
    const Index fires = b.circuit("FIRE-HI", "Squib", CircuitClass::firing);
    const Index signal = b.circuit("SIG", "Signal", CircuitClass::signal);
    const Index yellow = b.housing("yellow", 2), black = b.housing("black", 2);
    const Index loom = b.place("LOOM"), unit = b.place("UNIT");
    b.begin_part("loom", PartKind::loom, loom, all);
    const Index fire = b.connector("FIRE", yellow, Rest::empty, all),
                same = b.connector("SAME", yellow, Rest::unknown, all);
    const Index plain = b.connector("PLAIN", black, Rest::empty, all),
                meets = b.connector("MEETS", black, Rest::unknown, all);
    const Index fire_2 = b.connector("FIRE-2", yellow, Rest::empty, all);
    (void)fire, (void)fire_2;
    const Index same_1 = b.cavity(same, "1"), plain_1 = b.cavity(plain, "1"), meets_1 = b.cavity(meets, "1");
    (void)meets_1;
    b.wire(signal, same_1, plain_1, none, none, 500, all, cite);
    b.end_part();
    b.begin_part("unit", PartKind::component, unit, all);
    const Index x1 = b.connector("X1", yellow, Rest::open, all);
    const Index x2 = b.connector("X2", yellow, Rest::open, all);
    b.pin(b.cavity(x1, "1"), fires, Role::gives_firing, all, cite);
    b.pin(b.cavity(x2, "1"), fires, Role::gives_firing, all, cite);
    b.end_part();
    b.plug(loom, "FIRE", unit, "X1");
    b.plug(unit, "X2", loom, "FIRE-2");  // the other way round
  }
};

std::map<std::string, std::string> by_path(const std::vector<ReportFile>& files) {
  std::map<std::string, std::string> pages;
  for (const ReportFile& file : files) pages[file.path] = file.bytes;
  return pages;
}

}  // namespace

TEST_CASE("a firing circuit is marked above its table, and nobody is led to probe it") {
  const FiringFamily made;
  auto pages = by_path(family_reports(made.b.family));
  const auto above = [](const std::string& page, const std::string& words) {
    return page.find(words) < page.find("| Cavity |");
  };
  for (const std::string path : {"fam/pinouts/unit-x1--all.md", "fam/pinouts/loom-fire--all.md",
                                 "fam/pinouts/loom-fire-2--all.md"}) {  // the plug it meets too
    INFO(path);
    const std::string& page = pages.at(path);
    CHECK(above(page, "FIRING CIRCUIT. Never put a probe"));
    CHECK(above(page, "Never a meter here."));
    CHECK(page.find("Prove the meter first.") == std::string::npos);
  }
  // An unknown cavity in a housing that carries a firing circuit elsewhere.
  const std::string& same = pages.at("fam/pinouts/loom-same--all.md");
  CHECK(above(same, "MAY CARRY A FIRING CIRCUIT"));
  CHECK(same.find("Prove the meter first.") == std::string::npos);
  // Another housing: to be probed, with the cautions.
  for (const std::string path : {"fam/pinouts/loom-plain--all.md", "fam/pinouts/loom-meets--all.md"}) {
    const std::string& page = pages.at(path);
    CHECK(page.find("FIRING CIRCUIT") == std::string::npos);
    CHECK(page.find("Prove the meter first.") != std::string::npos);
    CHECK(page.find("Never a meter here.") != std::string::npos);
  }
  for (const auto& row : rows_of(pages.at("fam/pinouts/unit-x1--all.csv")))
    CHECK(row.at("caution") == "firing circuit: never probe");
  for (const auto& row : rows_of(pages.at("fam/pinouts/loom-plain--all.csv"))) CHECK(row.at("caution").empty());
  CHECK(pages.at("fam/index.md").find("Never probe a connector that is marked FIRING") != std::string::npos);
}

TEST_CASE("without a caution in the corpus a firing circuit is marked all the same") {
  FiringFamily made;
  made.b.family.cautions.clear();
  const auto pages = by_path(family_reports(made.b.family));
  CHECK(pages.at("fam/pinouts/unit-x1--all.md").find("FIRING CIRCUIT. Never put a probe") != std::string::npos);
}

TEST_CASE("what nobody has looked at is called unknown, in every report") {
  const FiringFamily made;
  auto pages = by_path(family_reports(made.b.family));
  CHECK(pages.at("fam/pinouts/loom-meets--all.md").find("| 1 | unknown: nobody has looked |") != std::string::npos);
  size_t unknown = 0;
  for (const auto& row : rows_of(pages.at("fam/coverage.csv"))) {
    if (row.at("topic") == "cavities" && row.at("measure") == "unknown") unknown += std::stoul(row.at("value"));
    if (row.at("topic") == "cavities" && row.at("connector") == "PLAIN" && row.at("measure") == "empty")
      CHECK(row.at("value") == "1");
  }
  CHECK(unknown == 3);  // SAME.2, MEETS.1, MEETS.2
}

TEST_CASE("choices of other axes that were not built do not part a row") {
  FamilyBuilder b;
  b.era("a");
  b.era("b");
  b.era("c");
  b.option("volts", {"12V", "24V"});
  CellSet built = CellSet::first(6);
  built.erase(4);  // era c with 12V
  b.family.built = b.cells(built);
  const CellSet all = CellSet::first(6);
  CellSet from_b;
  for (uint32_t cell : {2u, 3u, 4u, 5u}) from_b.insert(cell);
  const Index housing = b.housing("two", 2), circuit = b.circuit("SIG", "Signal", CircuitClass::signal);
  const Index place = b.place("LOOM");
  b.begin_part("loom", PartKind::loom, place, all);
  const Index c1 = b.connector("C1", housing, Rest::empty, all);
  const Index one = b.cavity(c1, "1"), two = b.cavity(c1, "2");
  const Index end = b.point(PointKind::lead, "L1");
  b.wire(circuit, one, end, none, none, 500, all - from_b);
  b.wire(circuit, two, end, none, none, 500, from_b);
  b.end_part();
  const FamilyView view(b.family);
  const PlaceMatrix matrix(view, place);
  const std::vector<MatrixRow> rows = matrix.along(0);
  REQUIRE(rows.size() == 2);
  CHECK(rows[0].item == "C1.1");
  CHECK(rows[0].with == "all");
  CHECK(rows[0].values == std::vector<std::string>{"SIG 0.5", "empty", "empty"});
  CHECK(rows[0].steps == std::vector<Step>{Step::same, Step::changed, Step::same});
  CHECK(rows[1].values == std::vector<std::string>{"empty", "SIG 0.5", "SIG 0.5"});
  CHECK(matrix.along(1).empty());
}

TEST_CASE("cavities that hold nothing come with their connector, and are not told one by one") {
  FamilyBuilder b;
  b.era("a");
  b.era("b");
  const CellSet all = CellSet::first(2), later = CellSet::of(1);
  b.family.built = b.cells(all);
  const Index housing = b.housing("three", 3), circuit = b.circuit("SIG", "Signal", CircuitClass::signal);
  const Index place = b.place("LOOM");
  b.begin_part("loom", PartKind::loom, place, all);
  const Index c1 = b.connector("C1", housing, Rest::empty, later);
  const Index one = b.cavity(c1, "1"), two = b.cavity(c1, "2"), end = b.point(PointKind::lead, "L1");
  b.wire(circuit, one, end, none, none, 500, later);
  b.cavity_row(two, State::unknown, later);
  b.end_part();
  const FamilyView view(b.family);
  std::vector<std::string> items;
  for (const MatrixRow& row : PlaceMatrix(view, place).along(0)) items.push_back(row.item);
  CHECK(items == std::vector<std::string>{"C1", "C1.1"});
}
