# cmake -D OUT=embedded.cc -D ROOT=reference -D "FILES=a.yaml;b.yaml" -D HEADER=upkeep/start.h -D SCOPE=upkeep
#       -D NAME=shared_files -P embed_files.cmake
# Writes files into a C++ file as raw strings: loomproof::SCOPE::NAME(), which HEADER declares, by their paths below ROOT.
set(text "// Written by the build.\n#include \"${HEADER}\"\n\n")
string(APPEND text "namespace loomproof::${SCOPE} {\n\nstd::map<std::string, std::string> ${NAME}() {\n  return {\n")
foreach(path IN LISTS FILES)
  file(RELATIVE_PATH name ${ROOT} ${path})
  file(READ ${path} bytes)
  string(APPEND text "      {\"${name}\", R\"embedded_text(${bytes})embedded_text\"},\n")
endforeach()
string(APPEND text "  };\n}\n\n}  // namespace loomproof::${SCOPE}\n")
file(WRITE ${OUT} "${text}")
