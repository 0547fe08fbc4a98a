#include "reports/table.h"

#include <fmt/format.h>

#include "reports/escape.h"

namespace loomproof::reports {

std::string MarkdownTable::text() const {
  if (rows_.empty()) return {};
  std::vector<size_t> shown;
  for (size_t i = 0; i < columns_.size(); ++i) {
    bool used = columns_[i].kept;
    for (const auto& row : rows_) used |= !row[i].empty();
    if (used) shown.push_back(i);
  }
  std::string headings = "|", rule = "|", body;
  for (size_t i : shown) {
    headings += fmt::format(" {} |", columns_[i].heading);
    rule += columns_[i].number ? " ---: |" : " --- |";
  }
  for (const auto& row : rows_) {
    body += '|';
    for (size_t i : shown) body += row[i].empty() ? "  |" : fmt::format(" {} |", row[i]);
    body += '\n';
  }
  return headings + "\n" + rule + "\n" + body + "\n";
}

void CsvTable::add(const std::vector<std::string>& cells) {
  for (size_t i = 0; i < cells.size(); ++i) {
    if (i > 0) text_ += ',';
    text_ += csv_field(cells[i]);
  }
  text_ += '\n';
}

std::string list_words(const std::vector<std::string>& items) {
  std::string text;
  for (size_t i = 0; i < items.size(); ++i) {
    if (i > 0) text += i + 1 == items.size() ? " and " : ", ";
    text += items[i];
  }
  return text;
}

void append(std::string& text, std::string_view more, std::string_view separator) {
  if (more.empty()) return;
  if (!text.empty()) text += separator;
  text += more;
}

std::string in_brackets(std::string_view more) {
  return more.empty() ? std::string() : fmt::format(" ({})", more);
}

std::string count_words(size_t count, std::string_view one, std::string_view many) {
  return fmt::format("{} {}", count, count == 1 ? one : many);
}

}  // namespace loomproof::reports
