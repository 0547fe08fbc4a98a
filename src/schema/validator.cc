#include "schema/validator.h"

#include <fmt/format.h>

#include "schema/embedded.h"
#include "schema/link.h"
#include "schema/lower.h"
#include "schema/walk.h"

namespace loomproof::schema {

class Schema {
 public:
  explicit Schema(Shapes made) : shapes(std::move(made)) {}
  Shapes shapes;
};

SchemaSet SchemaSet::compile(const std::map<std::string, std::string>& texts) {
  const auto parsed = parse_schemas(texts);
  SchemaSet set;
  for (const auto& [name, json] : parsed) {
    set.schemas_[name] = std::make_shared<const Schema>(lower(name, linked(name, parsed)));
  }
  return set;
}

const SchemaSet& SchemaSet::built_in() {
  static const SchemaSet set = compile(embedded_schemas());
  return set;
}

const Schema* SchemaSet::find(std::string_view name) const {
  const auto found = schemas_.find(name);
  return found == schemas_.end() ? nullptr : found->second.get();
}

std::vector<std::string> SchemaSet::names() const {
  std::vector<std::string> names;
  for (const auto& [name, schema] : schemas_) names.push_back(name);
  return names;
}

bool validate(const Schema& schema, yaml::Node root, Report& report) {
  const size_t before = report.findings().size();
  Walk(schema.shapes, report).check(schema.shapes.root, root);
  return report.findings().size() == before;
}

}  // namespace loomproof::schema
