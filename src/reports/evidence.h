// Who says so: citations and marks of weaker evidence as text. Internal to the reports.
#pragma once
#include <set>
#include <string>

#include "family/family.h"

namespace loomproof::reports {

// Kinds that prove little, which is said wherever their source is named.
bool is_weak(SourceKind kind);

std::vector<Index> sources_of(const Family& family, CiteId cite);
// "croft-manual-c; trailer-practice (practice)", with ", independent of each other" where that is declared.
std::string sources_text(const Family& family, CiteId cite);
// The same as Markdown: bold where it is cited at the row itself.
std::string sources_markdown(const Family& family, CiteId cite);
std::string_view cited_at(const Family& family, CiteId cite);  // "row", "file"; empty where there is no source

// "single source", "from memory", both or nothing.
std::string mark_text(uint32_t marks, Mark single, Mark memory);
// Everything the marks say, for a list: "function from a single source, colour from memory".
std::string marks_text(uint32_t marks);

// One source in full: "ISO 1724 (2003): Road vehicles …, contact allocation".
std::string source_words(const Family& family, const Source& source);
// A Markdown table of these sources; empty where there are none.
std::string source_table(const Family& family, const std::set<Index>& sources);

}  // namespace loomproof::reports
