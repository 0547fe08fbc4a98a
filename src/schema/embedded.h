// schema/*.schema.json as they were when the program was built; the .cc is written by the build. Private to src/schema.
#pragma once
#include <map>
#include <string>

namespace loomproof::schema {

std::map<std::string, std::string> embedded_schemas();  // name ("loom") -> JSON text

}  // namespace loomproof::schema
