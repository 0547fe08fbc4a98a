#include "compile/read.h"

#include <algorithm>
#include <optional>

#include "compile/parallel.h"
#include "diag/suggest.h"

namespace loomproof {

namespace {

bool is_wanted(const FilePlace& place, const CompileOptions& options) {
  return options.family.empty() || is_shared(place.kind) || place.family == options.family;
}

// Whose files are missing where a folder of a corpus cannot be read: one family's, or those that all share.
std::optional<FilePlace> place_of_folder(std::string_view path) {
  const size_t stroke = std::min(path.find('/'), path.size());
  const std::string_view top = path.substr(0, stroke);
  if (top != "families" && top != "housings" && top != "vocabulary" && top != "rules") return std::nullopt;
  if (top != "families" || stroke == path.size()) return FilePlace{FileKind::housings, {}};
  path.remove_prefix(stroke + 1);
  return FilePlace{FileKind::loom, std::string(path.substr(0, path.find('/')))};
}

std::string_view why_no_file(const FileEntry& entry) {
  const std::string_view path = entry.path;
  switch (entry.kind) {
    case FileEntry::Kind::broken:
      return "it is a link that leads nowhere";
    case FileEntry::Kind::locked:
      return "no permission to list this folder";
    case FileEntry::Kind::directory:
      return path.size() > 5 && path.substr(path.size() - 5) == ".yaml"
                 ? "it is a folder"
                 : "it is a link to a folder, and these are not followed";
    default:
      return "it is no regular file";
  }
}

}  // namespace

// Pass 1. Every file has a place and its bytes are at hand, or the finding that says why not.
std::vector<Pending> read_files(const Files& files, std::string folder, const CompileOptions& options, Compiled& out) {
  while (folder.size() > 1 && folder.back() == '/') folder.pop_back();
  out.shown_folder = folder == "." ? "" : folder + "/";  // as a reader at this folder would open it
  const std::string& shown = out.shown_folder;
  std::vector<Pending> pending;
  std::vector<std::string> families;
  for (const FileEntry& entry : files.list(folder)) {
    std::optional<FilePlace> place = place_of(entry.path);
    const bool is_file = entry.kind == FileEntry::Kind::regular;
    if (!place && !is_file) place = place_of_folder(entry.path);
    if (place && !place->family.empty() && (families.empty() || families.back() != place->family))
      families.push_back(place->family);
    if (place && !is_wanted(*place, options)) continue;
    if (place && !is_file) {
      FileId id = out.sources.add(shown + entry.path, {});
      out.report.add<Rule::unreadable_file>(Span{id, 0, 0}, why_no_file(entry));
      pending.push_back({id, no_file, *place, 0});
      continue;
    }
    out.report.judged(Rule::stray_file);
    if (!place) {
      if (!options.family.empty()) continue;
      FileId id = out.sources.add(shown + entry.path, {});
      out.report.add<Rule::stray_file>(Span{id, 0, 0}, entry.path)
          .help("see `loomproof explain stray-file` for the folders of a corpus");
      continue;
    }
    out.report.judged(Rule::unreadable_file);
    out.report.judged(Rule::too_large);
    if (entry.size > options.limits.file_bytes) {
      FileId id = out.sources.add(shown + entry.path, {});
      out.report.add<Rule::too_large>(Span{id, 0, 0}, fmt::format("this file of {} bytes", entry.size),
                                      fmt::format("{} bytes", options.limits.file_bytes));
      pending.push_back({id, no_file, *place, 0});
      continue;
    }
    std::string problem;
    std::string bytes = files.read(folder + "/" + entry.path, problem);
    out.bytes += bytes.size();
    FileId id = out.sources.add(shown + entry.path, std::move(bytes));
    if (!problem.empty()) out.report.add<Rule::unreadable_file>(Span{id, 0, 0}, problem);
    pending.push_back({id, problem.empty() ? id : no_file, *place, entry.size});
  }
  if (std::none_of(pending.begin(), pending.end(),
                   [](const Pending& file) { return file.place.kind == FileKind::corpus; }))
    throw EnvironmentError("`" + folder + "` is no corpus: there is no corpus.yaml in it");
  if (!options.family.empty() && std::find(families.begin(), families.end(), options.family) == families.end()) {
    std::vector<std::string_view> known(families.begin(), families.end());
    std::string_view near = nearest(options.family, known);
    throw EnvironmentError("no family `" + options.family + "` in " + folder +
                           (near.empty() ? "" : "; did you mean `" + std::string(near) + "`?"));
  }
  return pending;
}

// Pass 2. Every file is a tree of the shape that its kind asks for, or unusable and reported.
std::vector<Report> read_trees(const std::vector<Pending>& pending, const CompileOptions& options, Compiled& out) {
  const schema::SchemaSet& schemas = schema::SchemaSet::built_in();
  std::vector<Report> reports(pending.size());
  out.corpus.documents.resize(pending.size());
  std::vector<size_t> sizes;
  for (const Pending& file : pending) sizes.push_back(file.size);
  in_parallel(sizes, options, "reading", [&](size_t i) {
    Document& document = out.corpus.documents[i];
    document.kind = pending[i].place.kind;
    document.family = pending[i].place.family;
    if (pending[i].file == no_file) return;
    document = read_document(out.sources.file(pending[i].file), pending[i].file, pending[i].place, schemas,
                             options.limits, reports[i]);
  });
  return reports;
}

}  // namespace loomproof
