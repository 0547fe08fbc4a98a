#include "review_text.h"

#include <fmt/format.h>

#include <algorithm>
#include <map>

#include "diag/render.h"
#include "review/render.h"
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
    list("Verdicts that change", family.verdicts, [](const review::VerdictChange& each) {
      return fmt::format("{}: was {}, is {}{}", each.what, each.was, each.becomes,
                         each.because.empty() ? "" : "; " + each.because);
    });
    list("Breaks readers of packs", family.breaks, [](const review::Break& each) { return each.words; });
    std::vector<std::string> renamed;  // that break nobody
    for (const std::string& each : family.renamed)
      if (std::none_of(family.breaks.begin(), family.breaks.end(),
                       [&](const review::Break& known) { return known.words == each; }))
        renamed.push_back(each);
    list("Renamed", renamed, [](const std::string& each) { return each; });
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

  // By place and circuit, each where its riskiest change puts it.
  void write_changes(const review::FamilyReview& family) {
    std::vector<bool> is_explained(family.changes.size());
    for (const review::Cause& cause : family.causes)
      for (size_t change : cause.changes) is_explained[change] = true;
    std::map<std::string, std::vector<size_t>> by_place;
    std::vector<std::string> places;
    for (size_t i = 0; i < family.changes.size(); ++i) {
      const std::string& place = family.changes[i].place;
      if (!by_place.count(place)) places.push_back(place);
      by_place[place].push_back(i);
    }
    for (const std::string& place : places) {
      head(place.empty() ? "In no place" : printable(place));
      std::vector<size_t>& rows = by_place[place];
      std::vector<std::string> circuits;
      for (size_t i : rows)
        if (std::find(circuits.begin(), circuits.end(), family.changes[i].circuit) == circuits.end())
          circuits.push_back(family.changes[i].circuit);
      for (const std::string& circuit : circuits)
        for (size_t i : rows)
          if (family.changes[i].circuit == circuit) write(family.changes[i], is_explained[i]);
    }
  }

  void write(const review::Change& change, bool is_explained) {
    std::string text;
    if (change.risk != review::Risk::other) text += fmt::format("[{}] ", word(change.risk));
    if (change.nature == review::Nature::consequence) text += "follows: ";
    text += change.words;
    if (change.cells != "all") text += "; in " + change.cells;
    if (!change.remark.empty()) text += "; " + change.remark;
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
