// What is refused when a file is read: each fault once, with its place, and nothing of it breaks the reader.
#include <chrono>
#include <functional>
#include <random>
#include <set>

#include "yaml_reading.h"

using namespace loomproof;
using testing::Reading;
using testing::repeated;
using yaml::Kind;
using yaml::Node;
using yaml::Tree;

namespace {

double seconds(const std::function<void()>& work) {
  const auto start = std::chrono::steady_clock::now();
  work();
  return std::chrono::duration<double>(std::chrono::steady_clock::now() - start).count();
}

}  // namespace

TEST_CASE("a key that stands twice is reported once, with the first, and the first is kept") {
  const Reading r("a: 1\nb: 2\n\"a\": 3\nc: {x: 1, x: 2}\n");
  REQUIRE(r.rules() == std::vector<std::string>{"duplicate-key", "duplicate-key"});
  const Finding& finding = r.report.findings()[0];
  CHECK(r.place(finding.span) == "3:1");
  REQUIRE(finding.related.size() == 1);
  CHECK(r.place(finding.related[0].span) == "1:1");
  CHECK(r.tree.root()["a"].text() == "1");
  CHECK(r.tree.root().size() == 3);
  CHECK(r.tree.root()["c"].size() == 1);
}

TEST_CASE("duplicates in a large map are found as in a small one") {
  std::string text;
  for (int i = 0; i < 500; ++i) text += "k" + std::to_string(i) + ": 1\n";
  const Reading r(text + "k7: 2\nk499: 2\nlast: 3\n");
  CHECK(r.rules() == std::vector<std::string>{"duplicate-key", "duplicate-key"});
  CHECK(r.tree.root().size() == 501);
  CHECK(r.tree.root()["last"].text() == "3");
}

TEST_CASE("anchors, aliases, merge keys and tags are refused, and reading goes on") {
  const Reading r("a: &x {p: 1}\nb: *x\nc:\n  <<: *x\n  q: 2\nd: !t 5\ne: !!str y\nf: &m\n  z: 1\n&k g: 1\nh: ! i\n");
  std::vector<std::string> seen;
  for (const Finding& f : r.report.findings()) seen.push_back(r.place(f.span) + " " + r.bytes(f.span));
  CHECK(seen ==
        std::vector<std::string>{"1:4 &x", "2:4 *x", "4:3 <<", "6:4 !t", "7:4 !!str", "8:4 &m", "10:1 &k", "11:4 !"});
  const Node root = r.tree.root();
  CHECK(root["a"]["p"].text() == "1");
  CHECK(r.bytes(root["a"].span()) == "{p: 1}");
  CHECK(root["b"].refused());
  CHECK(root["b"].kind() == Kind::null);
  CHECK(root["c"].refused());  // lost an entry
  CHECK(root["c"].size() == 1);
  CHECK_FALSE(root["a"].refused());
  CHECK(root["d"].text() == "5");
  CHECK(root["f"]["z"].text() == "1");
  CHECK(root["g"].text() == "1");
  CHECK(root["h"].text() == "i");
}

TEST_CASE("a recursive alias ends the reading of nothing") {
  const Reading r("a: &x [1, *x]\n");
  CHECK(r.rules() == std::vector<std::string>{"anchor-or-alias", "anchor-or-alias"});
  CHECK(r.tree.root()["a"].size() == 2);
}

TEST_CASE("keys that are no text are refused and passed over with their values") {
  const Reading r("? [a, {b: c}]\n: [d, {e: f}]\ng: 1\n? {h: i}\n: j\n: k\nl: {[m]: n, o: p}\n");
  CHECK(r.rules() == std::vector<std::string>{"key-not-text", "key-not-text", "key-not-text", "key-not-text"});
  CHECK(r.report.findings()[0].message == "a list stands where a key is wanted");
  CHECK(r.report.findings()[1].message == "a map stands where a key is wanted");
  CHECK(r.report.findings()[2].message == "nothing stands where a key is wanted");
  CHECK(r.tree.root().size() == 2);
  CHECK(r.tree.root().refused());
  CHECK(r.tree.root()["g"].text() == "1");
  CHECK(r.tree.root()["l"]["o"].text() == "p");
}

TEST_CASE("a second document is refused, the first one stands") {
  const Reading r("---\na: 1\n---\nb: 2\n---\nc: 3\n");
  CHECK(r.place(r.only(Rule::several_documents).span) == "3:1");
  CHECK(r.tree.root()["a"].text() == "1");
  CHECK(Reading("--- \na: 1\n...\n").report.empty());
}

TEST_CASE("a file of nothing is one finding") {
  for (const char* const text : {"", "\n\n", "# only a comment\n", "---\n", "\xEF\xBB\xBF", "--- # x\n...\n"}) {
    const Reading r(text);
    INFO(text);
    r.only(Rule::empty_file);
    CHECK_FALSE(r.tree.root());
  }
  CHECK(Reading("~\n").report.empty());
}

TEST_CASE("what is not YAML says where, why, and what was open") {
  struct Case {
    const char* text;
    const char* place;
    const char* words;
    const char* opened;
  };
  const Case cases[] = {
      {"a: [1, 2\nb: 3\n", "2:2", "a list in brackets lacks a `,` or its `]`", "1:4"},
      {"a: {x: 1\n", "2:1", "a map in braces lacks a `,` or its `}`", "1:4"},
      {"a: b: c\n", "1:5", "a `:` where no key can stand (text with `: ` in it has to be in quotes)", "1:1"},
      {"a: 'x\nb: y\n", "1:4", "a quote is opened here and never closed", nullptr},
      {"a: 1\nb: \"x\n", "2:4", "a quote is opened here and never closed", nullptr},
      {"a: @x\n", "1:4", "no value can begin with this character; put the text in quotes", "1:1"},
      {"\ta: 1\n", "1:3", "a tab in the indentation; use spaces", nullptr},
      {"a:\n\tb: 1\n", "2:3", "a tab in the indentation; use spaces", "1:1"},
      {"- a\nb: c\n", "2:1", "what stood before has ended, and this does not go on from it", "1:1"},
      {"a: *x\n", "1:4", "an alias of an anchor that is not there", "1:1"},
      {"a: ]\n", "1:4", "a closing bracket that nothing opened", "1:1"},
      {"a: \"\\q\"\n", "1:5", "no such escape in double quotes", "1:1"},
      {"a: |0\n x\n", "1:6", "a block of text cannot be indented by 0", "1:1"},
      {"a: {b: 'c':d}\n", "1:11", "a map in braces lacks a `,` or its `}`", "1:4"},
      {"a:\n  - {b: 1, c: 2\n  - {b: 3, c: 4}\n  - {b: 5}\n", "4:3", "a `- ` where no list can begin", "2:5"},
      {"a: 1\nb: \"x\nc: \"y z\"\n", "3:5", "this does not fit the map above; a map's keys stand at one indentation",
       "2:4"},
      {"a: 1\n  b: 2\n", "2:4", "a `:` where no key can stand (text with `: ` in it has to be in quotes)", "1:1"},
  };
  for (const Case& c : cases) {
    INFO(c.text);
    const Reading r(c.text);
    const Finding& finding = r.only(Rule::not_yaml);
    CHECK_FALSE(r.tree.root());
    CHECK(r.place(finding.span) == c.place);
    CHECK(finding.message == "cannot be read as YAML: " + std::string(c.words));
    if (c.opened == nullptr) {
      CHECK(finding.related.empty());
    } else {
      REQUIRE(finding.related.size() == 1);
      CHECK(r.place(finding.related[0].span) == c.opened);
    }
  }
}

TEST_CASE("bytes that are no UTF-8 and control characters stop the reading of a file") {
  const Reading bad("a: 1\nb: \xC3(\nc: \xFF\n");
  const Finding& finding = bad.only(Rule::not_utf8);
  CHECK(finding.message == "byte 0xc3 is no UTF-8");
  CHECK(bad.place(finding.span) == "2:4");
  CHECK(finding.help == std::vector<std::string>{"1 further place in this file"});
  CHECK_FALSE(bad.tree.root());

  const Reading control(std::string("a: 1\nb: x\0y\x1B[2J\xE2\x80\xAE\n", 19));
  CHECK(control.only(Rule::control_character).message == "control character U+0000");
  CHECK(control.only(Rule::control_character).help == std::vector<std::string>{"2 further places in this file"});
  CHECK(Reading("a: \xC2\x85\n").rules() == std::vector<std::string>{"control-character"});
  CHECK(Reading("a: \xEF\xBB\xBF\n").rules() == std::vector<std::string>{"control-character"});
  CHECK(Reading("a: \x7F\n").rules() == std::vector<std::string>{"control-character"});
  CHECK(Reading("a: \xE2\x81\xA6\n").rules() == std::vector<std::string>{"control-character"});
  CHECK(Reading("a:\t\"\xC2\xA0\"\r\n").report.empty());

  const Reading wide(
      std::string("\xFF\xFE"
                  "a\0:\0",
                  6));
  CHECK(wide.only(Rule::not_utf8).help.front() == "the file looks like UTF-16: save it as UTF-8");
}

TEST_CASE("every byte is judged alike wherever it stands") {
  for (int byte = 0; byte < 256; ++byte) {
    const bool plain = (byte >= 0x20 && byte < 0x7F) || byte == '\n' || byte == '\t' || byte == '\r';
    for (const char before : {'x', '\n'}) {
      for (size_t at = 0; at < 20; ++at) {
        std::string text = "# " + std::string(at, before == '\n' ? '#' : 'x') + before;
        text += static_cast<char>(byte);
        text += "\n########\n";
        INFO(byte << " at " << at);
        const std::vector<std::string> found = Reading(text).rules();
        const std::vector<std::string> wanted = {byte >= 0x80 ? "not-utf8" : "control-character"};
        REQUIRE((found == wanted) == !plain);
      }
    }
  }
}

TEST_CASE("limits of size, count and depth") {
  yaml::Limits limits;
  limits.file_bytes = 100;
  CHECK(Reading(std::string(101, ' '), limits).only(Rule::too_large).message ==
        "this file (101 bytes) is larger than the limit of 100 bytes");

  limits = {};
  limits.scalar_bytes = 10;
  const Reading text("a: " + std::string(11, 'x') + "\nb: 1\n", limits);
  CHECK(text.place(text.only(Rule::too_large).span) == "1:4");
  CHECK(text.tree.root()["b"].text() == "1");  // the rest is read

  limits = {};
  limits.nodes = 5;
  CHECK(Reading("[1, 2, 3, 4]", limits).report.empty());
  const Reading many("[1, 2, 3, 4, 5]", limits);
  CHECK(many.only(Rule::too_large).message == "the number of values in this file is larger than the limit of 5");
  CHECK_FALSE(many.tree.root());

  CHECK(Reading(repeated("[", 32) + repeated("]", 32)).report.empty());
  const Reading deep("a: " + repeated("[", 32) + repeated("]", 32));
  const Finding& finding = deep.only(Rule::too_deep);
  CHECK(finding.message == "nested deeper than 32 levels");
  CHECK(deep.place(finding.span) == "1:35");
  REQUIRE(finding.related.size() == 2);
  CHECK(deep.place(finding.related[0].span) == "1:1");
  CHECK(deep.place(finding.related[1].span) == "1:34");
}

TEST_CASE("hostile nesting and repetition is refused at once") {
  constexpr double hang = 60;  // seconds; what grows with the square takes longer, the rest a fraction of one
  const char* const pieces[] = {"[",   "{",   "- ",    "? ",  "{a: ", "[[]: ",  "? [",
                                "&a ", "!a ", "---\n", "a: ", "]",    "\"a\" ", "...\n"};
  for (const char* const piece : pieces) {
    INFO(piece);
    CHECK(seconds([&] {
            const Reading r(repeated(piece, 100'000));
            CHECK_FALSE(r.report.empty());
          }) < hang);
  }
  CHECK(seconds([] { CHECK_FALSE(Reading("a: 'x\n" + repeated("y\n", 300'000)).report.empty()); }) < hang);
  CHECK(seconds([] { CHECK_FALSE(Reading(std::string(200u << 20, '[')).report.empty()); }) < hang);
}

TEST_CASE("the text of a damaged file never breaks the reader") {
  const std::string good =
      "a: &x [1, {b: 'c', \"d\": e}]\nf:\n  - |\n    text\n  - g: *x\n    <<: {h: i}\n? [j]\n: !t k\nl: >-\n  m\n  n\n";
  std::mt19937 random(5);
  uint32_t refused = 0;
  for (int i = 0; i < 20'000; ++i) {
    std::string text = good;
    for (uint32_t edits = 1 + random() % 4; edits > 0; --edits) {
      const size_t at = random() % text.size();
      static const std::string marks = "[]{}:,-?&*!|>'\"%@`# \n\t~<";
      switch (random() % 3) {
        case 0:
          text.erase(at, 1 + random() % 5);
          break;
        case 1:
          text.insert(at, 1, marks[random() % marks.size()]);
          break;
        default:
          text[at] = marks[random() % marks.size()];
      }
      if (text.empty()) text = "a";
    }
    INFO(text);
    const Reading r(text);
    refused += !r.report.empty();
    for (const Finding& finding : r.report.findings()) REQUIRE(finding.span.end <= text.size());
    REQUIRE(render_text(r.report.findings(), r.sources, {}).empty() == r.report.empty());
    if (!r.tree.root()) REQUIRE_FALSE(r.report.empty());
    if (r.tree.root()) REQUIRE_FALSE(r.tree.dump().empty());
  }
  CHECK(refused > 0);
}

TEST_CASE("every text rule counts what it judges") {
  const Reading r("a: {b: 1}\n");
  for (const Rule rule : {Rule::too_large, Rule::not_utf8, Rule::control_character, Rule::empty_file, Rule::not_yaml,
                          Rule::too_deep, Rule::duplicate_key, Rule::key_not_text, Rule::anchor_or_alias,
                          Rule::merge_key, Rule::yaml_tag, Rule::several_documents}) {
    INFO(rule_info(rule).id);
    CHECK(r.report.judged_count(rule) > 0);
  }
}

TEST_CASE("the examples of every rule read as they are meant to") {
  // What an example cannot hold: a file that is not there, a large one, bytes that are no UTF-8, a character not to be
  // seen.
  const std::set<Rule> only_described = {Rule::unreadable_file, Rule::too_large, Rule::not_utf8,
                                         Rule::control_character};
  for (const RuleInfo& rule : all_rules()) {
    INFO(rule.id);
    CHECK_FALSE(rule.why.empty());
    CHECK(rule.fault != rule.mend);
    REQUIRE(rule.fault.ends_with('\n'));
    REQUIRE(rule.mend.ends_with('\n'));
    CHECK(Reading(std::string(rule.mend)).rules() == std::vector<std::string>{});
    const bool fires = rule.group == "text" && !only_described.contains(*find_rule(rule.id));
    const std::vector<std::string> expected =
        fires ? std::vector<std::string>{std::string(rule.id)} : std::vector<std::string>{};
    std::vector<std::string> found = Reading(std::string(rule.fault)).rules();
    found.erase(std::unique(found.begin(), found.end()), found.end());
    CHECK(found == expected);
  }
}
