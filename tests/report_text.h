// Reading what the reports wrote, independently of how they wrote it: CSV by RFC 4180, Markdown by the rules of
// CommonMark 0.30 (backslash escapes, section 2.4; character references, 2.5) and of GitHub's tables.
#pragma once
#include <map>
#include <set>
#include <string>
#include <string_view>
#include <vector>

namespace loomproof::testing {

using Csv = std::vector<std::vector<std::string>>;

// RFC 4180, with line ends of LF alone; a leading apostrophe before what a spreadsheet would take for a formula is
// taken off again. Throws a text where the file is malformed.
inline Csv read_csv(std::string_view text) {
  Csv lines;
  size_t at = 0;
  while (at < text.size()) {
    std::vector<std::string> line;
    for (;;) {
      std::string field;
      const bool quoted = at < text.size() && text[at] == '"';
      if (quoted) {
        for (++at;; ++at) {
          if (at >= text.size()) throw std::string("an open quote");
          if (text[at] != '"') {
            field += text[at];
          } else if (at + 1 < text.size() && text[at + 1] == '"') {
            field += text[++at];
          } else {
            ++at;
            break;
          }
        }
      } else {
        while (at < text.size() && text[at] != ',' && text[at] != '\n') {
          if (text[at] == '"' || text[at] == '\r') throw std::string("a bare quote or return");
          field += text[at++];
        }
      }
      if (field.size() > 1 && field[0] == '\'' && std::string_view("=+-@\t\r").find(field[1]) != std::string_view::npos)
        field.erase(0, 1);
      line.push_back(field);
      if (at >= text.size()) throw std::string("no line end at the end");
      if (text[at] == '\n') break;
      if (text[at] != ',') throw std::string("something behind a closing quote");
      ++at;
    }
    ++at;
    lines.push_back(line);
  }
  return lines;
}

// Rows by their headings.
inline std::vector<std::map<std::string, std::string>> rows_of(std::string_view csv) {
  std::vector<std::map<std::string, std::string>> rows;
  const Csv lines = read_csv(csv);
  for (size_t i = 1; i < lines.size(); ++i) {
    if (lines[i].size() != lines[0].size()) throw std::string("a row of another length");
    std::map<std::string, std::string> row;
    for (size_t column = 0; column < lines[0].size(); ++column) row[lines[0][column]] = lines[i][column];
    rows.push_back(row);
  }
  return rows;
}

inline bool is_punctuation(char c) {
  return (c >= '!' && c <= '/') || (c >= ':' && c <= '@') || (c >= '[' && c <= '`') || (c >= '{' && c <= '~');
}

// What a reader sees of inline text that holds no markup; throws a text where it holds some.
inline std::string read_inline(std::string_view text) {
  std::string seen;
  for (size_t i = 0; i < text.size(); ++i) {
    const char c = text[i];
    if (c == '\\' && i + 1 < text.size() && is_punctuation(text[i + 1])) {
      seen += text[++i];
    } else if (c == '&') {
      bool known = false;
      for (const auto& [name, character] :
           {std::pair<std::string_view, char>("&lt;", '<'), {"&gt;", '>'}, {"&amp;", '&'}}) {
        if (text.substr(i, name.size()) != name) continue;
        seen += character;
        i += name.size() - 1;
        known = true;
        break;
      }
      if (!known) throw std::string("a bare ampersand");
    } else if (std::string_view("\\`*_[]|~$#<>!").find(c) != std::string_view::npos) {
      throw std::string("bare markup: ") + c;
    } else if (c == ':' && text.substr(i, 3) == "://") {
      throw std::string("a bare link");
    } else {
      seen += c;
    }
  }
  return seen;
}

// Cells of a table's line.
inline size_t bars(std::string_view line) {
  size_t count = 0;
  for (size_t i = 0; i < line.size(); ++i) {
    if (line[i] == '\\')
      ++i;
    else
      count += line[i] == '|';
  }
  return count;
}

// What is wrong with a page: tables with ragged rows, HTML, control characters. Empty where nothing is.
inline std::string fault_of_page(std::string_view page) {
  size_t columns = 0;
  while (!page.empty()) {
    const size_t end = page.find('\n');
    if (end == std::string_view::npos) return "no line end at the end";
    const std::string_view line = page.substr(0, end);
    page.remove_prefix(end + 1);
    for (const char c : line)
      if (static_cast<unsigned char>(c) < 0x20 || c == 0x7f || c == '<')
        return "unwanted character in: " + std::string(line);
    if (line.empty() || line[0] != '|') {
      columns = 0;
      continue;
    }
    if (columns != 0 && bars(line) != columns) return "ragged table: " + std::string(line);
    columns = bars(line);
  }
  return {};
}

// Targets of the links on a page, relative to its folder.
inline std::vector<std::string> links_of(std::string_view page) {
  std::vector<std::string> links;
  for (size_t i = 0; i + 1 < page.size(); ++i) {
    if (page[i] == '\\') {
      ++i;
    } else if (page[i] == ']' && page[i + 1] == '(') {
      links.emplace_back(page.substr(i + 2, page.find(')', i) - i - 2));
    }
  }
  return links;
}

// Texts that try to be more than text.
inline const std::vector<std::string> nasty = {
    "plain",
    "a|b \\| c",
    "**bold** _under_ `code` ~~gone~~",
    "[text](javascript:alert(1)) ![x](http://host.example/x)",
    "<script>alert(1)</script> <!-- x --> &copy; &lt;",
    "https://host.example and www.host.example",
    "# heading",
    "- item",
    "1. item",
    "> quote",
    "=SUM(A1:A9)",
    "+1",
    "-1",
    "@cmd",
    "\tTAB",
    "\rCR",
    "line\nbreak",
    "quote \" and comma, and semicolon;",
    " leading and trailing ",
    "'=already",
    "$x$ $$y$$",
    std::string("bell\x07 escape\x1b[31m nul") + '\0' + "del\x7f",
    "turned \xE2\x80\xAEtxet\xE2\x80\xAC, hidden \xE2\x80\x8B, mark \xEF\xBB\xBF, control \xC2\x9B",
    "umlaut \xC3\xA4, micro \xC2\xB5, \xE2\x96\xB2",
    "../../etc/passwd",
    "/absolute",
    "",
};

// A path below a folder that cannot lead out of it, every name of it short.
inline bool is_safe_name(const std::string& path) {
  size_t begin = 0;
  for (;;) {
    const size_t slash = path.find('/', begin);
    const std::string name = path.substr(begin, slash == std::string::npos ? std::string::npos : slash - begin);
    if (name.empty() || name.size() > 119 || name[0] == '.') return false;
    if (name.find_first_not_of("abcdefghijklmnopqrstuvwxyz0123456789._-") != std::string::npos) return false;
    if (slash == std::string::npos) return true;
    begin = slash + 1;
  }
}

}  // namespace loomproof::testing
