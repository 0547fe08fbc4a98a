#include "reports/difference_pages.h"

#include <fmt/format.h>

#include "compare/words.h"
#include "family/words.h"
#include "reports/cautions.h"
#include "reports/escape.h"
#include "reports/evidence.h"
#include "reports/file_names.h"
#include "reports/matrix.h"
#include "reports/table.h"

namespace loomproof::reports {
namespace {

constexpr std::string_view changed_mark = "▲", uncertain_mark = "△";

std::string heading_of(const AxisValue& value) {
  return markdown_text(value.title.empty() || value.title == value.id ? value.id
                                                                      : fmt::format("{}: {}", value.id, value.title));
}

std::vector<AxisValue> values_of(const Family& family, uint32_t axis) {
  std::vector<AxisValue> values;
  for (uint32_t value = 0; value < family.axis_size(axis); ++value) values.push_back(axis_value(family, axis, value));
  return values;
}

std::vector<std::string> headings(const std::vector<AxisValue>& values) {
  std::vector<std::string> all{"place", "item", "with"};
  for (const AxisValue& value : values) all.push_back(value.id);
  all.insert(all.end(), {"changed_in", "uncertain_in", "caution"});
  return all;
}

class Writer {
 public:
  Writer(const FamilyView& view, uint32_t axis)
      : view_(view), family_(view.family()), axis_(axis), values_(values_of(family_, axis)), csv_(headings(values_)) {}

  // Place by place, then write().
  void add_place(Index place, const PlaceMatrix& matrix);
  DifferencePage write(const std::string& name);

 private:
  std::string changes(DifferencePage& page);
  std::string change_bullets(const Change& change, CsvTable& csv, size_t& count);
  void add_step(const Change& change, const ChangeItem& item, const CellSet& among, CsvTable& csv) const;
  std::string place_words(const ChangeItem& item) const;
  std::string where_words(const ChangeItem& item, const CellSet& among) const;

  const FamilyView& view_;
  const Family& family_;
  uint32_t axis_;
  std::vector<AxisValue> values_;
  CsvTable csv_;
  std::string tables_;
  size_t rows_ = 0;
  bool firing_ = false;
};

std::string marked(const std::string& value, Step step) {
  if (step == Step::same) return markdown_text(value);
  return fmt::format("{} **{}**", step == Step::changed ? changed_mark : uncertain_mark, markdown_text(value));
}

void Writer::add_place(Index place, const PlaceMatrix& matrix) {
  std::vector<Column> columns{{"Item", false, true}, {"With", false, true}};
  for (const AxisValue& value : values_) columns.push_back({heading_of(value), false, true});
  MarkdownTable table(columns);
  const Place& row = family_.places[place];
  for (const MatrixRow& one : matrix.along(axis_)) {
    std::vector<std::string> cells{markdown_text(one.item) + (one.firing ? " **FIRING**" : ""),
                                   markdown_text(one.with)};
    std::vector<std::string> fields{view_.text(row.id), one.item, one.with};
    std::string changed, uncertain;
    for (size_t i = 0; i < one.values.size(); ++i) {
      cells.push_back(marked(one.values[i], one.steps[i]));
      fields.push_back(one.values[i]);
      if (one.steps[i] == Step::changed) append(changed, values_[i].id);
      if (one.steps[i] == Step::uncertain) append(uncertain, values_[i].id);
    }
    fields.insert(fields.end(), {changed, uncertain, one.firing ? "firing circuit: never probe" : ""});
    table.add(std::move(cells));
    csv_.add(fields);
    firing_ = firing_ || one.firing;
    ++rows_;
  }
  if (table.empty()) return;
  tables_ += fmt::format("## {}: {}\n\n{}", markdown_text(family_.text(row.id)), markdown_text(family_.text(row.title)),
                         table.text());
}

std::string Writer::where_words(const ChangeItem& item, const CellSet& among) const {
  const CellSet cells = family_.set(item.cells) & among;
  return cells.empty() || cells == among ? std::string() : cells_text(family_, cells, among);
}

std::string Writer::change_bullets(const Change& change, CsvTable& csv, size_t& count) {
  const CellSet among = left_cells(view_, change);
  std::string text =
      fmt::format("- {} ({})\n", markdown_line(family_.text(change.because)), sources_markdown(family_, change.cite));
  const Rows<ChangeItem> items = rows(family_.change_items, change.items);
  for (const ChangeItem* item = items.begin(); item != items.end();) {
    Difference told = claim_of(family_, *item);
    const ChangeItem* const first = item;
    for (; item != items.end() && (item == first || told_together(family_, *first, *item)); ++item) {
      told.steps.push_back(*item);
      add_step(change, *item, among, csv);
      ++count;
    }
    text += fmt::format("  - {}: {}{}\n", markdown_line(place_words(*first)),
                        markdown_text(difference_words(family_, told)),
                        markdown_text(in_brackets(where_words(*first, among))));
  }
  return text;
}

std::string Writer::place_words(const ChangeItem& item) const {
  if (item.place != none) return view_.text(family_.places[item.place].id);
  return item.part == none ? std::string() : view_.place_id(item.part);
}

void Writer::add_step(const Change& change, const ChangeItem& item, const CellSet& among, CsvTable& csv) const {
  csv.add({axis_value(family_, axis_, change.left).id, axis_value(family_, axis_, change.right).id, place_words(item),
           item.part == none ? "" : view_.text(family_.parts[item.part].id), std::string(word(item.kind)),
           change_words(family_, item), where_words(item, among), view_.text(change.because),
           sources_text(family_, change.cite), std::string(cited_at(family_, change.cite))});
}

std::string Writer::changes(DifferencePage& page) {
  CsvTable csv({"from", "to", "place", "part", "kind", "change", "only_in", "because", "sources", "cited_at"});
  std::string text;
  Index left = none, right = none;
  for (const Change& change : family_.changes) {
    if (change.axis != axis_) continue;
    if (change.left != left || change.right != right) {
      left = change.left, right = change.right;
      text += fmt::format("{}### From {} to {}\n\n", text.empty() ? "" : "\n",
                          heading_of(axis_value(family_, axis_, left)), heading_of(axis_value(family_, axis_, right)));
    }
    text += change_bullets(change, csv, page.changes);
  }
  page.list = csv.text();
  return text.empty() ? "None.\n\n" : text + "\n";
}

DifferencePage Writer::write(const std::string& name) {
  DifferencePage page{.axis = axis_, .name = name};
  const std::string family_title = markdown_text(family_.text(family_.title));
  std::string ids;
  for (const AxisValue& value : values_) append(ids, value.id, ", ");
  if (axis_ == 0) {
    page.title = fmt::format("Differences between eras ({})", ids);
  } else {
    const Option& option = family_.options[axis_ - 1];
    page.title = fmt::format("Differences by {} ({})", family_.text(option.title == 0 ? option.id : option.title), ids);
  }
  const std::string list = changes(page);
  page.rows = rows_;
  page.matrix = csv_.text();
  std::string text = fmt::format(
      "# {}\n\n- **Family:** [{}](../index.md)\n- **As CSV:** [matrix]({}.csv), [changes]({}.changes.csv)\n\n",
      markdown_text(page.title), family_title, page.name, page.name);
  text += fmt::format(
      "Only what differs is listed, place by place. {} marks a value that is not the one before it; {} the same where "
      "one "
      "of the two is unknown or disputed, so that the metal may be alike. \"With\" names the choice of everything else "
      "for which a row holds.\n\n",
      changed_mark, uncertain_mark);
  if (firing_) text += cautions_above_marked_rows(view_);
  text += tables_.empty() ? "Nothing differs.\n\n" : tables_;
  text +=
      "## Declared changes\n\nEach with its reason and, in brackets, its source; a source in bold is cited at the "
      "change itself.\n\n" +
      list;
  page.markdown = text + (firing_ ? "" : cautions_always(view_));
  return page;
}

}  // namespace

AxisValue axis_value(const Family& family, uint32_t axis, uint32_t coordinate) {
  if (axis == 0) {
    const Era& era = family.eras[coordinate];
    return {std::string(family.text(era.id)), std::string(family.text(era.title))};
  }
  const OptionValue& value = family.option_values[family.options[axis - 1].values.first + coordinate];
  return {std::string(family.text(value.id)), std::string(family.text(value.title))};
}

bool told_together(const Family& family, const ChangeItem& a, const ChangeItem& b) {
  if (a.kind != b.kind || a.place != b.place || a.part != b.part || a.cells != b.cells) return false;
  if (a.kind == ChangeKind::respliced) return a.circuit == b.circuit;
  return a.kind == ChangeKind::replugged && a.from != none && b.from != none &&
         family.points[a.from].connector == family.points[b.from].connector;
}

CellSet left_cells(const FamilyView& view, const Change& change) {
  const Family& family = view.family();
  CellSet cells;
  for (uint32_t cell : view.cells())
    if (family.coordinate(cell, change.axis) == change.left &&
        view.built().has(family.with_coordinate(cell, change.axis, change.right)))
      cells.insert(cell);
  return cells;
}

std::vector<DifferencePage> difference_pages(const FamilyView& view) {
  const Family& family = view.family();
  std::vector<std::string> names;
  std::vector<Writer> writers;
  FileNames taken;
  for (uint32_t axis = 0; axis < family.axis_count(); ++axis) {
    if (family.axis_size(axis) < 2 || (axis > 0 && family.options[axis - 1].independent)) continue;
    const std::string word = axis == 0 ? "eras" : "option-" + file_word(family.text(family.options[axis - 1].id));
    names.push_back(taken.claim(word));
    writers.emplace_back(view, axis);
  }
  for (Index place = 0; place < family.places.size() && !writers.empty(); ++place) {
    const PlaceMatrix matrix(view, place);
    for (Writer& writer : writers) writer.add_place(place, matrix);
  }
  std::vector<DifferencePage> pages;
  for (size_t i = 0; i < writers.size(); ++i) pages.push_back(writers[i].write(names[i]));
  return pages;
}

}  // namespace loomproof::reports
