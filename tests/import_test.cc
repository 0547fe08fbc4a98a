// What pinout tables are read with: CSV against the examples of RFC 4180 and hostile bytes, colours and sizes against
// published tables.
#include <catch2/catch.hpp>
#include <cmath>
#include <numbers>
#include <random>

#include "fixture_harness.h"
#include "published/table.h"
#include "upkeep/colour_words.h"
#include "upkeep/csv.h"
#include "upkeep/sizes.h"

using namespace loomproof;
using namespace loomproof::upkeep;
namespace lt = loomproof::testing;

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

TEST_CASE("csv: whatever the bytes, a table or one fault") {
  std::mt19937 random(3);
  const std::string good = "connector,cavity,to,circuit\nC1,1,C2.1,\"A, \"\"B\"\"\"\r\nC1,2,C2.2,C\n";
  size_t faults = 0, read = 0;
  for (int i = 0; i < lt::tries(20000); ++i) {
    std::string bytes = good;
    for (size_t edits = 1 + random() % 3; edits > 0; --edits) {
      const size_t at = random() % bytes.size();
      constexpr std::string_view odd = "\",;\t\r\n \0x\xFF\xC3\xEF";
      if (random() % 2 == 0)
        bytes[at] = odd[random() % odd.size()];
      else
        bytes.insert(at, 1, odd[random() % odd.size()]);
    }
    CsvTable table;
    const auto fault = read_csv(bytes, 0, table);
    if (fault) {
      ++faults;
      CHECK(fault->text.size() > 5);
      CHECK(fault->text.find('\n') == std::string::npos);
      continue;
    }
    ++read;
    for (const CsvRow& row : table.rows) CHECK(row.size() == table.headings.size());
  }
  CHECK(faults > 100);
  CHECK(read > 100);
}
