// One value held against one shape. Private to src/schema.
#pragma once
#include <string>
#include <string_view>
#include <vector>

#include "diag/report.h"
#include "schema/scalar.h"
#include "schema/shape.h"
#include "yaml/tree.h"

namespace loomproof::schema {

// What a value is called and what is known of it: a shape's own words, or those of the shape around it.
struct About {
  std::string_view title;
  std::string_view description;
};

// The JSON types that the node can be taken for.
Types types_of(yaml::Node node);

// Reports what is wrong with a value. The recursion is as deep as the tree (Limits::depth), times the few steps of
// allOf and alternatives on each level.
class Walk {
 public:
  Walk(const Shapes& shapes, Report& report) : shapes_(shapes), report_(report) {}
  void check(ShapeId id, yaml::Node node, const About& around = {});

 private:
  About about(const Shape& shape, const About& around) const;

  void check_map(const Shape& shape, const About& about, yaml::Node node);
  bool check_patterns(const Shape& shape, yaml::Node entry);
  const Property* check_entry(const Shape& shape, const About& about, yaml::Node node, yaml::Node entry);
  const Property* report_unknown_key(const Shape& shape, const About& about, yaml::Node map, yaml::Node entry);
  void report_missing_key(const About& about, yaml::Node map, const std::string& name, ShapeId wanted);
  void check_list(const Shape& shape, const About& about, yaml::Node node);
  void check_unique(yaml::Node node);
  void check_count(yaml::Node node, const About& about, uint64_t least, uint64_t most);

  void check_scalar(const Shape& shape, const About& about, const Scalar& scalar, Span span);
  void check_key(ShapeId id, yaml::Node entry);
  void report_not_in_list(const Shape& shape, const About& about, const Scalar& scalar, Span span);

  void check_alternatives(const Shape& shape, const About& about, const std::vector<ShapeId>& alternatives,
                          yaml::Node node);
  void report_wrong_type(const Shape& shape, const About& about, yaml::Node node);

  const Shapes& shapes_;
  Report& report_;
};

}  // namespace loomproof::schema
