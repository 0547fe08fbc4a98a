// The tutorial of DEVELOPERS.md as a new user would follow it: every command runs, in order, in an empty folder, and
// prints what stands below it. UPDATE_TUTORIAL=1 prints what each command said, for mending the text.
#include <sys/wait.h>

#include <array>
#include <catch2/catch.hpp>
#include <cstdio>
#include <cstdlib>
#include <filesystem>
#include <fstream>
#include <sstream>
#include <string>
#include <vector>

namespace fs = std::filesystem;

namespace {

constexpr const char* ellipsis = "…";

struct Step {
  size_t line = 0;  // in DEVELOPERS.md
  std::string command;
  std::vector<std::string> output;
};

std::vector<Step> tutorial_steps() {
  std::ifstream file(fs::path(LOOMPROOF_SOURCE_DIR) / "DEVELOPERS.md");
  std::vector<Step> steps;
  bool in_tutorial = false, in_block = false;
  size_t number = 0;
  for (std::string line; std::getline(file, line);) {
    ++number;
    if (line.starts_with("## ")) in_tutorial = line.starts_with("## Tutorial");
    if (!in_tutorial) continue;
    if (line.starts_with("```")) {
      in_block = line == "```console";
    } else if (in_block && line.starts_with("$ ")) {
      steps.push_back({number, line.substr(2), {}});
    } else if (in_block) {
      REQUIRE_FALSE(steps.empty());
      steps.back().output.push_back(line);
    }
  }
  return steps;
}

// One shell for all steps would not say which of them printed what: each is a shell of its own that is told the folder.
struct Shell {
  fs::path folder, root;
  int status = 0;
  std::string run(const std::string& command) {
    const fs::path note = root.parent_path() / (root.filename().string() + ".pwd");
    const std::string script = "export PATH='" LOOMPROOF_PROGRAMS "':\"$PATH\" LC_ALL=C NO_COLOR=1 COLUMNS=80; cd '" +
                               folder.string() + "' && { " + command + "\n} 2>&1; status=$?; pwd > '" + note.string() +
                               "'; exit $status";
    const fs::path file = note.string() + ".sh";
    std::ofstream(file) << script << '\n';
    FILE* pipe = ::popen(("bash '" + file.string() + "'").c_str(), "r");
    REQUIRE(pipe);
    std::string out;
    std::array<char, 4096> buffer{};
    for (size_t got; (got = std::fread(buffer.data(), 1, buffer.size(), pipe)) > 0;) out.append(buffer.data(), got);
    const int ended = ::pclose(pipe);
    status = WIFEXITED(ended) ? WEXITSTATUS(ended) : 127;
    std::string now;
    std::ifstream pwd(note);
    std::getline(pwd, now);
    folder = now;
    fs::remove(note);
    fs::remove(file);
    return out;
  }
};

std::vector<std::string> lines_of(const std::string& text) {
  std::vector<std::string> lines;
  std::istringstream in(text);
  for (std::string line; std::getline(in, line);) lines.push_back(line);
  return lines;
}

// Whether the lines are as wanted, where a line of `…` stands for any number of them, one at least.
bool matches(const std::vector<std::string>& wanted, const std::vector<std::string>& lines, size_t w = 0,
             size_t l = 0) {
  if (w == wanted.size()) return l == lines.size();
  if (wanted[w] == ellipsis) {
    for (size_t next = l + 1; next <= lines.size(); ++next)
      if (matches(wanted, lines, w + 1, next)) return true;
    return false;
  }
  return l < lines.size() && wanted[w] == lines[l] && matches(wanted, lines, w + 1, l + 1);
}

}  // namespace

TEST_CASE("the tutorial runs as it is written") {
  const std::vector<Step> steps = tutorial_steps();
  REQUIRE(steps.size() > 15);
  std::string made = (fs::temp_directory_path() / "loomproof-XXXXXX").string();
  const fs::path root = ::mkdtemp(made.data());
  Shell shell{root, root};
  for (const Step& step : steps) {
    const std::string out = shell.run(step.command);
    INFO("DEVELOPERS.md:" << step.line << ": $ " << step.command << "\n" << out);
    if (std::getenv("UPDATE_TUTORIAL")) {
      std::printf("$ %s\n%s", step.command.c_str(), out.c_str());
      continue;
    }
    CHECK(matches(step.output, lines_of(out)));
    CHECK(shell.status <= 1);  // findings are part of the story; a usage error or a missing command is not
  }
  fs::remove_all(root);
}

TEST_CASE("lines left out match some, and nothing else does") {
  CHECK(matches({"a", ellipsis, "c"}, {"a", "b", "c"}));
  CHECK(matches({ellipsis}, {"a", "b"}));
  CHECK_FALSE(matches({"a", ellipsis, "c"}, {"a", "c"}));
  CHECK_FALSE(matches({"a"}, {"a", "b"}));
  CHECK_FALSE(matches({"a", "b"}, {"a"}));
}
