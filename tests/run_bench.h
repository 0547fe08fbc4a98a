// loombench as people run it, on the compiled packs of the corpus: what it prints and its exit status.
#pragma once
#include <sys/wait.h>
#include <unistd.h>

#include <catch2/catch.hpp>
#include <cstdlib>
#include <filesystem>
#include <fstream>
#include <sstream>
#include <string>

namespace loomproof::testing {

struct Run {
  int status = -1;
  std::string out, err;
};

inline std::string read_file(const std::filesystem::path& path) {
  std::ifstream in(path, std::ios::binary);
  std::stringstream text;
  text << in.rdbuf();
  return text.str();
}

// `arguments` as a shell takes them, the command first.
inline Run run_bench(const std::string& arguments) {
  const auto folder = std::filesystem::temp_directory_path() / ("run_bench." + std::to_string(::getpid()));
  std::filesystem::create_directories(folder);
  const std::string command = std::string(LOOMBENCH_PROGRAM) + " " + arguments + " --packs " + PACKS + " >" +
                              (folder / "out").string() + " 2>" + (folder / "err").string();
  Run run;
  run.status = WEXITSTATUS(std::system(command.c_str()));
  run.out = read_file(folder / "out"), run.err = read_file(folder / "err");
  std::filesystem::remove_all(folder);
  return run;
}

// A whole output against tests/fixtures/; UPDATE_EXPECTED=1 rewrites it.
inline void hold_against(const std::string& name, const std::string& got) {
  const std::filesystem::path path = std::filesystem::path(LOOMPROOF_SOURCE_DIR) / "tests/fixtures" / name;
  if (std::getenv("UPDATE_EXPECTED")) std::ofstream(path, std::ios::binary) << got;
  INFO(path.string());
  CHECK(got == read_file(path));
}

}  // namespace loomproof::testing
