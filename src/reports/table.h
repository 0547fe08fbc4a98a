// Tables as text: Markdown for people, CSV for programs. Markdown rows are not padded to equal widths, so that a change
// of one cell shows as a change of one line.
#pragma once
#include <string>
#include <string_view>
#include <vector>

namespace loomproof::reports {

struct Column {
  std::string heading;
  bool number = false;  // to the right
  bool kept = false;    // also where no row has anything in it
};

class MarkdownTable {
 public:
  explicit MarkdownTable(std::vector<Column> columns) : columns_(std::move(columns)) {}
  void add(std::vector<std::string> cells) { rows_.push_back(std::move(cells)); }  // Markdown already
  bool empty() const { return rows_.empty(); }
  std::string text() const;  // with an empty line behind it; empty where there are no rows

 private:
  std::vector<Column> columns_;
  std::vector<std::vector<std::string>> rows_;
};

class CsvTable {
 public:
  explicit CsvTable(std::vector<std::string> headings) { add(headings); }
  void add(const std::vector<std::string>& cells);  // plain text: escaped here
  const std::string& text() const { return text_; }

 private:
  std::string text_;
};

// "a, b and c"
std::string list_words(const std::vector<std::string>& items);
// Appends with a separator between, where both are there.
void append(std::string& text, std::string_view more, std::string_view separator = "; ");
// " (more)"; nothing where there is no more.
std::string in_brackets(std::string_view more);
// "1 cavity", "12 cavities"
std::string count_words(size_t count, std::string_view one, std::string_view many);

}  // namespace loomproof::reports
