# cmake -D OUT=embedded.cc -D ROOT=reference -D "FILES=a.yaml;b.yaml" -P embed_files.cmake
# Writes files of the reference corpus into a C++ file as raw strings: what a new corpus begins with.
set(text "// Written by the build from reference/.\n#include \"upkeep/start.h\"\n\n")
string(APPEND text "namespace loomproof::upkeep {\n\nstd::map<std::string, std::string> shared_files() {\n  return {\n")
foreach(path IN LISTS FILES)
  file(RELATIVE_PATH name ${ROOT} ${path})
  file(READ ${path} bytes)
  string(APPEND text "      {\"${name}\", R\"yaml_text(${bytes})yaml_text\"},\n")
endforeach()
string(APPEND text "  };\n}\n\n}  // namespace loomproof::upkeep\n")
file(WRITE ${OUT} "${text}")
