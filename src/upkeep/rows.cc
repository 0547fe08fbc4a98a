#include "upkeep/rows.h"

#include <algorithm>

namespace loomproof::upkeep {

namespace {

std::string_view without_blanks(std::string_view text) {
  while (!text.empty() && text.front() == ' ') text.remove_prefix(1);
  while (!text.empty() && text.back() == ' ') text.remove_suffix(1);
  return text;
}

// One past the quoted text that begins at `at`; npos where it does not end on this line.
size_t after_quoted(std::string_view line, size_t at) {
  const char quote = line[at++];
  for (; at < line.size(); ++at) {
    if (quote == '"' && line[at] == '\\') {
      ++at;
    } else if (line[at] == quote) {
      if (quote == '\'' && at + 1 < line.size() && line[at + 1] == '\'') {
        ++at;
      } else {
        return at + 1;
      }
    }
  }
  return line.npos;
}

bool begins_value(std::string_view line, size_t at) {
  while (at > 0 && line[at - 1] == ' ') --at;
  return at == 0 || std::string_view("{[,:-").find(line[at - 1]) != std::string_view::npos;
}

// One past the bracket that closes the one at `at`, with the commas of its own level; npos where there is none.
size_t after_bracket(std::string_view line, size_t at, std::vector<size_t>& commas) {
  std::string open;
  for (; at < line.size(); ++at) {
    const char c = line[at];
    if ((c == '"' || c == '\'') && begins_value(line, at)) {
      at = after_quoted(line, at);
      if (at == line.npos) return at;
      --at;
    } else if (c == '{' || c == '[') {
      open += c == '{' ? '}' : ']';
    } else if (c == '}' || c == ']') {
      if (open.empty() || open.back() != c) return line.npos;
      open.pop_back();
      if (open.empty()) return at + 1;
    } else if (c == ',' && open.size() == 1) {
      commas.push_back(at);
    } else if (c == '#' && line[at - 1] == ' ') {
      return line.npos;
    }
  }
  return line.npos;
}

bool is_plain_key(std::string_view key) {
  return !key.empty() && key.find_first_of(" {}[],\"'#&*!|>%@`:?") == key.npos;
}

std::optional<RowCell> map_cell(std::string_view text) {
  const size_t colon = text.find(": ");
  if (colon == text.npos) return std::nullopt;
  RowCell cell{std::string(without_blanks(text.substr(0, colon))), std::string(without_blanks(text.substr(colon + 2)))};
  if (!is_plain_key(cell.key) || cell.value.empty()) return std::nullopt;
  return cell;
}

}  // namespace

size_t comment_begin(std::string_view line) {
  for (size_t at = 0; at < line.size(); ++at) {
    const char c = line[at];
    if ((c == '"' || c == '\'') && begins_value(line, at)) {
      at = after_quoted(line, at);
      if (at == line.npos) return at;
      --at;
    } else if (c == '#' && (at == 0 || line[at - 1] == ' ')) {
      return at;
    }
  }
  return line.npos;
}

std::optional<Row> parse_row(std::string_view line) {
  Row row;
  row.indent = std::min(line.find_first_not_of(' '), line.size());
  std::string_view rest = line.substr(row.indent);
  if (rest.starts_with("- ")) {
    rest = without_blanks(rest.substr(2));
  } else {
    const size_t colon = rest.find(": ");
    if (colon == rest.npos || !is_plain_key(rest.substr(0, colon))) return std::nullopt;
    row.key = std::string(rest.substr(0, colon));
    rest = without_blanks(rest.substr(colon + 2));
  }
  if (rest.empty() || (rest.front() != '{' && rest.front() != '[')) return std::nullopt;
  row.is_map = rest.front() == '{';
  std::vector<size_t> commas;
  const size_t end = after_bracket(rest, 0, commas);
  if (end == rest.npos) return std::nullopt;
  const std::string_view behind = without_blanks(rest.substr(end));
  if (!behind.empty() && (behind.front() != '#' || rest[end] != ' ')) return std::nullopt;
  row.comment = std::string(behind);
  commas.push_back(end - 1);
  size_t begin = 1;
  for (const size_t comma : commas) {
    const std::string_view text = without_blanks(rest.substr(begin, comma - begin));
    begin = comma + 1;
    if (row.is_map) {
      std::optional<RowCell> cell = map_cell(text);
      if (!cell) return std::nullopt;
      row.cells.push_back(std::move(*cell));
    } else {
      if (text.empty()) return std::nullopt;
      row.cells.push_back({{}, std::string(text)});
    }
  }
  return row;
}

}  // namespace loomproof::upkeep
