#include "upkeep/row_text.h"

#include <fmt/format.h>

#include <algorithm>

namespace loomproof::upkeep {

void RowText::add(std::string_view key, std::string_view value) {
  if (!value.empty()) add_tags(fmt::format("{}: {}", key, value));
}

void RowText::add_tags(std::string_view tags) {
  if (!tags.empty()) cells_ += fmt::format("{}{}", cells_.empty() ? "" : ", ", tags);
}

void RowText::add_marks(uint32_t marks) {
  RowText inner;
  const auto mark = [&](std::string_view field, uint32_t single, uint32_t memory) {
    if (marks & single) inner.add(field, "single");
    if (marks & memory) inner.add(field, "memory");
  };
  mark("function", function_single, function_memory);
  mark("colour", colour_single, colour_memory);
  mark("mm2", mm2_single, mm2_memory);
  if (!inner.cells_.empty()) add("marks", inner.text());
}

std::string quoted(std::string_view text) {
  const auto is_plain = [](char c) {
    return (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z') || (c >= '0' && c <= '9') || c == ' ' || c == '.' ||
           c == '-' || c == '/' || (static_cast<unsigned char>(c) & 0x80) != 0;
  };
  const bool begins_plain =
      !text.empty() && is_plain(text.front()) && std::string_view(" .-/").find(text.front()) == text.npos;
  if (text.empty() || (begins_plain && text.back() != ' ' && std::all_of(text.begin(), text.end(), is_plain)))
    return std::string(text);
  std::string out = "\"";
  for (const char c : text) {
    if (c == '"' || c == '\\') out += '\\';
    out += c == '\n' || c == '\r' || c == '\t' ? ' ' : c;
  }
  return out + "\"";
}

std::string source_text(const Citation& citation) {
  if (citation.of.size() == 1) return citation.of.front();
  std::string list;
  for (const std::string& id : citation.of) list += (list.empty() ? "" : ", ") + id;
  return citation.independent ? fmt::format("{{of: [{}], independent: true}}", list) : fmt::format("[{}]", list);
}

}  // namespace loomproof::upkeep
