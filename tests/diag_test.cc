// Findings and how they are shown. Oracles: the full matrix of the edit distance; the text of the findings written out
// here by hand; JSON read back by its library; SARIF held against its schema's properties in sarif_check.py.
#include <catch2/catch.hpp>
#include <fstream>
#include <nlohmann/json.hpp>
#include <random>
#include <set>

#include "diag/render.h"
#include "diag/suggest.h"

using namespace loomproof;
using nlohmann::json;

namespace {

// Restricted Damerau-Levenshtein distance by its definition, the whole matrix and no limit.
int naive_distance(const std::string& a, const std::string& b) {
  std::vector<std::vector<int>> d(a.size() + 1, std::vector<int>(b.size() + 1));
  for (size_t i = 0; i <= a.size(); ++i) {
    for (size_t j = 0; j <= b.size(); ++j) {
      if (i == 0 || j == 0) {
        d[i][j] = static_cast<int>(i + j);
        continue;
      }
      d[i][j] = std::min({d[i - 1][j] + 1, d[i][j - 1] + 1, d[i - 1][j - 1] + (a[i - 1] != b[j - 1])});
      if (i > 1 && j > 1 && a[i - 1] == b[j - 2] && a[i - 2] == b[j - 1])
        d[i][j] = std::min(d[i][j], d[i - 2][j - 2] + 1);
    }
  }
  return d[a.size()][b.size()];
}

Span span_of(const Sources& sources, FileId id, const std::string& text, size_t from = 0) {
  const size_t at = sources.file(id).bytes().find(text, from);
  REQUIRE(at != std::string::npos);
  return {id, static_cast<uint32_t>(at), static_cast<uint32_t>(at + text.size())};
}

std::string rendered(const Report& report, const Sources& sources, int width = 80, bool colour = false) {
  return render_text(report.findings(), sources, {colour, width});
}

// One report with everything in it that a finding can carry.
struct Sample {
  Sample() {
    sources.add("a b/ü.yaml", "wires:\n  - {colour: 😀 GN, colour: BU}\n");
    sources.add("z.yaml", "x: 1\n");
    report.add<Rule::duplicate_key>(span_of(sources, 0, "colour", 20), "colour")
        .at("the second")
        .label(span_of(sources, 0, "colour"), "first [here](x) {0}")
        .help("keep one")
        .fix(span_of(sources, 0, "BU"), "GN/WH")
        .fix(span_of(sources, 0, ", colour: BU"), "", true);
    report.add<Rule::unused>(span_of(sources, 1, "x"), "circuit", "x");
    report.add<Rule::no_source>({}, "the corpus");
    report.sort();
  }
  Sources sources;
  Report report;
};

}  // namespace

TEST_CASE("edit distance equals the full matrix, up to its limit") {
  std::mt19937 random(3);
  const auto word = [&] {
    std::string out;
    for (uint32_t n = random() % 8; n > 0; --n) out += static_cast<char>('a' + random() % 3);
    return out;
  };
  for (int i = 0; i < 20'000; ++i) {
    const std::string a = word(), b = word();
    const int limit = static_cast<int>(random() % 8);
    INFO(a << " " << b << " " << limit);
    REQUIRE(edit_distance(a, b, limit) == std::min(naive_distance(a, b), limit + 1));
  }
}

TEST_CASE("the nearest name is near enough, and ties go by byte order") {
  const std::vector<std::string_view> names = {"housing", "colour", "circuit", "eras", "C21.2", "C21.3"};
  CHECK(nearest("coluor", names) == "colour");
  CHECK(nearest("HOUSING", names) == "housing");
  CHECK(nearest("era", names) == "eras");
  CHECK(nearest("C21.4", names) == "C21.2");
  CHECK(nearest("mm2", names).empty());
  CHECK(nearest("", names).empty());
  CHECK(nearest("x", {}).empty());
}

TEST_CASE("the registry has every rule once, found by its id") {
  std::set<std::string_view> ids;
  for (const RuleInfo& rule : all_rules()) {
    INFO(rule.id);
    CHECK(ids.insert(rule.id).second);
    REQUIRE(find_rule(rule.id) != nullptr);
    CHECK(&rule_info(*find_rule(rule.id)) == &rule);
    CHECK(rule.id.find_first_not_of("abcdefghijklmnopqrstuvwxyz-8") == std::string_view::npos);
    CHECK_FALSE(rule.summary.empty());
    CHECK_FALSE(rule.format.empty());
    CHECK(rule.format.back() != '.');
    CHECK(rule.why.ends_with('.'));
    CHECK_FALSE(rule.fault.empty());
    CHECK_FALSE(rule.mend.empty());
  }
  CHECK(find_rule("no-such-rule") == nullptr);
  CHECK(find_rule("") == nullptr);
}

TEST_CASE("findings are sorted by place, said once, and merged with what was judged") {
  Report first, second;
  second.add<Rule::duplicate_key>({0, 5, 6}, "b");
  first.add<Rule::no_source>({}, "all");
  first.add<Rule::duplicate_key>({1, 0, 1}, "c");
  first.add<Rule::duplicate_key>({0, 5, 6}, "b");
  second.add<Rule::duplicate_key>({0, 5, 6}, "a");
  second.add<Rule::empty_file>({0, 5, 6});
  first.judged(Rule::duplicate_key, 3);
  second.judged(Rule::duplicate_key, 4);
  first.merge(std::move(second));
  first.sort();
  std::vector<std::string> messages;
  for (const Finding& finding : first.findings()) messages.push_back(finding.message);
  CHECK(messages == std::vector<std::string>{"nothing in this file", "key `a` stands twice in one map",
                                             "key `b` stands twice in one map", "key `c` stands twice in one map",
                                             "all has no source"});
  CHECK(first.judged_count(Rule::duplicate_key) == 7);
  CHECK(first.has_errors());
}

TEST_CASE("a finding as text") {
  const Sample sample;
  CHECK(rendered(sample.report, sample.sources) ==
        "a b/ü.yaml:2:23: error[duplicate-key]: key `colour` stands twice in one map\n"
        "     2    - {colour: 😀 GN, colour: BU}\n"
        "                            ~~~~~~ the second\n"
        "  also here: a b/ü.yaml:2:6: first [here](x) {0}\n"
        "     2    - {colour: 😀 GN, colour: BU}\n"
        "             ~~~~~~\n"
        "  help: keep one\n"
        "  edit: did you mean `GN/WH`? at a b/ü.yaml:2:31\n"
        "  edit: leave it out at a b/ü.yaml:2:21\n"
        "\n"
        "z.yaml:1:1: warning[unused]: circuit `x` is used nowhere\n"
        "     1  x: 1\n"
        "        ~\n"
        "\n"
        "error[no-source]: the corpus has no source\n");
  CHECK(summary_line(sample.report.findings()) == "2 errors, 1 warning in 2 files");
  CHECK(summary_line({}) == "no findings");
}

TEST_CASE("colour is switched on and off whole") {
  const Sample sample;
  const std::string painted = rendered(sample.report, sample.sources, 80, true);
  std::string stripped;
  for (size_t i = 0; i < painted.size(); ++i) {
    if (painted[i] == '\x1b') {
      i = painted.find('m', i);
    } else {
      stripped += painted[i];
    }
  }
  CHECK(painted != stripped);
  CHECK(stripped == rendered(sample.report, sample.sources));
}

TEST_CASE("long lines are cut around the span, counted in characters") {
  Sources sources;
  sources.add("l.yaml", "a: " + std::string(200, 'x') + " é漢é TARGET " + std::string(200, 'y') + "\n");
  Report report;
  report.add<Rule::empty_file>(span_of(sources, 0, "TARGET"));
  for (const int width : {0, 30, 40, 61, 80, 1000}) {
    std::istringstream lines(rendered(report, sources, width));
    std::string head, text, under;
    std::getline(lines, head), std::getline(lines, text), std::getline(lines, under);
    INFO(width << "\n" << text << "\n" << under);
    const auto columns = [](const std::string& line) {
      size_t count = 0;
      for (const char c : line) count += (static_cast<unsigned char>(c) & 0xC0) != 0x80;
      return count + (line.find("漢") != std::string::npos ? 1 : 0);
    };
    CHECK(columns(text) <= static_cast<size_t>(std::max(width, 28)));
    CHECK(columns(text.substr(0, text.find("TARGET"))) == under.find('~'));
    CHECK(std::count(under.begin(), under.end(), '~') == 6);
    CHECK((text.find("…") == std::string::npos) == (width == 1000));
  }
}

TEST_CASE("spans of several lines, empty spans and spans at the end are drawn") {
  Sources sources;
  sources.add("m.yaml", "a: |\n  one\n  two\n  three\n  four\nlast:");
  Report report;
  report.add<Rule::empty_file>({0, 3, 33});
  report.add<Rule::empty_file>({0, 39, 39}).at("here");
  report.sort();
  CHECK(rendered(report, sources) ==
        "m.yaml:1:4: error[empty-file]: nothing in this file\n"
        "     1  a: |\n"
        "           ~\n"
        "     2    one\n"
        "          ~~~\n"
        "     3    two\n"
        "          ~~~\n"
        "\n"
        "m.yaml:6:6: error[empty-file]: nothing in this file\n"
        "     6  last:\n"
        "             ~ here\n");
}

TEST_CASE("of a file that was not read no line is shown") {
  Sources sources;
  sources.add("big.yaml", "");
  Report report;
  report.add<Rule::unreadable_file>({0, 0, 0}, "it is a folder");
  CHECK(rendered(report, sources) == "big.yaml:1:1: error[unreadable-file]: cannot be read: it is a folder\n");
}

TEST_CASE("nothing from a corpus reaches the terminal unseen") {
  CHECK(printable("a\tb\x1B[2J\x7F\xC2\x85\xE2\x80\xAE\xE2\x80\x8B\xFF\nc é") ==
        "a b\\x1B[2J\\x7F\\u{0085}\\u{202E}\\u{200B}\\xFF\\nc é");
  std::mt19937 random(9);
  for (int i = 0; i < 2000; ++i) {
    std::string text;
    for (int k = 0; k < 12; ++k) text += static_cast<char>(random());
    Sources sources;
    sources.add("p" + text, text);
    Report report;
    report.add<Rule::unused>({0, 3, 7}, text, text).at(text).help(text).label({0, 0, 2}, text).fix({0, 1, 2}, text);
    const std::string shown = rendered(report, sources);
    for (const char c : shown) REQUIRE((c == '\n' || static_cast<unsigned char>(c) >= 0x20));
    REQUIRE(shown.find('\x7F') == std::string::npos);
    REQUIRE_NOTHROW(json(shown).dump());  // throws on bad UTF-8
    REQUIRE(json::accept(render_json(report.findings(), sources)));
    REQUIRE(json::accept(render_sarif(report.findings(), sources, "1")));
  }
}

TEST_CASE("a finding as JSON") {
  const Sample sample;
  const json out = json::parse(render_json(sample.report.findings(), sample.sources));
  REQUIRE(out["findings"].size() == 3);
  const json& first = out["findings"][0];
  CHECK(first["rule"] == "duplicate-key");
  CHECK(first["severity"] == "error");
  CHECK(first["path"] == "a b/ü.yaml");
  CHECK(first["line"] == 2);
  CHECK(first["column"] == 23);
  CHECK(first["endLine"] == 2);
  CHECK(first["endColumn"] == 29);
  CHECK(first["related"][0]["message"] == "first [here](x) {0}");
  CHECK(first["related"][0]["column"] == 6);
  CHECK(first["fixes"][1]["certain"] == true);
  CHECK(out["findings"][2]["path"].is_null());
  CHECK(out["findings"][2]["line"].is_null());
  CHECK(out["summary"] == json{{"errors", 2}, {"warnings", 1}, {"notes", 0}, {"files", 2}});
}

// SARIF 2.1.0 (OASIS, 27 March 2020): 3.30 regions, 3.18.17 columnKind, 3.11.5 placeholders, 3.11.6 links, 3.49 rules.
TEST_CASE("a finding as SARIF") {
  const Sample sample;
  const std::string text = render_sarif(sample.report.findings(), sample.sources, "0.1.0");
  std::ofstream("diag_test.sarif") << text;  // read by sarif_check.py
  const json out = json::parse(text);
  const json& run = out["runs"][0];
  CHECK(out["version"] == "2.1.0");
  CHECK(run["columnKind"] == "utf16CodeUnits");
  CHECK(run["tool"]["driver"]["rules"].size() == all_rules().size());
  REQUIRE(run["results"].size() == 3);
  const json& first = run["results"][0];
  CHECK(run["tool"]["driver"]["rules"][first["ruleIndex"].get<size_t>()]["id"] == first["ruleId"]);
  CHECK(first["level"] == "error");
  const json& place = first["locations"][0]["physicalLocation"];
  CHECK(place["artifactLocation"]["uri"] == "a%20b/%C3%BC.yaml");
  CHECK(place["region"] == json{{"startLine", 2},
                                {"startColumn", 21},  // the emoji is four bytes and two UTF-16 code units
                                {"endLine", 2},
                                {"endColumn", 27},
                                {"byteOffset", 29},
                                {"byteLength", 6}});
  CHECK(first["relatedLocations"][0]["message"]["text"] == "first \\[here\\](x) {{0}}");
  const json& change = first["fixes"][0]["artifactChanges"][0];
  CHECK(change["replacements"][0]["insertedContent"]["text"] == "GN/WH");
  CHECK(change["replacements"][0]["deletedRegion"]["byteLength"] == 2);
  CHECK(run["results"][2]["locations"].empty());
  CHECK(render_sarif(sample.report.findings(), sample.sources, "0.1.0") == text);
}
