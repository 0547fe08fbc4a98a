// Schemas over located trees. Oracle for what is valid: valijson's own Validator on the same JSON; the wording is
// written out by hand. Schemas stand here in full, so that no corpus file decides what is tested.
#include <yaml-cpp/yaml.h>

#include <catch2/catch.hpp>
#include <nlohmann/json.hpp>
#include <random>

#include "schema/validator.h"

#define VALIJSON_USE_EXCEPTIONS 1
#pragma GCC diagnostic push
#pragma GCC diagnostic ignored "-Wshadow"
#pragma GCC diagnostic ignored "-Wpedantic"
#include <valijson/adapters/nlohmann_json_adapter.hpp>
#include <valijson/schema.hpp>
#include <valijson/schema_parser.hpp>
#include <valijson/validator.hpp>
#pragma GCC diagnostic pop

using namespace loomproof;
using nlohmann::json;
using schema::SchemaError;
using schema::SchemaSet;

namespace {

constexpr const char* looms = R"({
  "$schema": "http://json-schema.org/draft-07/schema#", "$id": "loom.schema.json",
  "title": "a loom file", "type": "object", "required": ["loom", "wires"], "additionalProperties": false,
  "properties": {
    "loom": {"$ref": "common.schema.json#/definitions/id"},
    "plugs": {"title": "plugs", "type": "object", "minProperties": 1,
      "propertyNames": {"title": "a designator", "description": "a capital letter and a number", "pattern": "^[A-Z][0-9]+$"},
      "additionalProperties": {"title": "a plug", "description": "A plug, or a list where it varies.",
        "oneOf": [{"$ref": "#/definitions/plug"}, {"type": "array", "minItems": 1, "items": {"$ref": "#/definitions/plug"}}]}},
    "wires": {"type": "array", "items": {"$ref": "#/definitions/wire"}},
    "notes": {"type": "array", "uniqueItems": true, "maxItems": 3},
    "eras": {"description": "When it holds.", "$ref": "common.schema.json#/definitions/id"}
  },
  "definitions": {
    "plug": {"title": "a plug", "type": "object", "required": ["housing"], "additionalProperties": false,
      "properties": {"housing": {"description": "Its housing.", "type": "string"},
                     "rest": {"description": "What no row names.", "enum": ["empty", "unknown", "open"]}}},
    "wire": {"title": "a wire", "type": "object", "required": ["circuit", "from"], "additionalProperties": false,
      "patternProperties": {"^x-": {"type": "string"}},
      "properties": {
        "circuit": {"title": "a circuit", "description": "Its circuit.", "type": "string", "minLength": 1, "maxLength": 8},
        "from": {"type": "string"},
        "colour": {"title": "a colour", "description": "two letters", "type": "string", "pattern": "^[A-Z]{2}$"},
        "mm2": {"description": "Cross-section.", "type": "number", "minimum": 0.5, "exclusiveMaximum": 10},
        "length": {"type": "integer"}, "double": {"type": "boolean"},
        "volts": {"title": "volts", "oneOf": [{"type": "number", "maximum": 1000}, {"enum": ["system"]}]},
        "size": {"enum": [1, 2.5, "any", true]}}}
  }
})";

constexpr const char* common = R"({"definitions": {
  "id": {"title": "an id", "description": "lower-case letters", "type": "string", "pattern": "^[a-z]+$"}}})";

SchemaSet one(const std::string& text) {
  return SchemaSet::compile({{"s", text}});
}

struct Verdict {
  Verdict(const schema::Schema& wanted, std::string text) {
    sources.add("t.yaml", std::move(text));
    tree = yaml::Tree::read(sources.file(0), 0, report);
    REQUIRE(tree.root());
    good = schema::validate(wanted, tree.root(), report);
    report.sort();
  }
  // "line:column rule: message", with a fix as " -> text".
  std::vector<std::string> said() const {
    std::vector<std::string> out;
    for (const Finding& finding : report.findings()) {
      const LineColumn at = sources.file(0).at(finding.span.begin);
      std::string line = std::to_string(at.line) + ":" + std::to_string(at.column) + " ";
      line += std::string(rule_info(finding.rule).id) + ": " + finding.message;
      for (const Fix& fix : finding.fixes) line += " -> " + fix.text;
      out.push_back(line);
    }
    return out;
  }
  Sources sources;
  Report report;
  yaml::Tree tree;
  bool good = false;
};

using Lines = std::vector<std::string>;

Lines said_of_loom(const std::string& text) {
  static const SchemaSet set = SchemaSet::compile({{"loom", looms}, {"common", common}});
  const Verdict verdict(*set.find("loom"), text);
  CHECK(verdict.good == verdict.report.empty());
  return verdict.said();
}

Lines said_of_wire(const std::string& wire) {
  return said_of_loom("loom: a\nwires:\n  - {circuit: A, from: B, " + wire + "}\n");
}

Lines said_of(const std::string& schema_text, const std::string& text) {
  const SchemaSet set = one(schema_text);
  return Verdict(*set.find("s"), text).said();
}

std::string refusal(const std::string& text) {
  try {
    one(text);
  } catch (const SchemaError& error) {
    return error.what();
  }
  return "accepted";
}

}  // namespace

TEST_CASE("a good file has no finding, and every shape rule has judged it") {
  static const SchemaSet set = SchemaSet::compile({{"loom", looms}, {"common", common}});
  const Verdict verdict(
      *set.find("loom"),
      "loom: a\nplugs:\n  C1: {housing: 12, rest: open}\n  C2: [{housing: NO}]\nnotes: [a, [b]]\n"
      "wires:\n  - {circuit: 1.10, from: true, colour: NO, mm2: 0.5, length: -3, double: true, x-y: z}\n"
      "  - {circuit: A, from: B, volts: 12, size: 2.50}\n  - {circuit: A, from: B, volts: system, size: any}\n");
  CHECK(verdict.said() == Lines{});
  CHECK(verdict.good);
  for (const Rule rule : {Rule::unknown_key, Rule::missing_key, Rule::wrong_type, Rule::not_in_list, Rule::bad_form}) {
    INFO(rule_info(rule).id);
    CHECK(verdict.report.judged_count(rule) > 0);
  }
}

TEST_CASE("unknown keys are matched to the nearest that is free") {
  CHECK(said_of_loom("lom: a\nwires: []\n") == Lines{"1:1 unknown-key: `lom` is no key of a loom file -> loom"});
  CHECK(said_of_wire("color: GN") == Lines{"3:27 unknown-key: `color` is no key of a wire -> colour"});
  CHECK(said_of_wire("colour: GN, color: GN") == Lines{"3:39 unknown-key: `color` is no key of a wire"});
  CHECK(said_of_wire("zzz: 1") == Lines{"3:27 unknown-key: `zzz` is no key of a wire"});
}

TEST_CASE("what is missing is said at the key, the first line or the bracket of its map") {
  CHECK(said_of_loom("loom: a\nwires:\n  - from: B\n  - {}\nplugs:\n  C1: {rest: open}\n") ==
        Lines{"3:5 missing-key: a wire lacks `circuit`", "4:5 missing-key: a wire lacks `circuit`",
              "4:5 missing-key: a wire lacks `from`", "6:3 missing-key: a plug lacks `housing`"});
  CHECK(said_of_loom("{}\n") ==
        Lines{"1:1 missing-key: a loom file lacks `loom`", "1:1 missing-key: a loom file lacks `wires`"});
}

TEST_CASE("scalars are what the schema wants them to be") {
  CHECK(said_of_wire("mm2: \"1\"") == Lines{"3:32 wrong-type: text `1` where a number is wanted -> 1"});
  CHECK(said_of_wire("length: 1.5") == Lines{"3:35 wrong-type: `1.5` where a whole number is wanted"});
  CHECK(said_of_wire("double: yes") == Lines{"3:35 wrong-type: `yes` where true or false is wanted"});
  CHECK(said_of_wire("double:") == Lines{"3:34 wrong-type: nothing where true or false is wanted"});
  CHECK(said_of_wire("colour: [GN]") == Lines{"3:35 wrong-type: a list where text is wanted"});
  CHECK(said_of_loom("loom: ~\nwires: {a: b}\n") ==
        Lines{"1:7 wrong-type: nothing where text is wanted", "2:8 wrong-type: a map where a list is wanted"});
  CHECK(said_of_loom("- a\n") == Lines{"1:1 wrong-type: a list where a map is wanted"});
  // RFC 8259, section 6: what JSON takes for a number, and no more.
  for (const char* const number : {"0.5", "1", "9.99", "5e-1", "1E0", "1.5e+0"}) {
    CHECK(said_of_wire(std::string("mm2: ") + number).empty());
  }
  for (const char* const text :
       {"01", "1.", ".5", "+1", "0x1", "1_0", "1e", ".inf", "1e999", "NaN", "--1", "\"0.5\""}) {
    INFO(text);
    CHECK(said_of_wire(std::string("mm2: ") + text).size() == 1);
  }
}

TEST_CASE("words, bounds, lengths and forms") {
  CHECK(said_of_loom("loom: a\nwires: []\nplugs: {C1: {housing: x, rest: emty}}\n") ==
        Lines{"3:32 not-in-list: `emty` is not one of empty, unknown, open -> empty"});
  CHECK(said_of_wire("size: 3") == Lines{"3:33 not-in-list: `3` is not one of 1, 2.5, any, true"});
  CHECK(said_of_wire("size: \"1\"") == Lines{"3:33 not-in-list: `1` is not one of 1, 2.5, any, true -> 1"});
  CHECK(said_of_wire("mm2: 0.4") == Lines{"3:32 bad-form: `0.4` is below 0.5"});
  CHECK(said_of_wire("mm2: 10") == Lines{"3:32 bad-form: `10` is not below 10"});
  CHECK(said_of_wire("colour: gn") == Lines{"3:35 bad-form: `gn` is not a colour: two letters"});
  CHECK(said_of_loom("loom: a\nwires: [{circuit: 'ääääääääx', from: B}, {circuit: '', from: B}, {circuit: 'ääääääää', "
                     "from: B}]\n") ==
        Lines{"2:19 bad-form: `ääääääääx` has 9 characters, 8 at most are wanted", "2:60 bad-form: `` holds no text"});
  CHECK(said_of_loom("loom: a\nwires: []\nplugs: {}\n") ==
        Lines{"3:1 bad-form: `plugs` has 0 entries, 1 at least are wanted"});
  CHECK(said_of_loom("loom: a\nwires: []\nnotes: [x, {a: 1, b: 2}, x]\n") ==
        Lines{"3:26 bad-form: `x` stands twice in one list"});
  CHECK(said_of_loom("loom: a\nwires: []\nnotes: [1, 2, 3, 4]\n") ==
        Lines{"3:1 bad-form: `notes` has 4 entries, 3 at most are wanted"});
  CHECK(said_of_loom("loom: a\nwires: []\nplugs: {c1: {housing: x}}\n") ==
        Lines{"3:9 bad-form: `c1` is not a designator: a capital letter and a number"});
}

TEST_CASE("a description is the help line, once") {
  static const SchemaSet set = SchemaSet::compile({{"loom", looms}, {"common", common}});
  const Verdict verdict(*set.find("loom"),
                        "loom: a\neras: 1\nwires:\n  - {circuit: [], form: B, colour: gn, mm2: x}\n");
  std::vector<std::string> help;
  for (const Finding& finding : verdict.report.findings()) {
    for (const std::string& line : finding.help) help.push_back(line);
  }
  CHECK(help == Lines{"Its circuit.", "Cross-section."});
  CHECK(verdict.said()[0] == "2:7 bad-form: `1` is not an id: lower-case letters");  // a form's is in the message
}

TEST_CASE("of alternatives only the closest is reported") {
  const std::string head = "loom: a\nwires: []\nplugs:\n";
  CHECK(said_of_loom(head + "  C1: 5\n") == Lines{"4:7 wrong-type: `5` where a map or a list is wanted"});
  CHECK(said_of_loom(head + "  C1: []\n") == Lines{"4:3 bad-form: `C1` has 0 entries, 1 at least are wanted"});
  CHECK(said_of_loom(head + "  C1: [{housing: x}, {hosing: y}]\n") ==
        Lines{"4:23 unknown-key: `hosing` is no key of a plug -> housing"});
  CHECK(said_of_loom(head + "  C1: {housing: x, rest: [a]}\n").size() == 1);
  CHECK(said_of_wire("volts: 1001") == Lines{"3:34 bad-form: `1001` is above 1000"});
  CHECK(said_of_wire("volts: sistem") == Lines{"3:34 not-in-list: `sistem` is not one of system -> system"});
  CHECK(said_of_wire("volts: many") == Lines{"3:34 wrong-type: `many` where a number or `system` is wanted"});
  CHECK(said_of_wire("volts: {}") == Lines{"3:34 wrong-type: a map where a number or `system` is wanted"});

  // Maps of one kind: the branch with fewer faults, then the one that got further.
  const std::string schema_text = R"({"oneOf": [
    {"title": "a move", "type": "object", "required": ["moved"], "additionalProperties": false, "properties":
      {"moved": {"type": "object", "required": ["from", "to"], "properties": {"from": {"type": "string"}}}}},
    {"title": "a swap", "type": "object", "required": ["swapped"], "additionalProperties": false, "properties":
      {"swapped": {"type": "array"}}}]})";
  CHECK(said_of(schema_text, "moved: {from: a}\n") == Lines{"1:1 missing-key: `moved` lacks `to`"});
  CHECK(said_of(schema_text, "swapped: 5\n") == Lines{"1:10 wrong-type: `5` where a list is wanted"});
}

TEST_CASE("what was refused while reading causes nothing more") {
  static const SchemaSet set = SchemaSet::compile({{"loom", looms}, {"common", common}});
  const auto rules_of = [](const std::string& text) {
    Lines rules;
    const Verdict verdict(*set.find("loom"), text);
    for (const Finding& finding : verdict.report.findings()) rules.emplace_back(rule_info(finding.rule).id);
    return rules;
  };
  CHECK(rules_of("loom: a\nwires: &w []\nnotes: *w\n") == Lines{"anchor-or-alias", "anchor-or-alias"});
  CHECK(rules_of("loom: a\nwires:\n  - &w {circuit: A, from: B}\n  - {<<: *w}\n") ==
        Lines{"anchor-or-alias", "merge-key"});
  CHECK(rules_of("? [loom]\n: a\nwires: []\n") == Lines{"key-not-text"});
}

TEST_CASE("references may lead in a circle through the value") {
  const std::string tree =
      R"({"definitions": {"node": {"title": "a node", "type": "object", "additionalProperties": false,
    "properties": {"next": {"$ref": "#/definitions/node"}, "v": {"type": "integer"}}}}, "$ref": "#/definitions/node"})";
  // A reference stands alone, so the root goes by allOf.
  std::string rooted = tree;
  rooted.replace(rooted.rfind("\"$ref\""), std::string::npos, R"("allOf": [{"$ref": "#/definitions/node"}]})");
  CHECK(said_of(rooted, "next: {next: {v: 1}}\n").empty());
  CHECK(said_of(rooted, "next: {next: {v: x}}\n") == Lines{"1:18 wrong-type: `x` where a whole number is wanted"});
  CHECK(
      refusal(
          R"({"definitions": {"a": {"allOf": [{"$ref": "#/definitions/a"}]}}, "allOf": [{"$ref": "#/definitions/a"}]})") ==
      "schema `s`: a `$ref` leads back to itself without going into the value");
}

TEST_CASE("a schema that cannot be used is refused with its name and the place") {
  CHECK(refusal("{") == "schema `s` is not JSON: fault at byte 2");
  CHECK(refusal(R"({"properties": {"a/b": {"format": "date"}}})") ==
        "schema `s`, at `/properties/a~1b/format`: keyword `format` is not supported");
  for (const char* const keyword : {"if", "not", "dependencies", "contains", "multipleOf", "additionalItems", "format",
                                    "contentEncoding", "minimun", "id", "divisibleBy", "$comment"}) {
    INFO(keyword);
    const std::string text = json{{"items", {{keyword, json::object()}}}}.dump();
    CHECK(refusal(text) ==
          "schema `s`, at `/items/" + std::string(keyword) + "`: keyword `" + keyword + "` is not supported");
  }
  CHECK(refusal(R"({"properties": {"a": {"$ref": "#/definitions/x"}}})") ==
        "schema `s`, at `/properties/a`: schema `s` defines no `x`");
  CHECK(refusal(R"({"properties": {"a": {"$ref": "other.schema.json#/definitions/x"}}})") ==
        "schema `s`, at `/properties/a`: there is no schema `other`");
  CHECK(refusal(R"({"properties": {"a": {"$ref": "http://x/y"}}})") ==
        "schema `s`, at `/properties/a`: `http://x/y` leads to no schema");
  CHECK(refusal(R"({"properties": {"a": {"$ref": "#/properties/b"}}})") ==
        "schema `s`, at `/properties/a`: `#/properties/b` is not of the form `#/definitions/...`");
  CHECK(refusal(R"({"definitions": {"x": {}}, "items": {"$ref": "#/definitions/x", "type": "string"}})") ==
        "schema `s`, at `/items`: `type` beside `$ref` would have no effect");
  CHECK(refusal(R"({"items": [{}]})") == "schema `s`, at `/items`: a list of schemas is not supported here");
  CHECK(refusal(R"({"items": 5})") == "schema `s`, at `/items`: a schema is wanted");
  CHECK(refusal(R"({"$schema": "http://json-schema.org/draft-04/schema#"})") ==
        "schema `s`, at `/$schema`: `http://json-schema.org/draft-07/schema#` is wanted");
  CHECK(refusal(R"({"enum": []})") == "schema `s`, at `/enum`: a list of values is wanted");
  CHECK(refusal(R"({"type": "strnig"})").find("schema `s`: ") == 0);
  CHECK(refusal(R"({"pattern": "("})").find("schema `s`: pattern `(`: ") == 0);
  CHECK(refusal(R"({"minLength": "x"})") != "accepted");
}

TEST_CASE("keywords in places that valijson reads wrongly hold all the same") {
  // An inline propertyNames; a description beside a reference; a definition used at several places.
  const std::string text = R"({"type": "object", "properties": {"m": {"type": "object",
      "propertyNames": {"enum": ["x", "y"]}, "additionalProperties": {"type": "integer"}}}})";
  CHECK(said_of(text, "m: {x: 1, y: 2}\n").empty());
  CHECK(said_of(text, "m: {x: 1, zed: 2}\n") == Lines{"1:11 not-in-list: `zed` is not one of x, y"});
}

namespace {

// Random schemas of the supported keywords and random values for them. With `scalars` "numbers" no text stands
// anywhere, with "texts" no number: where a schema wants text, any scalar of YAML is text, and there the two are meant
// to differ.
class Generator {
 public:
  Generator(uint32_t seed, bool texts) : random_(seed), texts_(texts) {}

  json schema(int depth = 0) {
    json out = json::object();
    switch (pick(depth > 3 ? 4 : 8)) {
      case 0:
        out["type"] = texts_ ? "string" : "number";
        break;
      case 1:
        out["enum"] = {scalar(), scalar(), nullptr};
        break;
      case 2:
        out["const"] = scalar();
        break;
      case 3:
        return texts_ ? text_schema() : number_schema();
      case 4:
        out["anyOf"] = {schema(depth + 1), schema(depth + 1)};
        break;
      case 5:
        out["allOf"] = {schema(depth + 1), schema(depth + 1)};
        break;
      case 6:
        if (pick(2) == 0) out["type"] = "array";
        if (pick(2) == 0) out["minItems"] = pick(3);
        if (pick(2) == 0) out["maxItems"] = 1 + pick(3);
        if (pick(3) == 0) out["uniqueItems"] = true;
        out["items"] = schema(depth + 1);
        break;
      default:
        if (pick(2) == 0) out["type"] = "object";
        for (uint32_t i = pick(3); i > 0; --i) out["properties"][key()] = schema(depth + 1);
        if (pick(3) == 0) out["patternProperties"]["^a"] = schema(depth + 1);
        if (pick(3) == 0) out["required"] = {key()};
        if (pick(2) == 0) out["additionalProperties"] = pick(2) == 0 ? json(false) : schema(depth + 1);
        if (pick(4) == 0) out["minProperties"] = pick(3);
        if (pick(4) == 0) out["maxProperties"] = pick(3);
        break;
    }
    return out;
  }

  json value(int depth = 0) {
    switch (pick(depth > 3 ? 3 : 6)) {
      case 0:
        return pick(3) == 0 ? json(nullptr) : scalar();
      case 1:
      case 2:
        return scalar();
      case 3: {
        json list = json::array();
        for (uint32_t i = pick(4); i > 0; --i) list.push_back(value(depth + 1));
        return list;
      }
      default: {
        json map = json::object();
        for (uint32_t i = pick(4); i > 0; --i) map[key()] = value(depth + 1);
        return map;
      }
    }
  }

 private:
  uint32_t pick(uint32_t below) { return static_cast<uint32_t>(random_() % below); }
  std::string key() { return std::string(1, static_cast<char>('a' + pick(4))) + (pick(2) == 0 ? "" : "b"); }
  json scalar() {
    if (texts_) return std::string(pick(4), static_cast<char>('a' + pick(2)));
    static const double numbers[] = {-1.5, 0.5, 2.25};
    return pick(2) == 0 ? json(static_cast<int>(pick(6)) - 2) : json(numbers[pick(3)]);
  }
  json text_schema() {
    json out = {{"type", "string"}};
    if (pick(2) == 0) out["minLength"] = pick(3);
    if (pick(2) == 0) out["maxLength"] = pick(4);
    if (pick(2) == 0) out["pattern"] = pick(2) == 0 ? "^a" : "b$";
    return out;
  }
  json number_schema() {
    json out = {{"type", pick(2) == 0 ? "number" : "integer"}};
    if (pick(2) == 0) out[pick(2) == 0 ? "minimum" : "exclusiveMinimum"] = static_cast<int>(pick(4)) - 2;
    if (pick(2) == 0) out[pick(2) == 0 ? "maximum" : "exclusiveMaximum"] = pick(4);
    return out;
  }
  std::mt19937 random_;
  bool texts_;
};

bool valid_by_oracle(const valijson::Schema& schema, const json& value) {
  valijson::Validator validator(valijson::Validator::kStrongTypes);
  return validator.validate(schema, valijson::adapters::NlohmannJsonAdapter(value), nullptr);
}

}  // namespace

TEST_CASE("what is valid is what valijson's own validator takes for valid") {
  uint32_t good = 0, bad = 0;
  for (uint32_t seed = 0; seed < 3000; ++seed) {
    Generator generator(seed, seed % 2 == 0);
    const json text = generator.schema();
    valijson::Schema oracle;
    valijson::SchemaParser().populateSchema(valijson::adapters::NlohmannJsonAdapter(text), oracle);
    const SchemaSet set = one(text.dump());
    for (int i = 0; i < 12; ++i) {
      const json value = generator.value();
      INFO("seed " << seed << "\n" << text.dump() << "\n" << value.dump());
      const Verdict verdict(*set.find("s"), value.dump() + "\n");
      const bool expected = valid_by_oracle(oracle, value);
      REQUIRE(verdict.good == expected);
      ++(expected ? good : bad);
    }
  }
  CHECK(good > 3000);
  CHECK(bad > 3000);
}

TEST_CASE("the schemas of the program are built in and usable") {
  const SchemaSet& set = SchemaSet::built_in();
  CHECK(set.find("loom") != nullptr);
  CHECK(set.find("family") != nullptr);
  CHECK(set.find("nothing") == nullptr);
  CHECK(set.names().size() >= 14);
  CHECK(SchemaSet::compile({}).names().empty());
}
