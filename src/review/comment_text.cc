#include "review/comment_text.h"

#include <algorithm>

#include "reports/escape.h"

namespace loomproof::review {
namespace {

bool is_digit(char c) {
  return c >= '0' && c <= '9';
}
bool is_letter(char c) {
  return (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z');
}
bool is_hex(char c) {
  return is_digit(c) || (c >= 'a' && c <= 'f') || (c >= 'A' && c <= 'F');
}
bool is_one_of(char c, std::string_view set) {
  return set.find(c) != std::string_view::npos;
}

size_t run(std::string_view text, size_t at, bool (*is_part)(char)) {
  size_t end = at;
  while (end < text.size() && is_part(text[end])) ++end;
  return end - at;
}

// How many bytes at `at` a forge may take for the beginning of something else than text; 0: none.
size_t reference_at(std::string_view text, size_t at) {
  const std::string_view rest = text.substr(at);
  const char c = rest[0], next = rest.size() > 1 ? rest[1] : '\0';
  if (c == '@') return 1;  // a person
  if (rest.starts_with("://")) return 3;
  // An issue, a merge request, a milestone, a label …
  if (is_one_of(c, "#!~%$&^") && (is_letter(next) || is_digit(next) || is_one_of(next, "\"'{_["))) return 1;
  if (c == ':') {  // a picture by its name
    const size_t length =
        run(text, at + 1, [](char each) { return is_letter(each) || is_digit(each) || is_one_of(each, "_+-"); });
    if (length > 0 && rest.substr(1 + length).starts_with(':')) return 1;
  }
  if ((c == 'w' || c == 'W') && rest.size() > 3 && (next | 0x20) == 'w' && (rest[2] | 0x20) == 'w' && rest[3] == '.')
    return 4;
  const bool begins_word = at == 0 || !(is_letter(text[at - 1]) || is_digit(text[at - 1]));
  if (!begins_word) return 0;
  if ((c == 'G' || c == 'g') && (next == 'H' || next == 'h') && rest.size() > 3 && rest[2] == '-' && is_digit(rest[3]))
    return 3;
  const size_t hex = run(text, at, is_hex);  // a commit
  if (hex >= 7 && (hex == rest.size() || !is_letter(rest[hex]))) return hex;
  return 0;
}

template <typename First, typename Plain>
std::string parted(std::string_view text, First first, Plain plain) {
  std::string out;
  size_t begin = 0;
  const auto flush = [&](size_t end) {
    if (end > begin) out += begin == 0 ? first(text.substr(0, end)) : plain(text.substr(begin, end - begin));
  };
  for (size_t at = 0; at < text.size();) {
    const size_t length = reference_at(text, at);
    if (length == 0) {
      ++at;
      continue;
    }
    flush(at);
    out += "<code>" + plain(text.substr(at, length)) + "</code>";
    at += length;
    begin = at;
  }
  flush(text.size());
  return out;
}

std::string html_text(std::string_view text) {
  std::string out;
  for (const char c : plain_line(text)) {
    if (c == '<')
      out += "&lt;";
    else if (c == '>')
      out += "&gt;";
    else if (c == '&')
      out += "&amp;";
    else
      out += c;
  }
  return out;
}

}  // namespace

std::string comment_text(std::string_view text) {
  return parted(text, markdown_text, markdown_text);
}
std::string comment_line(std::string_view text) {
  return parted(text, markdown_line, markdown_text);
}
std::string comment_code(std::string_view text) {
  const std::string inner = comment_text(text);  // a mail address would be a link in code too
  const bool is_code = inner.starts_with("<code>") && inner.find("</code>") + 7 == inner.size();
  return is_code ? inner : "<code>" + inner + "</code>";
}
std::string comment_html(std::string_view text) {
  return parted(text, html_text, html_text);
}

std::string clipped(std::string_view text, size_t most) {
  if (text.size() <= most) return std::string(text);
  size_t end = most > 3 ? most - 3 : 0;
  while (end > 0 && (static_cast<unsigned char>(text[end]) & 0xC0) == 0x80) --end;
  return std::string(text.substr(0, end)) + "…";
}

}  // namespace loomproof::review
