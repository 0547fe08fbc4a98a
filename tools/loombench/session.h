// loombench identify --ask: reading by reading at a terminal. Every answer goes into the job file before the next
// question, so that a session stops anywhere and goes on where it stopped.
#pragma once
#include <functional>
#include <optional>
#include <string>

#include "identify.h"

namespace loomproof::bench {

struct Talk {
  std::function<void(const std::string&)> say;       // text with its line ends
  std::function<std::optional<std::string>()> line;  // nothing at the end of input
  std::string today;                                 // "2026-03-01"
  size_t width = 80;
};

// The terminal of the program. Throws UsageError where standard input or output is none.
Talk terminal_talk(size_t width);

// `place`: which of the parts on the bench; empty where there is one alone. Whether one stands out in the end.
bool ask_through(const FamilyIndex& index, const std::string& path, const std::string& place, const Talk& talk);

}  // namespace loomproof::bench
