#include "reports/matrix.h"

#include <algorithm>
#include <map>
#include <set>

#include "family/words.h"
#include "nets/variants.h"

namespace loomproof::reports {
namespace {

using EntryId = uint32_t;  // 0: not there
constexpr EntryId unbuilt = none;

// One line of values along the axis, and the choices on the other axes for which it holds.
struct Line {
  std::vector<EntryId> values;
  CellSet choices;  // with the axis' coordinate taken as 0

  bool agrees(const Line& other) const {
    for (size_t i = 0; i < values.size(); ++i)
      if (values[i] != unbuilt && other.values[i] != unbuilt && values[i] != other.values[i]) return false;
    return true;
  }
  void join(const Line& other) {
    for (size_t i = 0; i < values.size(); ++i)
      if (values[i] == unbuilt) values[i] = other.values[i];
    choices |= other.choices;
  }
};

// The built cells, ordered by the choice on all axes but one.
struct Choices {
  std::map<uint32_t, std::vector<uint32_t>> cells;  // by choice: the cell of each value, or none
  CellSet all;

  Choices(const FamilyView& view, uint32_t axis) {
    const Family& family = view.family();
    for (uint32_t cell : view.cells()) {
      const uint32_t choice = family.with_coordinate(cell, axis, 0);
      cells[choice].resize(family.axis_size(axis), none);
      cells[choice][family.coordinate(cell, axis)] = cell;
      all.insert(choice);
    }
  }
};

// Cavities that hold nothing, or that nobody knows, come and go with their connector: the connector's row says so.
bool differs(const Line& line, const std::vector<Entry>& entries) {
  std::set<EntryId> distinct;
  for (EntryId value : line.values)
    if (value != unbuilt) distinct.insert(value);
  if (distinct.size() != 2 || *distinct.begin() != 0) return distinct.size() > 1;
  return !entries[*distinct.rbegin()].bare;
}

}  // namespace

// Parts are read once a variant; cells with the same content share it.
PlaceMatrix::PlaceMatrix(const FamilyView& view, Index place)
    : view_(view), content_of_(view.family().cell_count(), none) {
  std::map<Index, std::vector<Variant>> variants_of;
  std::map<std::pair<uint32_t, std::string>, uint32_t> known;  // by the variant's lowest cell and what the place says
  std::vector<Entries> contents;
  for (uint32_t cell : view.cells()) {
    Entries entries = place_entries(view, place, cell);
    std::string place_words;
    for (const auto& [item, entry] : entries) place_words += item.name + "\n" + entry.text + "\n";
    const Index part = view.index().part_in(place, cell);
    uint32_t lowest = none;
    if (part != none) {
      const auto [variants_known, fresh] = variants_of.try_emplace(part);
      if (fresh) variants_known->second = variants(view.family(), part);
      for (const Variant& variant : variants_known->second)
        if (variant.cells.has(cell)) lowest = variant.cells.lowest();
    }
    const auto [content, fresh] = known.try_emplace({lowest, place_words}, static_cast<uint32_t>(contents.size()));
    content_of_[cell] = content->second;
    if (!fresh) continue;
    if (lowest != none) entries.merge(part_entries(view, part, lowest));
    contents.push_back(std::move(entries));
  }
  number(contents);
}

void PlaceMatrix::number(const std::vector<Entries>& contents) {
  std::map<Item, uint32_t, ItemLess> items;
  for (const Entries& entries : contents)
    for (const auto& [item, entry] : entries) items.emplace(item, 0);
  for (auto& [item, position] : items) {
    position = static_cast<uint32_t>(items_.size());
    items_.push_back({item_words(item), false});
  }
  entries_.push_back({std::string(not_there)});
  std::map<std::string, EntryId> ids;
  for (const Entries& entries : contents) {
    std::vector<EntryId>& row = contents_.emplace_back(items.size(), 0);
    for (const auto& [item, entry] : entries) {
      const auto [id, fresh] = ids.try_emplace(entry.text, static_cast<EntryId>(entries_.size()));
      if (fresh) entries_.push_back(entry);
      const uint32_t position = items.at(item);
      row[position] = id->second;
      items_[position].firing = items_[position].firing || entry.firing;
    }
  }
}

MatrixRow PlaceMatrix::row_of(size_t item, const std::vector<EntryId>& values) const {
  MatrixRow row{.item = items_[item].words, .firing = items_[item].firing};
  EntryId before = unbuilt;
  for (EntryId value : values) {
    Step step = Step::same;
    if (value != unbuilt) {
      if (before != unbuilt && before != value)
        step = entries_[before].certain && entries_[value].certain ? Step::changed : Step::uncertain;
      before = value;
    }
    row.steps.push_back(step);
    row.values.emplace_back(value == unbuilt ? not_built : std::string_view(entries_[value].text));
  }
  return row;
}

bool PlaceMatrix::is_one_everywhere(size_t item) const {
  for (const auto& content : contents_)
    if (content[item] != contents_[0][item]) return false;
  return true;
}

std::vector<MatrixRow> PlaceMatrix::along(uint32_t axis) const {
  std::vector<MatrixRow> rows;
  const Choices choices(view_, axis);
  for (size_t item = 0; item < items_.size(); ++item) {
    if (is_one_everywhere(item)) continue;
    std::vector<Line> lines;
    for (const auto& [choice, cells] : choices.cells) {
      Line line{{}, CellSet::of(choice)};
      for (uint32_t cell : cells) line.values.push_back(cell == none ? unbuilt : contents_[content_of_[cell]][item]);
      const auto same = std::find_if(lines.begin(), lines.end(), [&](const Line& other) { return other.agrees(line); });
      if (same == lines.end())
        lines.push_back(std::move(line));
      else
        same->join(line);
    }
    for (const Line& line : lines) {
      if (!differs(line, entries_)) continue;
      rows.push_back(row_of(item, line.values));
      rows.back().with = cells_text(view_.family(), line.choices, choices.all);
    }
  }
  return rows;
}

}  // namespace loomproof::reports
