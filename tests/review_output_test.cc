// A review as a comment, as annotations and as SARIF: whole outputs for a small corpus, and what must hold whatever a
// corpus says. Oracles: cmark-gfm (Debian), the reference implementation of Markdown with tables, reads each comment;
// sarif_check.py holds the SARIF against the published object model. What forges look for in text after Markdown, and
// how they escape workflow commands, is what they document; from memory.
#include <catch2/catch.hpp>
#include <fstream>
#include <nlohmann/json.hpp>
#include <random>
#include <regex>
#include <set>
#include <sstream>

#include "fixture_harness.h"
#include "report_text.h"
#include "reports/escape.h"
#include "review/comment_text.h"
#include "review/render.h"
#include "review/told.h"
#include "upkeep_run.h"

namespace lt = loomproof::testing;
namespace fs = std::filesystem;
using namespace loomproof;
using lt::Folder;
using nlohmann::json;

namespace {

const fs::path fixtures = fs::path(LOOMPROOF_SOURCE_DIR) / "tests" / "fixtures" / "review-output";

void write_corpus(const lt::FixtureFiles& files, const fs::path& folder) {
  for (const auto& [path, bytes] : files.files) {
    fs::create_directories((folder / path).parent_path());
    std::ofstream(folder / path, std::ios::binary) << bytes;
  }
}

// The two revisions of the fixture side by side, and one `review` of them.
struct Pair {
  Pair() {
    write_corpus(lt::load_fixture(fixtures / "base").files, folder.path / "base");
    write_corpus(lt::load_fixture(fixtures / "head").files, folder.path / "head");
  }
  lt::Ran review(const std::string& more) const { return lt::run("review base head " + more, folder.path); }
  Folder folder;
};

// --- Markdown as cmark-gfm reads it ---

std::string html_of(const std::string& markdown) {
  const Folder folder;
  std::ofstream(folder.path / "comment.md", std::ios::binary) << markdown;
  const std::string command = "cmark-gfm --unsafe -e footnotes -e table -e autolink -e strikethrough -e tasklist < '" +
                              (folder.path / "comment.md").string() + "'";
  FILE* pipe = ::popen(command.c_str(), "r");
  REQUIRE(pipe);
  std::string html;
  std::array<char, 4096> buffer{};
  for (size_t got; (got = std::fread(buffer.data(), 1, buffer.size(), pipe)) > 0;) html.append(buffer.data(), got);
  const int status = ::pclose(pipe);
  INFO("cmark-gfm is needed: tools/setup --with-tests");
  REQUIRE(status == 0);
  return html;
}

std::string decoded(std::string text) {
  for (const auto& [entity, character] : {std::pair{"&lt;", "<"}, {"&gt;", ">"}, {"&quot;", "\""}, {"&amp;", "&"}})
    for (size_t at = 0; (at = text.find(entity, at)) != text.npos; ++at)
      text.replace(at, std::string(entity).size(), character);
  return text;
}

// What stands between tags.
struct Page {
  std::map<std::string, size_t> tags;          // opened
  std::vector<std::string> open;               // not closed at the end
  std::vector<std::string> texts;              // outside of code, in one piece between two tags
  std::vector<std::vector<std::string>> rows;  // of all tables: the cells' texts
  std::string whole;                           // all text

  explicit Page(const std::string& html) {
    for (size_t at = 0; at < html.size();) {
      if (html[at] != '<') {
        const size_t end = std::min(html.find('<', at), html.size());
        text(decoded(html.substr(at, end - at)));
        at = end;
        continue;
      }
      if (html.compare(at, 4, "<!--") == 0) {
        at = html.find("-->", at) + 3;
        ++tags["!--"];
        continue;
      }
      const size_t end = html.find('>', at);
      REQUIRE(end != html.npos);
      tag(html.substr(at + 1, end - at - 1));
      at = end + 1;
    }
  }

 private:
  void text(const std::string& piece) {
    whole += piece;
    const bool in_code = std::find(open.begin(), open.end(), "code") != open.end();
    if (!in_code) texts.push_back(piece);
    if (!open.empty() && std::find(open.begin(), open.end(), "td") != open.end()) rows.back().back() += piece;
  }
  void tag(std::string name) {
    if (name.back() == '/') return;
    const bool closes = name[0] == '/';
    name = name.substr(closes, name.find(' ') - closes);
    if (closes) {
      INFO("closing " << name);
      REQUIRE(!open.empty());
      REQUIRE(open.back() == name);
      open.pop_back();
      return;
    }
    ++tags[name];
    open.push_back(name);
    if (name == "tr") rows.emplace_back();
    if (name == "td") rows.back().emplace_back();
  }
};

// Nothing in it is more than text, and nothing in its text is taken for more by a forge.
void check_harmless(const std::string& markdown) {
  const std::string html = html_of(markdown);
  const size_t link = html.find("<a ");
  CHECK((link == html.npos ? "" : html.substr(link, 200)) == "");
  const Page page(html);
  CHECK(page.open.empty());
  static const std::set<std::string> allowed{"!--",   "h2",    "h3",    "p",       "code",    "strong",
                                             "table", "thead", "tbody", "tr",      "th",      "td",
                                             "ul",    "li",    "b",     "details", "summary", "blockquote"};
  for (const auto& [name, count] : page.tags) {
    INFO(name);
    CHECK(allowed.contains(name));
  }
  CHECK(page.tags.at("!--") == 1);
  static const std::regex reference(
      "@|[#!~%$&^][A-Za-z0-9\"'{_\\[]|://|[Ww][Ww][Ww]\\.|\\b[Gg][Hh]-[0-9]|:[A-Za-z0-9_+-]+:|"
      "(^|[^A-Za-z0-9])[0-9a-fA-F]{7,}($|[^A-Za-z0-9])");
  for (const std::string& text : page.texts) {
    INFO(text);
    CHECK_FALSE(std::regex_search(text, reference));
  }
}

// --- Reviews made by hand ---

review::Change change(review::Risk risk, const std::string& circuit, const std::string& words, uint32_t line) {
  review::Change out;
  out.risk = risk;
  out.kind = "recoloured";
  out.place = "MAIN-LOOM";
  out.part = "main";
  out.circuit = circuit;
  out.words = words;
  out.cells = "all";
  out.where = review::Where{false, "reference/families/quill/looms/main.yaml", line, 5, {}};
  return out;
}

review::Review review_of(std::vector<review::Change> changes) {
  review::Review out;
  out.base = "main";
  out.head = "reference";
  review::FamilyReview family;
  family.id = "quill";
  family.status = review::Status::changed;
  family.changes = std::move(changes);
  out.families.push_back(std::move(family));
  return out;
}

const review::CommentOptions usual{.corpus = "reference", .command = "loomproof review main"};

size_t count_of(const std::string& text, const std::string& piece) {
  size_t count = 0;
  for (size_t at = 0; (at = text.find(piece, at)) != text.npos; at += piece.size()) ++count;
  return count;
}

std::vector<std::string> lines_of(const std::string& text) {
  std::vector<std::string> lines;
  std::istringstream stream(text);
  for (std::string line; std::getline(stream, line);) lines.push_back(line);
  return lines;
}

// Everything that a forge, Markdown or HTML could take for more than text.
std::vector<std::string> hostile_names() {
  std::vector<std::string> names = lt::nasty;
  for (const char* more : {"@somebody",
                           "a@b",
                           "mail@host.example",
                           "#12",
                           "see #12 and other/place#34",
                           "GH-12 gh-34",
                           "!56 ~bug %7 $8 &9 ^10",
                           ":+1: :smile:",
                           "https://host.example/x",
                           "ftp://host.example",
                           "www.host.example",
                           "WwW.host.example",
                           "0123456789abcdef0123456789abcdef01234567",
                           "fixes deadbee",
                           "</details></table><img src=x onerror=alert(1)>",
                           "--> <script>",
                           "a | b | c\n| d |",
                           "[^1] [x] [ ] - [x]",
                           "`@in-code`",
                           "``@`` ` @x",
                           "\\@x \\#12 \\\\",
                           "&#64;x &commat;x",
                           "***@***x",
                           "\xE2\x80\x8B@x #\xE2\x80\x8B"
                           "12",
                           "::error file=x::y",
                           "<!-- loomproof review: reference -->",
                           "![a][b]"})
    names.emplace_back(more);
  return names;
}

}  // namespace

TEST_CASE("a small corpus: comment, annotations and SARIF as a whole") {
  const Pair pair;
  const lt::Ran markdown = pair.review("--format markdown"), annotations = pair.review("--format annotations"),
                sarif = pair.review("--format sarif");
  for (const lt::Ran* ran : {&markdown, &annotations, &sarif}) CHECK(ran->status == 1);  // new findings
  CHECK(lt::differs_from_expected(fixtures / "expected.md", markdown.out) == "");
  CHECK(lt::differs_from_expected(fixtures / "expected-annotations.txt", annotations.out) == "");
  std::ofstream("review_output_test.sarif") << sarif.out;  // read by sarif_check.py
  const json log = json::parse(sarif.out);
  CHECK(lt::differs_from_expected(fixtures / "expected-results.json", log["runs"][0]["results"].dump(1) + "\n") == "");
  check_harmless(markdown.out);

  // Every result is of a rule that the log lists, under its number.
  const json& rules = log["runs"][0]["tool"]["driver"]["rules"];
  for (const json& result : log["runs"][0]["results"])
    CHECK(rules.at(result["ruleIndex"].get<size_t>())["id"] == result["ruleId"]);
}

TEST_CASE("only new findings fail, and old ones are counted") {
  const Pair pair;
  // Both sides have the fault of the base.
  const lt::Ran same = lt::run("review base base --format markdown", pair.folder.path);
  CHECK(same.status == 0);
  CHECK(same.out.find("No new findings, 1 that the base has too.") != std::string::npos);
  CHECK(lt::run("review base base --format annotations", pair.folder.path).out.empty());
  // A family that is not asked for is not told of, nor does it fail.
  const fs::path families = pair.folder.path / "head" / "families";
  fs::create_directories(families / "finch");
  std::ofstream(families / "finch" / "family.yaml") << "family: finch\nodd: 1\n";
  const lt::Ran all = pair.review("--format markdown"), one = pair.review("--format markdown --family quill");
  CHECK(all.out.find("families/finch") != std::string::npos);
  CHECK(one.out.find("families/finch") == std::string::npos);
  CHECK(one.out.starts_with("<!-- loomproof review: reference/families/quill -->\n"));
  fs::remove_all(families / "finch");
  // The other way round everything is mended, and what changes is told all the same.
  const lt::Ran mended = lt::run("review head base --format markdown", pair.folder.path);
  CHECK(mended.status == 0);
  CHECK(mended.out.find("mended.") != std::string::npos);
  CHECK(mended.out.find("**1 of 1 family** changes.") != std::string::npos);
}

TEST_CASE("every kind of line has its place") {
  using review::Nature;
  using review::Risk;
  std::vector<review::Change> changes;
  for (uint32_t i = 0; i < 5; ++i) {
    const std::string circuit = "GLOW-" + std::to_string(i + 1);
    changes.push_back(
        change(Risk::feed, circuit, circuit + " moved from C1." + std::to_string(i) + " to C1.9", 20 + i));
  }
  for (const Nature nature : {Nature::knowledge, Nature::evidence, Nature::record, Nature::consequence}) {
    changes.push_back(change(Risk::other, "LAMP", "LAMP, a change of " + std::string(review::word(nature)), 40));
    changes.back().nature = nature;
  }
  changes[6].remark = "rests on memory, was manual";
  changes[7].where = review::Where{true, "old/families/quill/looms/main.yaml", 7, 5, {}};
  changes[7].place.clear();
  review::Review review = review_of(changes);
  review::FamilyReview& quill = review.families[0];
  quill.was = "swan";
  quill.causes = {{"3 changes in C1 of MAIN-LOOM are one mirrored reading", {0, 1, 2}}};
  quill.siblings = {"4 of the 5 GLOW circuits changed, GLOW-5 did not"};
  quill.renamed = {"circuit BAT renamed SUPPLY", "splice S1 renamed S2"};
  quill.breaks = {{review::BreakKind::renamed, "circuit BAT renamed SUPPLY"}};
  quill.verdicts = {{"combination a", "fits", "does not work", "because"}};
  const auto family = [&](const std::string& id, review::Status status) -> review::FamilyReview& {
    review.families.emplace_back();
    review.families.back().id = id;
    review.families.back().status = status;
    return review.families.back();
  };
  family("a", review::Status::unchanged).packs_identical = true;
  family("b", review::Status::unchanged).packs_identical = true;
  family("c", review::Status::unchanged);
  family("d", review::Status::added);
  family("e", review::Status::removed);
  family("f", review::Status::not_compared).why = "it does not compile in the base";
  review.breaks = {{review::BreakKind::format, "the format of packs changes from 1.3 to 2.0"}};
  review.findings = {
      {"no-source", "error", "this row has no source", review::Where{false, "reference/a.yaml", 3, 1, {}}},
      {"looks-alike", "note", "`A` and `B` look alike", {}}};
  review.old_findings = 4;
  review.mended_findings = 1;
  CHECK(lt::differs_from_expected(fixtures / "expected-kinds.md", review::render_markdown(review, usual)) == "");
  CHECK(lt::differs_from_expected(fixtures / "expected-kinds-annotations.txt", review::render_annotations(review)) ==
        "");
  check_harmless(review::render_markdown(review, usual));
  // In SARIF each kind has a rule of its own, and each is told.
  const json log = json::parse(review::render_sarif(review, {}, Sources(), "1"));
  std::set<std::string> told, kinds;
  for (const json& result : log["runs"][0]["results"]) told.insert(result["ruleId"].get<std::string>());
  for (const json& rule : log["runs"][0]["tool"]["driver"]["rules"])
    if (!find_rule(rule["id"].get<std::string>())) kinds.insert(rule["id"].get<std::string>());
  CHECK(told == kinds);
  CHECK(kinds.size() == 11);
}

TEST_CASE("the marker comes first, alone, and nothing can end or forge it") {
  for (const std::string& name : hostile_names()) {
    const std::string marker = review::comment_marker(name);
    INFO(marker);
    CHECK(std::regex_match(marker, std::regex("<!-- loomproof review: [A-Za-z0-9._/%-]* -->")));
    CHECK(count_of(marker, "--") == 2);
    review::Review review = review_of({change(review::Risk::feed, name, name, 3)});
    review.base = review.head = name;
    const std::string comment = review::render_markdown(review, {name, name, usual.limit});
    CHECK(comment.starts_with(marker + "\n"));
    CHECK(count_of(comment, "<!--") == 1);
  }
  CHECK(review::comment_marker("a/reference") != review::comment_marker("b/reference"));
  CHECK(review::comment_marker("a--b") != review::comment_marker("a-b"));
}

TEST_CASE("hostile names stay text, and a table keeps its rows and columns") {
  const std::vector<std::string> names = hostile_names();
  std::vector<review::Change> changes;
  uint32_t line = 0;
  for (const std::string& name : names) {
    review::Change one = change(review::Risk::feed, name, "words " + name, ++line);
    one.place = one.part = "MAIN-LOOM";
    one.cells = "cells " + name;
    one.remark = "remark " + name;
    one.where->path = name;
    changes.push_back(one);
    one.nature = review::Nature::consequence;
    one.place = name;
    changes.push_back(one);
  }
  review::Review review = review_of(changes);
  for (const std::string& name : names) {
    review::FamilyReview& family = review.families[0];
    family.siblings.push_back(name);
    family.renamed.push_back(name);
    family.breaks.push_back({review::BreakKind::gone, name + '!'});  // not the one renamed
    review.breaks.push_back({review::BreakKind::format, name});
    family.causes.push_back({name, {}});
    family.verdicts.push_back({name, name, name, name});
    review.findings.push_back({name, "error", name, review::Where{false, name, 1, 1, {}}});
    review::FamilyReview other;
    other.id = other.was = name;
    other.status = review::Status::not_compared;
    other.why = name;
    review.families.push_back(other);
  }
  review.base = review.head = names[3];
  const std::string comment = review::render_markdown(review, {"reference", names[3], 10'000'000});
  check_harmless(comment);
  const Page page(html_of(comment));
  size_t changes_told = 0, families_told = 0;
  for (const std::vector<std::string>& row : page.rows) {
    if (row.empty()) continue;  // a head
    (row.size() == 4 ? changes_told : families_told) += 1;
    CHECK((row.size() == 4 || row.size() == 3));
  }
  CHECK(changes_told == changes.size());
  CHECK(families_told == review.families.size());
  // And reads as it was meant.
  for (const std::string& name : names) {
    const std::string wanted = "words " + plain_line(name);
    INFO(wanted);
    CHECK(std::any_of(page.rows.begin(), page.rows.end(), [&](const std::vector<std::string>& row) {
      return row.size() == 4 && row[2].starts_with(wanted.substr(0, wanted.find_last_not_of(' ') + 1));
    }));
  }
}

TEST_CASE("random text in each way of setting it is harmless and reads as it was meant") {
  constexpr std::string_view bits[] = {"a",   "B", "1",  "12",      " ", "@",  "#",        "!",       "~",
                                       "%",   "$", "&",  "^",       "|", "\\", "`",        "*",       "_",
                                       "[",   "]", "(",  ")",       "<", ">",  "://",      "http",    "www.",
                                       "GH-", ":", "+1", "abcdef0", "-", "\n", "\xC3\xA4", "</code>", "<code>"};
  std::mt19937 random(7);
  std::string comment = "<!-- x -->\n";
  std::vector<std::string> texts;
  for (int i = 0; i < lt::tries(400); ++i) {
    std::string text = "x";
    for (size_t k = random() % 10; k > 0; --k) text += bits[random() % std::size(bits)];
    text += "x";
    texts.push_back(text);
    comment += "\n- " + review::comment_line(text) + "\n- y" + review::comment_text(text) + "\n- " +
               review::comment_code(text) + "\n\n<details><summary>" + review::comment_html(text) +
               "</summary>\n\n</details>\n";
  }
  check_harmless(comment);
  const std::vector<std::string> lines = lines_of(Page(html_of(comment)).whole);
  std::vector<std::string> told;
  for (const std::string& line : lines)
    if (!line.empty()) told.push_back(line);
  REQUIRE(told.size() == 4 * texts.size());
  for (size_t i = 0; i < texts.size(); ++i) {
    const std::string plain = plain_line(texts[i]);
    CHECK(told[4 * i] == plain);
    CHECK(told[4 * i + 1] == "y" + plain);
    CHECK(told[4 * i + 2] == plain);
    CHECK(told[4 * i + 3] == plain);
  }
}

TEST_CASE("a commit's number is set as code once") {
  CHECK(review::comment_code("d352fcc") == "<code>d352fcc</code>");
  CHECK(review::comment_code("croft") == "<code>croft</code>");
}

TEST_CASE("a review of 2,000 changes stays under the limit, keeps the riskiest and says what it left out") {
  std::vector<review::Change> changes;
  for (uint32_t i = 0; i < 2'000; ++i) {
    const auto risk = i < 5 ? review::Risk::firing : i < 50 ? review::Risk::feed : review::Risk::other;
    changes.push_back(
        change(risk, "C" + std::to_string(i), "C" + std::to_string(i) + " recoloured from RD to BU at “M1.1”", i + 1));
    changes.back().place = "LOOM-" + std::to_string(i % 40);
  }
  review::Review review = review_of(std::move(changes));
  for (int i = 0; i < 30; ++i) review.findings.push_back({"no-source", "error", "finding " + std::to_string(i), {}});
  for (const size_t limit : {size_t{65'000}, size_t{30'000}, review::least_comment}) {
    const std::string comment = review::render_markdown(review, {"reference", "loomproof review main", limit});
    INFO(limit);
    CHECK(comment.size() <= limit);
    CHECK(comment.size() > limit - 1'000);  // and as much is told as fits
    std::smatch left;
    REQUIRE(std::regex_search(comment, left, std::regex("([0-9]+) of 2000 changes")));
    CHECK(comment.find("<code>loomproof review main</code> shows all") != std::string::npos);
    const size_t told = count_of(comment, "recoloured from");
    CHECK(told + std::stoul(left[1]) == 2'000);
    for (int i = 0; i < 30; ++i) CHECK((comment.find("finding " + std::to_string(i) + "\n") != std::string::npos));
    for (int i = 0; i < (limit > review::least_comment ? 50 : 5); ++i)
      CHECK(comment.find("| C" + std::to_string(i) + " |") != std::string::npos);
    check_harmless(comment);
  }
  const std::string whole = review::render_markdown(review, {"reference", "loomproof review main", 10'000'000});
  CHECK(whole.find("Left out") == std::string::npos);
  CHECK(count_of(whole, "recoloured from") == 2'000);
}

TEST_CASE("the limit holds whatever is long") {
  const std::string giant(1'000'000, '<'), wide = [] {
    std::string text;
    for (int i = 0; i < 100'000; ++i) text += "\xF0\x9F\x94\xA5@";
    return text;
  }();
  for (const std::string& text : {giant, wide}) {
    review::Review review = review_of({change(review::Risk::firing, text, text, 1)});
    review.base = review.head = text;
    for (int i = 0; i < 30; ++i) {
      review.findings.push_back({text, "error", text, review::Where{false, text, 1, 1, {}}});
      review::FamilyReview other;
      other.id = text + std::to_string(i);
      other.status = i % 2 ? review::Status::unchanged : review::Status::not_compared;
      other.why = text;
      review.families.push_back(other);
    }
    for (const size_t limit : {usual.limit, review::least_comment}) {
      const std::string comment = review::render_markdown(review, {text, text, limit});
      CHECK(comment.size() <= limit);
      CHECK(comment.find("Left out") != std::string::npos);
    }
  }
  CHECK(usual.limit < 65'536);  // characters, of which no text has more than bytes
}

TEST_CASE("annotations: new errors first, then by risk, what a cause explains and what follows last") {
  using review::Risk;
  std::vector<review::Change> changes = {change(Risk::firing, "FIRE", "fire", 1),
                                         change(Risk::feed, "A", "feed one", 2), change(Risk::feed, "B", "feed two", 3),
                                         change(Risk::other, "D", "lamp", 4),
                                         change(Risk::firing, "E", "fire follows", 5)};
  changes[4].nature = review::Nature::consequence;
  review::Review review = review_of(changes);
  review.families[0].causes.push_back({"one mirrored reading", {1, 2}});
  review.families[0].verdicts = {{"factory builds, era a", "fits", "endangers people", "because"},
                                 {"factory builds, era b", "fits", "endangers people", "because"},
                                 {"factory builds, era c", "fits", "does not work", "because"}};
  review.findings = {{"note-rule", "note", "a note", {}},
                     {"warning-rule", "warning", "a warning", {}},
                     {"one", "error", "first at 7", review::Where{false, "a.yaml", 7, 1, {}}},
                     {"one", "error", "second at 7", review::Where{false, "a.yaml", 7, 1, {}}},
                     {"one", "error", "first at 9", review::Where{false, "a.yaml", 9, 1, {}}}};
  std::vector<std::string> said;
  for (const std::string& line : lines_of(review::render_annotations(review)))
    said.push_back(line.substr(2, line.find(' ') - 2) + " " + line.substr(line.rfind("::") + 2));
  CHECK(said == std::vector<std::string>{
                    "error first at 7", "error first at 9", "error second at 7", "warning a warning", "notice a note",
                    "notice [firing] fire", "notice factory builds, era a: was fits, is endangers people; because",
                    "notice factory builds, era c: was fits, is does not work; because", "notice one mirrored reading",
                    "notice lamp", "notice factory builds, era b: was fits, is endangers people; because",
                    "notice [feed] feed one", "notice [feed] feed two", "notice [firing] follows: fire follows"});
  // SARIF ranks by the same order: no later one is ranked higher.
  const std::vector<review::Told> told = review::told(review);
  for (size_t i = 1; i < told.size(); ++i) CHECK(told[i].rank <= told[i - 1].rank);
  for (const review::Told& each : told) CHECK((each.rank >= 0 && each.rank <= 100));
}

// The escaping of workflow commands: % CR LF in messages, and : , in properties too.
TEST_CASE("annotations: a line each, whatever stands in them") {
  for (const std::string& name : hostile_names()) {
    review::Review review = review_of({change(review::Risk::feed, name, name, 3)});
    const std::string path = name.empty() ? "a.yaml" : name;
    review.families[0].id = name;
    review.families[0].changes[0].where->path = path;
    review.findings.push_back({name, "error", name, review::Where{false, path, 4, 2, {}}});
    const std::string out = review::render_annotations(review);
    INFO(out);
    const std::vector<std::string> lines = lines_of(out);
    REQUIRE(lines.size() == 2);
    CHECK(out.find('\r') == std::string::npos);
    const std::regex form("::(error|notice) file=[^:,]*,line=[0-9]+,col=[0-9]+,title=[^:,]*::(.*)");
    std::smatch match;
    for (const std::string& line : lines) {
      REQUIRE(std::regex_match(line, match, form));
      const std::string message = match[2];
      for (size_t at = 0; (at = message.find('%', at)) != message.npos; ++at) CHECK(message.compare(at, 3, "%25") == 0);
    }
  }
  review::Review review = review_of({change(review::Risk::other, "A", "100 % of: a, b", 3)});
  review.families[0].changes[0].where->path = "a:b,c%\n.yaml";
  CHECK(review::render_annotations(review) ==
        "::notice file=a%3Ab%2Cc%25%0A.yaml,line=3,col=5,title=quill/MAIN-LOOM/A::100 %25 of: a, b\n");
  review.families[0].changes[0].where->path = "./reference/a.yaml";
  CHECK(review::render_annotations(review).starts_with("::notice file=reference/a.yaml,line=3,"));
  // What is gone stands in no line of the head: its file is named where the head still has it.
  review.families[0].changes[0].where = review::Where{true, "old/a.yaml", 3, 5, "new/a.yaml"};
  CHECK(review::render_annotations(review) ==
        "::notice file=new/a.yaml,title=quill/MAIN-LOOM/A::100 %25 of: a, b (was old/a.yaml:3)\n");
  review.families[0].changes[0].where->in_head.clear();
  CHECK(review::render_annotations(review) ==
        "::notice title=quill/MAIN-LOOM/A::100 %25 of: a, b (was old/a.yaml:3)\n");
}
