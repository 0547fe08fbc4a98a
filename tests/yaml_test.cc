// Located trees. Oracles: yaml-cpp's own YAML::Load for what a text says, and the bytes of the text for where it says
// it.
#include "yaml/tree.h"

#include <yaml-cpp/yaml.h>

#include <random>

#include "yaml_reading.h"

using namespace loomproof;
using testing::Reading;
using yaml::Kind;
using yaml::Node;

namespace {

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
