#include "schema/link.h"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <functional>
#include <set>

#include "schema/validator.h"

namespace loomproof::schema {
namespace {

using nlohmann::json;

constexpr std::string_view draft = "http://json-schema.org/draft-07/schema#";

enum class Holds { value, schema, schemas_by_name, schema_list };

struct Keyword {
  std::string_view name;
  Holds holds;
};

constexpr auto keywords = std::to_array<Keyword>({
    {"$schema", Holds::value},
    {"$id", Holds::value},
    {"$ref", Holds::value},
    {"title", Holds::value},
    {"description", Holds::value},
    {"default", Holds::value},
    {"examples", Holds::value},
    {"type", Holds::value},
    {"required", Holds::value},
    {"enum", Holds::value},
    {"const", Holds::value},
    {"pattern", Holds::value},
    {"minLength", Holds::value},
    {"maxLength", Holds::value},
    {"minimum", Holds::value},
    {"maximum", Holds::value},
    {"exclusiveMinimum", Holds::value},
    {"exclusiveMaximum", Holds::value},
    {"minItems", Holds::value},
    {"maxItems", Holds::value},
    {"uniqueItems", Holds::value},
    {"minProperties", Holds::value},
    {"maxProperties", Holds::value},
    {"items", Holds::schema},
    {"additionalProperties", Holds::schema},
    {"propertyNames", Holds::schema},
    {"properties", Holds::schemas_by_name},
    {"patternProperties", Holds::schemas_by_name},
    {"definitions", Holds::schemas_by_name},
    {"oneOf", Holds::schema_list},
    {"anyOf", Holds::schema_list},
    {"allOf", Holds::schema_list},
});

const Keyword* find_keyword(std::string_view name) {
  const auto* const found =
      std::find_if(keywords.begin(), keywords.end(), [&](const Keyword& keyword) { return keyword.name == name; });
  return found == keywords.end() ? nullptr : found;
}

// RFC 6901.
std::string pointer_step(std::string_view name) {
  std::string step = "/";
  for (const char c : name) step += c == '~' ? "~0" : c == '/' ? "~1" : std::string(1, c);
  return step;
}

[[noreturn]] void refuse(const std::string& name, const std::string& pointer, const std::string& problem) {
  throw SchemaError(fmt::format("schema `{}`, at `{}`: {}", name, pointer.empty() ? "/" : pointer, problem));
}

using Visit = std::function<void(json&, const std::string& pointer)>;

// Calls `visit` on every schema inside `schema`, itself first. The nesting is bounded by the JSON parser's callers:
// schemas are the project's own.
void for_each_schema(json& schema, const std::string& pointer, const Visit& visit) {
  visit(schema, pointer);
  if (!schema.is_object()) return;
  for (auto& [name, value] : schema.items()) {
    const Keyword* const keyword = find_keyword(name);
    if (keyword == nullptr) continue;
    const std::string below = pointer + pointer_step(name);
    if (keyword->holds == Holds::schema) {
      for_each_schema(value, below, visit);
    } else if (keyword->holds == Holds::schemas_by_name && value.is_object()) {
      for (auto& [inner, child] : value.items()) for_each_schema(child, below + pointer_step(inner), visit);
    } else if (keyword->holds == Holds::schema_list && value.is_array()) {
      for (size_t i = 0; i < value.size(); ++i) for_each_schema(value[i], below + "/" + std::to_string(i), visit);
    }
  }
}

void check_reference(const std::string& name, const json& schema, const std::string& pointer) {
  for (const auto& [beside, value] : schema.items()) {
    if (beside != "$ref" && beside != "description" && beside != "title") {
      refuse(name, pointer, fmt::format("`{}` beside `$ref` would have no effect", beside));
    }
  }
  if (!schema["$ref"].is_string()) refuse(name, pointer, "`$ref` is no text");
}

void check_keyword(const std::string& name, const Keyword& keyword, const json& value, const std::string& pointer) {
  if (keyword.holds == Holds::schemas_by_name && !value.is_object())
    refuse(name, pointer, "a map of schemas is wanted");
  if (keyword.holds == Holds::schema_list && (!value.is_array() || value.empty())) {
    refuse(name, pointer, "a list of schemas is wanted");
  }
  if (keyword.name == "items" && value.is_array()) refuse(name, pointer, "a list of schemas is not supported here");
  if (keyword.name == "$schema" && value != draft) refuse(name, pointer, fmt::format("`{}` is wanted", draft));
  if ((keyword.name == "enum") && (!value.is_array() || value.empty()))
    refuse(name, pointer, "a list of values is wanted");
  const bool structured = value.is_object() || value.is_array();
  if (keyword.name == "const" && structured) refuse(name, pointer, "only a plain value is supported here");
  if (keyword.name == "enum" &&
      std::any_of(value.begin(), value.end(), [](const json& word) { return word.is_object() || word.is_array(); })) {
    refuse(name, pointer, "only plain values are supported here");
  }
}

void check_schema(const std::string& name, const json& schema, const std::string& pointer) {
  if (schema.is_boolean()) return;
  if (!schema.is_object()) refuse(name, pointer, "a schema is wanted");
  if (schema.contains("$ref")) check_reference(name, schema, pointer);
  for (const auto& [key, value] : schema.items()) {
    const Keyword* const keyword = find_keyword(key);
    if (keyword == nullptr)
      refuse(name, pointer + pointer_step(key), fmt::format("keyword `{}` is not supported", key));
    check_keyword(name, *keyword, value, pointer + pointer_step(key));
  }
}

struct Target {
  std::string schema;      // name of the schema file
  std::string definition;  // empty: the whole of it
};

// Two forms lead somewhere: `#/definitions/x` and `other.schema.json#/definitions/x`; `#` alone is the whole schema.
Target target_of(const std::string& name, const std::string& reference, const std::string& pointer) {
  constexpr std::string_view suffix = ".schema.json";
  constexpr std::string_view prefix = "/definitions/";
  const size_t hash = reference.find('#');
  std::string file = reference.substr(0, hash);
  std::string inside = hash == std::string::npos ? "" : reference.substr(hash + 1);
  if (!file.empty()) {
    if (!file.ends_with(suffix)) refuse(name, pointer, fmt::format("`{}` leads to no schema", reference));
    file.resize(file.size() - suffix.size());
  }
  if (!inside.empty()) {
    if (!inside.starts_with(prefix) || inside.find('/', prefix.size()) != std::string::npos) {
      refuse(name, pointer, fmt::format("`{}` is not of the form `#/definitions/...`", reference));
    }
    inside.erase(0, prefix.size());
  }
  return {file.empty() ? name : file, inside};
}

const json& find_target(const std::string& name, const Target& target, const std::string& pointer,
                        const std::map<std::string, json>& schemas) {
  const auto schema = schemas.find(target.schema);
  if (schema == schemas.end()) refuse(name, pointer, fmt::format("there is no schema `{}`", target.schema));
  if (target.definition.empty()) return schema->second;
  const auto definitions = schema->second.find("definitions");
  if (definitions == schema->second.end() || !definitions->contains(target.definition)) {
    refuse(name, pointer, fmt::format("schema `{}` defines no `{}`", target.schema, target.definition));
  }
  return (*definitions)[target.definition];
}

// Gathers what a schema refers to, each under a name of its own.
class Linker {
 public:
  explicit Linker(const std::map<std::string, json>& schemas) : schemas_(schemas) {}

  json link(const std::string& name) {
    const std::string root = place({name, ""}, name, "");
    while (!waiting_.empty()) {
      const Target target = waiting_.back();
      waiting_.pop_back();
      json schema = find_target(target.schema, target, "", schemas_);
      rewrite(target.schema, schema);
      definitions_[key_of(target)] = std::move(schema);
    }
    json document = definitions_[root];
    if (document.is_object()) document["definitions"] = std::move(definitions_);
    return document;
  }

 private:
  // No definition of a schema file begins with `=`: a reference of this form is one that is already rewritten.
  static std::string key_of(const Target& target) { return "=" + target.schema + "." + target.definition; }

  std::string place(const Target& target, const std::string& from, const std::string& pointer) {
    find_target(from, target, pointer, schemas_);
    const std::string key = key_of(target);
    if (placed_.insert(key).second) waiting_.push_back(target);
    return key;
  }

  void rewrite(const std::string& name, json& schema) {
    for_each_schema(schema, "", [&](json& inner, const std::string& pointer) {
      if (!inner.is_object()) return;
      for (const char* const key : {"$schema", "$id", "definitions", "default", "examples"}) inner.erase(key);
      if (inner.contains("$ref")) rewrite_reference(name, inner, pointer);
      if (inner.contains("propertyNames")) hoist_property_names(name, inner);
    });
  }

  void rewrite_reference(const std::string& name, json& schema, const std::string& pointer) {
    const std::string reference = schema["$ref"];
    if (reference.starts_with("#/definitions/=")) return;
    const std::string key = place(target_of(name, reference, pointer), name, pointer);
    const json alone = {{"$ref", "#/definitions/" + key}};
    schema.erase("$ref");
    // valijson drops what stands beside a reference; beside a list of one it counts.
    if (schema.empty()) {
      schema = alone;
    } else {
      schema["allOf"] = json::array({alone});
    }
  }

  // valijson takes an inline `propertyNames` for the schema around it; a reference is read correctly.
  void hoist_property_names(const std::string& name, json& schema) {
    json& names = schema["propertyNames"];
    if (names.is_object() && names.contains("$ref")) return;
    const std::string key = fmt::format("=propertyNames.{}", hoisted_++);
    definitions_[key] = std::move(names);
    rewrite(name, definitions_[key]);
    names = {{"$ref", "#/definitions/" + key}};
  }

  const std::map<std::string, json>& schemas_;
  json definitions_ = json::object();
  std::set<std::string> placed_;
  std::vector<Target> waiting_;
  int hoisted_ = 0;
};

}  // namespace

std::map<std::string, json> parse_schemas(const std::map<std::string, std::string>& texts) {
  std::map<std::string, json> schemas;
  for (const auto& [name, text] : texts) {
    try {
      schemas[name] = json::parse(text);
    } catch (const json::parse_error& error) {
      throw SchemaError(fmt::format("schema `{}` is not JSON: fault at byte {}", name, error.byte));
    }
  }
  for (auto& [name, schema] : schemas) {
    for_each_schema(schema, "",
                    [&name = name](json& inner, const std::string& pointer) { check_schema(name, inner, pointer); });
  }
  return schemas;
}

json linked(const std::string& name, const std::map<std::string, json>& schemas) {
  return Linker(schemas).link(name);
}

}  // namespace loomproof::schema
