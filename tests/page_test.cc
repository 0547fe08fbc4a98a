// The page of a family. Oracles: libxml2's xmllint, which parses each page as XML and answers XPath; the rows of the
// pinout tables as CSV, which reports_test holds against the family's own rows; one page whole.
#include <sys/wait.h>
#include <unistd.h>

#include <algorithm>
#include <catch2/catch.hpp>
#include <cstdlib>
#include <fstream>
#include <regex>
#include <set>

#include "fixture_harness.h"
#include "layout/sheets.h"
#include "packed.h"
#include "page/page.h"
#include "random_family.h"
#include "report_text.h"
#include "reports/cautions.h"
#include "reports/escape.h"
#include "reports/pinout.h"
#include "reports/reports.h"

using namespace loomproof;
using namespace loomproof::testing;

namespace {

// Every character as wide as any other, so that no page here depends on a font.
class Even : public layout::Measure {
 public:
  double width(std::string_view text, double size, bool bold) const override {
    const auto characters = std::count_if(text.begin(), text.end(), [](char c) { return (c & 0xC0) != 0x80; });
    return static_cast<double>(characters) * size * (bold ? 0.7 : 0.62);
  }
};

std::string page_of(const Family& family, std::string_view corpus = "A corpus") {
  return page::family_page(family, corpus, "pack 0123456789abcdef", Even());
}

// A page on disk, and what xmllint answers of it; it has to be there, and to find the page well formed.
class Parsed {
 public:
  explicit Parsed(const std::string& page)
      : folder_(fs::temp_directory_path() / ("page_test." + std::to_string(::getpid()))) {
    fs::create_directories(folder_);
    std::ofstream(folder_ / "page.html", std::ios::binary) << page;
  }
  ~Parsed() { fs::remove_all(folder_); }
  // The XPath's answer, without the line end; local-name() spares the name space.
  std::string ask(const std::string& xpath) const {
    std::ofstream(folder_ / "ask.sh") << "xmllint --nonet --xpath \"$1\" " << (folder_ / "page.html").string();
    const std::string command =
        "sh " + (folder_ / "ask.sh").string() + " \"" + xpath + "\" >" + (folder_ / "out").string() + " 2>&1";
    const int status = std::system(command.c_str());
    std::string answer = contents(folder_ / "out");
    INFO(xpath << "\n" << answer.substr(0, 2000));
    REQUIRE(WEXITSTATUS(status) == 0);
    if (!answer.empty() && answer.back() == '\n') answer.pop_back();
    return answer;
  }

 private:
  fs::path folder_;
};

std::string count_of(const std::string& nodes) {
  return "count(" + nodes + ")";
}

// Whatever a family says: nothing on its page runs, loads or leads anywhere but what the page itself brings.
void hold_harmless(const Parsed& page) {
  const auto none_of = [](const std::string& nodes) { return count_of(nodes) + " = 0"; };
  const std::string checks[] = {
      count_of("//*[local-name()='script']") + " = 1",
      count_of("//*[local-name()='style']") + " = 1",
      none_of("//@*[starts-with(local-name(), 'on')]"),
      none_of("//@src | //@srcset | //@action | //@formaction | //@data | //@poster | //@*[name()='xlink:href']"),
      none_of("//@href[not(starts-with(., '#'))]"),
      none_of("//*[local-name()='img' or local-name()='iframe' or local-name()='object' or local-name()='embed' or "
              "local-name()='link' or local-name()='base' or local-name()='form' or local-name()='foreignObject' or "
              "local-name()='use' or local-name()='image']"),
      none_of("//@style[not(starts-with(., '--base:#')) or string-length(.) != 31]"),
      count_of("//*[local-name()='meta'][@http-equiv]") + " = 1",
  };
  std::string all = "true()";
  for (const std::string& one : checks) all += " and " + one;
  if (page.ask(all) == "true") return;
  for (const std::string& one : checks) CHECK(page.ask(one) == "true");
}

// Ids are there once, and every link on the page leads to one.
void hold_linked(const std::string& page) {
  std::set<std::string> ids;
  static const std::regex id(" id=\"([^\"]*)\""), link(" href=\"#([^\"]*)\"");
  for (std::sregex_iterator it(page.begin(), page.end(), id), end; it != end; ++it) {
    INFO((*it)[1]);
    CHECK(ids.insert((*it)[1]).second);
  }
  size_t links = 0;
  for (std::sregex_iterator it(page.begin(), page.end(), link), end; it != end; ++it, ++links) {
    INFO((*it)[1]);
    CHECK(ids.contains((*it)[1]));
  }
  CHECK(links > 0);
}

// What stands between the tags, as a browser shows it.
std::string shown(std::string_view markup) {
  std::string text;
  for (size_t at = 0; at < markup.size(); ++at) {
    if (markup[at] == '<') {
      at = markup.find('>', at);
      continue;
    }
    bool named = false;
    for (const auto& [name, c] : {std::pair<std::string_view, char>("&lt;", '<'),
                                  {"&gt;", '>'},
                                  {"&amp;", '&'},
                                  {"&quot;", '"'},
                                  {"&#39;", '\''}}) {
      if (markup.substr(at, name.size()) != name) continue;
      text += c, at += name.size() - 1, named = true;
      break;
    }
    if (!named) text += markup[at];
  }
  return text;
}

using Row = std::map<std::string, std::string>;

// The table of cavities that stands behind an id, by its headings.
std::vector<Row> table_at(const std::string& page, const std::string& id) {
  const size_t from = page.find(" id=\"" + id + "\"");
  REQUIRE(from != std::string::npos);
  const size_t at = page.find("<caption>Cavities of ", from);
  REQUIRE(at != std::string::npos);
  const std::string table = page.substr(at, page.find("</table>", at) - at);
  static const std::regex line("<tr>(.*)</tr>"), cell("<(th|td)[^>]*>(.*?)</(th|td)>");
  std::vector<std::string> heads;
  std::vector<Row> rows;
  for (std::sregex_iterator it(table.begin(), table.end(), line), end; it != end; ++it) {
    const std::string cells = (*it)[1];
    std::vector<std::string> texts;
    for (std::sregex_iterator one(cells.begin(), cells.end(), cell); one != end; ++one)
      texts.push_back(shown((*one)[2].str()));
    if (heads.empty()) {
      heads = texts;
      continue;
    }
    REQUIRE(texts.size() == heads.size());
    rows.emplace_back();
    for (size_t column = 0; column < heads.size(); ++column) rows.back()[heads[column]] = texts[column];
  }
  return rows;
}

std::string with_spaces(std::string text) {
  std::replace_if(
      text.begin(), text.end(), [](char c) { return c == '\n' || c == '\r' || c == '\t'; }, ' ');
  return text;
}

// A function that only repeats the title is left out on the page, whatever its case.
std::string plain_case(std::string text) {
  for (char& c : text)
    if (c >= 'A' && c <= 'Z') c = static_cast<char>(c - 'A' + 'a');
  return text;
}

// Every row of every pinout table as CSV stands in the table of that name, in the same order.
size_t hold_complete(const Family& family, const std::string& page) {
  size_t judged = 0;
  const std::string pinouts = family_folder(family) + "/pinouts/";
  for (const ReportFile& file : family_reports(family)) {
    if (file.path.rfind(pinouts, 0) != 0 || !file.path.ends_with(".csv")) continue;
    const std::string name = file.path.substr(pinouts.size(), file.path.size() - pinouts.size() - 4);
    const auto wanted = rows_of(file.bytes);
    INFO(name);
    const std::vector<Row> got = table_at(page, name);
    REQUIRE(got.size() == wanted.size());
    for (size_t at = 0; at < wanted.size(); ++at) {
      const auto& row = wanted[at];
      const auto has = [&](const std::string& head, const std::string& key) {
        const auto found = got[at].find(head);
        const std::string cell = found == got[at].end() ? "" : found->second;
        INFO(head << ": " << cell << " / " << row.at(key));
        CHECK(plain_case(cell).find(plain_case(with_spaces(row.at(key)))) != std::string::npos);
      };
      for (const auto& [head, key] : {std::pair("Cavity", "cavity"),
                                      {"Moulded", "moulded"},
                                      {"In manual", "in_manual"},
                                      {"State", "state"},
                                      {"Circuit", "circuit"},
                                      {"Function", "title"},
                                      {"Function", "function"},
                                      {"Colour", "colour"},
                                      {"Colour", "colour_name"},
                                      {"Colour", "colour_evidence"},
                                      {"mm²", "mm2"},
                                      {"mm²", "mm2_evidence"},
                                      {"To", "to"},
                                      {"Role", "role"},
                                      {"Volts", "volts"},
                                      {"Max. A", "max_a"},
                                      {"Inside", "inside"},
                                      {"Same in", "same_in"},
                                      {"Source", "sources"},
                                      {"Note", "note"}})
        has(head, key);
      if (!row.at("caution").empty() && row.at("state") != "unknown") {
        const size_t from = page.find(" id=\"" + name + "\"");
        CHECK(page.substr(from, page.find("<table>", from) - from).find("FIRING CIRCUIT.") != std::string::npos);
      }
      ++judged;
    }
  }
  return judged;
}

// Both views of every face, every reason for a change, every caution.
void hold_said(const Family& family, const std::string& page) {
  const reports::FamilyView view(family);
  const reports::PinoutPages pages(view);
  size_t faces = 0;
  for (const reports::PinoutPage& one : pages.all())
    faces += !layout::face_of(view, one.connector, one.pinout).cavities.empty();
  for (const std::string side : {"wire", "mating"}) {
    size_t found = 0;
    const std::string words = "<figcaption>Seen from the " + side + " side";
    for (size_t at = page.find(words); at != std::string::npos; at = page.find(words, at + 1)) ++found;
    CHECK(found == faces);
  }
  const auto said = [&](Str text) {
    INFO(family.text(text));
    CHECK(page.find(html_text(family.text(text))) != std::string::npos);
  };
  for (const Change& change : family.changes) said(change.because);
  for (const Source& source : family.sources) said(source.id);
  for (const std::string& text : caution_texts(view, reports::Danger::ordinary))
    CHECK(page.find(html_text(text)) != std::string::npos);
}

// A family of one loom, one component and a firing plug, in which every text is `words`.
Family family_of(const std::string& words, uint32_t seed = 5) {
  Family family = random_family(seed);
  for (size_t i = 1; i < family.strings.size(); ++i)
    if (family.strings[i].find_first_of("0123456789") == std::string::npos) family.strings[i] = words;
  return family;
}

const std::vector<std::string> hostile = {
    "<script>alert(1)</script>",
    "\"><img src=x onerror=alert(1)>",
    "' onmouseover='alert(1)",
    "</style><script>alert(1)</script>",
    "</title></head><body onload=alert(1)>",
    "]]></style>]]><script>alert(1)</script>",
    "--base:red;background:url(http://host.example/x)",
    "<svg><use href=\"http://host.example/x\"/></svg>",
    "<!-- <![CDATA[ <?php ?> &quot; &#x3c;b&#x3e;",
    "javascript:alert(1)",
    "{{constructor.constructor('alert(1)')()}} ${alert(1)} `x`",
    "noncharacters \xEF\xBF\xBE \xEF\xBF\xBF",
};

}  // namespace

TEST_CASE("the page of a small family, whole") {
  const Fixture fixture = load_fixture(fixtures_root() / "reports/corpus");
  std::string first;
  for (const unsigned threads : {1u, 2u, 7u}) {
    const std::unique_ptr<Compiled> compiled = compile_files(fixture.files, {.threads = threads});
    REQUIRE(compiled->report.empty());
    REQUIRE(compiled->families.size() == 1);
    const Family& family = compiled->families[0].family;
    const std::string page = page_of(family, compiled->title);
    if (!first.empty()) {
      CHECK(page == first);
      continue;
    }
    first = page;
    CHECK(differs_from_expected(fixtures_root() / "page/small.html", page) == "");
    hold_harmless(Parsed(page));
    hold_linked(page);
    CHECK(hold_complete(family, page) > 20);
  }
}

TEST_CASE("the pages of the corpus say what the tables say") {
  for (const std::string name : {"croft", "trailer-12v", "audio-iso10487", "diagnostic-j1962"}) {
    INFO(name);
    const Family family = packed(name);
    const std::string page = page_of(family);
    CHECK(page == page_of(family));
    hold_harmless(Parsed(page));
    hold_linked(page);
    CHECK(hold_complete(family, page) > (name == "croft" ? 1500 : 20));
    hold_said(family, page);
  }
}

TEST_CASE("cautions stand before everything else, those on firing circuits first") {
  const std::string page = page_of(packed("croft"));
  const size_t firing = page.find("<strong>FIRING CIRCUITS"), h2 = page.find("<h2");
  CHECK(h2 < firing);
  CHECK(firing < page.find("<h2", h2 + 1));
  CHECK(page.find("id=\"cautions\"") < page.find("id=\"contents\""));
  CHECK(page.find("The maker&#39;s manual") > firing);
}

TEST_CASE("a corpus of markup and script is text") {
  std::vector<std::string> texts = nasty;
  texts.insert(texts.end(), hostile.begin(), hostile.end());
  for (const std::string& words : texts) {
    INFO(words);
    const Family family = family_of(words);
    const std::string page = page_of(family, words);
    const Parsed parsed(page);
    hold_harmless(parsed);
    hold_linked(page);
    const std::string seen = plain_line(words), title = parsed.ask("string(//*[local-name()='h1'])");
    CHECK(title == seen);
    CHECK(parsed.ask("string(//*[local-name()='title'])") == seen);
  }
}

TEST_CASE("whatever a family is, its page holds together") {
  for (uint32_t seed = 1; seed <= 25; ++seed) {
    INFO(seed);
    const Family family = random_family(seed);
    const std::string page = page_of(family);
    hold_harmless(Parsed(page));
    hold_linked(page);
    hold_complete(family, page);
  }
}
