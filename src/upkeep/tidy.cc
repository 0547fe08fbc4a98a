#include "upkeep/tidy.h"

#include <algorithm>
#include <cctype>
#include <memory>
#include <span>
#include <vector>

#include "upkeep/rows.h"

namespace loomproof::upkeep {

namespace {

// What stands one below the other, by the kind of row. Everything else of a row comes behind it, as it was.
constexpr const char* wire_columns[] = {"circuit", "from", "to", "colour", "mm2"};
constexpr const char* lead_columns[] = {"title", "circuit", "role"};
constexpr const char* circuit_columns[] = {"title", "class", "function"};
constexpr const char* era_columns[] = {"id", "title"};
constexpr const char* place_columns[] = {"title", "where"};
constexpr const char* connector_columns[] = {"housing", "where"};
constexpr const char* pin_columns[] = {"circuit", "role"};
constexpr const char* splice_columns[] = {"where", "branch"};
constexpr const char* earth_columns[] = {"where", "ring", "to", "circuit"};
constexpr const char* change_columns[] = {"loom"};
constexpr const char* place_change_columns[] = {"place"};
constexpr const char* meet_columns[] = {"meet"};
constexpr const char* build_columns[] = {"eras"};

bool has(const Row& row, std::string_view key) {
  return std::any_of(row.cells.begin(), row.cells.end(), [&](const RowCell& cell) { return cell.key == key; });
}

std::span<const char* const> columns_by_kind(const Row& row) {
  if (has(row, "from") && has(row, "to")) return wire_columns;
  if (has(row, "title") && has(row, "class")) return circuit_columns;
  if (has(row, "circuit") && has(row, "title")) return lead_columns;
  if (has(row, "ring")) return earth_columns;
  if (has(row, "housing")) return connector_columns;
  if (has(row, "id") && has(row, "title")) return era_columns;
  if (has(row, "title") && !row.key.empty()) return place_columns;
  if (has(row, "role")) return pin_columns;
  if (has(row, "branch")) return splice_columns;
  if (has(row, "meet")) return meet_columns;
  if (has(row, "loom")) return change_columns;
  if (has(row, "place")) return place_change_columns;
  if (row.key.empty() && !row.cells.empty() && row.cells.front().key == "eras") return build_columns;
  return {};
}

// None for a row that lacks the first of them: it is one of its own.
std::span<const char* const> columns_of(const Row& row) {
  const std::span<const char* const> columns = columns_by_kind(row);
  return !columns.empty() && has(row, columns.front()) ? columns : std::span<const char* const>();
}

// The place of a key among the columns of its row; behind them all where it is none.
std::ptrdiff_t rank(std::span<const char* const> columns, const RowCell& cell) {
  return std::find(columns.begin(), columns.end(), cell.key) - columns.begin();
}

bool keys_are_in_order(const Row& row) {
  const std::span<const char* const> columns = columns_of(row);
  return std::is_sorted(row.cells.begin(), row.cells.end(),
                        [&](const RowCell& a, const RowCell& b) { return rank(columns, a) < rank(columns, b); });
}

void order_keys(Row& row) {
  const std::span<const char* const> columns = columns_of(row);
  std::stable_sort(row.cells.begin(), row.cells.end(),
                   [&](const RowCell& a, const RowCell& b) { return rank(columns, a) < rank(columns, b); });
}

size_t width(std::string_view text) {  // characters: bytes that begin one
  return static_cast<size_t>(std::count_if(text.begin(), text.end(), [](char c) { return (c & 0xC0) != 0x80; }));
}

std::string cell_text(const RowCell& cell) {
  return cell.key.empty() ? cell.value : cell.key + ": " + cell.value;
}

struct Line {
  std::string text;
  std::unique_ptr<Row> row;  // none where the line is no row
};

// Rows of one collection that are laid out together.
struct Group {
  std::vector<Line*> lines;
};

void pad_to(std::string& text, size_t column) {
  const size_t now = width(text);
  if (now < column) text.append(column - now, ' ');
}

// Writes the rows of one kind anew, their columns one below the other.
void align(const std::vector<Line*>& lines, std::span<const char* const> columns, size_t key_width) {
  struct Draft {
    Row* row;
    std::string text;
    size_t next = 0;  // the first cell that is not written yet
  };
  std::vector<Draft> drafts;
  for (Line* line : lines) {
    Row& row = *line->row;
    std::string text(row.indent, ' ');
    if (row.key.empty()) {
      text += "- ";
    } else {
      text += row.key + ": ";
      pad_to(text, row.indent + key_width + 2);
    }
    drafts.push_back({&row, text + (row.is_map ? "{" : "[")});
  }
  const bool is_list = !drafts.front().row->is_map;
  // In a list of pairs each item is a column; a list behind a key stays as it is.
  const size_t count = is_list ? (drafts.front().row->key.empty() ? 1 : 0) : columns.size();
  const auto has_column = [&](const Draft& draft, size_t column) {
    if (draft.next >= draft.row->cells.size()) return false;
    return is_list || draft.row->cells[draft.next].key == columns[column];
  };
  for (size_t column = 0; column < count; ++column) {
    bool any = false;
    for (Draft& draft : drafts) {
      if (!has_column(draft, column)) continue;
      any = true;
      draft.text += cell_text(draft.row->cells[draft.next++]);
      if (draft.next < draft.row->cells.size()) draft.text += ", ";
    }
    if (!any) continue;
    size_t end = 0;
    for (const Draft& draft : drafts)
      if (draft.next < draft.row->cells.size()) end = std::max(end, width(draft.text));
    for (Draft& draft : drafts)
      if (draft.next < draft.row->cells.size()) pad_to(draft.text, end);
  }
  for (size_t i = 0; i < drafts.size(); ++i) {
    Draft& draft = drafts[i];
    for (; draft.next < draft.row->cells.size(); ++draft.next) {
      draft.text += cell_text(draft.row->cells[draft.next]);
      if (draft.next + 1 < draft.row->cells.size()) draft.text += ", ";
    }
    draft.text += draft.row->is_map ? "}" : "]";
    if (!draft.row->comment.empty()) draft.text += "    " + draft.row->comment;
    lines[i]->text = draft.text;
  }
}

bool is_blank_or_comment(std::string_view text) {
  const size_t at = text.find_first_not_of(' ');
  return at == text.npos || text[at] == '#';
}

// Where each cell of a row begins, in characters, as the line has it now.
std::vector<size_t> cell_starts(const Line& line) {
  std::vector<size_t> starts;
  size_t at = line.text.find(line.row->is_map ? '{' : '[');
  for (const RowCell& cell : line.row->cells) {
    at = line.text.find(cell.key.empty() ? cell.value : cell.key + ":", at);
    starts.push_back(width(std::string_view(line.text).substr(0, at)));
    at += cell_text(cell).size();
  }
  return starts;
}

// Whether the columns that both rows have stand one below the other.
bool in_line(const Line& a, const Line& b) {
  const std::vector<size_t> starts_a = cell_starts(a), starts_b = cell_starts(b);
  const std::span<const char* const> columns = columns_of(*a.row);
  if (!a.row->is_map || !b.row->is_map)
    return a.row->is_map == b.row->is_map &&
           (!a.row->key.empty() || starts_a.size() < 2 || starts_b.size() < 2 || starts_a[1] == starts_b[1]);
  if (columns_of(*b.row).data() != columns.data()) return false;
  if (!columns.empty() && starts_a[0] != starts_b[0]) return false;
  for (size_t i = 0; i < starts_a.size(); ++i)
    for (size_t j = 0; j < starts_b.size(); ++j)
      if (a.row->cells[i].key == b.row->cells[j].key && starts_a[i] != starts_b[j] &&
          std::find(columns.begin(), columns.end(), a.row->cells[i].key) != columns.end())
        return false;
  return true;
}

// A row that is alone in its kind, or in line with the one above or below, is in order; a table may so have parts of
// different width, each of them plain to read.
bool is_in_order(const Group& group) {
  for (size_t i = 0; i < group.lines.size(); ++i) {
    const Line& line = *group.lines[i];
    if (!keys_are_in_order(*line.row)) return false;
    const std::vector<size_t> starts = cell_starts(line);
    for (size_t cell = 0; cell + 1 < starts.size(); ++cell)
      if (starts[cell] + width(cell_text(line.row->cells[cell])) + 2 > starts[cell + 1]) return false;
    const auto alike = [&](const Line& other) {
      return other.row->is_map == line.row->is_map && columns_of(*other.row).data() == columns_of(*line.row).data();
    };
    const bool above = i > 0 && alike(*group.lines[i - 1]);
    const bool below = i + 1 < group.lines.size() && alike(*group.lines[i + 1]);
    if (above && in_line(line, *group.lines[i - 1])) continue;
    if (below && in_line(line, *group.lines[i + 1])) continue;
    if (above || below) return false;
  }
  return true;
}

void lay_out(Group& group) {
  if (is_in_order(group)) return group.lines.clear();
  size_t key_width = 0;
  for (Line* line : group.lines) order_keys(*line->row);
  for (const Line* line : group.lines) key_width = std::max(key_width, width(line->row->key));
  std::vector<Line*> left = group.lines;
  while (!left.empty()) {
    const std::span<const char* const> columns = columns_of(*left.front()->row);
    std::vector<Line*> same, others;
    for (Line* line : left) {
      const bool alike =
          line->row->is_map == left.front()->row->is_map && columns_of(*line->row).data() == columns.data();
      (alike ? same : others).push_back(line);
    }
    const bool is_pair = !same.front()->row->is_map && same.front()->row->key.empty();
    if (!columns.empty() || is_pair) align(same, columns, key_width);
    left = std::move(others);
  }
  group.lines.clear();
}

// Wires are read as one table under all its headings; other rows in runs without one between them.
bool goes_on_over_headings(const Group& group) {
  return !group.lines.empty() && columns_of(*group.lines.front()->row).data() == std::data(wire_columns);
}

void align_all(std::vector<Line>& lines) {
  Group group;
  size_t indent = 0;
  for (Line& line : lines) {
    if (!line.row) {
      if (!is_blank_or_comment(line.text) || !goes_on_over_headings(group)) {
        if (!group.lines.empty()) lay_out(group);
      }
      continue;
    }
    if (!group.lines.empty() &&
        (line.row->indent != indent || line.row->key.empty() != group.lines.front()->row->key.empty()))
      lay_out(group);
    indent = line.row->indent;
    group.lines.push_back(&line);
  }
  if (!group.lines.empty()) lay_out(group);
}

// The rows below `pins:` and `cavities:` in the order of their numbers, where nothing but rows stands there.
void sort_cavities(std::vector<Line>& lines) {
  for (size_t head = 0; head < lines.size(); ++head) {
    const std::string& text = lines[head].text;
    const size_t indent = text.find_first_not_of(' ');
    if (indent == text.npos) continue;
    const std::string_view name = std::string_view(text).substr(indent);
    if (!name.starts_with("pins:") && !name.starts_with("cavities:")) continue;
    size_t end = head + 1;
    while (end < lines.size() && lines[end].row && !lines[end].row->key.empty() &&
           lines[end].row->indent == lines[head + 1].row->indent && lines[end].row->indent > indent)
      ++end;
    // What is deeper, or a comment, belongs to the row before or behind it: then a hand has to sort.
    if (end < lines.size()) {
      const size_t next = lines[end].text.find_first_not_of(' ');
      if (next != std::string::npos && next > indent) continue;
    }
    std::stable_sort(lines.begin() + static_cast<std::ptrdiff_t>(head) + 1,
                     lines.begin() + static_cast<std::ptrdiff_t>(end),
                     [](const Line& a, const Line& b) { return numbers_before(a.row->key, b.row->key); });
  }
}

// Texts over several lines (`>-`, `|`) and quotes that stay open are not to be touched: the lines that are in one.
std::vector<bool> kept_as_they_are(const std::vector<std::string>& lines) {
  std::vector<bool> kept(lines.size(), false);
  size_t block_indent = std::string::npos;
  for (size_t i = 0; i < lines.size(); ++i) {
    const std::string& text = lines[i];
    const size_t indent = text.find_first_not_of(' ');
    if (block_indent != std::string::npos) {
      if (indent == std::string::npos || indent > block_indent) {
        kept[i] = true;
        continue;
      }
      block_indent = std::string::npos;
    }
    if (indent == std::string::npos || text[indent] == '#') continue;
    std::string code = text.substr(0, comment_begin(text));
    while (!code.empty() && code.back() == ' ') code.pop_back();
    const size_t last = code.find_last_of(' ');
    const std::string word = last == std::string::npos ? code : code.substr(last + 1);
    if (!word.empty() && (word[0] == '>' || word[0] == '|') && word.find_first_not_of(">|+-0123456789") == word.npos)
      block_indent = indent;
  }
  return kept;
}

}  // namespace

bool numbers_before(std::string_view a, std::string_view b) {
  const auto is_digit = [](char c) { return std::isdigit(static_cast<unsigned char>(c)) != 0; };
  size_t i = 0, j = 0;
  while (i < a.size() && j < b.size()) {
    if (is_digit(a[i]) && is_digit(b[j])) {
      while (i + 1 < a.size() && a[i] == '0' && is_digit(a[i + 1])) ++i;
      while (j + 1 < b.size() && b[j] == '0' && is_digit(b[j + 1])) ++j;
      size_t end_a = i, end_b = j;
      while (end_a < a.size() && is_digit(a[end_a])) ++end_a;
      while (end_b < b.size() && is_digit(b[end_b])) ++end_b;
      if (end_a - i != end_b - j) return end_a - i < end_b - j;
      const int order = a.substr(i, end_a - i).compare(b.substr(j, end_b - j));
      if (order != 0) return order < 0;
      i = end_a, j = end_b;
    } else {
      if (a[i] != b[j]) return a[i] < b[j];
      ++i, ++j;
    }
  }
  if (a.size() - i != b.size() - j) return a.size() - i < b.size() - j;
  return a < b;
}

std::string tidied(std::string_view text) {
  std::vector<std::string> raw;
  while (!text.empty()) {
    const size_t end = text.find('\n');
    std::string line(text.substr(0, end));
    text.remove_prefix(end == text.npos ? text.size() : end + 1);
    if (line.ends_with('\r')) line.pop_back();
    raw.push_back(std::move(line));
  }
  const std::vector<bool> kept = kept_as_they_are(raw);
  std::vector<Line> lines;
  for (size_t i = 0; i < raw.size(); ++i) {
    std::string& line = raw[i];
    if (!kept[i]) {
      while (line.ends_with(' ') || line.ends_with('\t')) line.pop_back();
      if (line.empty() && (lines.empty() || lines.back().text.empty())) continue;
    }
    std::optional<Row> row = kept[i] ? std::nullopt : parse_row(line);
    lines.push_back({line, row ? std::make_unique<Row>(std::move(*row)) : nullptr});
  }
  sort_cavities(lines);
  align_all(lines);
  while (!lines.empty() && lines.back().text.empty()) lines.pop_back();
  std::string out;
  for (const Line& line : lines) out += line.text + '\n';
  return out;
}

}  // namespace loomproof::upkeep
