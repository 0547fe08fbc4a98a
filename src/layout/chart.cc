// The chart of a place: the matrix of what differs along one axis, each declared change with its reason and source, and
// the faces before and after, with the cavities that moved linked.
#include <fmt/format.h>

#include <algorithm>

#include <map>
#include <set>

#include "compare/words.h"
#include "family/words.h"
#include "layout/sheets.h"
#include "reports/difference_pages.h"
#include "reports/escape.h"
#include "reports/evidence.h"
#include "reports/matrix.h"
#include "reports/table.h"

namespace loomproof::layout {
namespace {

using reports::append;
using reports::FamilyView;
using reports::MatrixRow;
using reports::Step;

// 0: A … 25: Z, 26: AA …
std::string letters(size_t number) {
  std::string text;
  for (++number; number > 0; number = (number - 1) / 26)
    text.insert(text.begin(), static_cast<char>('A' + (number - 1) % 26));
  return text;
}

class Chart {
 public:
  Chart(const FamilyView& view, Index place, uint32_t axis)
      : view_(view), family_(view.family()), place_(place), axis_(axis) {}
  Sheet write(std::string_view source);
  std::vector<Block> differences();

 private:
  struct Moved {
    Str from_connector = 0, from_cavity = 0, to_connector = 0, to_cavity = 0;
    friend auto operator<=>(const Moved&, const Moved&) = default;
  };
  std::string value_words(uint32_t value) const;
  SheetTable matrix(const std::vector<MatrixRow>& rows_of) const;
  void declared();
  void pair_of(Index left, Index right);
  bool is_here(const ChangeItem& item) const;
  void remember(const ChangeItem& item, const CellSet& among);
  std::vector<std::vector<Moved>> by_plugs(const std::set<Moved>& all) const;
  void faces(Index right);
  const reports::Pinout* pinout_in(Index connector, uint32_t cell);
  std::vector<Face> faces_in(uint32_t cell, const std::map<std::pair<Str, Str>, std::string>& links);

  const FamilyView& view_;
  const Family& family_;
  Index place_;
  uint32_t axis_;
  Sheet sheet_;
  std::map<uint32_t, std::set<Moved>> moved_;  // by a left cell in which they hold; of the pair at work
  std::map<Index, std::vector<reports::Pinout>> pinouts_;
  std::set<Index> sources_;
};

std::string Chart::value_words(uint32_t value) const {
  const reports::AxisValue of = reports::axis_value(family_, axis_, value);
  return plain_line(of.title.empty() || of.title == of.id ? of.id : fmt::format("{}: {}", of.id, of.title));
}

SheetTable Chart::matrix(const std::vector<MatrixRow>& all) const {
  SheetTable table{"", {"Item", "With"}, {}};
  for (uint32_t value = 0; value < family_.axis_size(axis_); ++value) table.heads.push_back(value_words(value));
  for (const MatrixRow& one : all) {
    std::vector<Cell> cells{plain_line(one.item) + (one.firing ? " FIRING" : ""), plain_line(one.with)};
    for (size_t i = 0; i < one.values.size(); ++i) {
      const std::string text = plain_line(one.values[i]);
      if (one.steps[i] == Step::changed)
        cells.emplace_back(Cell::Look::changed, "▲ " + text);
      else if (one.steps[i] == Step::uncertain)
        cells.emplace_back(Cell::Look::uncertain, "△ " + text);
      else
        cells.emplace_back(text);
    }
    table.rows.push_back(std::move(cells));
  }
  return table;
}

bool Chart::is_here(const ChangeItem& item) const {
  const Index at = item.place != none || item.part == none ? item.place : family_.parts[item.part].place;
  return at == place_;
}

// Which cavity hands over to which.
void Chart::remember(const ChangeItem& item, const CellSet& among) {
  if (item.kind != ChangeKind::moved && item.kind != ChangeKind::replugged && item.kind != ChangeKind::swapped) return;
  if (item.from == none || item.to == none) return;
  const Point &from = family_.points[item.from], &to = family_.points[item.to];
  if (from.kind != PointKind::cavity || to.kind != PointKind::cavity) return;
  const CellSet cells = family_.set(item.cells) & among;
  if (cells.empty()) return;
  const Str a = family_.connectors[from.connector].designator, b = family_.connectors[to.connector].designator;
  std::set<Moved>& all = moved_[cells.lowest()];
  all.insert({a, from.name, b, to.name});
  if (item.kind == ChangeKind::swapped) all.insert({b, to.name, a, from.name});
}

const reports::Pinout* Chart::pinout_in(Index connector, uint32_t cell) {
  const auto [found, is_new] = pinouts_.try_emplace(connector);
  if (is_new) found->second = reports::pinouts_of(view_, connector);
  for (const reports::Pinout& one : found->second)
    if (one.cells.has(cell)) return &one;
  return nullptr;
}

// The faces in one cell that have a linked cavity, as people count.
std::vector<Face> Chart::faces_in(uint32_t cell, const std::map<std::pair<Str, Str>, std::string>& links) {
  std::vector<Face> faces;
  const Index part = view_.index().part_in(place_, cell);
  if (part == none) return faces;
  std::vector<Str> designators;
  for (const auto& [cavity, letter] : links)
    if (designators.empty() || designators.back() != cavity.first) designators.push_back(cavity.first);
  std::sort(designators.begin(), designators.end(),
            [&](Str a, Str b) { return reports::natural_less(family_.text(a), family_.text(b)); });
  for (const Str designator : designators) {
    const Index connector = view_.index().connector_of(part, designator);
    const reports::Pinout* const pinout = connector == none ? nullptr : pinout_in(connector, cell);
    if (!pinout) continue;
    Face face = face_of(view_, connector, *pinout);
    face.title = plain_line(family_.text(designator));
    for (const auto& [cavity, letter] : links)
      for (FaceCavity& drawn : face.cavities)
        if (cavity.first == designator && drawn.number == plain_line(family_.text(cavity.second))) drawn.link = letter;
    faces.push_back(std::move(face));
  }
  return faces;
}

// Plugs that hand over to one another are shown together, and no others with them.
std::vector<std::vector<Chart::Moved>> Chart::by_plugs(const std::set<Moved>& all) const {
  std::vector<Moved> ordered(all.begin(), all.end());
  std::sort(ordered.begin(), ordered.end(), [&](const Moved& a, const Moved& b) {
    const auto name = [&](const Moved& one) {
      return fmt::format("{}.{}", family_.text(one.from_connector), family_.text(one.from_cavity));
    };
    return reports::natural_less(name(a), name(b));
  });
  std::vector<std::vector<Moved>> groups;
  for (const Moved& one : ordered) {
    std::vector<Moved> group{one};
    for (auto other = groups.begin(); other != groups.end();) {
      const bool shares = std::any_of(other->begin(), other->end(), [&](const Moved& known) {
        return known.from_connector == one.from_connector || known.to_connector == one.to_connector;
      });
      if (!shares) {
        ++other;
        continue;
      }
      group.insert(group.begin(), other->begin(), other->end());
      other = groups.erase(other);
    }
    groups.push_back(std::move(group));
  }
  return groups;
}

void Chart::faces(Index right) {
  for (const auto& [cell, all] : moved_) {
    size_t count = 0;
    for (const std::vector<Moved>& group : by_plugs(all)) {
      std::map<std::pair<Str, Str>, std::string> before, after;
      for (const Moved& one : group) {
        // Of a cavity whose wires part, the first link is shown; the table says the rest.
        if (before.contains({one.from_connector, one.from_cavity}) || after.contains({one.to_connector, one.to_cavity}))
          continue;
        const std::string letter = letters(count++);
        before[{one.from_connector, one.from_cavity}] = letter;
        after[{one.to_connector, one.to_cavity}] = letter;
      }
      LinkedFaces linked{
          plain_line(fmt::format("Cavities that moved: before above, after below, all from the wire side ({}).",
                                 cell_text(family_, cell))),
          faces_in(cell, before), faces_in(family_.with_coordinate(cell, axis_, right), after)};
      if (linked.before.empty() || linked.after.empty()) continue;
      sheet_.blocks.push_back(std::move(linked));
    }
  }
}

void Chart::pair_of(Index left, Index right) {
  SheetTable table{"", {"Change", "Only in", "Because", "Source"}, {}};
  moved_.clear();
  for (const Change& change : family_.changes) {
    if (change.axis != axis_ || change.left != left || change.right != right) continue;
    const CellSet among = reports::left_cells(view_, change);
    const Rows<ChangeItem> items = rows(family_.change_items, change.items);
    for (const ChangeItem* item = items.begin(); item != items.end();) {
      Difference told = claim_of(family_, *item);
      const ChangeItem* const first = item;
      for (; item != items.end() && (item == first || reports::told_together(family_, *first, *item)); ++item) {
        told.steps.push_back(*item);
        if (is_here(*item)) remember(*item, among);
      }
      if (!is_here(*first)) continue;
      const CellSet cells = family_.set(first->cells) & among;
      for (const Index source : reports::sources_of(family_, change.cite)) sources_.insert(source);
      table.rows.push_back(
          {plain_line(difference_words(family_, told)),
           cells.empty() || cells == among ? std::string() : plain_line(cells_text(family_, cells, among)),
           plain_line(family_.text(change.because)), plain_line(reports::sources_text(family_, change.cite))});
    }
  }
  if (table.rows.empty()) return;
  sheet_.blocks.push_back(Heading{fmt::format("From {} to {}", value_words(left), value_words(right)), true});
  sheet_.blocks.push_back(std::move(table));
  faces(right);
}

void Chart::declared() {
  std::set<std::pair<Index, Index>> pairs;
  for (const Change& change : family_.changes)
    if (change.axis == axis_) pairs.emplace(change.left, change.right);
  for (const auto& [left, right] : pairs) pair_of(left, right);
}

std::vector<Block> Chart::differences() {
  SheetTable all = matrix(reports::PlaceMatrix(view_, place_).along(axis_));
  if (all.rows.empty()) return {};
  sheet_.blocks.push_back(std::move(all));
  declared();
  return std::move(sheet_.blocks);
}

Sheet Chart::write(std::string_view source) {
  const std::vector<MatrixRow> all = reports::PlaceMatrix(view_, place_).along(axis_);
  if (all.empty()) return {};
  const Place& place = family_.places[place_];
  std::string axis = "between eras";
  if (axis_ > 0) {
    const Option& option = family_.options[axis_ - 1];
    axis = fmt::format("by {}", family_.text(option.title == 0 ? option.id : option.title));
  }
  sheet_.title = plain_line(fmt::format("{}: differences {}", family_.text(place.id), axis));
  sheet_.description = plain_line(fmt::format("What differs {} in {}, {}: {} rows.", axis, family_.text(place.id),
                                              family_.text(place.title), all.size()));
  bool firing = false;
  for (const MatrixRow& one : all) firing = firing || one.firing;
  if (firing) {
    Warning warning{
        "FIRING CIRCUITS. Never put a probe, meter or test lamp on anything in a row marked FIRING, nor "
        "on any other cavity of the same connector.",
        {}};
    for (const std::string& text : reports::caution_texts(view_, reports::Danger::firing))
      warning.cautions.push_back(plain_line(text));
    sheet_.blocks.push_back(std::move(warning));
  }
  FactList facts;
  facts.rows = {{"Family", plain_line(family_.text(family_.title))},
                {"Place", plain_line(fmt::format("{}, {}", family_.text(place.id), family_.text(place.title)))}};
  sheet_.blocks.push_back(std::move(facts));
  bool changed = false, uncertain = false;
  for (const MatrixRow& one : all)
    for (const Step step : one.steps)
      changed = changed || step == Step::changed, uncertain = uncertain || step == Step::uncertain;
  std::string key = "Only what differs is listed. ";
  if (changed) key += "▲, bold and shaded: not what stands before it. ";
  if (uncertain)
    key +=
        "△, bold and lightly shaded: the same, where one of the two is unknown or disputed, so that the metal may be "
        "alike. ";
  sheet_.blocks.push_back(Paragraph{key + "\"With\" names the choice of everything else for which a row holds."});
  sheet_.blocks.push_back(matrix(all));
  declared();
  for (const Block& block : sheet_.blocks)
    if (std::holds_alternative<LinkedFaces>(block)) {
      sheet_.blocks.push_back(Legend{});
      break;
    }
  SheetTable table{"Sources", {"Source", "Which is"}, {}};
  for (const Index one : sources_)
    table.rows.push_back({plain_line(family_.text(family_.sources[one].id)),
                          plain_line(reports::source_words(family_, family_.sources[one]))});
  if (!table.rows.empty()) sheet_.blocks.push_back(std::move(table));
  if (!firing) {
    const std::vector<std::string> cautions = reports::caution_texts(view_, reports::Danger::ordinary);
    if (!cautions.empty()) sheet_.blocks.push_back(Heading{"Cautions"});
    for (const std::string& text : cautions) sheet_.blocks.push_back(Paragraph{"• " + plain_line(text)});
  }
  sheet_.foot = plain_line(fmt::format("{} ({}), {}. Cross-sections in mm².", family_.text(family_.title),
                                       family_.text(family_.id), source));
  return std::move(sheet_);
}

}  // namespace

Sheet difference_chart(const FamilyView& view, Index place, uint32_t axis, std::string_view source) {
  return Chart(view, place, axis).write(source);
}

std::vector<Block> differences(const FamilyView& view, Index place, uint32_t axis) {
  return Chart(view, place, axis).differences();
}

}  // namespace loomproof::layout
