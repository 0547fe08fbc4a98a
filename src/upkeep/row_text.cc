#include "upkeep/row_text.h"

#include <fmt/format.h>

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

std::string source_text(const Citation& citation) {
  if (citation.of.size() == 1) return citation.of.front();
  std::string list;
  for (const std::string& id : citation.of) list += (list.empty() ? "" : ", ") + id;
  return citation.independent ? fmt::format("{{of: [{}], independent: true}}", list) : fmt::format("[{}]", list);
}

}  // namespace loomproof::upkeep
