// What one schema asks of a value, as plain tables: made once from valijson's compiled schema, then only read.
// Private to src/schema.
#pragma once
#include <re2/re2.h>

#include <cstdint>
#include <limits>
#include <memory>
#include <string>
#include <utility>
#include <vector>

namespace loomproof::schema {

using ShapeId = uint32_t;
inline constexpr ShapeId no_shape = ~0u;

// JSON types as bits of a mask.
enum Type : uint8_t {
  type_map = 1,
  type_list = 2,
  type_text = 4,
  type_number = 8,
  type_integer = 16,
  type_boolean = 32,
  type_null = 64,
};
using Types = uint8_t;
inline constexpr Types any_type = 127;
inline constexpr Types scalar_types = type_text | type_number | type_integer | type_boolean;

// One value of an enum, as it is written in YAML.
struct Word {
  std::string text;
  Type type = type_text;
};

struct Property {
  std::string name;
  ShapeId shape = no_shape;
  bool required = false;
};

struct Shape {
  std::string title;         // what it is, in the corpus's words: "a wire"; may be empty
  std::string description;   // may be empty
  Types types = any_type;    // what `type` says
  Types accepts = any_type;  // worked out from `types`, words and alternatives: what can fit at all
  bool never = false;        // `false` as a schema

  bool has_properties = false;
  std::vector<Property> properties;  // by name
  std::vector<std::pair<std::unique_ptr<re2::RE2>, ShapeId>> pattern_properties;
  ShapeId additional = no_shape;  // no_shape: every further key may hold anything
  bool closed = false;            // no further keys
  ShapeId property_names = no_shape;
  std::vector<std::string> required;  // those that are no named property
  uint64_t min_properties = 0, max_properties = std::numeric_limits<uint64_t>::max();

  ShapeId items = no_shape;
  uint64_t min_items = 0, max_items = std::numeric_limits<uint64_t>::max();
  bool unique_items = false;

  std::vector<Word> words;  // empty: any
  std::unique_ptr<re2::RE2> pattern;
  uint64_t min_length = 0, max_length = std::numeric_limits<uint64_t>::max();  // characters
  double minimum = -std::numeric_limits<double>::infinity();
  double maximum = std::numeric_limits<double>::infinity();
  bool exclusive_minimum = false, exclusive_maximum = false;

  std::vector<ShapeId> all_of;
  std::vector<std::vector<ShapeId>> any_of;  // each of these lists has to have one that fits (oneOf and anyOf alike)
};

struct Shapes {
  std::vector<Shape> shapes;
  ShapeId root = 0;
  const Shape& operator[](ShapeId id) const { return shapes[id]; }
};

}  // namespace loomproof::schema
