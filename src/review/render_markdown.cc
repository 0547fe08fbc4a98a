#include <fmt/format.h>

#include <algorithm>
#include <array>

#include "diag/render.h"
#include "review/comment_text.h"
#include "review/render.h"
#include "review/told.h"

namespace loomproof::review {
namespace {

constexpr size_t longest_text = 500, longest_name = 100, rows_unfolded = 10, rows_unfolded_without_risk = 3;

std::string plural(size_t count, std::string_view one, std::string_view many) {
  return fmt::format("{} {}", count, count == 1 ? one : many);
}

// A cell or the rest of a line.
std::string text_of(std::string_view text) {
  return comment_text(clipped(text, longest_text));
}
std::string line_of(std::string_view text) {
  return comment_line(clipped(text, longest_text));
}
// A finding's message, which sets ids between backticks.
std::string message_of(std::string_view message) {
  std::string text = clipped(message, longest_text);
  if (std::count(text.begin(), text.end(), '`') % 2) return comment_text(text);
  std::string out;
  bool is_code = false;
  for (size_t begin = 0; begin <= text.size(); is_code = !is_code) {
    const size_t end = std::min(text.find('`', begin), text.size());
    const std::string_view piece = std::string_view(text).substr(begin, end - begin);
    if (!piece.empty()) out += is_code ? comment_code(piece) : comment_text(piece);
    begin = end + 1;
  }
  return out;
}
// Ids, paths and revisions.
std::string code_of(std::string_view text) {
  return comment_code(clipped(printable(clipped(text, longest_text)), longest_text));
}
std::string name_of(std::string_view text) {
  return comment_code(clipped(printable(clipped(text, longest_name)), longest_name));
}

// "2 firing, 1 feed, 4 other".
template <typename Rows>
std::string risks_of(const FamilyReview& family, const Rows& rows) {
  std::array<size_t, risk_count> counts{};
  for (const size_t row : rows) ++counts[static_cast<size_t>(family.changes[row].risk)];
  std::string text;
  for (size_t risk = 0; risk < risk_count; ++risk)
    if (counts[risk]) text += fmt::format("{}{} {}", text.empty() ? "" : ", ", counts[risk], word(Risk(risk)));
  return text;
}

std::vector<size_t> written_rows(const FamilyReview& family) {
  std::vector<size_t> rows;
  for (size_t i = 0; i < family.changes.size(); ++i)
    if (family.changes[i].nature != Nature::consequence) rows.push_back(i);
  return rows;
}

// One comment from the first `kept` lines of `told`.
class CommentWriter {
 public:
  CommentWriter(const Review& review, const CommentOptions& options)
      : review_(review), options_(options), told_(told(review)), standing_(review.families.size()) {
    for (size_t i = 0; i < told_.size(); ++i) {
      if (told_[i].family == no_family) continue;
      std::vector<size_t>& rows = standing_of(told_[i].telling, told_[i].family);
      rows.resize(std::max(rows.size(), told_[i].row + 1));
      rows[told_[i].row] = i;
    }
    for (const FamilyReview& family : review.families) {
      explained_.push_back(explained(family));
      groups_.push_back(by_place(family));
    }
  }

  std::string within_limit() {
    if (std::string whole = write(told_.size()); whole.size() <= options_.limit) return whole;
    size_t fits = 0, too_many = told_.size();  // what one line less would take is nearly always less
    while (too_many - fits > 1) {
      const size_t middle = fits + (too_many - fits) / 2;
      (write(middle).size() <= options_.limit ? fits : too_many) = middle;
    }
    std::string text = write(fits);
    while (text.size() > options_.limit && fits > 0) text = write(--fits);
    return text;
  }

 private:
  std::vector<size_t>& standing_of(Telling telling, size_t family) {
    return standing_[family][static_cast<size_t>(telling)];
  }
  bool is_kept(Telling telling, size_t family, size_t row) { return standing_of(telling, family)[row] < kept_; }

  std::string write(size_t kept) {
    kept_ = kept;
    out_.clear();
    write_head();
    list_of_all("New findings", Telling::finding, [this](const Told& line) { return finding_item(line); });
    list_of_all("Verdicts that change", Telling::verdict, [this](const Told& line) { return family_item(line); });
    list_of_all("Breaks readers of packs", Telling::break_, [this](const Told& line) { return family_item(line); });
    for (size_t family = 0; family < review_.families.size(); ++family) write_family(family);
    return out_;
  }

  void paragraph(std::string_view text) { out_ += fmt::format("\n{}\n", text); }

  void write_head() {
    out_ = comment_marker(options_.corpus) + '\n';
    out_ += fmt::format("## What changes by meaning: {} → {}\n", name_of(review_.base), name_of(review_.head));
    size_t changed = 0, not_compared = 0;
    for (const FamilyReview& family : review_.families) {
      changed += family.status != Status::unchanged && family.status != Status::not_compared;
      not_compared += family.status == Status::not_compared;
    }
    std::string text;
    if (changed == 0 && not_compared == 0) text = "No change in meaning.";
    if (changed > 0)
      text = fmt::format("**{} of {}** change{}.", changed, plural(review_.families.size(), "family", "families"),
                         changed == 1 ? "s" : "");
    if (not_compared)
      text += fmt::format("{}**{} could not be compared.**", text.empty() ? "" : " ",
                          plural(not_compared, "family", "families"));
    std::string found = findings_summary(review_) + ".";
    found.front() = found.front() == 'n' ? 'N' : found.front();  // "no new findings"
    text += review_.findings.empty() ? " " + found : fmt::format(" **{}**", found);
    paragraph(text);
    if (has_firing())
      paragraph(
          "> **Firing circuits change.** Hold these against the source itself; never put a meter on such a circuit.");
    write_left_out();
    write_families();
  }

  bool has_firing() const {
    return std::any_of(told_.begin(), told_.end(), [&](const Told& line) {
      return line.telling == Telling::change && review_.families[line.family].changes[line.row].risk == Risk::firing;
    });
  }

  // What did not fit, by kind.
  void write_left_out() {
    if (kept_ == told_.size()) return;
    static constexpr std::array<std::pair<const char*, const char*>, telling_count> kinds{
        {{"finding", "findings"},
         {"family", "families"},
         {"verdict", "verdicts"},
         {"break of pack readers", "breaks of pack readers"},
         {"cause", "causes"},
         {"line about siblings", "lines about siblings"},
         {"new name", "new names"},
         {"change", "changes"}}};
    std::array<size_t, telling_count> all{}, left{};
    for (size_t i = 0; i < told_.size(); ++i) {
      ++all[static_cast<size_t>(told_[i].telling)];
      if (i >= kept_) ++left[static_cast<size_t>(told_[i].telling)];
    }
    std::string text;
    for (size_t i = telling_count; i-- > 0;)
      if (left[i])
        text += fmt::format("{}{} of {}", text.empty() ? "" : ", ", left[i],
                            plural(all[i], kinds[i].first, kinds[i].second));
    paragraph(fmt::format("> **Left out, for the size limit of a comment:** {}, those that matter least. {} shows all.",
                          text, comment_code(clipped(printable(options_.command), 3 * longest_name))));
  }

  void write_families() {
    bool is_open = false;
    std::array<std::string, 2> unchanged;  // packs identical, and not
    for (size_t i = 0; i < review_.families.size(); ++i) {
      const FamilyReview& family = review_.families[i];
      if (!is_kept(Telling::family, i, 0)) continue;
      if (family.status == Status::unchanged) {
        std::string& list = unchanged[family.packs_identical ? 0 : 1];
        list += (list.empty() ? "" : ", ") + name_of(family.id);
        continue;
      }
      if (!is_open) paragraph("| Family | By meaning | By risk |\n| --- | --- | --- |");
      is_open = true;
      std::string id = name_of(family.id);
      if (!family.was.empty()) id += fmt::format(" (was {})", name_of(family.was));
      out_ +=
          fmt::format("| {} | {} | {} |\n", id, text_of(summary_of(family)), risks_of(family, written_rows(family)));
    }
    if (!unchanged[0].empty()) paragraph("No change in meaning, packs identical: " + unchanged[0]);
    if (!unchanged[1].empty())
      paragraph("No change in meaning, packs identical but for the order of their rows: " + unchanged[1]);
  }

  // Folded but for the first `open`.
  void list(std::string_view title, const std::vector<std::string>& items, size_t open = rows_unfolded) {
    if (items.empty()) return;
    const bool is_folded = items.size() > open + 1;
    paragraph(fmt::format("**{}**\n", title));
    for (size_t i = 0; i < items.size(); ++i) {
      if (is_folded && i == open) out_ += fmt::format("\n<details><summary>{} more</summary>\n\n", items.size() - i);
      out_ += fmt::format("- {}\n", items[i]);
    }
    if (is_folded) out_ += "\n</details>\n";
  }

  // All of a kind in the order of `told`; what was said already is folded.
  template <typename Item>
  void list_of_all(std::string_view title, Telling telling, Item item) {
    std::vector<std::string> items;
    size_t open = 0;
    double rank = 0;
    for (size_t i = 0; i < kept_; ++i) {
      if (told_[i].telling != telling) continue;
      rank = std::max(rank, told_[i].rank);
      open += told_[i].rank == rank && open < rows_unfolded;
      items.push_back(item(told_[i]));
    }
    list(title, items, open);
  }
  void list_of(std::string_view title, size_t family, Telling telling) {
    std::vector<std::string> items;
    for (const size_t line : standing_of(telling, family))
      if (line < kept_) items.push_back(line_of(told_[line].words));
    list(title, items);
  }

  std::string finding_item(const Told& line) const {
    const Finding& finding = review_.findings[line.row];
    std::string at;
    if (finding.where) at = " at " + code_of(fmt::format("{}:{}", finding.where->path, finding.where->line));
    return fmt::format("**{}** {}{}: {}", finding.severity, code_of(finding.rule), at, message_of(finding.message));
  }
  std::string family_item(const Told& line) const {
    const std::string about = line.family == no_family ? "all packs" : name_of(review_.families[line.family].id);
    return about + ": " + text_of(line.words);
  }

  void write_family(size_t index) {
    const FamilyReview& family = review_.families[index];
    const size_t begin = out_.size();
    const std::string title = fmt::format("\n### {}\n", name_of(family.id));
    out_ += title;
    list_of("One cause behind many", index, Telling::cause);
    list_of("Siblings", index, Telling::sibling);
    list_of("Renamed", index, Telling::renamed);
    const auto is_written = [&](size_t row) { return family.changes[row].nature != Nature::consequence; };
    std::vector<size_t> following;
    size_t written = 0;
    for (const std::vector<size_t>& group : groups_[index]) {
      std::vector<size_t> rows;
      for (const size_t row : group)
        if (is_kept(Telling::change, index, row)) (is_written(row) ? rows : following).push_back(row);
      const std::string& place = family.changes[group.front()].place;
      const size_t all = static_cast<size_t>(std::count_if(group.begin(), group.end(), is_written));
      written += all;
      write_table(index, rows, all, place.empty() ? "In no place" : place, false);
    }
    write_table(index, following, family.changes.size() - written, "What follows from these", true);
    if (out_.size() == begin + title.size()) out_.resize(begin);
  }

  // `all`: how many there are, left out ones too.
  void write_table(size_t index, const std::vector<size_t>& rows, size_t all, std::string_view title, bool with_place) {
    if (rows.empty()) return;
    const FamilyReview& family = review_.families[index];
    const std::string counts = fmt::format("{}{} ({})", rows.size() < all ? fmt::format("{} of ", rows.size()) : "",
                                           plural(all, "change", "changes"), risks_of(family, rows));
    const auto has_risk = [&](size_t row) { return family.changes[row].risk < Risk::weaker_source; };
    const size_t open =
        !with_place && std::any_of(rows.begin(), rows.end(), has_risk) ? rows_unfolded : rows_unfolded_without_risk;
    out_ += fmt::format("\n**{}**: {}\n", text_of(title), counts);
    const bool is_folded = rows.size() > open + 1;
    for (size_t i = 0; i < rows.size(); ++i) {
      const bool is_fold = is_folded && i == open;
      if (is_fold)
        out_ += fmt::format("\n<details><summary>{} more in <b>{}</b></summary>\n", rows.size() - i,
                            comment_html(clipped(title, longest_name)));
      if (i == 0 || is_fold)
        out_ += with_place ? "\n| Place | Circuit | Change | Where |\n| --- | --- | --- | --- |\n"
                           : "\n| Risk | Circuit | Change | Where |\n| --- | --- | --- | --- |\n";
      write_change(index, rows[i], with_place);
    }
    if (is_folded) out_ += "\n</details>\n";
  }

  void write_change(size_t index, size_t row, bool with_place) {
    const Change& change = review_.families[index].changes[row];
    std::string first = with_place                   ? text_of(change.place)
                        : change.risk == Risk::other ? std::string()
                                                     : fmt::format("**{}**", word(change.risk));
    std::string text = text_of(change.words);
    if (change.cells != "all") text += "; in " + text_of(change.cells);
    if (!change.remark.empty()) text += fmt::format("; **{}**", text_of(change.remark));
    if (explained_[index][row]) text += " (see the cause above)";
    std::string where;
    if (change.where) {
      const std::string folder = fmt::format("families/{}/", review_.families[index].id);
      std::string_view path = change.where->path;
      if (const size_t at = path.find(folder); at != path.npos) path.remove_prefix(at + folder.size());
      where = (change.where->is_base ? "was " : "") + code_of(fmt::format("{}:{}", path, change.where->line));
    }
    out_ += fmt::format("| {} | {} | {} | {} |\n", first, text_of(change.circuit), text, where);
  }

  const Review& review_;
  const CommentOptions& options_;
  const std::vector<Told> told_;
  std::vector<std::array<std::vector<size_t>, telling_count>>
      standing_;                              // by family and kind: of each its place in `told_`
  std::vector<std::vector<bool>> explained_;  // by family
  std::vector<std::vector<std::vector<size_t>>> groups_;
  size_t kept_ = 0;
  std::string out_;
};

}  // namespace

std::string comment_marker(std::string_view corpus) {
  std::string name;  // nothing that could end it
  for (const char c : clipped(corpus, 3 * longest_name)) {
    const bool is_plain = (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z') || (c >= '0' && c <= '9') || c == '.' ||
                          c == '_' || c == '/' || (c == '-' && !name.empty() && name.back() != '-');
    name += is_plain ? std::string(1, c) : fmt::format("%{:02X}", static_cast<unsigned char>(c));
  }
  return fmt::format("<!-- loomproof review: {} -->", name);
}

std::string render_markdown(const Review& review, const CommentOptions& options) {
  return CommentWriter(review, options).within_limit();
}

}  // namespace loomproof::review
