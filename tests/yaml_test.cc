// Located trees. Oracles: yaml-cpp's own YAML::Load for what a text says, and the bytes of the text for where it says
// it.
#include "yaml/tree.h"

#include <yaml-cpp/yaml.h>

#include <catch2/catch.hpp>
#include <chrono>
#include <functional>
#include <random>
#include <set>

#include "diag/render.h"

using namespace loomproof;
using yaml::Kind;
using yaml::Node;
using yaml::Tree;

namespace {

// A text with its tree and what was found in it.
struct Reading {
  explicit Reading(std::string text, const yaml::Limits& limits = {}) {
    sources.add("t.yaml", std::move(text));
    tree = Tree::read(sources.file(0), 0, report, limits);
    report.sort();
  }
  std::string bytes(const Span& span) const {
    return std::string(sources.file(0).bytes().substr(span.begin, span.end - span.begin));
  }
  std::vector<std::string> rules() const {
    std::vector<std::string> ids;
    for (const Finding& finding : report.findings()) ids.emplace_back(rule_info(finding.rule).id);
    return ids;
  }
  const Finding& only(Rule rule) const {
    REQUIRE(report.findings().size() == 1);
    REQUIRE(rule_info(report.findings()[0].rule).id == rule_info(rule).id);
    return report.findings()[0];
  }
  std::string place(const Span& span) const {
    const LineColumn at = sources.file(0).at(span.begin);
    return std::to_string(at.line) + ":" + std::to_string(at.column);
  }
  Sources sources;
  Report report;
  Tree tree;
};

double seconds(const std::function<void()>& work) {
  const auto start = std::chrono::steady_clock::now();
  work();
  return std::chrono::duration<double>(std::chrono::steady_clock::now() - start).count();
}

std::string repeated(const std::string& text, int times) {
  std::string out;
  for (int i = 0; i < times; ++i) out += text;
  return out;
}

// Tree and YAML::Load's tree, held against each other.
bool same(Node ours, const YAML::Node& theirs) {
  switch (ours.kind()) {
    case Kind::null:
      return theirs.IsNull();
    case Kind::scalar:
      return theirs.IsScalar() && theirs.Scalar() == ours.text() && (theirs.Tag() == "!") == ours.quoted();
    case Kind::sequence: {
      if (!theirs.IsSequence() || theirs.size() != ours.size()) return false;
      size_t i = 0;
      for (const Node child : ours) {
        if (!same(child, theirs[i++])) return false;
      }
      return i == theirs.size();
    }
    case Kind::map: {
      if (!theirs.IsMap() || theirs.size() != ours.size()) return false;
      auto entry = theirs.begin();
      for (const Node child : ours) {
        if (entry->first.Scalar() != child.key() || !same(child, entry->second)) return false;
        ++entry;
      }
      return true;
    }
  }
  return false;
}

std::string last_word(std::string_view text) {
  const size_t end = text.find_last_not_of(" \n");
  if (end == std::string_view::npos) return "";
  const size_t begin = text.find_last_of(" \n", end);
  return std::string(text.substr(begin + 1, end - begin));
}

// Every span lies in the file, children within their parents and in order; the bytes of a plain scalar on one line are
// its text, and the bytes of any scalar or flow collection read alone give the same value.
uint32_t misplaced(const Reading& reading, Node node) {
  const Span span = node.span();
  uint32_t faults = span.begin > span.end || span.end > reading.sources.file(0).bytes().size();
  const std::string bytes = reading.bytes(span);
  if (node.is_scalar() && !node.quoted() && bytes.find('\n') == std::string::npos) faults += bytes != node.text();
  const bool flow = !bytes.empty() && (bytes[0] == '[' || bytes[0] == '{');
  const bool quotes = !bytes.empty() && (bytes[0] == '"' || bytes[0] == '\'');
  if ((node.is_scalar() && quotes) || ((node.is_map() || node.is_sequence()) && flow)) {
    faults += !same(node, YAML::Load(bytes));
  }
  if (node.is_scalar()) {
    // Whatever the style, folding and escapes leave the last word of most texts as it is.
    const std::string text = last_word(node.text());
    const bool escaped = bytes.find('\\') != std::string::npos || bytes.find("''") != std::string::npos;
    if (!escaped) faults += last_word(quotes ? bytes.substr(1, bytes.size() - 2) : bytes) != text;
  }
  uint32_t before = span.begin;
  for (const Node child : node) {
    const Span first = child.has_key() ? child.key_span() : child.span();
    faults +=
        first.begin < before || child.span().end > span.end || (child.has_key() && first.end > child.span().begin);
    before = child.span().end;
    faults += misplaced(reading, child);
  }
  return faults;
}

// Random trees written out in every style that a person may use.
class Writer {
 public:
  explicit Writer(uint32_t seed) : random_(seed) {}
  std::string document() {
    std::string out = pick(4) == 0 ? "---\n" : pick(3) == 0 ? "# first\n" : "";
    if (pick(2) == 0) {
      map(out, 0, 0);
    } else {
      list(out, 0, 0);
    }
    return out;
  }

 private:
  uint32_t pick(uint32_t below) { return static_cast<uint32_t>(random_() % below); }
  std::string word() {
    static const char* const words[] = {"C1.12", "GN/WH", "12",   "1.10", "no",   "a b",  "x-y",  "é",    "~x", "0.5",
                                        "a..c",  "#no",   "true", "a#b",  "it's", "über", "漢字", "null", "-1", "a:b"};
    return words[pick(20)];
  }
  static std::string plain(const std::string& word) { return word[0] == '#' ? "h" + word : word; }
  std::string quoted() {
    switch (pick(5)) {
      case 0:
        return "\"a\\n\\\"b\\\\\"";
      case 1:
        return "'it''s'";
      case 2:
        return "\"\"";
      case 3:
        return "'# no comment: ]'";
      default:
        return "\"" + word() + "\"";
    }
  }
  std::string scalar() { return pick(4) == 0 ? quoted() : plain(word()); }
  std::string key() {
    const std::string name = "k" + std::to_string(counter_++);
    return pick(6) == 0 ? "\"" + name + "\\t\"" : pick(6) == 0 ? "'" + name + "'" : name;
  }
  std::string comment() { return pick(5) == 0 ? "  # a comment: [ { \"" : ""; }
  std::string flow(int depth) {
    std::string out;
    const uint32_t kind = depth > 3 ? 0 : pick(4);
    if (kind < 2) return scalar();
    out += kind == 2 ? "[" : "{";
    const uint32_t count = pick(4);
    for (uint32_t i = 0; i < count; ++i) {
      if (i > 0) out += pick(6) == 0 ? ", # more ]\n      " : ", ";
      if (kind == 3) out += key() + ": ";
      out += kind == 3 && pick(6) == 0   ? ""
             : kind == 2 && pick(9) == 0 ? key() + ": " + flow(depth + 1)
                                         : flow(depth + 1);
    }
    return out + (pick(4) == 0 ? " " : "") + (kind == 2 ? "]" : "}");
  }
  void value(std::string& out, int indent, int depth) {
    const std::string pad(static_cast<size_t>(indent) + 2, ' ');
    switch (depth > 4 ? pick(3) : pick(8)) {
      case 0:
        out += comment() + "\n";
        return;  // empty
      case 1:
        out += " " + scalar() + comment() + "\n";
        return;
      case 2:
        out += " " + flow(0) + comment() + "\n";
        return;
      case 3:
        out += " |\n" + pad + "one\n\n" + pad + " two  \n";
        return;
      case 4:
        out += " >-" + comment() + "\n" + pad + "one\n" + pad + "two\n\n\n";
        return;
      case 5:
        out += " plain\n" + pad + "goes on" + comment() + "\n";
        return;
      case 6:
        out += comment() + "\n", map(out, indent + 2, depth + 1);
        return;
      default:
        out += "\n", list(out, indent + static_cast<int>(pick(2)) * 2, depth + 1);
        return;
    }
  }
  void map(std::string& out, int indent, int depth) {
    for (uint32_t i = 0, count = 1 + pick(5); i < count; ++i) {
      out += std::string(static_cast<size_t>(indent), ' ') + key() + (pick(9) == 0 ? " :" : ":");
      value(out, indent, depth);
    }
  }
  void list(std::string& out, int indent, int depth) {
    for (uint32_t i = 0, count = 1 + pick(4); i < count; ++i) {
      out += std::string(static_cast<size_t>(indent), ' ') + "-";
      if (pick(4) == 0) {
        out += " " + key() + ":";
        value(out, indent + 2, depth + 1);
      } else {
        value(out, indent, depth + 1);
      }
    }
  }
  std::mt19937 random_;
  int counter_ = 0;
};

}  // namespace

TEST_CASE("every key and value knows its bytes") {
  const Reading r(
      "a: 1.10\n\"b\": 'it''s' # c\nc: [x, {d: \"q\\n\"}, [y: z]]\ne:\n  f: |\n    one\n    two\n\ng: two\n  lines\nh: "
      "{}\n");
  REQUIRE(r.tree.root());
  const Node root = r.tree.root();
  CHECK(root.size() == 6);
  CHECK(root["a"].text() == "1.10");
  CHECK_FALSE(root["a"].quoted());
  CHECK(r.bytes(root["a"].key_span()) == "a");
  CHECK(root["b"].text() == "it's");
  CHECK(root["b"].quoted());
  CHECK(r.bytes(root["b"].span()) == "'it''s'");
  CHECK(r.bytes(root["b"].key_span()) == "\"b\"");
  CHECK(r.bytes(root["c"].span()) == "[x, {d: \"q\\n\"}, [y: z]]");
  const Node d = (*std::next(root["c"].begin()))["d"];
  CHECK(d.text() == "q\n");
  CHECK(r.bytes(d.span()) == "\"q\\n\"");
  CHECK(r.bytes(root["e"].span()) == "f: |\n    one\n    two");
  CHECK(root["e"]["f"].text() == "one\ntwo\n");
  CHECK(r.bytes(root["g"].span()) == "two\n  lines");
  CHECK(root["g"].text() == "two lines");
  CHECK(r.bytes(root["h"].span()) == "{}");
  CHECK_FALSE(root["none"]);
  CHECK_FALSE(root["a"]["x"]);
  CHECK(r.bytes(root["e"].opening()) == "f");
  CHECK(r.bytes(root["c"].opening()) == "[");
}

TEST_CASE("an empty value is a point after its key or dash") {
  const Reading r("a:\nb: ~\nc: null\nd: {e: , f}\ng:\n-\n- x\nnull: 1\n");
  const Node root = r.tree.root();
  CHECK(root["a"].kind() == Kind::null);
  CHECK(r.place(root["a"].span()) == "1:3");
  CHECK(root["a"].span().begin == root["a"].span().end);
  CHECK(r.bytes(root["b"].span()) == "~");
  CHECK(r.bytes(root["c"].span()) == "null");
  CHECK(r.place(root["d"]["e"].span()) == "4:7");
  CHECK(r.place(root["d"]["f"].span()) == "4:11");
  CHECK(r.place((*root["g"].begin()).span()) == "6:2");
  CHECK(root["null"].text() == "1");  // a word like others where a key stands
}

TEST_CASE("a node that is not there reads as an empty one") {
  const Node none;
  CHECK_FALSE(none);
  CHECK(none.kind() == Kind::null);
  CHECK(none.text().empty());
  CHECK(none.key().empty());
  CHECK(none.size() == 0);
  CHECK_FALSE(none.span().known());
  CHECK_FALSE(none.key_span().known());
  CHECK_FALSE(none.opening().known());
  CHECK_FALSE(none["a"]["b"]);
  for (const Node child : none) FAIL(child.text());
}

TEST_CASE("carriage returns and a byte order mark shift nothing") {
  const Reading r(
      "\xEF\xBB\xBF"
      "a: b\r\nc: [d]\r\n");
  CHECK(r.report.empty());
  CHECK(r.bytes(r.tree.root()["a"].span()) == "b");
  CHECK(r.bytes(r.tree.root()["c"].span()) == "[d]");
  CHECK(r.place(r.tree.root()["a"].key_span()) == "1:1");
}

TEST_CASE("random trees read as yaml-cpp's own loader reads them, every span on its bytes") {
  uint32_t read = 0;
  for (uint32_t seed = 0; seed < 3000; ++seed) {
    const std::string text = Writer(seed).document();
    INFO("seed " << seed << "\n" << text);
    const Reading r(text);
    YAML::Node theirs;
    bool loads = true;
    try {
      theirs = YAML::Load(text);
    } catch (const YAML::Exception&) {
      loads = false;
    }
    // Where the writer made a text that is not YAML, both have to say so.
    const bool refused = !r.report.empty();
    if (loads && !refused) {
      ++read;
      REQUIRE(r.tree.root());
      REQUIRE(same(r.tree.root(), theirs));
      REQUIRE(misplaced(r, r.tree.root()) == 0);
    } else if (!loads) {
      REQUIRE(refused);
    } else {
      REQUIRE(r.rules() == std::vector<std::string>{"empty-file"});
    }
  }
  CHECK(read > 2500);
}

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

TEST_CASE("the listing shows every node with its bytes") {
  const Reading r("a: [1, 'b']\nc:\n");
  CHECK(r.tree.dump() ==
        "map 0..14\n"
        "  \"a\" 0..1: sequence 3..11\n"
        "    scalar 4..5 \"1\"\n"
        "    scalar 7..10 quoted \"b\"\n"
        "  \"c\" 12..13: null 14..14\n");
  CHECK(r.tree.node_count() == 5);
  CHECK(r.tree.memory_bytes() < 1000);
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
