// JSON Schema (draft 7, a checked subset) over located trees. Schemas are compiled by valijson and then turned into
// Shapes: plain tables that our own walk reads, so that a violation knows the node, speaks the corpus's words, and only
// the closest alternative of a oneOf/anyOf is reported.
#pragma once
#include <map>
#include <memory>
#include <string>
#include <string_view>
#include <vector>

#include "diag/report.h"
#include "yaml/tree.h"

namespace loomproof::schema {

// A schema that cannot be used: an unsupported keyword, a missing $ref, not JSON. Names the schema and the place in it.
struct SchemaError : std::runtime_error {
  using std::runtime_error::runtime_error;
};

class Schema;  // compiled; immutable; shared between threads

class SchemaSet {
 public:
  // The schemas built into the program (schema/*.schema.json at build time).
  static const SchemaSet& built_in();
  // name ("loom") -> JSON text. Throws SchemaError.
  static SchemaSet compile(const std::map<std::string, std::string>& texts);
  const Schema* find(std::string_view name) const;  // null when there is none
  std::vector<std::string> names() const;

 private:
  std::map<std::string, std::shared_ptr<const Schema>, std::less<>> schemas_;
};

// Reports every violation once; true when there was none. Scalars are typed by what the schema wants: `1.10` is text
// where a string is wanted, and a quoted scalar is never a number or a boolean.
bool validate(const Schema& schema, yaml::Node root, Report& report);

}  // namespace loomproof::schema
