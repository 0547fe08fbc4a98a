// A text read as a located tree, with what was found in it.
#pragma once
#include <catch2/catch.hpp>
#include <string>
#include <vector>

#include "diag/render.h"
#include "yaml/tree.h"

namespace loomproof::testing {

// A text with its tree and what was found in it.
struct Reading {
  explicit Reading(std::string text, const yaml::Limits& limits = {}) {
    sources.add("t.yaml", std::move(text));
    tree = yaml::Tree::read(sources.file(0), 0, report, limits);
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
  yaml::Tree tree;
};

inline std::string repeated(const std::string& text, int times) {
  std::string out;
  for (int i = 0; i < times; ++i) out += text;
  return out;
}

}  // namespace loomproof::testing
