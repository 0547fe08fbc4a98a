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
    after_heading_ = true;
  }

  void operator()(const Facts& facts) {
    gap();
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
    const std::vector<Grid::Row> cells = printable_cells(table);
    const std::vector<size_t> widths = fit(table, cells);
    gap();
    std::vector<std::string> titles;
    for (const Grid::Column& column : table.columns) titles.push_back(column.title);
    put_row(titles, widths);
    std::string rule;
    for (size_t i = 0; i < widths.size(); ++i) rule += (i ? "  " : "") + std::string(widths[i], '-');
    put_line(out_, rule);
    for (const Grid::Row& row : cells) {
      put_row(row.cells, widths);
      const std::string lead(widths.empty() ? 0 : widths[0] + 2, ' ');
      if (row.remark.empty()) continue;
      for (const std::string& line : wrapped(row.remark, width_ - lead.size())) put_line(out_, lead + line);
    }
  }

  void operator()(const Steps& steps) {
    gap();
    for (const Steps::Step& step : steps.rows) {
      std::string lead(2 * std::min<size_t>(step.depth, 12), ' ');
      lead += step.branch ? "- " : "  ";
      for (const std::string& line : wrapped(printable(step.text), width_ - lead.size() - 2)) {
        put_line(out_, lead + line);
        lead.assign(2 * std::min<size_t>(step.depth, 12) + 4, ' ');
      }
    }
  }

  void operator()(const CautionText& caution) {
    std::string lead = "\n! ";
    after_heading_ = false;
    for (const std::string& line : wrapped(printable(caution.text), width_ - 2)) {
      put_line(out_, lead + line);
      lead = "  ";
    }
  }

  std::string take() { return std::move(out_); }

 private:
  // What follows a heading stands right under it; all else is set off.
  void gap() {
    if (!after_heading_ && !out_.empty()) out_ += '\n';
    after_heading_ = false;
  }

  static std::vector<Grid::Row> printable_cells(const Grid& table) {
    std::vector<Grid::Row> rows = table.rows;
    for (Grid::Row& row : rows) {
      row.remark = printable(row.remark);
      for (std::string& cell : row.cells) cell = printable(cell);
    }
    return rows;
  }

  // Natural widths, then the widest column that wraps gives way until the line fits. Words stay whole, unless they are
  // so long that the line would never fit.
  std::vector<size_t> fit(const Grid& table, const std::vector<Grid::Row>& rows) const {
    constexpr size_t longest_word = 12;
    std::vector<size_t> widths, narrowest;
    for (const Grid::Column& column : table.columns) {
      widths.push_back(columns_of(column.title));
      narrowest.push_back(columns_of(column.title));
    }
    for (const Grid::Row& row : rows)
      for (size_t i = 0; i < row.cells.size(); ++i) {
        widths[i] = std::max(widths[i], columns_of(row.cells[i]));
        for (std::string_view word : words_of(row.cells[i]))
          narrowest[i] = std::max(narrowest[i], std::min(columns_of(word), longest_word));
      }
    for (;;) {
      const size_t total = std::accumulate(widths.begin(), widths.end(), 2 * (widths.size() - 1));
      size_t widest = widths.size();
      for (size_t i = 0; i < widths.size(); ++i)
        if (table.columns[i].wraps && widths[i] > narrowest[i] &&
            (widest == widths.size() || widths[i] > widths[widest]))
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
  bool after_heading_ = false;
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
    const bool remarks =
        std::any_of(table.rows.begin(), table.rows.end(), [](const Grid::Row& row) { return !row.remark.empty(); });
    std::string titles = "|", rule = "|";
    for (const Grid::Column& column : table.columns) {
      titles += ' ' + markdown(column.title) + " |";
      rule += " --- |";
    }
    out_ += titles + (remarks ? " remark |" : "") + '\n' + rule + (remarks ? " --- |" : "") + '\n';
    for (const Grid::Row& row : table.rows) {
      out_ += '|';
      for (const std::string& cell : row.cells) put_cell(cell);
      if (remarks) put_cell(row.remark);
      out_ += '\n';
    }
  }
  // A branch is one line: its steps follow each other along it.
  void operator()(const Steps& steps) {
    gap();
    const char* line_end = "";
    for (const Steps::Step& step : steps.rows) {
      const bool begins = step.branch || step.depth == 0;
      if (begins)
        out_ += line_end + std::string(2 * std::min<size_t>(step.depth, 12), ' ') + "- ";
      else
        out_ += " → ";
      out_ += markdown(step.text);
      line_end = "\n";
    }
    out_ += line_end;
  }
  void operator()(const CautionText& caution) {
    gap();
    out_ += "> **Caution:** " + markdown(caution.text) + '\n';
  }
  std::string take() { return std::move(out_); }

 private:
  void gap() {
    if (!out_.empty()) out_ += '\n';
  }
  void put_cell(const std::string& cell) { out_ += cell.empty() ? " |" : ' ' + markdown(cell) + " |"; }
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
  for (const Grid::Row& row : table.rows) kept.rows.push_back({{}, row.remark});
  for (size_t i = 0; i < table.columns.size(); ++i) {
    const bool used =
        std::any_of(table.rows.begin(), table.rows.end(), [&](const Grid::Row& row) { return !row.cells[i].empty(); });
    if (!used) continue;
    kept.columns.push_back(table.columns[i]);
    for (size_t row = 0; row < table.rows.size(); ++row) kept.rows[row].cells.push_back(table.rows[row].cells[i]);
  }
  return kept;
}

}  // namespace loomproof::bench
