#include "page.h"

#include <algorithm>
#include <numeric>

#include "diag/render.h"
#include "source/utf8.h"

namespace loomproof::bench {
namespace {

size_t columns_of(std::string_view text) {
  size_t columns = 0;
  for (size_t offset = 0; offset < text.size();) {
    const Utf8Char character = utf8_at(text, offset);
    columns += static_cast<size_t>(display_columns(character.code));
    offset += character.length;
  }
  return columns;
}

// As much of a word as fits, at least one character.
std::string_view fitting(std::string_view word, size_t width) {
  size_t offset = 0, columns = 0;
  while (offset < word.size()) {
    const Utf8Char character = utf8_at(word, offset);
    columns += static_cast<size_t>(display_columns(character.code));
    if (columns > width && offset > 0) break;
    offset += character.length;
  }
  return word.substr(0, offset);
}

std::vector<std::string_view> words_of(std::string_view text) {
  std::vector<std::string_view> words;
  for (size_t from = 0; from < text.size();) {
    const size_t end = std::min(text.find(' ', from), text.size());
    if (end > from) words.push_back(text.substr(from, end - from));
    from = end + 1;
  }
  return words;
}

// Breaks at spaces, and within a word only where it is wider than the line.
std::vector<std::string> wrapped(std::string_view text, size_t width) {
  std::vector<std::string> lines;
  std::string line;
  size_t used = 0;
  for (std::string_view word : words_of(text)) {
    if (used > 0 && used + 1 + columns_of(word) > width) {
      lines.push_back(std::move(line));
      line.clear();
      used = 0;
    }
    while (columns_of(word) > width) {
      const std::string_view head = fitting(word, width);
      lines.emplace_back(head);
      word.remove_prefix(head.size());
    }
    if (used > 0) line += ' ';
    line += word;
    used = columns_of(line);
  }
  if (!line.empty() || lines.empty()) lines.push_back(std::move(line));
  return lines;
}

void pad(std::string& line, std::string_view text, size_t width) {
  line += text;
  const size_t columns = columns_of(text);
  if (columns < width) line.append(width - columns, ' ');
}

void put_line(std::string& out, std::string line) {
  line.erase(line.find_last_not_of(' ') + 1);
  out += line;
  out += '\n';
}

class TextRenderer {
 public:
  explicit TextRenderer(size_t width) : width_(std::max<size_t>(width, 40)) {}

  void operator()(const Heading& heading) {
    if (!out_.empty()) out_ += '\n';
    for (const std::string& line : wrapped(printable(heading.text), width_)) put_line(out_, line);
  }

  void operator()(const Facts& facts) {
    size_t label_width = 0;
    for (const auto& [label, value] : facts.rows) label_width = std::max(label_width, columns_of(label));
    for (const auto& [label, value] : facts.rows) {
      const size_t indent = 2 + label_width + 2;
      std::string lead = "  ";
      pad(lead, label, label_width + 2);
      for (const std::string& line : wrapped(printable(value), width_ - std::min(indent, width_ - 20))) {
        put_line(out_, lead + line);
        lead.assign(indent, ' ');
      }
    }
  }

  void operator()(const Grid& table) {
    const std::vector<std::vector<std::string>> cells = printable_cells(table);
    const std::vector<size_t> widths = fit(table, cells);
    std::vector<std::string> titles;
    for (const Grid::Column& column : table.columns) titles.push_back(column.title);
    put_row(titles, widths);
    std::string rule;
    for (size_t i = 0; i < widths.size(); ++i) rule += (i ? "  " : "") + std::string(widths[i], '-');
    put_line(out_, rule);
    for (const auto& row : cells) put_row(row, widths);
  }

  void operator()(const Steps& steps) {
    for (const Steps::Step& step : steps.rows) {
      const size_t indent = 2 + 2 * std::min<size_t>(step.depth, 12);
      std::string lead(indent, ' ');
      for (const std::string& line : wrapped(printable(step.text), width_ - indent - 2)) {
        put_line(out_, lead + line);
        lead.assign(indent + 2, ' ');
      }
    }
  }

  void operator()(const CautionText& caution) {
    std::string lead = "\n! ";
    for (const std::string& line : wrapped(printable(caution.text), width_ - 2)) {
      put_line(out_, lead + line);
      lead = "  ";
    }
  }

  std::string take() { return std::move(out_); }

 private:
  static std::vector<std::vector<std::string>> printable_cells(const Grid& table) {
    std::vector<std::vector<std::string>> cells = table.rows;
    for (auto& row : cells)
      for (std::string& cell : row) cell = printable(cell);
    return cells;
  }

  // Natural widths, then the widest column that wraps gives way until the line fits.
  std::vector<size_t> fit(const Grid& table, const std::vector<std::vector<std::string>>& cells) const {
    constexpr size_t narrowest = 6;
    std::vector<size_t> widths;
    for (const Grid::Column& column : table.columns) widths.push_back(columns_of(column.title));
    for (const auto& row : cells)
      for (size_t i = 0; i < row.size(); ++i) widths[i] = std::max(widths[i], columns_of(row[i]));
    for (;;) {
      const size_t total = std::accumulate(widths.begin(), widths.end(), 2 * (widths.size() - 1));
      size_t widest = widths.size();
      for (size_t i = 0; i < widths.size(); ++i)
        if (table.columns[i].wraps && widths[i] > narrowest && (widest == widths.size() || widths[i] > widths[widest]))
          widest = i;
      if (total <= width_ || widest == widths.size()) return widths;
      --widths[widest];
    }
  }

  void put_row(const std::vector<std::string>& row, const std::vector<size_t>& widths) {
    std::vector<std::vector<std::string>> cells;
    size_t height = 1;
    for (size_t i = 0; i < row.size(); ++i) {
      cells.push_back(wrapped(row[i], widths[i]));
      height = std::max(height, cells.back().size());
    }
    for (size_t y = 0; y < height; ++y) {
      std::string line;
      for (size_t i = 0; i < cells.size(); ++i) {
        if (i > 0) line += "  ";
        pad(line, y < cells[i].size() ? cells[i][y] : "", widths[i]);
      }
      put_line(out_, line);
    }
  }

  size_t width_;
  std::string out_;
};

// Text that is to be read as text: nothing in it starts a mark, a link, HTML or a new cell.
std::string markdown(std::string_view text) {
  std::string out;
  for (char c : printable(text)) {
    if (c == '&') {
      out += "&amp;";
    } else if (c == '<') {
      out += "&lt;";
    } else {
      if (std::string_view("\\`*_[]|~#>!").find(c) != std::string_view::npos) out += '\\';
      out += c;
    }
  }
  return out;
}

class MarkdownRenderer {
 public:
  void operator()(const Heading& heading) {
    gap();
    out_ += std::string(static_cast<size_t>(heading.level), '#') + ' ' + markdown(heading.text) + '\n';
  }
  void operator()(const Facts& facts) {
    gap();
    for (const auto& [label, value] : facts.rows) out_ += "- " + markdown(label) + ": " + markdown(value) + '\n';
  }
  void operator()(const Grid& table) {
    gap();
    std::string titles = "|", rule = "|";
    for (const Grid::Column& column : table.columns) {
      titles += ' ' + markdown(column.title) + " |";
      rule += " --- |";
    }
    out_ += titles + '\n' + rule + '\n';
    for (const auto& row : table.rows) {
      out_ += '|';
      for (const std::string& cell : row) out_ += cell.empty() ? " |" : ' ' + markdown(cell) + " |";
      out_ += '\n';
    }
  }
  void operator()(const Steps& steps) {
    gap();
    for (const Steps::Step& step : steps.rows)
      out_ += std::string(2 * std::min<size_t>(step.depth, 12), ' ') + "- " + markdown(step.text) + '\n';
  }
  void operator()(const CautionText& caution) {
    gap();
    out_ += "> **CautionText:** " + markdown(caution.text) + '\n';
  }
  std::string take() { return std::move(out_); }

 private:
  void gap() {
    if (!out_.empty()) out_ += '\n';
  }
  std::string out_;
};

}  // namespace

std::string render_text(const Page& page, size_t width) {
  TextRenderer renderer(width);
  for (const auto& block : page) std::visit(renderer, block);
  return renderer.take();
}

std::string render_markdown(const Page& page) {
  MarkdownRenderer renderer;
  for (const auto& block : page) std::visit(renderer, block);
  return renderer.take();
}

Grid without_empty_columns(const Grid& table) {
  Grid kept;
  kept.rows.resize(table.rows.size());
  for (size_t i = 0; i < table.columns.size(); ++i) {
    const bool used =
        std::any_of(table.rows.begin(), table.rows.end(), [&](const auto& row) { return !row[i].empty(); });
    if (!used) continue;
    kept.columns.push_back(table.columns[i]);
    for (size_t row = 0; row < table.rows.size(); ++row) kept.rows[row].push_back(table.rows[row][i]);
  }
  return kept;
}

}  // namespace loomproof::bench
