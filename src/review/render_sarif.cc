#include "diag/render.h"
#include "review/render.h"
#include "review/told.h"

namespace loomproof::review {
namespace {

const std::vector<RemarkKind> remark_kinds = {
    {"family-changed", "a family comes, goes or cannot be compared"},
    {"verdict-changed", "a factory build or a known combination is judged otherwise"},
    {"pack-readers-break", "readers of packs will miss what they had"},
    {"one-cause", "many changes have one cause"},
    {"siblings-differ", "of circuits named alike some changed and some did not"},
    {"renamed", "an id has another name"},
    {"metal-changed", "a hand or a meter could find the change"},
    {"knowledge-changed", "something is now known, no longer known, or said otherwise"},
    {"evidence-changed", "somebody else says so"},
    {"record-changed", "something else that a pack holds has changed"},
    {"change-follows", "nobody wrote the change: it follows from others"},
};

// In the order of the list above: kinds of lines, then the natures of changes.
size_t kind_of(const Review& review, const Told& line) {
  constexpr size_t first_change = 6;
  if (line.telling != Telling::change) return static_cast<size_t>(line.telling) - 1;
  return first_change + static_cast<size_t>(review.families[line.family].changes[line.row].nature);
}

}  // namespace

std::string render_sarif(const Review& review, const std::vector<loomproof::Finding>& fresh, const Sources& sources,
                         std::string_view program_version) {
  Remarks remarks{remark_kinds, {}};
  for (const Told& line : told(review)) {
    if (line.telling == Telling::finding) continue;
    if (!is_news(review, line)) continue;
    Remark remark{.kind = kind_of(review, line), .message = line.words, .name = line.name, .rank = line.rank};
    if (line.where) {
      remark.path = line.where->is_base ? line.where->in_head : line.where->path;
      remark.line = line.where->is_base ? 0 : line.where->line;
    }
    remarks.rows.push_back(std::move(remark));
  }
  return loomproof::render_sarif(fresh, sources, program_version, remarks);
}

}  // namespace loomproof::review
