// Text made safe for Markdown, HTML and CSV, and names of files. Oracles: RFC 4180 and CommonMark 0.30 as report_text.h
// reads them.
#include "reports/escape.h"

#include <catch2/catch.hpp>
#include <map>
#include <set>

#include "random_family.h"
#include "report_text.h"
#include "reports/family_view.h"
#include "reports/file_names.h"

using namespace loomproof;
using namespace loomproof::testing;
using namespace loomproof::reports;

namespace {

std::string random_text(Random& random) {
  constexpr std::string_view bits[] = {"a",        "B",
                                       " ",        "|",
                                       "\\",       "`",
                                       "*",        "_",
                                       "[",        "]",
                                       "(",        ")",
                                       "<",        ">",
                                       "&",        "#",
                                       "\"",       "'",
                                       ",",        ";",
                                       "=",        "+",
                                       "-",        "@",
                                       "\t",       "\r",
                                       "\n",       "!",
                                       "~",        "$",
                                       "://",      "www.",
                                       "\xC3\xA4", "\xE2\x80\xAE",
                                       "\x01",     "1.",
                                       "&amp;",    "</"};
  std::string text;
  for (uint32_t i = random.below(12); i > 0; --i) text += bits[random.below(std::size(bits))];
  return text;
}

}  // namespace

TEST_CASE("Markdown text reads as it was meant") {
  Random random(1);
  std::vector<std::string> texts = nasty;
  for (int i = 0; i < 5'000; ++i) texts.push_back(random_text(random));
  for (const std::string& text : texts) {
    INFO(text);
    CHECK(read_inline(markdown_text(text)) == plain_line(text));
    const std::string line = markdown_line(text);
    std::string trimmed = plain_line(text);
    trimmed.erase(0, std::min(trimmed.find_first_not_of(' '), trimmed.size()));
    CHECK(read_inline(line) == trimmed);
    const size_t digits = line.find_first_not_of("0123456789");
    if (digits != std::string::npos) {
      CHECK_FALSE((digits == 0 && std::string_view("-+=#>").find(line[0]) != std::string_view::npos));
      CHECK_FALSE((digits > 0 && std::string_view(".)").find(line[digits]) != std::string_view::npos));
    }
    const std::string code = markdown_code(text);
    if (code.find('`') != std::string::npos && code[0] == '`')
      CHECK(code == "`" + text + "`");
    else
      CHECK(code == markdown_text(text));
  }
}

// HTML, the text and attribute states of its tokenizer: a reference begins at "&", a tag at "<", a value ends at its
// quote.
TEST_CASE("HTML text ends no text and no attribute") {
  CHECK(html_text("<b a='1' c=\"2\">&amp;") == "&lt;b a=&#39;1&#39; c=&quot;2&quot;&gt;&amp;amp;");
  Random random(3);
  for (int i = 0; i < 5'000; ++i) {
    const std::string text = random_text(random), html = html_text(text);
    INFO(text);
    CHECK(html.find_first_of("<>\"'\n\r\t") == std::string::npos);
    std::string read;
    for (size_t at = 0; at < html.size(); ++at) {
      if (html[at] != '&') {
        read += html[at];
        continue;
      }
      const size_t end = html.find(';', at);
      REQUIRE(end != std::string::npos);
      const std::map<std::string, char> names = {{"lt", '<'}, {"gt", '>'}, {"amp", '&'}, {"quot", '"'}, {"#39", '\''}};
      read += names.at(html.substr(at + 1, end - at - 1));
      at = end;
    }
    CHECK(read == plain_line(text));
  }
}

TEST_CASE("a plain line has nothing unseen in it") {
  CHECK(plain_line("a\tb\nc\rd") == "a b c d");
  CHECK(plain_line(std::string("\0x", 2)) == "\xEF\xBF\xBDx");
  CHECK(plain_line("\xE2\x80\xAE") == "\xEF\xBF\xBD");
  CHECK(plain_line("\xEF\xBF\xBE") == "\xEF\xBF\xBD");
  CHECK(plain_line("\xC2\x85") == "\xEF\xBF\xBD");
  CHECK(plain_line("\xC2\xA0\xC3\xA4\xE2\x80\x93") == "\xC2\xA0\xC3\xA4\xE2\x80\x93");
}

// Which first characters make a cell a formula: common practice among those who write about injection by CSV, no
// source.
TEST_CASE("CSV fields read back, and none is a formula") {
  Random random(2);
  std::vector<std::string> texts = nasty;
  for (int i = 0; i < 5'000; ++i) texts.push_back(random_text(random));
  for (const std::string& text : texts) {
    INFO(text);
    const std::string field = csv_field(text);
    const std::string_view unquoted = field[0] == '"' ? std::string_view(field).substr(1) : std::string_view(field);
    CHECK((unquoted.empty() || std::string_view("=+-@\t\r").find(unquoted[0]) == std::string_view::npos));
    const Csv read = read_csv("x," + field + ",y\n");
    REQUIRE(read.size() == 1);
    REQUIRE(read[0].size() == 3);
    std::string wanted;  // control characters are not kept
    for (const char c : text) {
      const bool unseen =
          (static_cast<unsigned char>(c) < 0x20 && std::string_view("\n\r\t").find(c) == std::string_view::npos) ||
          c == 0x7f;
      wanted += unseen ? "\xEF\xBF\xBD" : std::string(1, c);
    }
    for (const std::string hidden : {"\xE2\x80\xAE", "\xE2\x80\xAC", "\xE2\x80\x8B", "\xEF\xBB\xBF", "\xC2\x9B"})
      for (size_t at; (at = wanted.find(hidden)) != std::string::npos;)
        wanted.replace(at, hidden.size(), "\xEF\xBF\xBD");
    // One apostrophe that was there already and one that was added are the same to a reader.
    if (wanted.size() > 1 && wanted[0] == '\'' &&
        std::string_view("=+-@\t\r").find(wanted[1]) != std::string_view::npos)
      wanted.erase(0, 1);
    CHECK(read[0][1] == wanted);
  }
  CHECK(csv_field("=1") == "'=1");
  CHECK(csv_field("a\"b") == "\"a\"\"b\"");
  CHECK(csv_field("a,b") == "\"a,b\"");
  CHECK(csv_field("mm\xC2\xB2") == "mm\xC2\xB2");
}

TEST_CASE("names of files are safe, short and each given once") {
  FileNames names;
  std::set<std::string> given;
  for (const std::string& text : nasty) {
    for (int i = 0; i < 3; ++i) {
      const std::string name = names.claim(file_word(text));
      INFO(text << " -> " << name);
      CHECK(is_safe_name(name + ".loompack"));
      CHECK(given.insert(name).second);
    }
    CHECK(is_safe_name(folder_name(text)));
  }
  const std::string long_one(300, 'a');
  for (const std::string tail : {"1", "2", "1"}) {
    const std::string name = names.claim(long_one + tail);
    CHECK(is_safe_name(name + ".loompack"));
    CHECK(given.insert(name).second);
  }
  CHECK(file_word("CHASSIS-LOOM") == "chassis-loom");
  CHECK(file_word("..") == "unnamed");
  CHECK(folder_name("trailer-12v") == "trailer-12v");
  CHECK(folder_name("packs") != "packs");
  CHECK(folder_name("A") != folder_name("a"));
}

TEST_CASE("ids as people count") {
  const std::vector<std::string> sorted = {"",      "1",  "2",   "10",    "A",  "C1", "C1.2",
                                           "C1.10", "C2", "C10", "C10-A", "G1", "G12"};
  for (size_t a = 0; a < sorted.size(); ++a)
    for (size_t b = 0; b < sorted.size(); ++b) CHECK(natural_less(sorted[a], sorted[b]) == (a < b));
  CHECK(natural_less("01", "1") != natural_less("1", "01"));
}
