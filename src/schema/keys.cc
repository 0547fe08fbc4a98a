#include "schema/keys.h"

#include <fmt/format.h>

#include <algorithm>
#include <nlohmann/json.hpp>

#include "schema/embedded.h"
#include "schema/wording.h"

namespace loomproof::schema {
namespace {

using Ordered = nlohmann::ordered_json;

std::string text_at(const Ordered& schema, const char* key) {
  return schema.is_object() ? schema.value(key, "") : "";
}

// Walks the schemas as they are written, since their order says what matters most; that every keyword and reference is
// good is held in link.cc.
class Listing {
 public:
  explicit Listing(const std::map<std::string, std::string>& texts) {
    for (const auto& [name, text] : texts) schemas_[name] = Ordered::parse(text);
  }

  std::vector<Entry> all() {
    for (const auto& [name, schema] : schemas_) {
      if (!schema.contains("properties")) continue;  // no file is of this kind
      file_ = name;
      file_title_ = text_at(schema, "title");
      path_.clear();
      add(schema, name);
    }
    return std::move(entries_);
  }

 private:
  // What a reference leads to, with what is said beside it put over that.
  Ordered resolved(const Ordered& schema, const std::string& file, std::string& target_file) const {
    target_file = file;
    if (!schema.is_object() || !schema.contains("$ref")) return schema;
    const std::string reference = schema["$ref"];
    const size_t hash = reference.find('#');
    if (hash > 0) target_file = reference.substr(0, reference.find('.'));
    const Ordered& document = schemas_.at(target_file);
    Ordered target = document["definitions"][reference.substr(reference.rfind('/') + 1)];
    for (const char* const key : {"title", "description"})
      if (schema.contains(key)) target[key] = schema[key];
    return target;
  }

  void add(const Ordered& schema, const std::string& file) {
    Entry entry{text_at(schema, "title"), {}, {}, text_at(schema, "description"), {}};
    const Ordered required = schema.value("required", Ordered::array());
    for (const auto& [name, value] : schema["properties"].items()) {
      const bool must = std::find(required.begin(), required.end(), name) != required.end();
      std::string inner_file;
      const Ordered inner = resolved(value, file, inner_file);
      entry.keys.push_back({name, must, values(inner, inner_file), text_at(inner, "description")});
    }
    if (path_.empty()) {
      entry.names = {file_};
    } else {
      const std::string under = path_.back();
      const size_t article = entry.title.starts_with("a ") ? 2 : entry.title.starts_with("an ") ? 3 : 0;
      entry.names = {under};
      if (entry.title.substr(article) != under) entry.names.push_back(entry.title.substr(article));
      entry.where = {fmt::format("{}, under `{}`", file_title_, fmt::join(path_, "`, `"))};
    }
    const auto same = std::find_if(entries_.begin(), entries_.end(), [&](const Entry& other) {
      return other.title == entry.title && other.keys == entry.keys;
    });
    if (same == entries_.end()) {
      entries_.push_back(std::move(entry));
    } else {
      for (const std::string& name : entry.names)
        if (std::find(same->names.begin(), same->names.end(), name) == same->names.end()) same->names.push_back(name);
      if (std::find(same->where.begin(), same->where.end(), entry.where[0]) == same->where.end())
        same->where.push_back(entry.where[0]);
    }
    for (const auto& [name, value] : schema["properties"].items()) {
      path_.push_back(name);
      descend(value, file);
      path_.pop_back();
    }
  }

  // To the entries in a value: a map of keys, or what lists, maps and alternatives hold.
  void descend(const Ordered& value, const std::string& file) {
    std::string inner_file;
    const Ordered inner = resolved(value, file, inner_file);
    if (!inner.is_object()) return;
    if (inner.contains("properties")) return add(inner, inner_file);
    for (const char* const key : {"items", "additionalProperties"})
      if (inner.contains(key)) descend(inner[key], inner_file);
    for (const Ordered& alternative : inner.value("oneOf", Ordered::array())) descend(alternative, inner_file);
  }

  std::string values(const Ordered& value, const std::string& file) const {
    std::string inner_file;
    const Ordered schema = resolved(value, file, inner_file);
    if (schema.contains("enum")) return words(schema["enum"]);
    if (schema.contains("oneOf")) return alternatives(schema["oneOf"], inner_file);
    const Ordered type = schema.value("type", Ordered());
    if (type == "object") {
      if (schema.contains("properties")) return text_at(schema, "title");
      return fmt::format("a map from {} to {}", values(schema.value("propertyNames", Ordered::object()), inner_file),
                         values(schema.value("additionalProperties", Ordered::object()), inner_file));
    }
    if (type == "array") return count(schema) + values(schema.value("items", Ordered::object()), inner_file);
    if (type == "boolean") return "true or false";
    if (type == "number" || type == "integer")
      return (type == "integer" ? "a whole number" : "a number") + bound(schema, "minimum", " from ") +
             bound(schema, "maximum", " to ");
    return schema.contains("title") ? text_at(schema, "title") : "text";
  }

  static std::string words(const Ordered& list) {
    std::vector<std::string> texts;
    for (const Ordered& word : list) texts.push_back(word.is_string() ? word.get<std::string>() : word.dump());
    return joined(texts);
  }

  // "a pin, or a list of these": what varies is written either way.
  std::string alternatives(const Ordered& list, const std::string& file) const {
    std::vector<std::string> phrases;
    for (const Ordered& alternative : list) {
      std::string phrase = values(alternative, file);
      const bool of_these = !phrases.empty() && phrase == "a list, each " + phrases.front();
      phrases.push_back(of_these ? "a list of these" : std::move(phrase));
    }
    return joined(phrases);
  }

  static std::string count(const Ordered& schema) {
    const uint64_t least = schema.value("minItems", uint64_t{0});
    return least > 1 && least == schema.value("maxItems", uint64_t{0}) ? fmt::format("a list of {}, each ", least)
                                                                       : "a list, each ";
  }

  static std::string bound(const Ordered& schema, const char* key, const char* word) {
    return schema.contains(key) ? word + schema[key].dump() : "";
  }

  std::map<std::string, Ordered> schemas_;
  std::string file_, file_title_;
  std::vector<std::string> path_;
  std::vector<Entry> entries_;
};

}  // namespace

std::vector<Entry> entries(const std::map<std::string, std::string>& schemas) {
  return Listing(schemas).all();
}

std::vector<Entry> built_in_entries() {
  return entries(embedded_schemas());
}

}  // namespace loomproof::schema
