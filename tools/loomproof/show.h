// What a phase of the compiler made, for people who work on it.
#pragma once
#include <string_view>

#include "compile/compile.h"

namespace loomproof::tool {

// phase: files, trees, names, tables or nets. To stdout.
void show_phase(const Compiled& compiled, std::string_view phase);

}  // namespace loomproof::tool
