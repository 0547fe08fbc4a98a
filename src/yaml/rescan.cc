#include "yaml/rescan.h"

#include <algorithm>
#include <vector>

namespace loomproof::yaml {
namespace {

bool is_space(char c) {
  return c == ' ' || c == '\t';
}
bool is_break(char c) {
  return c == '\n' || c == '\r';
}
bool is_white(char c) {
  return is_space(c) || is_break(c);
}
bool is_flow_mark(char c) {
  return c == ',' || c == '[' || c == ']' || c == '{' || c == '}';
}

uint32_t size_of(std::string_view bytes) {
  return static_cast<uint32_t>(bytes.size());
}

uint32_t line_end(std::string_view bytes, uint32_t offset) {
  const size_t end = bytes.find('\n', offset);
  return end == std::string_view::npos ? size_of(bytes) : static_cast<uint32_t>(end);
}

// Without the carriage return and the spaces before a line end.
uint32_t trim_back(std::string_view bytes, uint32_t begin, uint32_t end) {
  while (end > begin && is_white(bytes[end - 1])) --end;
  return end;
}

// The digit of a block scalar's header (`|2-`), 0 if there is none.
int indentation_indicator(std::string_view header) {
  for (const char c : header) {
    if (c >= '1' && c <= '9') return c - '0';
    if (c != '+' && c != '-') break;
  }
  return 0;
}

}  // namespace

uint32_t skip_blank(std::string_view bytes, uint32_t offset) {
  while (offset < bytes.size()) {
    if (is_white(bytes[offset])) {
      ++offset;
    } else if (bytes[offset] == '#') {
      offset = line_end(bytes, offset);
    } else {
      break;
    }
  }
  return offset;
}

uint32_t end_of_property(std::string_view bytes, uint32_t offset) {
  if (bytes.substr(offset).starts_with("!<")) {
    const size_t close = bytes.find('>', offset);
    return close == std::string_view::npos ? size_of(bytes) : static_cast<uint32_t>(close) + 1;
  }
  while (offset < bytes.size() && !is_white(bytes[offset]) && !is_flow_mark(bytes[offset])) ++offset;
  return offset;
}

uint32_t end_of_quoted(std::string_view bytes, uint32_t begin) {
  const char quote = bytes[begin];
  for (uint32_t i = begin + 1; i < bytes.size(); ++i) {
    if (quote == '"' && bytes[i] == '\\') {
      ++i;
    } else if (bytes[i] == quote) {
      if (quote == '"' || i + 1 >= bytes.size() || bytes[i + 1] != quote) return i + 1;
      ++i;
    }
  }
  return not_found;
}

// Folding changes white space alone, so the other characters of the text are found in order in the bytes.
uint32_t end_of_plain(std::string_view bytes, uint32_t begin, std::string_view value) {
  uint32_t offset = begin;
  uint32_t end = begin;
  for (const char c : value) {
    if (is_white(c)) continue;
    while (offset < bytes.size() && is_white(bytes[offset])) ++offset;
    if (offset >= bytes.size() || bytes[offset] != c) break;
    end = ++offset;
  }
  return end;
}

uint32_t end_of_block(std::string_view bytes, uint32_t begin, int parent_column) {
  uint32_t offset = line_end(bytes, begin);
  uint32_t end = trim_back(bytes, begin, offset);
  const int digit = indentation_indicator(bytes.substr(begin + 1, 2));
  int indent = digit == 0 ? -1 : std::max(parent_column, 0) + digit;
  while (offset < bytes.size()) {
    const uint32_t line = offset + 1;
    uint32_t text = line;
    while (text < bytes.size() && bytes[text] == ' ') ++text;
    offset = line_end(bytes, text);
    const uint32_t last = trim_back(bytes, text, offset);
    if (last == text) continue;  // a blank line belongs to the block only if more text follows
    const int found = static_cast<int>(text - line);
    if (indent < 0) indent = found > parent_column ? found : parent_column + 1;
    if (found < indent) break;
    end = last;
  }
  return end;
}

uint32_t end_of_flow(std::string_view bytes, uint32_t offset) {
  for (;;) {
    offset = skip_blank(bytes, offset);
    if (offset >= bytes.size()) return offset;
    const char c = bytes[offset++];
    if (c == ']' || c == '}') return offset;
  }
}

namespace {

// Whether a value can begin here: at the beginning of a line, or behind what a value follows.
bool can_begin(std::string_view bytes, uint32_t offset) {
  while (offset > 0 && is_space(bytes[offset - 1])) --offset;
  constexpr std::string_view before = ":-?,[{\n";
  return offset == 0 || before.find(bytes[offset - 1]) != std::string_view::npos;
}

}  // namespace

uint32_t still_open(std::string_view bytes, uint32_t from, uint32_t until) {
  std::vector<uint32_t> open;
  uint32_t quote = not_found;
  for (uint32_t i = from; i < until; ++i) {
    const char c = bytes[i];
    if (c == '#' && (i == 0 || is_white(bytes[i - 1]))) {
      i = line_end(bytes, i);
    } else if ((c == '"' || c == '\'') && can_begin(bytes, i)) {
      const uint32_t end = end_of_quoted(bytes, i);
      const bool is_long = bytes.substr(i, end - i).find('\n') != std::string_view::npos;
      if (is_long && quote == not_found) quote = i;
      if (end >= until) break;
      i = end - 1;
    } else if ((c == '[' || c == '{') && (!open.empty() || can_begin(bytes, i))) {
      open.push_back(i);
    } else if ((c == ']' || c == '}') && !open.empty()) {
      open.pop_back();
    }
  }
  return open.empty() ? quote : open.back();
}

int column_of(std::string_view bytes, uint32_t offset) {
  const size_t before = offset == 0 ? std::string_view::npos : bytes.rfind('\n', offset - 1);
  return static_cast<int>(before == std::string_view::npos ? offset : offset - before - 1);
}

}  // namespace loomproof::yaml
