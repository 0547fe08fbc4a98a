// A corpus file as a tree that a test may change and write out again.
#pragma once
#include <nlohmann/json.hpp>
#include <stdexcept>
#include <string>
#include <utility>
#include <vector>

#include "yaml/tree.h"

namespace loomproof::testing {

struct Yaml {
  yaml::Kind kind = yaml::Kind::null;
  std::string text;  // of a scalar
  bool quoted = false;
  uint32_t begin = 0;                                 // where it stood in the file that it was read from
  std::vector<std::pair<std::string, Yaml>> entries;  // keys are empty in a list

  static Yaml plain(std::string text) { return {yaml::Kind::scalar, std::move(text)}; }
  static Yaml words(std::string text) { return {yaml::Kind::scalar, std::move(text), true}; }
  static Yaml list(const std::vector<std::string>& texts) {
    Yaml node{yaml::Kind::sequence};
    for (const std::string& each : texts) node.entries.emplace_back("", plain(each));
    return node;
  }

  Yaml* find(std::string_view key) {
    for (auto& [name, value] : entries)
      if (name == key) return &value;
    return nullptr;
  }
  const Yaml* find(std::string_view key) const { return const_cast<Yaml*>(this)->find(key); }
  std::string text_of(std::string_view key) const { return find(key) ? find(key)->text : std::string(); }
  void set(const std::string& key, Yaml value) {
    if (Yaml* old = find(key))
      *old = std::move(value);
    else
      entries.emplace_back(key, std::move(value));
  }
  void remove(std::string_view key) {
    std::erase_if(entries, [&](const auto& entry) { return entry.first == key; });
  }
};

inline Yaml editable(yaml::Node node) {
  Yaml out{node.kind(), std::string(node.text()), node.quoted(), node.span().begin};
  for (const yaml::Node child : node) out.entries.emplace_back(std::string(child.key()), editable(child));
  return out;
}

// Throws where the text is no YAML.
inline Yaml editable(const std::string& text) {
  const SourceFile file("editable.yaml", text);
  Report report;
  const yaml::Tree tree = yaml::Tree::read(file, 0, report);
  if (!report.empty()) throw std::runtime_error("no YAML: " + report.findings().front().message);
  return editable(tree.root());
}

// In block style, every key in quotes; what was in quotes stays text.
inline void write(const Yaml& node, size_t step, size_t indent, std::string& out) {
  const auto quoted = [](const std::string& text) { return nlohmann::json(text).dump(); };
  for (const auto& [key, value] : node.entries) {
    out.append(indent, ' ');
    out += node.kind == yaml::Kind::map ? quoted(key) + ":" : "-";
    switch (value.kind) {
      case yaml::Kind::null:
        out += "\n";
        break;
      case yaml::Kind::scalar:
        out += " " + (value.quoted ? quoted(value.text) : value.text) + "\n";
        break;
      default:
        if (value.entries.empty()) {
          out += value.kind == yaml::Kind::map ? " {}\n" : " []\n";
        } else {
          out += "\n";
          write(value, step, indent + step, out);
        }
    }
  }
}

inline std::string written(const Yaml& root, size_t step = 2) {
  std::string out;
  write(root, step, 0, out);
  return out;
}

}  // namespace loomproof::testing
