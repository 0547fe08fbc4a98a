#include "reports/evidence.h"

#include <fmt/format.h>

#include "family/words.h"
#include "reports/escape.h"
#include "reports/table.h"

namespace loomproof::reports {

bool is_weak(SourceKind kind) {
  return kind == SourceKind::practice || kind == SourceKind::memory;
}

std::vector<Index> sources_of(const Family& family, CiteId cite) {
  const Rows<Index> refs = rows(family.source_refs, family.cites[cite].sources);
  return {refs.begin(), refs.end()};
}

std::string sources_text(const Family& family, CiteId cite) {
  std::string text;
  const std::vector<Index> sources = sources_of(family, cite);
  for (Index source : sources) {
    const Source& row = family.sources[source];
    std::string one(family.text(row.id));
    if (is_weak(row.kind)) one += fmt::format(" ({})", word(row.kind));
    append(text, one);
  }
  if (family.cites[cite].independent && sources.size() > 1) text += ", independent of each other";
  return text;
}

std::string sources_markdown(const Family& family, CiteId cite) {
  const std::string text = markdown_text(sources_text(family, cite));
  return family.cites[cite].own && !text.empty() ? "**" + text + "**" : text;
}

std::string_view cited_at(const Family& family, CiteId cite) {
  const Cite& row = family.cites[cite];
  return row.sources.count == 0 ? "" : row.own ? "row" : "file";
}

std::string mark_text(uint32_t marks, Mark single, Mark memory) {
  std::string text;
  if (marks & single) append(text, "single source", ", ");
  if (marks & memory) append(text, "from memory", ", ");
  return text;
}

std::string marks_text(uint32_t marks) {
  struct Words {
    uint32_t mark;
    std::string_view text;
  };
  constexpr Words all[] = {
      {function_single, "function from a single source"}, {function_memory, "function from memory"},
      {colour_single, "colour from a single source"},     {colour_memory, "colour from memory"},
      {mm2_single, "cross-section from a single source"}, {mm2_memory, "cross-section from memory"},
      {ohm_single, "resistance from a single source"},    {ohm_memory, "resistance from memory"},
      {amps_single, "current from a single source"},      {amps_memory, "current from memory"}};
  std::string text;
  for (const Words& one : all)
    if (marks & one.mark) append(text, one.text, ", ");
  return text;
}

std::string source_words(const Family& family, const Source& source) {
  std::string text(family.text(source.number));
  if (source.edition != 0) text += fmt::format(" ({})", family.text(source.edition));
  append(text, family.text(source.title), ": ");
  append(text, family.text(source.section), "; ");
  if (source.by != 0) text += fmt::format("; by {}", family.text(source.by));
  if (source.on != 0) text += fmt::format("; on {}", family.text(source.on));
  if (source.with != 0) text += fmt::format("; with {}", family.text(source.with));
  if (source.checked != 0) text += fmt::format("; checked {}", family.text(source.checked));
  return text;
}

std::string source_table(const Family& family, const std::set<Index>& sources) {
  MarkdownTable table({{"Source"}, {"Kind"}, {"What it is"}});
  for (Index source : sources) {
    const Source& row = family.sources[source];
    table.add(
        {markdown_text(family.text(row.id)), std::string(word(row.kind)), markdown_text(source_words(family, row))});
  }
  return table.text();
}

}  // namespace loomproof::reports
