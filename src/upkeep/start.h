// What a new family begins as: a few small files that are clean, with comments that teach. Text only; nothing is
// written here.
#pragma once
#include <map>
#include <string>
#include <string_view>

namespace loomproof::upkeep {

using FileTexts = std::map<std::string, std::string>;  // path below the corpus -> bytes

// Whether families, and with them folders, may be called so.
bool is_family_name(std::string_view name);

// The files of the family alone: its folder and its housings. They cite `FAMILY-notes`.
FileTexts family_files(std::string_view family);

// The source that these files cite, as it is to stand in sources.yaml.
std::string source_entry(std::string_view family);

// sources.yaml with one more entry at its end. Empty where the text does not end in its list of sources.
std::string with_source(std::string_view sources_yaml, std::string_view family);

// What all families share, for a corpus that has nothing yet: vocabulary, cautions, rules, and the sources that these
// cite, all as in the reference corpus; with a title of its own.
FileTexts corpus_files(std::string_view family);

// The reference corpus's own, as built in.
std::map<std::string, std::string> shared_files();

}  // namespace loomproof::upkeep
