// From a linked JSON Schema to Shapes, by way of valijson. Private to src/schema.
#pragma once
#include <nlohmann/json.hpp>
#include <string>

#include "schema/shape.h"

namespace loomproof::schema {

// Throws SchemaError, naming the schema.
Shapes lower(const std::string& name, const nlohmann::json& linked);

}  // namespace loomproof::schema
