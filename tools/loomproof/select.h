// What a command line names in a family: cells by era and options, parts, cavities. Unknown names end in one line with
// the nearest known one.
#pragma once
#include <CLI/CLI.hpp>
#include <string>
#include <vector>

#include "compile/compile.h"

namespace loomproof::tool {

struct CellArguments {
  std::string era;
  std::vector<std::string> with;  // option=value
  void add_to(CLI::App& command);
  // The built cells that were named; all of them where nothing was. Throws EnvironmentError.
  CellSet select(const Family& family) const;
};

// The family, compiled far enough to be asked about. Throws EnvironmentError if its names do not resolve.
const CompiledFamily& find_family(const Compiled& compiled, const std::string& id);

struct Side {  // of an axis
  uint32_t axis = 0;
  Index value = none;
};
// "b", "era=b" or "supply=24V". Throws EnvironmentError.
Side find_side(const Family& family, const std::string& text);

[[noreturn]] void unknown_name(std::string_view kind, std::string_view name,
                               const std::vector<std::string_view>& known);

}  // namespace loomproof::tool
