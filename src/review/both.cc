#include "review/both.h"

#include <cstring>
#include <string_view>
#include <unordered_map>

namespace loomproof::review {
namespace {

class Joiner {
 public:
  Joiner(const Family& base, const Family& head) : head_(head) { both_.family = base; }

  Both join() {
    for (Str str = 0; str < both_.family.strings.size(); ++str) str_of_.try_emplace(both_.family.strings[str], str);
    for (const std::string& text : head_.strings) strings_.push_back(intern(text));
    cells_offset_ = static_cast<Cells>(both_.family.cell_sets.size());
    both_.family.cell_sets.insert(both_.family.cell_sets.end(), head_.cell_sets.begin(), head_.cell_sets.end());
    each_table(both_.family, [&](Table table, const auto& rows) {
      both_.offset[static_cast<size_t>(table)] = static_cast<Index>(rows.size());
    });
    map_by_name(Table::circuits, both_.family.circuits, head_.circuits, [](const Circuit& row) { return row.id; });
    map_by_name(Table::colours, both_.family.colours, head_.colours, [](const Colour& row) { return row.code; });
    map_by_name(Table::places, both_.family.places, head_.places, [](const Place& row) { return row.id; });
#define TABLE(name, Row) append(Table::name, both_.family.name, head_.name);
#include "family/tables.def"
#undef TABLE
    both_.circuits = map_[static_cast<size_t>(Table::circuits)];
    return std::move(both_);
  }

 private:
  Str intern(const std::string& text) {
    const auto [entry, is_new] = str_of_.try_emplace(text, static_cast<Str>(both_.family.strings.size()));
    if (is_new) both_.family.strings.push_back(text);
    return entry->second;
  }

  template <typename Row, typename Name>
  void map_by_name(Table table, const std::vector<Row>& ours, const std::vector<Row>& theirs, Name name) {
    std::unordered_map<Str, Index> rows;
    for (Index row = 0; row < ours.size(); ++row) rows.try_emplace(name(ours[row]), row);
    for (Index row = 0; row < theirs.size(); ++row) {
      const auto found = rows.find(strings_[name(theirs[row])]);
      map_[static_cast<size_t>(table)].push_back(found == rows.end() ? offset(table) + row : found->second);
    }
  }

  Index offset(Table table) const {
    return both_.offset[static_cast<size_t>(table)];
  }
  Index translate(Table table, Index row) const {
    const std::vector<Index>& map = map_[static_cast<size_t>(table)];
    return map.empty() ? offset(table) + row : map[row];
  }

  template <typename Row>
  void append(Table table, std::vector<Row>& rows, const std::vector<Row>& more) {
    std::array<uint32_t, sizeof(Row) / sizeof(uint32_t)> words;
    for (const Row& row : more) {
      std::memcpy(words.data(), &row, sizeof(Row));
      for (const Field& field : fields(table)) {
        uint32_t& word = words[field.offset];
        switch (field.kind) {
          case FieldKind::text:
            word = strings_[word];
            break;
          case FieldKind::cells:
            word += cells_offset_;
            break;
          case FieldKind::index:
          case FieldKind::optional:
            if (word != none) word = translate(field.target, word);
            break;
          case FieldKind::range:
            word += offset(field.target);
            break;
          default:
            break;
        }
      }
      rows.emplace_back();
      std::memcpy(static_cast<void*>(&rows.back()), words.data(), sizeof(Row));
    }
  }

  const Family& head_;
  Both both_;
  std::unordered_map<std::string, Str> str_of_;
  std::vector<Str> strings_;  // by text of the head
  Cells cells_offset_ = 0;
  std::array<std::vector<Index>, table_count> map_;  // by table and row of the head; empty: by offset alone
};

// By axis of the head: the same axis of the base, or none; and value by value.
struct AxisMap {
  uint32_t axis = none;
  std::vector<uint32_t> values;
};

std::vector<AxisMap> axis_maps(const Family& base, const Family& head) {
  std::vector<AxisMap> maps(head.axis_count());
  maps[0].axis = 0;
  for (const Era& era : head.eras) {
    uint32_t found = none;
    for (uint32_t value = 0; value < base.eras.size(); ++value)
      if (base.text(base.eras[value].id) == head.text(era.id)) found = value;
    maps[0].values.push_back(found);
  }
  for (uint32_t axis = 1; axis < head.axis_count(); ++axis) {
    const Option& option = head.options[axis - 1];
    for (uint32_t other = 1; other < base.axis_count(); ++other)
      if (base.text(base.options[other - 1].id) == head.text(option.id)) maps[axis].axis = other;
    if (maps[axis].axis == none) continue;
    const Option& was = base.options[maps[axis].axis - 1];
    for (const OptionValue& value : rows(head.option_values, option.values)) {
      uint32_t found = none;
      for (uint32_t i = 0; i < was.values.count; ++i)
        if (base.text(base.option_values[was.values.first + i].id) == head.text(value.id)) found = i;
      maps[axis].values.push_back(found);
    }
  }
  return maps;
}

}  // namespace

Both put_together(const Family& base, const Family& head) {
  return Joiner(base, head).join();
}

std::vector<CellPair> cell_pairs(const Family& base, const Family& head) {
  const std::vector<AxisMap> maps = axis_maps(base, head);
  // Base cells by what they have on the axes that both have.
  std::unordered_map<std::string, std::vector<uint32_t>> by_choice;
  const auto choice = [](const std::vector<uint32_t>& values) {
    std::string key;
    for (uint32_t value : values) key += std::to_string(value) + ",";
    return key;
  };
  for (uint32_t cell : base.set(base.built).cells()) {
    std::vector<uint32_t> values;
    for (const AxisMap& map : maps)
      if (map.axis != none) values.push_back(base.coordinate(cell, map.axis));
    by_choice[choice(values)].push_back(cell);
  }
  std::vector<CellPair> pairs;
  for (uint32_t cell : head.set(head.built).cells()) {
    std::vector<uint32_t> values;
    bool is_known = true;
    for (uint32_t axis = 0; axis < maps.size(); ++axis) {
      if (maps[axis].axis == none) continue;
      values.push_back(maps[axis].values[head.coordinate(cell, axis)]);
      is_known &= values.back() != none;
    }
    if (!is_known) continue;
    const auto found = by_choice.find(choice(values));
    if (found == by_choice.end()) continue;
    for (uint32_t other : found->second) pairs.push_back({other, cell});
  }
  return pairs;
}

}  // namespace loomproof::review
