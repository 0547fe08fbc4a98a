#include "reports/escape.h"

#include <algorithm>
#include <array>

namespace loomproof {
namespace {

struct Bytes {
  std::string_view first, last;  // UTF-8 of the same length
};
// Characters that are not seen, or that turn the writing direction of what follows; C1 controls; two that are none.
constexpr std::array<Bytes, 8> unseen{{{"\xC2\x80", "\xC2\x9F"},
                                       {"\xC2\xAD", "\xC2\xAD"},
                                       {"\xD8\x9C", "\xD8\x9C"},
                                       {"\xE2\x80\x8B", "\xE2\x80\x8F"},
                                       {"\xE2\x80\xA8", "\xE2\x80\xAE"},
                                       {"\xE2\x81\xA0", "\xE2\x81\xAF"},
                                       {"\xEF\xBB\xBF", "\xEF\xBB\xBF"},
                                       {"\xEF\xBF\xBE", "\xEF\xBF\xBF"}}};
constexpr std::string_view replacement = "\xEF\xBF\xBD";  // U+FFFD

bool is_control(char c) {
  return static_cast<unsigned char>(c) < 0x20 || c == 0x7f;
}

bool is_space(char c) {
  return c == '\n' || c == '\r' || c == '\t';
}

// How many bytes of an unseen character begin here; 0: none does.
size_t unseen_length(std::string_view text) {
  for (const Bytes& range : unseen) {
    const std::string_view one = text.substr(0, range.first.size());
    if (one.size() == range.first.size() && one >= range.first && one <= range.last) return one.size();
  }
  return 0;
}

// Copies a text; `write(c)` decides about white space that is no blank, and about every byte that can be seen.
template <typename Write>
void each_seen(std::string_view text, std::string& out, Write&& write) {
  while (!text.empty()) {
    const bool ascii = static_cast<unsigned char>(text[0]) < 0x80;
    const size_t length = !ascii ? unseen_length(text) : is_control(text[0]) && !is_space(text[0]) ? 1 : 0;
    if (length > 0) {
      out += replacement;
      text.remove_prefix(length);
      continue;
    }
    write(text);
    text.remove_prefix(1);
  }
}

bool begins(std::string_view text, std::string_view with) {
  return text.substr(0, with.size()) == with;
}

}  // namespace

std::string plain_line(std::string_view text) {
  std::string out;
  each_seen(text, out, [&](std::string_view rest) { out += is_space(rest[0]) ? ' ' : rest[0]; });
  return out;
}

std::string markdown_text(std::string_view text) {
  constexpr std::string_view markup = "\\`*_[]|~$#!";
  std::string out;
  each_seen(text, out, [&](std::string_view rest) {
    const char c = rest[0];
    if (is_space(c)) {
      out += ' ';
    } else if (c == '<') {
      out += "&lt;";
    } else if (c == '>') {
      out += "&gt;";
    } else if (c == '&') {
      out += "&amp;";
    } else if (begins(rest, "://") || c == '@' || markup.find(c) != std::string_view::npos) {
      out.append("\\").append(1, c);
    } else if (c == '.' && out.size() >= 3 && std::string_view(out).substr(out.size() - 3) == "www") {
      out += "\\.";
    } else {
      out += c;
    }
  });
  return out;
}

std::string markdown_line(std::string_view text) {
  while (!text.empty() && (text[0] == ' ' || is_space(text[0]))) text.remove_prefix(1);
  std::string line = markdown_text(text);
  size_t digits = 0;
  while (digits < line.size() && line[digits] >= '0' && line[digits] <= '9') ++digits;
  const bool begins_list =
      digits < line.size() && std::string_view(digits > 0 ? ".)" : "-+=").find(line[digits]) != std::string_view::npos;
  return begins_list ? line.insert(digits, "\\") : line;
}

std::string markdown_code(std::string_view text) {
  const bool ordinary = !text.empty() && std::all_of(text.begin(), text.end(), [](char c) {
    return (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z') || (c >= '0' && c <= '9') ||
           std::string_view("-+_.").find(c) != std::string_view::npos;
  });
  return ordinary ? "`" + std::string(text) + "`" : markdown_text(text);
}

std::string html_text(std::string_view text) {
  std::string out;
  each_seen(text, out, [&](std::string_view rest) {
    switch (rest[0]) {
      case '<':
        out += "&lt;";
        break;
      case '>':
        out += "&gt;";
        break;
      case '&':
        out += "&amp;";
        break;
      case '"':
        out += "&quot;";
        break;
      case '\'':
        out += "&#39;";
        break;
      default:
        out += is_space(rest[0]) ? ' ' : rest[0];
    }
  });
  return out;
}

std::string csv_field(std::string_view text) {
  std::string out;
  if (!text.empty() && std::string_view("=+-@\t\r").find(text[0]) != std::string_view::npos) out += '\'';
  bool quoted = !text.empty() && (text.front() == ' ' || text.back() == ' ');
  each_seen(text, out, [&](std::string_view rest) {
    if (rest[0] == '"') out += '"';
    quoted |= rest[0] == '"' || rest[0] == ',' || is_space(rest[0]);
    out += rest[0];
  });
  return quoted ? '"' + out + '"' : out;
}

}  // namespace loomproof
