// Pinout tables taken in, with our own tables of the reference corpus as the oracle: they say nothing new to it, taken
// into emptied looms they give the same tables again, and one wrong cell is always told.
#include <catch2/catch.hpp>
#include <fstream>
#include <random>
#include <regex>
#include <sstream>

#include "fixture_harness.h"
#include "reports/reports.h"
#include "upkeep/csv.h"
#include "upkeep/pinout_table.h"
#include "upkeep/tags.h"
#include "upkeep/take_in.h"
#include "upkeep_run.h"

using namespace loomproof;
using namespace loomproof::upkeep;
namespace lt = loomproof::testing;
namespace fs = std::filesystem;
using lt::Folder;
using lt::Ran;
using lt::run;

namespace {

void write(const fs::path& path, const std::string& bytes) {
  std::ofstream(path, std::ios::binary) << bytes;
}

// The reference corpus with one family.
void copy_corpus(const fs::path& to, const std::string& family) {
  const fs::path from = fs::path(LOOMPROOF_SOURCE_DIR) / "reference";
  fs::create_directories(to / "families");
  for (const auto& entry : fs::directory_iterator(from))
    if (entry.path().filename() != "families")
      fs::copy(entry.path(), to / entry.path().filename(), fs::copy_options::recursive);
  fs::copy(from / "families" / family, to / "families" / family, fs::copy_options::recursive);
}

// A loom of which nobody has written down what a pinout table can tell: no wire that ends in a cavity, no state.
std::string emptied(const std::string& text) {
  std::istringstream in(text);
  std::string out, kept;
  bool in_wires = false, in_cavities = false;
  for (std::string line; std::getline(in, line);) {
    if (!line.empty() && line[0] != ' ' && line[0] != '#')
      in_wires = line == "wires:", in_cavities = line == "cavities:";
    if (in_cavities || line == "wires:") continue;
    if (in_wires) {
      const bool has_cavity = std::regex_search(line, std::regex("(from|to): [A-Z0-9-]+\\."));
      if (line.find("{circuit") != line.npos && !has_cavity) kept += line + "\n";
      continue;
    }
    out += std::regex_replace(line, std::regex(", +rest: [a-z]+"), "") + "\n";
  }
  return out + (kept.empty() ? "wires: []\n" : "wires:\n" + kept);
}

std::vector<fs::path> tables_of(const std::string& family, const std::string& loom_place) {
  std::vector<fs::path> all;
  for (const auto& entry : fs::directory_iterator(fs::path(LOOMPROOF_SOURCE_DIR) / "generated" / family / "pinouts")) {
    const std::string name = entry.path().filename().string();
    if (name.ends_with(".csv") && name.starts_with(loom_place + "-")) all.push_back(entry.path());
  }
  std::sort(all.begin(), all.end());
  return all;
}

// "eras a..b, exhaust-brake fitted"; nothing where it is several boxes.
struct Holds {
  std::string eras;
  std::vector<std::string> with;
  std::string arguments() const {
    std::string text = eras.empty() ? "" : " --eras '" + eras + "'";
    for (const std::string& option : with) text += " --with '" + option + "'";
    return text;
  }
};
std::optional<Holds> holds_in(const std::string& text) {
  Holds holds;
  if (text == "all") return holds;
  if (text.find(';') != text.npos) return std::nullopt;
  std::istringstream in(std::regex_replace(text, std::regex(", "), "\n"));
  for (std::string item; std::getline(in, item);) {
    const size_t blank = item.find(' ');
    const std::string axis = item.substr(0, blank), value = item.substr(blank + 1);
    if (axis == "era" || axis == "eras")
      holds.eras = value;
    else
      holds.with.push_back(axis + "=" + value);
  }
  return holds;
}

std::string cell_of(const CsvTable& table, const CsvRow& row, std::string_view heading) {
  for (size_t i = 0; i < row.size(); ++i)
    if (table.headings[i].text == heading) return row[i].text;
  return {};
}

// What a hand and a meter find at the loom's connectors, by table and row, and who says so. A dispute cannot be taken
// in.
std::vector<std::string> found_at(const fs::path& corpus, const std::string& family, const std::string& loom) {
  std::vector<std::string> out;
  const auto compiled = lt::compile_files(lt::corpus_in_memory(corpus));
  for (const CompiledFamily& each : compiled->families) {
    if (each.family.text(each.family.id) != family) continue;
    for (const ReportFile& file : family_reports(each.family)) {
      if (!file.path.ends_with(".csv") || file.path.find("/pinouts/") == file.path.npos) continue;
      CsvTable table;
      REQUIRE_FALSE(read_csv(file.bytes, ',', table));
      if (cell_of(table, table.rows[0], "part") != loom) continue;
      for (const CsvRow& row : table.rows) {
        std::string line = file.path;
        const bool disputed = cell_of(table, row, "state") == "disputed";
        for (const char* column : {"cavity", "state", "circuit", "colour", "colour_evidence", "mm2", "mm2_evidence",
                                   "length_mm", "to", "same_in", "sources"})
          if (!disputed || std::string_view(column) == "cavity") line += " | " + cell_of(table, row, column);
        // Nor does the file say who has not looked.
        if (disputed || cell_of(table, row, "state") == "unknown")
          line = file.path + " | " + cell_of(table, row, "cavity") + " | unknown";
        out.push_back(line);
      }
    }
  }
  return out;
}

CsvTable table_at(const fs::path& path) {
  CsvTable table;
  const auto fault = read_csv(lt::contents(path), ',', table);
  INFO(path);
  REQUIRE_FALSE(fault);
  return table;
}

}  // namespace

TEST_CASE("import: our own tables, taken into emptied looms, give the same tables again") {
  struct Loom {
    const char *family, *loom, *place;
  };
  const Loom looms[] = {{"croft", "pump", "pump-loom"},
                        {"croft", "tail", "tail-loom"},
                        {"croft", "chassis", "chassis-loom"},
                        {"croft", "abs", "brake-loom"},
                        {"trailer-12v", "adapter-12n-13", "adapter"}};
  for (const Loom& each : looms) {
    Folder folder;
    copy_corpus(folder.path / "reference", each.family);
    const fs::path file =
        folder.path / "reference" / "families" / each.family / "looms" / (std::string(each.loom) + ".yaml");
    REQUIRE(fs::exists(file));
    INFO(each.loom);
    const std::vector<std::string> before = found_at(folder.path / "reference", each.family, each.loom);
    CHECK(before.size() > 10);
    write(file, emptied(lt::contents(file)));
    CHECK(found_at(folder.path / "reference", each.family, each.loom) != before);
    size_t imports = 0;
    for (const fs::path& path : tables_of(each.family, each.place)) {
      const CsvTable table = table_at(path);
      if (cell_of(table, table.rows[0], "part") != each.loom) continue;
      const auto where = holds_in(cell_of(table, table.rows[0], "holds_in"));
      REQUIRE(where);
      ++imports;
      const std::string command =
          fmt::format("import '{}' --family {} --loom {} --connector {} --partly --write{}", path.string(), each.family,
                      each.loom, cell_of(table, table.rows[0], "connector"), where->arguments());
      const Ran ran = run(command, folder.path);
      INFO(command << "\n" << ran.out);
      REQUIRE(ran.status == 0);
      CHECK(ran.out.find("said otherwise") == std::string::npos);
      if (imports % 5 != 0) continue;
      const Ran again = run(command, folder.path);
      INFO(again.out);
      CHECK(again.out.find(": 0 added, 0 filled in") != std::string::npos);
    }
    CHECK(imports >= 2);
    const std::vector<std::string> after = found_at(folder.path / "reference", each.family, each.loom);
    CHECK(after.size() == before.size());
    for (size_t i = 0; i < std::min(before.size(), after.size()); ++i) CHECK(after[i] == before[i]);
    CHECK(run("tidy reference --check", folder.path).status == 0);
  }
}

namespace {

// The reference corpus, and what one of its own tables adds to it.
class Reference {
 public:
  Reference() : compiled_(compile(RealFiles(), std::string(LOOMPROOF_SOURCE_DIR) + "/reference", {})) {
    for (const Document& document : compiled_->corpus.documents) {
      if (document.kind == FileKind::colours)
        for (const yaml::Node entry : document.root()["colours"]) names_.colours.emplace(entry.key());
      if (document.kind == FileKind::sources)
        for (const yaml::Node entry : document.root()["sources"]) names_.sources.emplace(entry.key());
    }
  }

  struct Outcome {
    PinoutTable table;
    TakenIn taken;
    bool says_nothing_new() const {
      return taken.rows.empty() && taken.filled.empty() && taken.now_known.empty() && taken.problems.empty() &&
             taken.count(Fate::same) == taken.fates.size();
    }
  };

  Outcome take(const CsvTable& table) const {
    const auto column = [&](std::string_view heading) { return cell_of(table, table.rows[0], heading); };
    const CompiledFamily* of = nullptr;
    for (const CompiledFamily& each : compiled_->families)
      if (each.family.text(each.family.id) == column("family")) of = &each;
    REQUIRE(of);
    const Family& family = of->family;
    TableNames names = names_;
    for (const Circuit& circuit : family.circuits)
      names.circuits.push_back({std::string(family.text(circuit.id)), std::string(family.text(circuit.title))});
    Index part = none;
    for (Index i = 0; i < family.parts.size(); ++i)
      if (family.text(family.parts[i].id) == column("part") &&
          family.text(family.places[family.parts[i].place].id) == column("place"))
        part = i;
    REQUIRE(part != none);
    const auto holds = holds_in(column("holds_in"));
    REQUIRE(holds);
    const TagsRead tags = read_tags(family, holds->eras, holds->with);
    REQUIRE(tags.problem.empty());
    TableOptions options;
    options.kind = family.parts[part].kind;
    Outcome out;
    std::string bytes;
    const auto add = [&](const CsvRow& row) {
      for (size_t i = 0; i < row.size(); ++i)
        bytes += fmt::format("{}\"{}\"", i == 0 ? "" : ",", std::regex_replace(row[i].text, std::regex("\""), "\"\""));
      bytes += "\n";
    };
    add(table.headings);
    for (const CsvRow& row : table.rows) add(row);
    const auto fault = read_pinout(bytes, ',', names, options, out.table);
    INFO((fault ? fault->text : ""));
    REQUIRE_FALSE(fault);
    const CellSet cells = tags.cells & family.set(family.parts[part].cells) & family.set(family.built);
    out.taken = take_in(out.table, {family, of->spans, part, cells, tags.text});
    return out;
  }

 private:
  std::unique_ptr<Compiled> compiled_;
  TableNames names_;
};

std::vector<CsvTable> all_tables() {
  std::vector<fs::path> paths;
  for (const auto& entry : fs::recursive_directory_iterator(fs::path(LOOMPROOF_SOURCE_DIR) / "generated"))
    if (entry.path().extension() == ".csv" && entry.path().parent_path().filename() == "pinouts")
      paths.push_back(entry.path());
  std::sort(paths.begin(), paths.end());
  std::vector<CsvTable> tables;
  for (const fs::path& path : paths) {
    tables.push_back(table_at(path));
    if (!holds_in(cell_of(tables.back(), tables.back().rows[0], "holds_in"))) tables.pop_back();
  }
  return tables;
}

}  // namespace

TEST_CASE("import: every table of the reference corpus says nothing new to it") {
  const Reference reference;
  size_t rows = 0;
  for (const CsvTable& table : all_tables()) {
    const Reference::Outcome out = reference.take(table);
    INFO(cell_of(table, table.rows[0], "part")
         << " " << cell_of(table, table.rows[0], "connector") << " " << cell_of(table, table.rows[0], "holds_in"));
    for (const TableProblem& problem : out.table.problems) CHECK(problem.text.find("is disputed") != std::string::npos);
    for (const TableProblem& problem : out.taken.problems) CHECK(problem.text == "");
    for (const RowFate& fate : out.taken.fates) {
      INFO(fate.end << ": " << fate.words);
      CHECK(fate.fate == Fate::same);
    }
    CHECK(out.says_nothing_new());
    rows += out.taken.fates.size();
  }
  CHECK(rows > 1500);
}

TEST_CASE("import: one wrong cell in a table is always told") {
  const Reference reference;
  const std::vector<CsvTable> tables = all_tables();
  std::mt19937 random(7);
  std::map<std::string, size_t> told;
  for (int i = 0; i < lt::tries(600); ++i) {
    CsvTable table = tables[random() % tables.size()];
    const size_t row = random() % table.rows.size(), column = random() % table.headings.size();
    const std::string heading = table.headings[column].text;
    const std::map<std::string, std::string> others = {
        {"circuit", "NO-SUCH"},     {"colour", "PK/TQ"}, {"mm2", "7.77"},
        {"length_mm", "77777"},     {"to", "Z9.9"},      {"role", "pulls-high"},
        {"volts", "3.3"},           {"max_a", "77.7"},   {"cavity", "99x"},
        {"connector", "Z9"},        {"state", "empty"},  {"sources", "none"},
        {"colour_evidence", "seen"}};
    const auto other = others.find(heading);
    if (other == others.end() || cell_of(table, table.rows[row], "state") != "wired") continue;
    std::string& cell = table.rows[row][column].text;
    if (cell.empty() || cell == other->second) continue;
    // Half of the time something that is right elsewhere in the table.
    std::string now = other->second;
    const std::string elsewhere = table.rows[random() % table.rows.size()][column].text;
    if (random() % 2 == 0 && !elsewhere.empty() && elsewhere != cell && heading != "to" && heading != "connector" &&
        heading != "sources" && heading != "cavity")
      now = elsewhere;
    INFO(heading << ": " << cell << " -> " << now << " in " << cell_of(table, table.rows[0], "part") << " "
                 << cell_of(table, table.rows[row], "cavity"));
    const size_t problems = reference.take(table).table.problems.size();
    cell = now;
    const Reference::Outcome out = reference.take(table);
    CHECK((!out.says_nothing_new() || out.table.problems.size() > problems));
    CHECK(out.taken.rows.empty());  // and nothing is added that contradicts the file
    ++told[heading];
  }
  CHECK(told.size() >= 9);
}
