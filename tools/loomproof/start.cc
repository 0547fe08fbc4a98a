// loomproof start: a small family that passes `check`, to be replaced bit by bit; in a folder without a corpus, a
// corpus around it.
#include <fmt/format.h>

#include <filesystem>

#include "command.h"
#include "diag/render.h"
#include "emit/folder.h"
#include "schema/embedded.h"
#include "upkeep/start.h"

namespace loomproof::tool {

namespace {

namespace fs = std::filesystem;

struct StartArguments {
  std::string family, corpus = "reference";
};

constexpr std::chrono::seconds patience{30};

// All of them, or none: everything is first written aside.
void write_all(emit::Folder& folder, const upkeep::FileTexts& files) {
  size_t number = 0;
  for (const auto& [path, text] : files) {
    folder.make_folders_for(path);
    folder.stage(number++, text);
  }
  number = 0;
  for (const auto& [path, text] : files) folder.rename_staged(number++, path);
  folder.clear_staged();
}

// Editors find the schemas beside the corpus; a folder that is already there is somebody's own.
bool write_schemas(const fs::path& corpus) {
  const fs::path beside = fs::absolute(corpus / "").parent_path().parent_path() / "schema";
  if (fs::exists(beside)) return false;
  upkeep::FileTexts files;
  for (const auto& [name, text] : schema::embedded_schemas()) files[name + ".schema.json"] = text;
  emit::Folder folder = emit::Folder::open_or_make(beside.string());
  write_all(folder, files);
  return true;
}

// Adds what a family needs beside its own files. Returns whether the corpus is begun with it.
bool add_shared(upkeep::FileTexts& files, const emit::Folder& folder, const StartArguments& arguments) {
  if (!folder.read("corpus.yaml")) {
    if (!fs::is_empty(arguments.corpus))
      throw EnvironmentError(
          fmt::format("`{}` holds files, and no corpus.yaml; name a corpus, or an empty folder", arguments.corpus));
    files.merge(upkeep::corpus_files(arguments.family));
    return true;
  }
  const std::optional<std::string> sources = folder.read("sources.yaml");
  const std::string more = sources ? upkeep::with_source(*sources, arguments.family) : "";
  if (more.empty())
    throw EnvironmentError(
        fmt::format("cannot add a source to `{}/sources.yaml`: its list of sources has to be the "
                    "last thing in it, a source a line",
                    arguments.corpus));
  files["sources.yaml"] = more;
  return false;
}

int run(const StartArguments& arguments) {
  if (!upkeep::is_family_name(arguments.family))
    throw EnvironmentError(fmt::format("`{}` cannot name a family: up to 24 lower-case letters, digits and hyphens",
                                       printable(arguments.family)));
  const fs::path corpus = arguments.corpus;
  if (fs::exists(corpus / "families" / arguments.family))
    throw EnvironmentError(fmt::format("family `{}` is already in `{}`; nothing is written", arguments.family,
                                       printable(arguments.corpus)));
  upkeep::FileTexts files = upkeep::family_files(arguments.family);
  const bool was_there = fs::exists(corpus);
  emit::Folder folder = emit::Folder::open_or_make(arguments.corpus);
  folder.lock(true, patience);
  bool begun = false;
  try {
    for (const auto& [path, text] : files)
      if (folder.read(path))
        throw EnvironmentError(fmt::format("`{}/{}` is already there; nothing is written", arguments.corpus, path));
    begun = add_shared(files, folder, arguments);
    write_all(folder, files);
  } catch (...) {
    folder.clear_staged(true);
    std::error_code ignored;
    if (!was_there) fs::remove(corpus, ignored);
    throw;
  }
  const bool schemas = begun && write_schemas(corpus);
  for (const auto& [path, text] : files)
    fmt::print("{} {}/{}\n", path == "sources.yaml" && !begun ? "one source more in" : "written", arguments.corpus,
               path);
  if (schemas) fmt::print("written schema/, for editors, beside it\n");
  fmt::print("next: loomproof check {} --family {}\n", arguments.corpus, arguments.family);
  return clean;
}

}  // namespace

void add_start(CLI::App& app, Run& chosen) {
  auto arguments = std::make_shared<StartArguments>();
  CLI::App* command =
      app.add_subcommand("start", "Write a small family that passes `check`, to be replaced bit by bit");
  command->add_option("FAMILY", arguments->family, "What the family is called: its folder and its id")->required();
  command->add_option("CORPUS", arguments->corpus, "The corpus folder; an empty or missing one becomes a corpus")
      ->capture_default_str();
  command->footer(
      "Examples:\n  loomproof start heron\n  loomproof start heron my-corpus\n\n"
      "Nothing that is there is overwritten; one entry is added to sources.yaml.");
  command->callback([arguments, &chosen] { chosen = [arguments] { return run(*arguments); }; });
}

}  // namespace loomproof::tool
