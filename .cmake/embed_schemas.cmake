# cmake -D OUT=embedded.cc -D SCHEMAS="a.schema.json;b.schema.json" -P embed_schemas.cmake
# Writes the schemas into a C++ file as raw strings, so that the program needs no file beside it.
set(text "// Written by the build from schema/*.schema.json.\n#include \"schema/embedded.h\"\n\n")
string(APPEND text "namespace loomproof::schema {\n\nstd::map<std::string, std::string> embedded_schemas() {\n  return {\n")
foreach(path IN LISTS SCHEMAS)
  get_filename_component(file ${path} NAME)
  string(REGEX REPLACE "\\.schema\\.json$" "" name ${file})
  file(READ ${path} json)
  string(APPEND text "      {\"${name}\", R\"json_text(${json})json_text\"},\n")
endforeach()
string(APPEND text "  };\n}\n\n}  // namespace loomproof::schema\n")
file(WRITE ${OUT} "${text}")
