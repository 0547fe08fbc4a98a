// Rows read by us are what yaml-cpp reads, to the byte. Oracle: yaml-cpp over the same text without any of our row
// reading.
#include "yaml/rows.h"

#include <catch2/catch.hpp>
#include <filesystem>
#include <fstream>
#include <iterator>
#include <random>

#include "both_ways.h"

using namespace loomproof;
using loomproof::testing::difference_of_ways;
using loomproof::testing::rows_are_ours;

namespace {

std::vector<std::string> files_below(const char* folder) {
  std::vector<std::filesystem::path> paths;
  for (const auto& entry : std::filesystem::recursive_directory_iterator(folder)) {
    if (entry.is_regular_file()) paths.push_back(entry.path());
  }
  std::sort(paths.begin(), paths.end());
  std::vector<std::string> texts;
  for (const auto& path : paths) {
    std::ifstream in(path, std::ios::binary);
    texts.emplace_back(std::istreambuf_iterator<char>(in), std::istreambuf_iterator<char>());
  }
  return texts;
}

constexpr const char* reference = LOOMPROOF_SOURCE_DIR "/reference";
constexpr const char* fixtures = LOOMPROOF_SOURCE_DIR "/tests/fixtures";

// Texts full of rows and of what only looks like rows.
class NearRows {
 public:
  explicit NearRows(uint32_t seed) : random_(seed), oddness_(pick(3) == 0 ? 0 : pick(2) == 0 ? 60 : 12) {}
  std::string document() {
    std::string out = one_in(12) ? "\xEF\xBB\xBF" : "";
    out += one_in(8) ? "---\n" : one_in(4) ? "# {a: b}\n" : "";
    if (one_in(4)) {
      rows(out, pick(2) * 2);
    } else {
      for (uint32_t i = 0, count = 1 + pick(4); i < count; ++i) section(out, 0);
    }
    if (one_in(9) && !out.empty()) out.pop_back();
    if (one_in(10)) with_carriage_returns(out);
    return out;
  }

 private:
  uint32_t pick(uint32_t below) { return static_cast<uint32_t>(random_() % below); }
  bool one_in(uint32_t n) { return pick(n) == 0; }
  bool odd() { return oddness_ != 0 && one_in(oddness_); }
  template <size_t n>
  std::string any(const char* const (&texts)[n]) {
    return texts[pick(n)];
  }

  void with_carriage_returns(std::string& text) {
    const bool all = one_in(2);
    for (size_t at = text.find('\n'); at != std::string::npos; at = text.find('\n', at + 2)) {
      if (all || one_in(5)) text.insert(at, "\r");
      if (at + 2 >= text.size()) break;
    }
  }

  std::string word() {
    static const char* const plain[] = {"C1.12", "GN/WH",   "0.5",  "a..b", "a b  c", "-1",  "x-y",  "12:30",
                                        "(1)",   "nullify", "true", "c..",  "+5",     "/x",  ".5",   "a(b)",
                                        "a=b",   "a - b",   "x:y",  "a::b", "_",      "A^2", "a; b", "k"};
    static const char* const quoted[] = {"\"a b\"", "'a b'", "\"\"", "''", "\" a: b, [c] # d \"", "'\"{}'", "\"null\""};
    static const char* const strange[] = {
        "null",      "~",      "NULL", "Null",      "a#b",    "a #b",     "#b",   "it's",        "-",     "-,",
        "- a",       "?",      "a?b",  "? a",       "&a b",   "*a",       "!t c", "é",           "a:",    ":a",
        "::",        "a: b",   "a\tb", "\tb",       "|",      ">",        "@a",   "`a",          "%a",    "a%",
        "\"a\\nb\"", "'a''b'", "\"a",  "'a",        "\"a\"b", "",         "<<",   "a :b",        "a : b", "---",
        "...",       "a&b",    "a\\b", "a\xC2\xA0", "\"é\"",  "\"a\tb\"", "=",    "<a",          "a'",    "a\"b\"",
        "a,b",       "-.5",    "--a",  "\"a\":b",   "[a]:b",  "{a: b}:c", "a\rb", "\xE2\x80\xA8"};
    if (odd()) return any(strange);
    return one_in(5) ? any(quoted) : any(plain);
  }
  std::string key() {
    if (odd()) return word();
    if (one_in(12)) return any({"\"a b\"", "'c'", "\"\""});
    if (one_in(30)) return "same";
    return std::string(1, static_cast<char>('a' + pick(26))) + std::to_string(pick(100));
  }
  std::string flow(uint32_t depth) {
    const bool map = one_in(depth == 0 ? 5 : 2) == false;
    std::string out = map ? "{" : "[";
    const uint32_t count = one_in(12) ? 0 : 1 + pick(5);
    if (one_in(20)) out += " ";
    for (uint32_t i = 0; i < count; ++i) {
      if (i > 0) out += odd() ? any({",", " , ", ",  ", ",\n      ", ",,", " "}) : ", ";
      if (map || odd()) out += key() + (odd() ? any({":", " : ", ":  ", "", ":\t"}) : ": ");
      out += depth < 3 && one_in(6) ? flow(depth + 1) : word();
    }
    if (odd()) out += any({",", ", ", " ", "\t", "]", "}", ": "});
    if (odd()) return out;
    return out + (map ? "}" : "]");
  }
  std::string line_end() {
    if (odd())
      return any(
          {" \n", "\t\n", " # é\n", "# c\n", " #\n", ",\n", " x\n", ":\n", ": y\n", "}\n", "\r\r\n", " #\r c\n"});
    return one_in(12) ? "   # a: {b: c}\n" : "\n";
  }
  void between(std::string& out, uint32_t indent) {
    if (!one_in(8)) return;
    out += any({"\n", "  \n", "# c\n", "      # - {a: b}\n", "\n\n# {\n"});
    if (!odd()) return;
    const std::string pad(indent, ' ');
    out += any({"\t\n", "\t# c\n", "# é\n", "# a\r- {a: b}\n", "---\n", "...\n"});
    if (one_in(2)) out += pad + any({"  more\n", "- x\n", "k: v\n", "? k\n", ": v\n", "x\n", "&a\n", "!t\n"});
  }
  void rows(std::string& out, uint32_t indent) {
    const bool keyed = one_in(2);
    for (uint32_t i = 0, count = 1 + pick(6); i < count; ++i) {
      out += std::string(odd() ? pick(6) : indent, ' ');
      if (odd()) out += any({"\t", "- ", "? ", "&a ", "!t ", "x ", "\"q\": ", "null: "});
      if (odd() ? !keyed : keyed) {
        out += key() + (one_in(9) ? ":   " : odd() ? ":" : ": ");
      } else {
        out += one_in(9) ? "-   " : odd() ? "-" : "- ";
      }
      if (odd()) out += any({"&a ", "*a ", "!t ", "\t", "|\n", "\n      ", "x ", "\"", "'", "k: ", "- "});
      out += (odd() ? word() : flow(0)) + line_end();
      between(out, indent);
    }
  }
  // What holds row-like lines that are no rows.
  void container(std::string& out, uint32_t indent) {
    out += any({" |\n", " >-\n", " |2\n", " text\n", " \"text\n", " 'text\n", " [\n", " {\n", " [a,\n", " &x\n",
                " !t\n", "\n"});
    const char begun = out[out.find_last_not_of("\n")];
    rows(out, indent + 2);
    const char* const closed = begun == '[' || begun == ',' ? "]\n" : begun == '{' ? "}\n" : nullptr;
    const std::string tail = out.substr(out.rfind('\n', out.size() - 2) + 1);
    if (closed != nullptr) out += std::string(indent + 2, ' ') + closed;
    if (one_in(2)) out += std::string(indent + 2, ' ') + any({"\"\n", "'\n", "]\n", "}\n"});
  }
  void section(std::string& out, uint32_t indent) {
    out += std::string(indent, ' ') + "s" + std::to_string(counter_++) + ":";
    if (oddness_ != 0 && one_in(6)) return container(out, indent);
    if (one_in(6)) {
      out += " " + flow(0) + line_end();
    } else if (one_in(6)) {
      out += " word" + line_end();
    } else if (indent < 6 && one_in(3)) {
      out += "\n";
      for (uint32_t i = 0, count = 1 + pick(3); i < count; ++i) section(out, indent + 2);
    } else {
      out += "\n";
      rows(out, one_in(4) ? indent : indent + 2);
    }
  }

  std::mt19937 random_;
  uint32_t oddness_;  // one in so many places is odd; 0: none
  uint32_t counter_ = 0;
};

std::string damaged(std::string text, std::mt19937& random) {
  static const std::string marks = "[]{}:,-?&*!|>'\"%@`# \n\r\t~<\\a1\xC3\xA9";
  const size_t at = random() % text.size();
  switch (random() % 3) {
    case 0:
      text.erase(at, 1);
      break;
    case 1:
      text.insert(at, 1, marks[random() % marks.size()]);
      break;
    default:
      text[at] = marks[random() % marks.size()];
  }
  return text;
}

// Whole lines, about 1500 bytes: a fault far away adds nothing but time.
std::string some_lines(const std::string& text, std::mt19937& random) {
  if (text.size() < 2000) return text;
  const size_t begin = text.find('\n', random() % (text.size() - 1500));
  const size_t end = text.find('\n', std::min(text.size() - 1, begin + 1500));
  return begin == std::string::npos ? text : text.substr(begin + 1, end - begin);
}

size_t bytes_in_rows(const std::string& text) {
  size_t bytes = 0;
  for (const yaml::RowRun& run : yaml::find_rows(text, 1000)) bytes += run.resume - run.open;
  return bytes;
}

}  // namespace

TEST_CASE("every file of the corpus and the fixtures reads the same both ways") {
  for (const char* const folder : {reference, fixtures}) {
    for (const std::string& text : files_below(folder)) {
      INFO(text.substr(0, 300));
      REQUIRE(difference_of_ways(text) == "");
    }
  }
}

TEST_CASE("most of the corpus is rows, and they are read by us") {
  size_t all = 0, in_rows = 0;
  for (const std::string& text : files_below(reference)) {
    if (!rows_are_ours(text)) continue;
    all += text.size();
    in_rows += bytes_in_rows(text);
  }
  CHECK(all > 100'000);
  CHECK(in_rows * 2 > all);
}

TEST_CASE("random texts full of rows and near rows read the same both ways") {
  uint32_t ours = 0, refused = 0;
  for (uint32_t seed = 0; seed < 40'000; ++seed) {
    const std::string text = NearRows(seed).document();
    INFO("seed " << seed << "\n" << text);
    REQUIRE(difference_of_ways(text) == "");
    ours += rows_are_ours(text);
    Sources sources;
    sources.add("t.yaml", text);
    Report report;
    refused += yaml::build(sources.file(0), 0, report, {}) == nullptr;
  }
  CHECK(ours > 10'000);
  CHECK(refused > 10'000);
}

TEST_CASE("a damaged corpus reads the same both ways") {
  const std::vector<std::string> texts = files_below(reference);
  std::mt19937 random(11);
  uint32_t ours = 0;
  for (int i = 0; i < 6'000; ++i) {
    const std::string& whole = texts[random() % texts.size()];
    const std::string text = damaged(i % 20 == 0 ? whole : some_lines(whole, random), random);
    INFO(text);
    REQUIRE(difference_of_ways(text) == "");
    ours += rows_are_ours(text);
  }
  CHECK(ours > 1'000);
}

TEST_CASE("limits hold in rows as elsewhere") {
  const std::string text =
      "a:\n  - {b: c, d: [e, {f: \"g g g g\"}], longer-key: h}\n  - [[[[i]]]]\n  # c\n  - {j: kkkkkkkkk}\nl: {m: n}\n";
  REQUIRE(rows_are_ours(text));
  for (uint32_t limit = 1; limit < 40; ++limit) {
    INFO(limit);
    yaml::Limits limits;
    limits.depth = limit;
    CHECK(difference_of_ways(text, limits) == "");
    limits = {};
    limits.nodes = limit;
    CHECK(difference_of_ways(text, limits) == "");
    limits = {};
    limits.scalar_bytes = limit;
    CHECK(difference_of_ways(text, limits) == "");
  }
  for (const size_t length : {400u, 499u, 501u, 1023u, 1024u, 1025u, 70'000u}) {
    const std::string word(length, 'x');
    CHECK(difference_of_ways("- {" + word + ": b}\n") == "");
    CHECK(difference_of_ways("- {\"" + word + "\": b}\n") == "");
    CHECK(difference_of_ways("- {b: " + word + "}\n") == "");
    CHECK(difference_of_ways("- [{b: " + word + "}, c]\n") == "");
    CHECK(difference_of_ways("a: {b: c}\n" + word + ": {b: c}\n") == "");
  }
}

TEST_CASE("what is a row, and what ends a run") {
  struct Case {
    const char* text;
    size_t runs;
    const char* shorter;
  };
  const Case cases[] = {
      {"a:\n  - {b: c}\n  - {d: [e, 'f f']}  # g\n\n  # h\n  - []\ni: j\n", 1, "a:\n  - {}\ni: j\n"},
      {"a: {b: c}\nd: {e: f}\n", 1, "a: {}\n"},
      {"- {b: c}\n  - {b: c}\n- {b: c}", 3, "- {}\n  - {}\n- {}"},
      {"- {b: c}\na: {b: c}\n", 2, "- {}\na: {}\n"},
      {"- {b: c}\n- d\n- {b: c}\n", 2, "- {}\n- d\n- {}\n"},
      {"- {b: c}\n- {b: c #}\n- [b, \"c\"]\n", 2, "- {}\n- {b: c #}\n- []\n"},
      {"- {b: c}\r\n- {b: c}\r\n", 1, "- {}\r\n"},
      {"- {b: null}\n- {b: *c}\n- {b: c,d: e}\n- {b: }\n- {b}\n- [b: c]\n", 0, nullptr},
      {"- {b: c},\n- {b: c} d\n-{b: c}\na:{b: c}\n-\t{b: c}\n\"a\": {b: c}\n", 0, nullptr},
  };
  for (const Case& c : cases) {
    INFO(c.text);
    const std::vector<yaml::RowRun> runs = yaml::find_rows(c.text, 1000);
    CHECK(runs.size() == c.runs);
    CHECK(yaml::without_rows(c.text, runs) == (c.shorter == nullptr ? c.text : c.shorter));
    CHECK(difference_of_ways(c.text) == "");
  }
}

TEST_CASE("lines that look like rows are none in a text, in brackets or behind an anchor") {
  const char* const texts[] = {
      "a: [\n  b: {c: d}\n  e: {f: g}\n]\n",
      "a: [b: [\n  c: {d: e}\n  f: {g: h}\n]]\n",
      "a: |\n  - {b: c}\n  - {d: e}\nf: {g: h}\n",
      "a: >\n  - {b: c}\n\n  - {d: e}\n",
      "a: text\n  - {b: c}\n",
      "a: \"text\n  - {b: c}\n  - {d: e}\"\n",
      "a: 'text\n  b: {c: d}\n  '\n",
      "a: [\n  {b: c}, d: {e: f}\n]\n",
      "a: {\n  b: {c: d}\n}\n",
      "? a\n: - {b: c}\n",
      "? - {b: c}\n  - {d: e}\n: f\n",
      "?\n  a: {b: c}\n  d: {e: f}\n: g\n",
      "a:\n  &x\n  - {b: c}\n",
      "a: !t\n  b: {c: d}\n",
      "<<:\n  a: {b: c}\n",
      "- {b: c}\n---\n- {d: e}\n",
      "- {b: c}\n...\n",
      "a: {b: c}\na: {d: e}\n",
      "a:\n  - {b: c, b: d}\n",
      "a: {b: c}\n  d\n",
      "a: {b: c}\n: d\n",
      "- {b: c}\n  : d\n",
      "%TAG ! x\n---\n- {b: c}\n",
  };
  for (const char* const text : texts) {
    INFO(text);
    CHECK(difference_of_ways(text) == "");
  }
}
