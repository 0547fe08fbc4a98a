// A text read twice, rows by us and all by yaml-cpp, and the two results held against each other.
#pragma once
#include <memory>
#include <string>
#include <utility>

#include "diag/render.h"
#include "yaml/build.h"

namespace loomproof::testing {

struct WayRead {
  Report report;
  std::unique_ptr<yaml::Storage> tree;
};

inline WayRead read_way(const Sources& sources, yaml::RowsBy rows, const yaml::Limits& limits) {
  WayRead way;
  way.tree = yaml::build(sources.file(0), 0, way.report, limits, rows);
  return way;
}

// Empty when both ways give the same cells, texts, findings in the same order, and counts of what was judged; otherwise
// what differs.
inline std::string difference_of_ways(const std::string& text, const yaml::Limits& limits = {}) {
  Sources sources;
  sources.add("t.yaml", text);
  const WayRead ours = read_way(sources, yaml::RowsBy::us, limits);
  const WayRead theirs = read_way(sources, yaml::RowsBy::yaml_cpp, limits);
  if ((ours.tree == nullptr) != (theirs.tree == nullptr)) return "one way refuses the text";
  if (ours.tree && ours.tree->cells != theirs.tree->cells) return "cells";
  if (ours.tree && ours.tree->texts != theirs.tree->texts) return "texts";
  if (ours.tree && ours.tree->key_texts != theirs.tree->key_texts) return "texts of keys";
  if (render_text(ours.report.findings(), sources, {}) != render_text(theirs.report.findings(), sources, {})) {
    return "findings";
  }
  for (const RuleInfo& rule : all_rules()) {
    const Rule id = *find_rule(rule.id);
    if (ours.report.judged_count(id) != theirs.report.judged_count(id)) return "count of " + std::string(rule.id);
  }
  return "";
}

// Whether rows of the text were read by us to the end.
inline bool rows_are_ours(const std::string& text, const yaml::Limits& limits = {}) {
  Sources sources;
  sources.add("t.yaml", text);
  Report report;
  return yaml::check_bytes(sources.file(0), 0, report, limits) &&
         yaml::build_with_rows(sources.file(0), 0, report, limits) != nullptr;
}

}  // namespace loomproof::testing
