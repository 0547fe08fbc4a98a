// libFuzzer: any bytes as a corpus file of some kind, and its findings in every form. Built by the preset "fuzz".
//   .build/fuzz/read_fuzz -max_len=4096 -max_total_time=60 FOLDER_OF_EXAMPLES
#include <cstdlib>
#include <nlohmann/json.hpp>

#include "both_ways.h"
#include "diag/render.h"
#include "schema/validator.h"

using namespace loomproof;

namespace {

void require(bool holds) {
  if (!holds) std::abort();
}

void check_spans(yaml::Node node, size_t size) {
  require(node.span().begin <= node.span().end && node.span().end <= size);
  for (const yaml::Node child : node) {
    require(!child.has_key() || child.key_span().end <= child.span().begin);
    check_spans(child, size);
  }
}

}  // namespace

extern "C" int LLVMFuzzerTestOneInput(const uint8_t* data, size_t size) {
  const std::string text(reinterpret_cast<const char*>(data), size);
  require(testing::difference_of_ways(text).empty());
  Sources sources;
  sources.add("input.yaml", text);
  Report report;
  const yaml::Tree tree = yaml::Tree::read(sources.file(0), 0, report);
  require(tree.root() || !report.empty());  // what is refused says why
  if (tree.root()) {
    check_spans(tree.root(), size);
    static const auto& schemas = schema::SchemaSet::built_in();
    static const std::vector<std::string> kinds = schemas.names();
    schema::validate(*schemas.find(kinds[size % kinds.size()]), tree.root(), report);
  }
  report.sort();
  for (const Finding& finding : report.findings()) require(finding.span.end <= size);
  require(render_text(report.findings(), sources, {}).empty() == report.empty());
  if (size % 16 != 0) return 0;  // these take longer than all the rest
  require(nlohmann::json::accept(render_json(report.findings(), sources)));
  require(nlohmann::json::accept(render_sarif(report.findings(), sources, "0")));
  return 0;
}
