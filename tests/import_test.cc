// Pinout tables taken in: the reader, colours and sizes against published tables, and whole imports as people run them.
// Our own tables of the reference corpus are the oracle: taken into emptied looms, they give the same tables again.
#include <catch2/catch.hpp>
#include <cmath>
#include <fstream>
#include <numbers>
#include <regex>
#include <sstream>

#include "fixture_harness.h"
#include "published/table.h"
#include "reports/reports.h"
#include "upkeep/colour_words.h"
#include "upkeep/csv.h"
#include "upkeep/sizes.h"
#include "upkeep_run.h"

using namespace loomproof;
using namespace loomproof::upkeep;
namespace lt = loomproof::testing;
namespace fs = std::filesystem;
using lt::Folder;
using lt::Ran;
using lt::run;

namespace {

std::string fault_of(std::string_view bytes, char separator = 0) {
  CsvTable table;
  const auto fault = read_csv(bytes, separator, table);
  return fault ? fmt::format("{}:{}: {}", fault->place.line, fault->place.column, fault->text) : "none";
}

std::string joined(const CsvTable& table) {
  std::string out;
  const auto add = [&](const CsvRow& row) {
    for (const CsvCell& cell : row) out += fmt::format("[{}]{}:{} ", cell.text, cell.place.line, cell.place.column);
    out += "\n";
  };
  add(table.headings);
  for (const CsvRow& row : table.rows) add(row);
  return out;
}

std::string colour(std::string_view text, const ColourKey& key = {}) {
  const ColourRead read = read_colour(text, key);
  if (read.understood())
    return (read.shade == Shade::light ? "light " : read.shade == Shade::dark ? "dark " : "") + read.code();
  std::string may_be;
  for (const std::string& each : read.may_be) may_be += " " + each;
  return "?" + may_be;
}

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

// "eras a..b, exhaust-brake fitted" as arguments; nothing where it is several boxes.
std::optional<std::string> where_arguments(std::string text) {
  if (text == "all") return "";
  if (text.find(';') != text.npos) return std::nullopt;
  std::string out;
  std::istringstream in(std::regex_replace(text, std::regex(", "), "\n"));
  for (std::string item; std::getline(in, item);) {
    const size_t blank = item.find(' ');
    const std::string axis = item.substr(0, blank), value = item.substr(blank + 1);
    out += axis == "era" || axis == "eras" ? " --eras '" + value + "'" : " --with '" + axis + "=" + value + "'";
  }
  return out;
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

TEST_CASE("csv: what RFC 4180 shows is read, each cell with its place") {
  CsvTable table;
  // The standard's own examples (RFC 4180, section 2, items 1 to 7), with headings in front.
  REQUIRE_FALSE(
      read_csv("h1,h2,h3\r\naaa,bbb,ccc\r\n\"aaa\",\"b\r\nbb\",\"ccc\"\r\n\"aaa\",\"b\"\"bb\",\"ccc\"", ',', table));
  CHECK(joined(table) ==
        "[h1]1:1 [h2]1:4 [h3]1:7 \n[aaa]2:1 [bbb]2:5 [ccc]2:9 \n[aaa]3:1 [b\r\nbb]3:7 [ccc]4:5 \n[aaa]5:1 [b\"bb]5:7 "
        "[ccc]5:15 \n");
}

TEST_CASE("csv: separators are told from the headings, and line ends, marks and blank rows do not matter") {
  for (const std::string separator : {",", ";", "\t"})
    for (const std::string end : {"\n", "\r\n", "\r"})
      for (const std::string mark : {"", "\xEF\xBB\xBF"}) {
        const std::string s = separator;
        CsvTable table;
        INFO(int(separator[0]) << " " << end.size());
        REQUIRE_FALSE(
            read_csv(mark + end + "a" + s + "b" + end + end + " 1 " + s + "\"2" + s + "2\"" + end + s + end, 0, table));
        CHECK(table.separator == separator[0]);
        CHECK(joined(table) == "[a]2:1 [b]2:3 \n[1]4:2 [2" + s + "2]4:5 \n");
      }
}

TEST_CASE("csv: what is no table is one fault with its place") {
  CHECK(fault_of("a,b\n1,\"x\ny\n") == "2:3: the quote that begins here has no end");
  CHECK(fault_of("a,b\n1,\"x\"y\n") == "2:6: text behind a closing quote; a quote within quotes is written twice");
  CHECK(fault_of("a,b\n1,5\" pipe\n") ==
        "2:4: a quote within a cell; put the whole cell in quotes and write this one twice");
  CHECK(fault_of("a,b\n1\n") == "2:1: 1 cell in this row, 2 in the headings");
  CHECK(fault_of("a,b\n1,2,3\n") == "2:1: 3 cells in this row, 2 in the headings");
  CHECK(fault_of("a,b\n1,gr\xFCn\n") == "2:5: byte 0xFC is no UTF-8; save the table as UTF-8");
  CHECK(fault_of(std::string_view("\xFF\xFE"
                                  "a\0,\0b\0",
                                  8)) == "1:1: this is UTF-16; save the table as UTF-8");
  CHECK(fault_of(std::string_view("a,b\n1,\0\n", 8)) == "2:3: a NUL byte: this is no table in text");
  CHECK(fault_of("a,b\n1,\xE2\x80\xAE"
                 "2\n") == "2:3: U+202E, a control character that is not seen");
  CHECK(fault_of("a,b\n") == "1:1: headings, and no row below them");
  CHECK(fault_of("") == "1:1: the table is empty");
  CHECK(fault_of("\n\r\n \n") == "1:1: the table is empty");
  CHECK(fault_of("abc\n1\n") == "1:1: no comma, semicolon or tab in the headings: this is no table");
  CHECK(fault_of("a,b;c\n1,2;3\n") ==
        "1:1: `,` and `;` stand equally often in the headings; name the one that separates with --separator");
  CHECK(fault_of("a,b\n1," + std::string(10 << 20, 'x') + "\n") == "2:3: more than 4000 bytes in one cell");
  CHECK(fault_of("a,b\n1,\"" + std::string(10 << 20, '\n') + "\"\n") == "2:3: more than 4000 bytes in one cell");
  CHECK(fault_of(std::string(300, ',') + "\n") == "1:1: the table is empty");
  CHECK(fault_of("a" + std::string(300, ',') + "\n") == "1:1: more than 200 columns");
}

TEST_CASE("colours: every code and name of IEC 60757 is read, in any case") {
  for (const lt::PublishedRow& row : lt::published_table("iec60757.csv")) {
    const std::string code = row.at("code"), name = row.at("colour");
    INFO(code << " " << name);
    CHECK(colour(code) == code);
    CHECK(colour(folded(code)) == code);
    if (code != "GNYE") CHECK(colour(name) == code);
    if (code != "GNYE" && code != "BK") CHECK(colour(name + " with black tracer") == code + "/BK");
  }
}

TEST_CASE("colours: German words, common practice, no source") {
  const std::pair<const char*, const char*> words[] = {{"schwarz", "BK"},
                                                       {"braun", "BN"},
                                                       {"rot", "RD"},
                                                       {"orange", "OG"},
                                                       {"gelb", "YE"},
                                                       {"grün", "GN"},
                                                       {"GRÜN", "GN"},
                                                       {"gruen", "GN"},
                                                       {"gru\xCC\x88n", "GN"},
                                                       {"blau", "BU"},
                                                       {"violett", "VT"},
                                                       {"grau", "GY"},
                                                       {"weiß", "WH"},
                                                       {"WEISS", "WH"},
                                                       {"rosa", "PK"},
                                                       {"türkis", "TQ"},
                                                       {"silber", "SR"},
                                                       {"gold", "GD"},
                                                       {"hellblau", "light BU"},
                                                       {"dunkelgrün/weiß", "dark GN/WH"},
                                                       {"hell blau", "light BU"}};
  for (const auto& [word, code] : words) {
    INFO(word);
    CHECK(colour(word) == code);
  }
}

TEST_CASE("colours: base and tracer in every way that says which is which") {
  for (const char* text : {"GN/WH", "gn/ws", "GN-WH", "green/white", "Green White", "grün-weiß", "grn/wht",
                           "grün mit weiß", "green with white tracer", " green / white ", "GN.WH", "gn+ws"}) {
    INFO(text);
    CHECK(colour(text) == "GN/WH");
  }
  CHECK(colour("") == "");
  CHECK(colour("light blue / yellow") == "light BU/YE");
}

TEST_CASE("colours: what may mean two things is never guessed") {
  CHECK(colour("bl") == "? BK BU");
  CHECK(colour("bl/ws") == "? BK BU");
  CHECK(colour("gr") == "? GN GY");
  CHECK(colour("b") == "? BK BN BU");
  CHECK(colour("BKWH") == "? BK/WH WH/BK");  // joined as IEC 60757 has it: which is the base is lost
  CHECK(colour("gnws") == "? GN/WH WH/GN");
  CHECK(colour("grün-gelb") == "? GNYE GN/YE");
  CHECK(colour("grüngelb") == "? GNYE");
  CHECK(colour("GN/YE") == "GN/YE");
  CHECK(colour("lila") == "? VT PK");
  CHECK(colour("gren") == "? GN");
  CHECK(colour("RD/RD") == "? RD");
  CHECK(colour("RD/BK/WH") == "?");
  CHECK(colour("GN/light blue") == "?");
  CHECK(colour("with white") == "?");
  CHECK(colour("mauve") == "?");
  CHECK(colour("-") == "?");
  CHECK(colour("GNYE/RD") == "? GNYE");
  CHECK(colour("bl/gr", {{"bl", "BU"}, {"gr", "GY"}}) == "BU/GY");
}

TEST_CASE("gauges: the table of ASTM B258, and the nominal sizes of ISO 6722-1 that they are taken as") {
  std::vector<Quantity> nominal;
  for (const lt::PublishedRow& row : lt::published_table("iso6722_1.csv"))
    nominal.push_back(static_cast<Quantity>(std::lround(std::stod(row.at("mm2")) * 1000)));
  size_t taken = 0;
  for (const lt::PublishedRow& row : lt::published_table("awg.csv")) {
    const std::string gauge = row.at("gauge");
    const int number = gauge.ends_with("/0") ? 1 - (gauge[0] - '0') : std::stoi(gauge);
    INFO("AWG " << gauge);
    CHECK(awg_mm2(number) == Approx(std::stod(row.at("mm2"))).epsilon(0.006));
    CHECK(std::sqrt(awg_mm2(number) * 4 / std::numbers::pi) == Approx(std::stod(row.at("mm"))).epsilon(0.002));
    const QuantityRead read = read_awg(gauge, nominal), other = read_mm2("AWG " + gauge, nominal);
    CHECK(read.value == other.value);
    if (read.value != not_given) {
      ++taken;
      CHECK(read.value / 1000.0 / std::stod(row.at("mm2")) == Approx(1).margin(0.1));
      CHECK(read.note.find("ASTM B258") != std::string::npos);
    } else {
      CHECK_FALSE(read.understood());
    }
  }
  CHECK(taken >= 10);
  CHECK(read_awg("20", nominal).value == 500);
  CHECK(read_awg("18", nominal).value == 750);
  CHECK(read_awg("2", nominal).may_be == std::vector<std::string>{"25"});
  for (const char* bad : {"41", "5/0", "020", "x", "-1", "20.5"}) {
    INFO(bad);
    CHECK_FALSE(read_awg(bad, nominal).understood());
  }
}

TEST_CASE("quantities: decimal point or comma, exactly to thousandths") {
  for (const char* text : {"0.75", "0,75", "0,750", ".75", "0.75 mm²", "0,75mm2", "0,75 qmm", "0.7500"}) {
    INFO(text);
    CHECK(read_mm2(text, {}).value == 750);
  }
  for (const char* text : {"0,75.1", "1.5 kg", "-1", "0.0001", "1e3", "0", "300", "1,5/2,5", "."}) {
    INFO(text);
    CHECK_FALSE(read_mm2(text, {}).understood());
  }
  CHECK(read_mm2("", {}).value == not_given);
}

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
      const auto where = where_arguments(cell_of(table, table.rows[0], "holds_in"));
      REQUIRE(where);
      ++imports;
      const std::string command =
          fmt::format("import '{}' --family {} --loom {} --connector {} --partly --write{}", path.string(), each.family,
                      each.loom, cell_of(table, table.rows[0], "connector"), *where);
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
