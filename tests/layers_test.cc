// Includes point one way. The list of layers is read from CMakeLists.txt, so that build and test cannot disagree.
#include <catch2/catch.hpp>
#include <filesystem>
#include <fstream>
#include <map>
#include <regex>
#include <set>
#include <sstream>

namespace fs = std::filesystem;

namespace {

const fs::path root = LOOMPROOF_SOURCE_DIR;

std::string contents(const fs::path& path) {
  std::ifstream file(path);
  std::stringstream text;
  text << file.rdbuf();
  return text.str();
}

struct Include {
  std::string file;   // relative to the repository
  std::string layer;  // folder below src/, or "tools"
  std::string header;
  bool quoted = false;
};

std::vector<Include> all_includes() {
  std::vector<Include> out;
  const std::regex pattern("^[ \t]*#[ \t]*include[ \t]*([<\"])([^>\"]+)");
  for (const char* const top : {"src", "tools"}) {
    if (!fs::exists(root / top)) continue;
    for (const auto& entry : fs::recursive_directory_iterator(root / top)) {
      const std::string extension = entry.path().extension().string();
      if (extension != ".cc" && extension != ".h" && extension != ".def") continue;
      const fs::path relative = fs::relative(entry.path(), root);
      const std::string layer = top == std::string("tools") ? "tools" : std::next(relative.begin())->string();
      std::istringstream lines(contents(entry.path()));
      std::smatch match;
      for (std::string line; std::getline(lines, line);) {
        if (std::regex_search(line, match, pattern))
          out.push_back({relative.string(), layer, match[2], match[1] == "\""});
      }
    }
  }
  return out;
}

// layer -> the layers that it may include, itself and all that they use among them.
std::map<std::string, std::set<std::string>> allowed_layers() {
  std::map<std::string, std::set<std::string>> allowed;
  const std::string text = contents(root / "CMakeLists.txt");
  const std::regex call("\\nlayer\\(([a-z]+)([^)]*)\\)");
  for (std::sregex_iterator it(text.begin(), text.end(), call), end; it != end; ++it) {
    const std::string name = (*it)[1];
    std::set<std::string>& may = allowed[name];
    may.insert(name);
    std::istringstream words((*it)[2].str());
    bool uses = false;
    for (std::string word; words >> word;) {
      if (word == "USES" || word == "LINKS") {
        uses = word == "USES";
      } else if (uses) {
        INFO(name << " uses " << word << ", which has to stand above it");
        REQUIRE(allowed.contains(word));
        may.insert(allowed[word].begin(), allowed[word].end());
      }
    }
  }
  return allowed;
}

bool begins_with(const std::string& text, const std::string& start) {
  return text.compare(0, start.size(), start) == 0;
}

// Every include of a library, by how its headers begin, has to stand in one of these folders of src/.
struct Only {
  std::string header;
  std::set<std::string> layers;
};

}  // namespace

TEST_CASE("includes point one way") {
  const auto allowed = allowed_layers();
  REQUIRE(allowed.size() > 10);
  uint32_t judged = 0;
  for (const Include& include : all_includes()) {
    const size_t slash = include.header.find('/');
    if (!include.quoted || slash == std::string::npos || include.layer == "tools") continue;
    const std::string target = include.header.substr(0, slash);
    if (!allowed.contains(target)) continue;
    INFO(include.file << " includes " << include.header);
    REQUIRE(allowed.contains(include.layer));
    CHECK(allowed.at(include.layer).contains(target));
    ++judged;
  }
  CHECK(judged > 20);
}

// The bench reads packs: whatever it needs has to be in them.
TEST_CASE("the bench includes nothing of the corpus") {
  const std::set<std::string> compiler = {"yaml", "schema", "model", "expand", "checks", "compile", "review"};
  uint32_t judged = 0;
  for (const Include& include : all_includes()) {
    if (!begins_with(include.file, "tools/loombench/") || !include.quoted) continue;
    INFO(include.file << " includes " << include.header);
    CHECK_FALSE(compiler.contains(include.header.substr(0, include.header.find('/'))));
    ++judged;
  }
  CHECK(judged > 0);
}

TEST_CASE("a library is included from one place") {
  const Only rules[] = {
      {"yaml-cpp/", {"yaml"}}, {"valijson/", {"schema"}}, {"boost/graph", {"nets", "repin"}},
      {"git2", {"tools"}},     {"cairo", {"draw"}},       {"pango", {"draw"}},
  };
  for (const Include& include : all_includes()) {
    for (const Only& rule : rules) {
      if (!begins_with(include.header, rule.header)) continue;
      INFO(include.file << " includes " << include.header);
      CHECK(rule.layers.contains(include.layer));
    }
  }
}

TEST_CASE("what works on family tables needs no threads, no files and no ranges") {
  const std::set<std::string> portable = {"family", "nets",  "compare", "judge", "identify", "prove",  "found",
                                          "known",  "repin", "adapt",   "pack",  "reports",  "layout", "page"};
  const std::set<std::string> headers = {"thread",     "mutex",   "future", "condition_variable",
                                         "filesystem", "fstream", "ranges", "unistd.h",
                                         "fcntl.h",    "cstdio"};
  const std::regex words(
      "std::ranges|std::views|std::thread|std::jthread|std::filesystem|std::ifstream|std::ofstream|fopen");
  for (const Include& include : all_includes()) {
    if (!portable.contains(include.layer)) continue;
    INFO(include.file << " includes " << include.header);
    CHECK_FALSE(headers.contains(include.header));
  }
  for (const auto& entry : fs::recursive_directory_iterator(root / "src")) {
    if (!entry.is_regular_file()) continue;
    const fs::path relative = fs::relative(entry.path(), root);
    if (!portable.contains(std::next(relative.begin())->string())) continue;
    std::istringstream lines(contents(entry.path()));
    for (std::string line; std::getline(lines, line);) {
      INFO(relative.string() << ": " << line);
      const std::string code = line.substr(0, line.find("//"));
      CHECK_FALSE(std::regex_search(code, words));
    }
  }
}

TEST_CASE("files stay short enough for one sitting") {
  for (const char* const top : {"src", "tools", "tests"}) {
    if (!fs::exists(root / top)) continue;
    for (const auto& entry : fs::recursive_directory_iterator(root / top)) {
      const std::string extension = entry.path().extension().string();
      if (extension != ".cc" && extension != ".h") continue;
      const std::string text = contents(entry.path());
      INFO(entry.path().string());
      CHECK(std::count(text.begin(), text.end(), '\n') <= 700);
    }
  }
}
