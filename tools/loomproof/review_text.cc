#include "review_text.h"

#include <fmt/format.h>

#include "diag/render.h"
#include "review/render.h"
#include "review/told.h"
#include "terminal.h"

namespace loomproof::tool {

namespace {

class ReviewWriter {
 public:
  explicit ReviewWriter(size_t width) : width_(width) {}

  std::string write(const review::Review& review) {
    for (const review::FamilyReview& family : review.families) write(family);
    list("Breaks readers of all packs", review.breaks, [](const review::Break& each) { return each.words; });
    if (!review.findings.empty()) head("New findings");
    for (const review::Finding& finding : review.findings)
      item(fmt::format("{}{}[{}]: {}", place(finding.where), finding.severity, finding.rule, finding.message), 2);
    if (!out_.empty()) out_ += '\n';
    out_ += review::findings_summary(review) + '\n';
    return std::move(out_);
  }

 private:
  static std::string place(const std::optional<review::Where>& where) {
    return where ? fmt::format("{}:{}: ", where->path, where->line) : std::string();
  }
  void head(std::string_view text) { out_ += fmt::format("{}{}\n", out_.empty() ? "" : "\n", text); }
  void item(std::string_view text, size_t indent) {
    out_ += std::string(indent, ' ') + wrapped(printable(text), indent + 2, width_ - indent) + '\n';
  }

  void write(const review::FamilyReview& family) {
    head(wrapped(printable(fmt::format("{}: {}", family.id, summary_of(family))), 2, width_));
    list("Verdicts that change", family.verdicts,
         [](const review::VerdictChange& each) { return review::words_of(each); });
    list("Breaks readers of packs", family.breaks, [](const review::Break& each) { return each.words; });
    list("Renamed", review::only_renamed(family), [](const std::string& each) { return each; });
    list("One cause behind many", family.causes, [](const review::Cause& each) { return each.words; });
    list("Siblings", family.siblings, [](const std::string& each) { return each; });
    write_changes(family);
  }

  template <typename Rows, typename Words>
  void list(std::string_view title, const Rows& rows, Words words) {
    if (rows.empty()) return;
    head(title);
    for (const auto& row : rows) item(words(row), 2);
  }

  void write_changes(const review::FamilyReview& family) {
    const std::vector<bool> is_explained = review::explained(family);
    for (const std::vector<size_t>& group : review::by_place(family)) {
      const std::string& place = family.changes[group.front()].place;
      head(place.empty() ? "In no place" : printable(place));
      for (const size_t row : group) write(family.changes[row], is_explained[row]);
    }
  }

  void write(const review::Change& change, bool is_explained) {
    std::string text;
    if (change.risk != review::Risk::other) text += fmt::format("[{}] ", word(change.risk));
    text += review::words_of(change);
    if (is_explained) text += " (see the cause above)";
    if (change.where)
      text += fmt::format(" ({}{}:{})", change.where->is_base ? "was " : "", change.where->path, change.where->line);
    item(text, 2);
  }

  size_t width_;
  std::string out_;
};

}  // namespace

std::string review_text(const review::Review& review, size_t width) {
  return ReviewWriter(width).write(review);
}

}  // namespace loomproof::tool
