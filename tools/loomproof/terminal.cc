#include "terminal.h"

#include <fmt/format.h>
#include <sys/ioctl.h>
#include <unistd.h>

#include <algorithm>
#include <chrono>
#include <cstdio>
#include <cstdlib>

namespace loomproof::tool {

namespace {

double now() {
  return std::chrono::duration<double>(std::chrono::steady_clock::now().time_since_epoch()).count();
}

}  // namespace

bool is_terminal(int descriptor) {
  return isatty(descriptor) == 1;
}

bool wants_colour(int descriptor) {
  const char* no_colour = std::getenv("NO_COLOR");
  return is_terminal(descriptor) && (!no_colour || !*no_colour);
}

int terminal_width(int descriptor) {
  if (const char* columns = std::getenv("COLUMNS"))
    if (int wanted = std::atoi(columns); wanted >= 40) return std::min(wanted, 400);
  winsize size{};
  if (is_terminal(descriptor) && ioctl(descriptor, TIOCGWINSZ, &size) == 0 && size.ws_col >= 40) return size.ws_col;
  return 80;
}

std::string wrapped(std::string_view text, size_t indent, size_t width) {
  std::string out;
  size_t column = indent;  // where the first line is assumed to begin
  while (!text.empty()) {
    size_t end = std::min(text.find(' '), text.size());
    size_t columns = 0;  // characters, not bytes
    for (char c : text.substr(0, end)) columns += (static_cast<unsigned char>(c) & 0xc0) != 0x80;
    bool at_start = column == indent;
    if (!at_start && column + 1 + columns > width) {
      out += "\n" + std::string(indent, ' ');
      column = indent;
      at_start = true;
    }
    if (!at_start) out += ' ', ++column;
    out += text.substr(0, end);
    column += columns;
    text.remove_prefix(std::min(end + 1, text.size()));
  }
  return out;
}

Progress::Progress() : on_(is_terminal(STDERR_FILENO)), start_(now()) {}

Progress::~Progress() {
  if (drawn_) fmt::print(stderr, "\r\033[K");
}

void Progress::show(std::string_view phase, size_t done, size_t total) {
  if (!on_) return;
  std::lock_guard lock(mutex_);
  double time = now();
  if (time - start_ < 0.5 || time - last_ < 0.1) return;
  last_ = time;
  drawn_ = true;
  fmt::print(stderr, "\r\033[K{} {} of {}", phase, done, total);
  std::fflush(stderr);
}

}  // namespace loomproof::tool
