#include "model/corpus.h"

#include <algorithm>
#include <map>

namespace loomproof {

namespace {

constexpr std::array<std::string_view, file_kinds> kind_words = {
    "corpus", "sources",  "cautions", "colours",  "terminals", "functions", "conductors", "fuses",
    "joins",  "housings", "family",   "circuits", "loom",      "component", "changes",    "combinations"};

struct FixedPlace {
  std::string_view path;
  FileKind kind;
};
constexpr FixedPlace shared_files[] = {{"corpus.yaml", FileKind::corpus},
                                       {"sources.yaml", FileKind::sources},
                                       {"cautions.yaml", FileKind::cautions},
                                       {"vocabulary/colours.yaml", FileKind::colours},
                                       {"vocabulary/terminals.yaml", FileKind::terminals},
                                       {"vocabulary/functions.yaml", FileKind::functions},
                                       {"vocabulary/conductors.yaml", FileKind::conductors},
                                       {"vocabulary/fuses.yaml", FileKind::fuses},
                                       {"rules/joins.yaml", FileKind::joins}};
constexpr FixedPlace family_files[] = {{"family.yaml", FileKind::family}, {"circuits.yaml", FileKind::circuits}};
constexpr FixedPlace optional_files[] = {{"combinations.yaml", FileKind::combinations}};
constexpr FixedPlace family_folders[] = {
    {"looms", FileKind::loom}, {"components", FileKind::component}, {"changes", FileKind::changes}};

std::vector<std::string_view> split(std::string_view path) {
  std::vector<std::string_view> parts;
  while (true) {
    size_t slash = path.find('/');
    parts.push_back(path.substr(0, slash));
    if (slash == path.npos) return parts;
    path.remove_prefix(slash + 1);
  }
}

bool is_yaml(std::string_view name) {
  return name.size() > 5 && name.substr(name.size() - 5) == ".yaml";
}

// The value of the key that names a document ("loom: chassis"), for the order in which families hold theirs.
std::string_view id_of(const Document& document) {
  return document.root()[word(document.kind)].text();
}

void sort_by_id(std::vector<const Document*>& documents) {
  std::stable_sort(documents.begin(), documents.end(),
                   [](const Document* a, const Document* b) { return id_of(*a) < id_of(*b); });
}

}  // namespace

std::string_view word(FileKind kind) {
  return kind_words[static_cast<size_t>(kind)];
}

bool is_shared(FileKind kind) {
  return kind < FileKind::family;
}

std::optional<FilePlace> place_of(std::string_view path) {
  for (const FixedPlace& shared : shared_files)
    if (path == shared.path) return FilePlace{shared.kind, {}};
  std::vector<std::string_view> parts = split(path);
  if (parts.size() == 2 && parts[0] == "housings" && is_yaml(parts[1])) return FilePlace{FileKind::housings, {}};
  if (parts.size() < 3 || parts[0] != "families") return std::nullopt;
  if (parts.size() == 3) {
    for (const FixedPlace& file : family_files)
      if (parts[2] == file.path) return FilePlace{file.kind, std::string(parts[1])};
    for (const FixedPlace& file : optional_files)
      if (parts[2] == file.path) return FilePlace{file.kind, std::string(parts[1])};
  }
  if (parts.size() == 4 && is_yaml(parts[3]))
    for (const FixedPlace& folder : family_folders)
      if (parts[2] == folder.path) return FilePlace{folder.kind, std::string(parts[1])};
  return std::nullopt;
}

Document read_document(const SourceFile& file, FileId id, const FilePlace& place, const schema::SchemaSet& schemas,
                       const yaml::Limits& limits, Report& report) {
  Document document;
  document.file = id;
  document.kind = place.kind;
  document.family = place.family;
  Report own;  // of this file alone: whether it is usable is what this file's findings say
  document.tree = yaml::Tree::read(file, id, own, limits);
  const schema::Schema* schema = schemas.find(word(place.kind));
  if (document.root() && schema) schema::validate(*schema, document.root(), own);
  document.usable = document.root() && !own.has_errors();
  report.merge(std::move(own));
  return document;
}

void arrange(Corpus& corpus, std::map<std::string, Report>& reports) {
  std::map<std::string, FamilyFiles> families;
  for (const Document& document : corpus.documents) {
    corpus.of_kind[static_cast<size_t>(document.kind)].push_back(&document);
    if (is_shared(document.kind)) {
      corpus.shared_usable &= document.usable;
      continue;
    }
    FamilyFiles& family = families[document.family];
    family.folder = document.family;
    family.usable &= document.usable;
    switch (document.kind) {
      case FileKind::family:
        family.family = &document;
        break;
      case FileKind::circuits:
        family.circuits = &document;
        break;
      case FileKind::loom:
        family.looms.push_back(&document);
        break;
      case FileKind::component:
        family.components.push_back(&document);
        break;
      case FileKind::changes:
        family.changes.push_back(&document);
        break;
      case FileKind::combinations:
        family.combinations = &document;
        break;
      default:
        break;
    }
  }
  const auto files_of = [&](FileKind kind) -> const auto& {
    return corpus.of_kind[static_cast<size_t>(kind)];
  };
  if ((!families.empty() || corpus.has_others) && files_of(FileKind::joins).empty())
    for (const Document* document : files_of(FileKind::corpus))
      reports[""]
          .add<Rule::missing_key>(Span{document->file, 0, 0}, "the corpus", "rules/joins.yaml")
          .help("it says what happens when pins share a wire: without it no combination of parts can be judged");
  for (auto& [folder, family] : families) {
    Report& report = reports[folder];
    for (const FixedPlace& file : family_files) {
      if (file.kind == FileKind::family ? family.family : family.circuits) continue;
      const Document* any = family.family ? family.family : family.circuits;
      if (!any && !family.looms.empty()) any = family.looms.front();
      if (!any && !family.components.empty()) any = family.components.front();
      if (!any && !family.changes.empty()) any = family.changes.front();
      if (!any) any = family.combinations;
      report.add<Rule::missing_key>(Span{any->file, 0, 0}, "family folder `" + folder + "`", file.path);
      family.usable = false;
    }
    if (family.family && family.family->usable) {
      yaml::Node id = family.family->root()["family"];
      if (id.text() != folder) {
        report.add<Rule::bad_form>(id.span(), id.text(), "is not the name of its folder, `" + folder + "`")
            .fix(id.span(), folder);
        family.usable = false;
      }
    }
    sort_by_id(family.looms);
    sort_by_id(family.components);
    corpus.families.push_back(std::move(family));
  }
}

}  // namespace loomproof
