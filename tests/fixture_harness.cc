#include "fixture_harness.h"

#include <algorithm>
#include <cstdlib>
#include <fstream>
#include <sstream>
#include <stdexcept>

#include "diag/render.h"

namespace loomproof::testing {

namespace {

std::vector<std::string> lines_of(const std::string& text) {
  std::vector<std::string> lines;
  std::istringstream stream(text);
  for (std::string line; std::getline(stream, line);) lines.push_back(line);
  return lines;
}

[[noreturn]] void malformed(const fs::path& file, size_t line, const std::string& what) {
  throw std::runtime_error(file.string() + ":" + std::to_string(line) + ": " + what);
}

// Old and new lines of one hunk, put to work on one file.
struct Hunk {
  std::string before, after;
  bool empty() const { return before.empty() && after.empty(); }
};

void apply(const Hunk& hunk, std::string& text, const fs::path& patch, size_t line) {
  if (hunk.empty()) return;
  const size_t at = text.find(hunk.before);
  if (hunk.before.empty() || at == std::string::npos) malformed(patch, line, "the old lines above stand nowhere");
  if (text.find(hunk.before, at + 1) != std::string::npos)
    malformed(patch, line, "the old lines above stand more than once");
  text.replace(at, hunk.before.size(), hunk.after);
}

void apply_patch(const fs::path& patch, FixtureFiles& files) {
  std::string* text = nullptr;
  Hunk hunk;
  size_t number = 0;
  auto finish = [&] {
    if (text) apply(hunk, *text, patch, number);
    hunk = {};
  };
  for (const std::string& line : lines_of(contents(patch))) {
    ++number;
    if (line.empty()) {
      finish();
    } else if (line.starts_with("@ ")) {
      finish();
      const auto file = files.files.find("./" + line.substr(2));
      if (file == files.files.end()) malformed(patch, number, "no such file in the base");
      text = &file->second;
    } else if (!text) {
      malformed(patch, number, "`@ path` comes first");
    } else if (line[0] == ' ' || line[0] == '-' || line[0] == '+') {
      if (line[0] != '+') hunk.before += line.substr(1) + "\n";
      if (line[0] != '-') hunk.after += line.substr(1) + "\n";
    } else {
      malformed(patch, number, "a line begins with ` `, `-`, `+` or `@`");
    }
  }
  ++number;
  finish();
}

// "key: value" of a control file.
std::pair<std::string, std::string> entry(const fs::path& file, size_t number, const std::string& line,
                                          const std::string& between) {
  const size_t at = line.find(between);
  if (at == std::string::npos || at + between.size() == line.size())
    malformed(file, number, "`KEY" + between + "VALUE` is wanted");
  return {line.substr(0, at), line.substr(at + between.size())};
}

void set_limit(const fs::path& file, size_t number, const std::string& line, yaml::Limits& limits) {
  const auto [name, value] = entry(file, number, line, " ");
  const unsigned long limit = std::stoul(value);
  if (name == "file-bytes")
    limits.file_bytes = limit;
  else if (name == "depth")
    limits.depth = static_cast<uint32_t>(limit);
  else if (name == "nodes")
    limits.nodes = static_cast<uint32_t>(limit);
  else if (name == "scalar-bytes")
    limits.scalar_bytes = static_cast<uint32_t>(limit);
  else
    malformed(file, number, "no such limit");
}

void read_controls(Fixture& fixture) {
  auto each_line = [&](const char* name, auto&& use) {
    const fs::path file = fixture.folder / name;
    if (!fs::exists(file)) return;
    size_t number = 0;
    for (const std::string& line : lines_of(contents(file)))
      if (++number; !line.empty()) use(file, number, line);
  };
  each_line("_remove", [&](const fs::path& file, size_t number, const std::string& line) {
    if (fixture.files.files.erase("./" + line) == 0) malformed(file, number, "no such file in the base");
    fixture.differs = true;
  });
  each_line("_cannot-read", [&](const fs::path& file, size_t number, const std::string& line) {
    const auto [path, problem] = entry(file, number, line, ": ");
    if (fixture.files.files.count("./" + path) == 0) malformed(file, number, "no such file in the base");
    fixture.files.problems["./" + path] = problem;
    fixture.differs = true;
  });
  each_line("_limits", [&](const fs::path& file, size_t number, const std::string& line) {
    set_limit(file, number, line, fixture.limits);
  });
  each_line("_also", [&](const fs::path& file, size_t number, const std::string& line) {
    ++fixture.also[entry(file, number, line, ": ").first];
  });
}

}  // namespace

std::vector<FileEntry> FixtureFiles::list(const std::string& folder) const {
  std::vector<FileEntry> entries = MemoryFiles::list(folder);
  for (const auto& [path, kind] : odd) entries.push_back({path.substr(folder.size() + 1), 0, kind});
  std::sort(entries.begin(), entries.end(), [](const FileEntry& a, const FileEntry& b) { return a.path < b.path; });
  return entries;
}

std::string FixtureFiles::read(const std::string& path, std::string& problem) const {
  if (const auto found = problems.find(path); found != problems.end()) {
    problem = found->second;
    return {};
  }
  return MemoryFiles::read(path, problem);
}

fs::path fixtures_root() {
  return fs::path(LOOMPROOF_SOURCE_DIR) / "tests" / "fixtures";
}

std::string contents(const fs::path& path) {
  std::ifstream file(path, std::ios::binary);
  if (!file) throw std::runtime_error("cannot read " + path.string());
  std::stringstream text;
  text << file.rdbuf();
  return text.str();
}

FixtureFiles corpus_in_memory(const fs::path& folder) {
  FixtureFiles files;
  for (const FileEntry& each : RealFiles().list(folder.string())) {
    if (each.kind == FileEntry::Kind::regular)
      files.files["./" + each.path] = contents(folder / each.path);
    else
      files.odd["./" + each.path] = each.kind;
  }
  return files;
}

FixtureFiles base_corpus() {
  static const FixtureFiles base = corpus_in_memory(fixtures_root() / "base");
  return base;
}

Fixture load_fixture(const fs::path& folder) {
  Fixture fixture;
  fixture.folder = folder;
  fixture.files = base_corpus();
  if (fs::exists(folder / "_patch")) {
    apply_patch(folder / "_patch", fixture.files);
    fixture.differs = true;
  }
  read_controls(fixture);
  for (const auto& [path, bytes] : corpus_in_memory(folder).files) {
    if (path.starts_with("./_")) continue;
    fixture.files.files[path] = bytes;
    fixture.differs = true;
  }
  for (const auto& [path, kind] : corpus_in_memory(folder).odd) {
    fixture.files.files.erase(path);
    fixture.files.odd[path] = kind;
    fixture.differs = true;
  }
  return fixture;
}

std::unique_ptr<Compiled> compile_files(const Files& files, const CompileOptions& options) {
  return loomproof::compile(files, corpus_folder, options);
}

std::unique_ptr<Compiled> compile_fixture(const Fixture& fixture) {
  return compile_files(fixture.files, {.threads = 1, .limits = fixture.limits});
}

std::string rendered(const Compiled& compiled, int width) {
  return render_text(compiled.report.findings(), compiled.sources, {.colour = false, .width = width});
}

std::vector<fs::path> cases(const fs::path& rule_folder, std::string_view stem) {
  std::vector<fs::path> found;
  for (int number = 1;; ++number) {
    const fs::path folder = rule_folder / (std::string(stem) + (number == 1 ? "" : "-" + std::to_string(number)));
    if (!fs::is_directory(folder)) return found;
    found.push_back(folder);
  }
}

int tries(int usual) {
  const char* factor = std::getenv("LOOMPROOF_TRIES");
  return factor ? usual * std::max(1, std::atoi(factor)) : usual;
}

std::string differs_from_expected(const fs::path& expected, const std::string& actual) {
  const char* update = std::getenv("UPDATE_EXPECTED");
  if (update && *update && std::string_view(update) != "0") {
    std::ofstream file(expected, std::ios::binary);
    file << actual;
    if (!file.flush()) throw std::runtime_error("cannot write " + expected.string());
  }
  if (!fs::exists(expected)) return expected.string() + " is not there; UPDATE_EXPECTED=1 writes it";
  const std::string wanted = contents(expected);
  if (wanted == actual) return {};
  return "--- " + expected.string() + "\n" + wanted + "--- as it is now\n" + actual;
}

}  // namespace loomproof::testing
