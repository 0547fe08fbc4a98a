#include "review/told.h"

#include <fmt/format.h>

#include <algorithm>
#include <map>
#include <set>
#include <tuple>

#include "review/render.h"

namespace loomproof::review {
namespace {

// Where a line stands among all others, the lowest first.
struct Standing {
  enum Group : uint32_t {
    errors,
    not_compared,
    warnings,
    findings,
    by_risk,
    explained,
    consequences,
    unchanged
  } group{};
  Risk risk = Risk::other;
  size_t nth = 0;  // of the findings at one line
};

double rank_of(const Standing& standing) {
  static constexpr double by_risk[risk_count] = {95, 90, 85, 80, 75, 70, 65, 60, 55};
  switch (standing.group) {
    case Standing::errors:
    case Standing::not_compared:
    case Standing::warnings:
    case Standing::findings:
      return 100;
    case Standing::by_risk:
      return by_risk[static_cast<size_t>(standing.risk)];
    case Standing::explained:
      return by_risk[static_cast<size_t>(standing.risk)] / 2;  // below all that stand for themselves
    case Standing::consequences:
      return by_risk[static_cast<size_t>(standing.risk)] / 4;
    case Standing::unchanged:
      return 0;
  }
  return 0;
}

class Teller {
 public:
  explicit Teller(const Review& review) : review_(review) {}

  std::vector<Told> all() {
    family_ = no_family;
    add_findings();
    for (size_t i = 0; i < review_.breaks.size(); ++i)
      add({Standing::by_risk, Risk::verdict},
          {.telling = Telling::break_, .row = i, .words = review_.breaks[i].words, .name = "packs"});
    for (family_ = 0; family_ < review_.families.size(); ++family_) add_family(review_.families[family_]);
    // Kinds, families and rows in the order they were added in.
    std::stable_sort(lines_.begin(), lines_.end(), [](const Line& a, const Line& b) {
      return std::tie(a.standing.group, a.standing.nth, a.standing.risk) <
             std::tie(b.standing.group, b.standing.nth, b.standing.risk);
    });
    std::vector<Told> out;
    out.reserve(lines_.size());
    for (Line& line : lines_) out.push_back(std::move(line.told));
    return out;
  }

 private:
  struct Line {
    Standing standing;
    Told told;
  };

  static const Where* place(const std::optional<Where>& where) { return where ? &*where : nullptr; }

  void add(Standing standing, Told told) {
    told.rank = rank_of(standing);
    told.family = family_;
    if (told.where && told.where->is_base)
      told.words += fmt::format(" (was {}:{})", told.where->path, told.where->line);
    lines_.push_back({standing, std::move(told)});
  }

  // The first at each line before the second at any: one fault often makes several there.
  void add_findings() {
    std::map<std::tuple<std::string_view, std::string_view, uint32_t>, size_t> at_line;
    for (size_t i = 0; i < review_.findings.size(); ++i) {
      const Finding& finding = review_.findings[i];
      const std::string& severity = finding.severity;
      Standing standing{severity == "error"     ? Standing::errors
                        : severity == "warning" ? Standing::warnings
                                                : Standing::findings};
      if (finding.where) standing.nth = at_line[{severity, finding.where->path, finding.where->line}]++;
      add(standing, {.telling = Telling::finding, .row = i, .words = finding.message, .where = place(finding.where)});
    }
  }

  void add_family(const FamilyReview& family) {
    const std::string& id = family.id;
    Standing::Group group = Standing::findings;
    if (family.status == Status::unchanged) group = Standing::unchanged;
    if (family.status == Status::not_compared) group = Standing::not_compared;
    add({group, Risk::other},
        {.telling = Telling::family, .words = fmt::format("{}: {}", id, summary_of(family)), .name = id});
    std::set<std::pair<std::string_view, std::string_view>> reasons;  // one change of a net makes many verdicts
    for (size_t i = 0; i < family.verdicts.size(); ++i) {
      const VerdictChange& verdict = family.verdicts[i];
      const bool is_first = verdict.because.empty() || reasons.insert({verdict.becomes, verdict.because}).second;
      group = is_first ? Standing::by_risk : Standing::explained;
      add({group, Risk::verdict}, {.telling = Telling::verdict, .row = i, .words = words_of(verdict), .name = id});
    }
    for (size_t i = 0; i < family.breaks.size(); ++i)
      add({Standing::by_risk, Risk::weaker_source},  // nobody is hurt by them
          {.telling = Telling::break_, .row = i, .words = family.breaks[i].words, .name = id});
    for (size_t i = 0; i < family.causes.size(); ++i) {
      Standing standing{Standing::by_risk, Risk::other};
      const Where* where = nullptr;
      for (const size_t row : family.causes[i].changes) {
        const Change& change = family.changes[row];
        standing.risk = std::min(standing.risk, change.risk);
        if (!where) where = place(change.where);
      }
      add(standing, {.telling = Telling::cause, .row = i, .words = family.causes[i].words, .name = id, .where = where});
    }
    for (size_t i = 0; i < family.siblings.size(); ++i)
      add({Standing::by_risk, Risk::reference},  // one that was forgotten may be any of them
          {.telling = Telling::sibling, .row = i, .words = family.siblings[i], .name = id});
    const std::vector<std::string> renamed = only_renamed(family);
    for (size_t i = 0; i < renamed.size(); ++i)
      add({Standing::by_risk, Risk::other}, {.telling = Telling::renamed, .row = i, .words = renamed[i], .name = id});
    const std::vector<bool> is_explained = explained(family);
    for (size_t i = 0; i < family.changes.size(); ++i) {
      const Change& change = family.changes[i];
      group = is_explained[i] ? Standing::explained : Standing::by_risk;
      if (change.nature == Nature::consequence) group = Standing::consequences;
      std::string name = id, words = words_of(change);
      for (const std::string* part : {&change.place, &change.circuit})
        if (!part->empty()) name += '/' + *part;
      if (change.risk != Risk::other) words = fmt::format("[{}] {}", word(change.risk), words);
      add({group, change.risk}, {.telling = Telling::change,
                                 .row = i,
                                 .words = std::move(words),
                                 .name = std::move(name),
                                 .where = place(change.where)});
    }
  }

  const Review& review_;
  size_t family_ = 0;
  std::vector<Line> lines_;
};

}  // namespace

std::vector<std::string> only_renamed(const FamilyReview& family) {
  std::vector<std::string> out;
  for (const std::string& each : family.renamed)
    if (std::none_of(family.breaks.begin(), family.breaks.end(),
                     [&](const Break& known) { return known.words == each; }))
      out.push_back(each);
  return out;
}

std::vector<bool> explained(const FamilyReview& family) {
  std::vector<bool> is_explained(family.changes.size());
  for (const Cause& cause : family.causes)
    for (const size_t change : cause.changes) is_explained[change] = true;
  return is_explained;
}

std::vector<std::vector<size_t>> by_place(const FamilyReview& family) {
  std::map<std::string_view, size_t> places;
  std::map<std::pair<std::string_view, std::string_view>, size_t> circuits;  // -> their first change
  std::vector<std::vector<size_t>> groups;
  for (size_t i = 0; i < family.changes.size(); ++i) {
    const Change& change = family.changes[i];
    const size_t group = places.try_emplace(change.place, groups.size()).first->second;
    if (group == groups.size()) groups.emplace_back();
    groups[group].push_back(i);
    circuits.try_emplace({change.place, change.circuit}, i);
  }
  const auto first = [&](size_t row) { return circuits.at({family.changes[row].place, family.changes[row].circuit}); };
  for (std::vector<size_t>& group : groups)
    std::stable_sort(group.begin(), group.end(), [&](size_t a, size_t b) { return first(a) < first(b); });
  return groups;
}

std::string words_of(const Change& change) {
  std::string text = change.nature == Nature::consequence ? "follows: " : "";
  text += change.words;
  if (change.cells != "all") text += "; in " + change.cells;
  if (!change.remark.empty()) text += "; " + change.remark;
  return text;
}

std::string words_of(const VerdictChange& change) {
  return fmt::format("{}: was {}, is {}{}", change.what, change.was, change.becomes,
                     change.because.empty() ? "" : "; " + change.because);
}

std::vector<Told> told(const Review& review) {
  return Teller(review).all();
}

bool is_news(const Review& review, const Told& line) {
  if (line.telling != Telling::family) return true;
  const Status status = review.families[line.family].status;
  return status != Status::unchanged && status != Status::changed;
}

}  // namespace loomproof::review
