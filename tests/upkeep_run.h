// loomproof as people run it, in a folder of the test's own.
#pragma once
#include <sys/wait.h>

#include <array>
#include <cstdio>
#include <cstdlib>
#include <filesystem>
#include <stdexcept>
#include <string>

namespace loomproof::testing {

struct Ran {
  int status = -1;
  std::string out;  // both streams
};

inline Ran run(const std::string& arguments, const std::filesystem::path& folder) {
  const std::string command =
      "cd '" + folder.string() + "' && COLUMNS=80 NO_COLOR=1 '" LOOMPROOF_BINARY "' " + arguments + " 2>&1";
  FILE* pipe = ::popen(command.c_str(), "r");
  if (!pipe) throw std::runtime_error("cannot run " + command);
  Ran ran;
  std::array<char, 4096> buffer{};
  for (size_t got; (got = std::fread(buffer.data(), 1, buffer.size(), pipe)) > 0;) ran.out.append(buffer.data(), got);
  const int ended = ::pclose(pipe);
  if (WIFEXITED(ended)) ran.status = WEXITSTATUS(ended);
  return ran;
}

// Gone at the end.
class Folder {
 public:
  Folder() {
    std::string made = (std::filesystem::temp_directory_path() / "loomproof-XXXXXX").string();
    path = ::mkdtemp(made.data());
  }
  Folder(const Folder&) = delete;
  Folder& operator=(const Folder&) = delete;
  ~Folder() {
    std::error_code ignored;
    std::filesystem::remove_all(path, ignored);
  }
  std::filesystem::path path;
};

}  // namespace loomproof::testing
