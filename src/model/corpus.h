// What the files of a corpus are: each file's kind from where it stands, its tree, and the families they belong to.
// After this pass every document has the shape its schema asks for, or is marked unusable and already reported.
#pragma once
#include <array>
#include <map>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "schema/validator.h"
#include "source/files.h"
#include "yaml/tree.h"

namespace loomproof {

enum class FileKind : uint8_t {
  corpus,
  sources,
  cautions,
  colours,
  terminals,
  functions,
  conductors,
  fuses,
  joins,
  housings,  // shared by all families
  family,
  circuits,
  loom,
  component,
  changes,
  combinations  // of one family
};
inline constexpr size_t file_kinds = 16;
std::string_view word(FileKind kind);  // the name of its schema
bool is_shared(FileKind kind);

struct FilePlace {
  FileKind kind{};
  std::string family;  // the folder's name; empty for shared files
};
// What belongs at a path relative to the corpus ("families/croft/looms/chassis.yaml"); nothing if no kind does.
std::optional<FilePlace> place_of(std::string_view path);

struct Document {
  FileId file = no_file;
  FileKind kind{};
  std::string family;
  yaml::Tree tree;
  bool usable = false;  // read, and of its schema's shape
  yaml::Node root() const { return tree.root(); }
};

// The documents of one family, by the id inside them, so that splitting or renaming files changes nothing.
struct FamilyFiles {
  std::string folder;
  const Document* family = nullptr;
  const Document* circuits = nullptr;
  const Document* combinations = nullptr;  // none: no combination is known
  std::vector<const Document*> looms, components, changes;
  bool usable = true;  // every file of it is
};

struct Corpus {
  std::vector<Document> documents;  // in the order of their paths
  std::array<std::vector<const Document*>, file_kinds> of_kind;
  std::vector<FamilyFiles> families;  // by folder
  bool shared_usable = true;          // every shared file is
  bool has_others = false;            // families beside those of `documents`: what is to be said of them is known
  bool is_usable(const FamilyFiles& family) const { return shared_usable && family.usable; }
};

// Reads and shape-checks one file. Independent of all others: may run on any thread, with a report of its own.
Document read_document(const SourceFile& file, FileId id, const FilePlace& place, const schema::SchemaSet& schemas,
                       const yaml::Limits& limits, Report& report);

// Sorts the documents into families. Reports what is missing (no family file) or there twice: to the report of the
// family, by its folder, or to that of "" where all share it.
void arrange(Corpus& corpus, std::map<std::string, Report>& reports);

}  // namespace loomproof
