#include "upkeep/csv.h"

#include <csv.h>
#include <fmt/format.h>

#include <algorithm>
#include <map>

#include "source/utf8.h"

namespace loomproof::upkeep {

namespace {

std::optional<CsvFault> check_text(std::string_view bytes) {
  if (bytes.starts_with("\xFF\xFE") || bytes.starts_with("\xFE\xFF"))
    return CsvFault{{}, "this is UTF-16; save the table as UTF-8"};
  TextPlace place;
  for (size_t at = 0; at < bytes.size();) {
    const Utf8Char c = utf8_at(bytes, at);
    if (!c.good)
      return CsvFault{
          place, fmt::format("byte 0x{:02X} is no UTF-8; save the table as UTF-8", static_cast<uint8_t>(bytes[at]))};
    if (c.code == 0) return CsvFault{place, "a NUL byte: this is no table in text"};
    if (c.code != '\t' && c.code != '\n' && c.code != '\r' && is_invisible_control(c.code))
      return CsvFault{place, fmt::format("U+{:04X}, a control character that is not seen", c.code)};
    ++place.column;
    if (c.code == '\n' || (c.code == '\r' && (at + 1 == bytes.size() || bytes[at + 1] != '\n'))) {
      ++place.line;
      place.column = 1;
    }
    at += c.length;
  }
  return std::nullopt;
}

std::string name_of(char separator) {
  return separator == '\t' ? "tab" : std::string("`") + separator + "`";
}

// What stands most often in the first line, outside quotes.
std::optional<CsvFault> detect(std::string_view bytes, char& separator) {
  constexpr std::string_view known = ",;\t";
  std::map<char, size_t> counts;
  bool quoted = false;
  const size_t begin = bytes.find_first_not_of("\r\n");
  for (size_t at = begin; at < bytes.size(); ++at) {
    const char c = bytes[at];
    if (c == '"') quoted = !quoted;
    if (quoted) continue;
    if (c == '\n' || c == '\r') break;
    if (known.find(c) != known.npos) ++counts[c];
  }
  for (const auto& [c, count] : counts)
    if (separator == 0 || count > counts[separator]) separator = c;
  for (const auto& [c, count] : counts)
    if (c != separator && count == counts[separator])
      return CsvFault{{},
                      fmt::format("{} and {} stand equally often in the headings; name the one that separates with "
                                  "--separator",
                                  name_of(separator), name_of(c))};
  if (separator == 0) return CsvFault{{}, "no comma, semicolon or tab in the headings: this is no table"};
  return std::nullopt;
}

// One byte at a time goes to the library, so that every cell's place is known when it is handed over.
class Reader {
 public:
  Reader(std::string_view bytes, CsvTable& table, const CsvLimits& limits)
      : bytes_(bytes), table_(table), limits_(limits) {}

  std::optional<CsvFault> read() {
    csv_parser parser;
    if (csv_init(&parser, CSV_STRICT | CSV_STRICT_FINI) != 0) return CsvFault{{}, "out of memory"};
    csv_set_delim(&parser, static_cast<unsigned char>(table_.separator));
    csv_set_space_func(&parser, [](unsigned char c) { return c == ' ' ? 1 : 0; });
    run(parser);
    csv_free(&parser);
    return std::move(fault_);
  }

 private:
  void run(csv_parser& parser) {
    for (; at_ < bytes_.size() && !fault_; ++at_) {
      if (at_ - cell_begin_ > limits_.cell_bytes) {
        fail(cell_, fmt::format("more than {} bytes in one cell", limits_.cell_bytes));
      } else if (csv_parse(&parser, bytes_.data() + at_, 1, end_cell, end_row, this) != 1) {
        fail_at_quote();
      } else {
        step();
      }
    }
    if (!fault_ && csv_fini(&parser, end_cell, end_row, this) != 0)
      fail(cell_, "the quote that begins here has no end");
  }

  void step() {
    const char c = bytes_[at_];
    const bool ends_line = c == '\n' || (c == '\r' && (at_ + 1 == bytes_.size() || bytes_[at_ + 1] != '\n'));
    if (ends_line) {
      ++place_.line;
      place_.column = 1;
    } else if ((c & 0xC0) != 0x80) {
      ++place_.column;
    }
    // A cell begins behind a separator or at the first character of a line that is not blank.
    if (ended_ || (row_.empty() && (c == '\n' || c == '\r')) || (cell_begin_ == at_ && c == ' ')) {
      cell_ = place_;
      cell_begin_ = at_ + 1;
      ended_ = false;
    }
  }

  void fail(TextPlace place, std::string text) {
    if (!fault_) fault_ = CsvFault{place, std::move(text)};
  }

  void fail_at_quote() {
    const bool quoted = cell_begin_ < bytes_.size() && bytes_[cell_begin_] == '"';
    fail(place_, quoted ? "text behind a closing quote; a quote within quotes is written twice"
                        : "a quote within a cell; put the whole cell in quotes and write this one twice");
  }

  static void end_cell(void* text, size_t size, void* self) {
    Reader& reader = *static_cast<Reader*>(self);
    reader.row_.push_back({std::string(static_cast<const char*>(text), size), reader.cell_});
    reader.ended_ = true;
  }

  static void end_row(int, void* self) {
    Reader& reader = *static_cast<Reader*>(self);
    reader.take_row();
    reader.row_.clear();
  }

  void take_row() {
    const bool blank = std::all_of(row_.begin(), row_.end(), [](const CsvCell& cell) { return cell.text.empty(); });
    if (row_.empty() || blank) return;
    const TextPlace begin = row_.front().place;
    if (table_.headings.empty()) {
      if (row_.size() > limits_.columns) fail(begin, fmt::format("more than {} columns", limits_.columns));
      table_.headings = row_;
    } else if (row_.size() != table_.headings.size()) {
      fail(begin, fmt::format("{} cell{} in this row, {} in the headings", row_.size(), row_.size() == 1 ? "" : "s",
                              table_.headings.size()));
    } else if (table_.rows.size() >= limits_.rows) {
      fail(begin, fmt::format("more than {} rows", limits_.rows));
    } else {
      table_.rows.push_back(row_);
    }
  }

  std::string_view bytes_;
  CsvTable& table_;
  const CsvLimits& limits_;
  size_t at_ = 0, cell_begin_ = 0;
  TextPlace place_, cell_;
  bool ended_ = false;
  CsvRow row_;
  std::optional<CsvFault> fault_;
};

}  // namespace

std::optional<CsvFault> read_csv(std::string_view bytes, char separator, CsvTable& table, const CsvLimits& limits) {
  if (bytes.starts_with("\xEF\xBB\xBF")) bytes.remove_prefix(3);
  table = {};
  if (auto fault = check_text(bytes)) return fault;
  if (bytes.find_first_not_of(" \t\r\n") == bytes.npos) return CsvFault{{}, "the table is empty"};
  if (separator == 0)
    if (auto fault = detect(bytes, separator)) return fault;
  table.separator = separator;
  if (auto fault = Reader(bytes, table, limits).read()) return fault;
  if (table.headings.empty()) return CsvFault{{}, "the table is empty"};
  if (table.rows.empty()) return CsvFault{table.headings.front().place, "headings, and no row below them"};
  return std::nullopt;
}

}  // namespace loomproof::upkeep
