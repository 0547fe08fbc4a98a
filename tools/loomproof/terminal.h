// What the terminal allows: width, colour, progress.
#pragma once
#include <cstddef>
#include <mutex>
#include <string>
#include <string_view>

namespace loomproof::tool {

bool is_terminal(int descriptor);
bool wants_colour(int descriptor);   // a terminal, and NO_COLOR is not set (or empty)
int terminal_width(int descriptor);  // columns; 80 where it is no terminal; COLUMNS has the last word

// Text broken at spaces so that no line is longer than `width`; lines after the first are indented. A word longer than
// a line stands on a line of its own.
std::string wrapped(std::string_view text, size_t indent, size_t width);

// A line on stderr that says how far long work is; only on a terminal, only after a moment, gone when done.
class Progress {
 public:
  Progress();
  ~Progress();
  void show(std::string_view phase, size_t done, size_t total);

 private:
  bool on_;
  double start_;
  double last_ = 0;
  bool drawn_ = false;
  std::mutex mutex_;
};

}  // namespace loomproof::tool
