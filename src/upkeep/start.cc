#include "upkeep/start.h"

#include <algorithm>
#include <cctype>

#include "upkeep/example.h"

namespace loomproof::upkeep {

namespace {

std::string filled_in(std::string_view text, std::string_view family) {
  constexpr std::string_view mark = "FAMILY";
  std::string out;
  while (true) {
    const size_t at = text.find(mark);
    out += text.substr(0, at);
    if (at == text.npos) return out;
    out += family;
    text.remove_prefix(at + mark.size());
  }
}

// The lines of a sources file that belong to one id: from `  id:` to the next line that is no deeper.
std::string entry_of(std::string_view sources, std::string_view id) {
  const std::string head = "\n  " + std::string(id) + ":";
  size_t at = sources.find(head);
  if (at == sources.npos) return {};
  ++at;
  size_t end = sources.find('\n', at) + 1;
  while (end < sources.size() && sources.substr(end, 4) == "    ") end = sources.find('\n', end) + 1;
  return std::string(sources.substr(at, end - at));
}

bool is_id_character(char c) {
  return std::isalnum(static_cast<unsigned char>(c)) || c == '-' || c == '_' || c == '+';
}

bool stands_in(std::string_view text, std::string_view id) {
  for (size_t at = text.find(id); at != text.npos; at = text.find(id, at + 1)) {
    const size_t end = at + id.size();
    if ((at == 0 || !is_id_character(text[at - 1])) && (end == text.size() || !is_id_character(text[end]))) return true;
  }
  return false;
}

}  // namespace

bool is_family_name(std::string_view name) {
  // Half of what an id may have: ids of sources and housings begin with it.
  return !name.empty() && name.size() <= 24 && name.front() != '-' && std::all_of(name.begin(), name.end(), [](char c) {
    return (c >= 'a' && c <= 'z') || (c >= '0' && c <= '9') || c == '-';
  });
}

FileTexts family_files(std::string_view family) {
  FileTexts files;
  const std::string folder = "families/" + std::string(family) + "/";
  for (const ExampleFile& each : example_files) files[folder + each.path] = filled_in(each.text, family);
  files["housings/" + std::string(family) + ".yaml"] = filled_in(example_housings, family);
  return files;
}

std::string source_entry(std::string_view family) {
  return filled_in(example_source, family);
}

std::string with_source(std::string_view sources_yaml, std::string_view family) {
  const size_t last_key = sources_yaml.rfind("\nsources:");
  if (last_key == sources_yaml.npos) return {};
  // Another key behind the list, or a list in brackets, is for a hand to edit.
  const std::string_view list = sources_yaml.substr(last_key + 9);
  if (!list.starts_with("\n")) return {};
  for (size_t at = 0; at + 1 < list.size(); ++at)
    if (list[at] == '\n' && list[at + 1] != ' ' && list[at + 1] != '\n' && list[at + 1] != '#') return {};
  std::string out(sources_yaml);
  if (!out.ends_with('\n')) out += '\n';
  return out + "\n" + source_entry(family);
}

FileTexts corpus_files(std::string_view family) {
  FileTexts files = shared_files();
  const std::string sources = files["sources.yaml"];
  files.erase("sources.yaml");
  std::string cited;
  // In the order of the reference corpus.
  for (size_t at = sources.find("\n  "); at != sources.npos; at = sources.find("\n  ", at + 1)) {
    const size_t begin = at + 3, end = sources.find(':', begin);
    if (sources[begin] == ' ' || sources[begin] == '#' || end == sources.npos) continue;
    const std::string_view id = std::string_view(sources).substr(begin, end - begin);
    if (std::any_of(files.begin(), files.end(), [&](const auto& file) { return stands_in(file.second, id); }))
      cited += entry_of(sources, id);
  }
  files["sources.yaml"] = std::string(example_sources_head) + cited + "\n" + source_entry(family);
  files["corpus.yaml"] = filled_in(example_corpus, family);
  return files;
}

}  // namespace loomproof::upkeep
