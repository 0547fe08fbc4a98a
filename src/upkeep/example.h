// The texts that a new family begins with; FAMILY stands for its name. Private to src/upkeep.
#pragma once
#include <span>
#include <string_view>

namespace loomproof::upkeep {

struct ExampleFile {
  const char* path;  // below the family's folder
  const char* text;
};

extern const std::span<const ExampleFile> example_files;
extern const char* const example_housings;
extern const char* const example_source;
extern const char* const example_sources_head;
extern const char* const example_corpus;

}  // namespace loomproof::upkeep
