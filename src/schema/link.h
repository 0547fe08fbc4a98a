// What has to hold before a schema is given to valijson, which passes silently over what it does not know: every
// keyword is one that is honoured, and every reference leads somewhere. Private to src/schema.
#pragma once
#include <map>
#include <nlohmann/json.hpp>
#include <string>

namespace loomproof::schema {

// name -> text, parsed and checked. Throws SchemaError.
std::map<std::string, nlohmann::json> parse_schemas(const std::map<std::string, std::string>& texts);

// The schema with all that it refers to in one document, in the form that valijson reads correctly.
nlohmann::json linked(const std::string& name, const std::map<std::string, nlohmann::json>& schemas);

}  // namespace loomproof::schema
