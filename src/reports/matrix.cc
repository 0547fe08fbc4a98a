#include "reports/matrix.h"

#include <fmt/format.h>

#include <algorithm>
#include <map>
#include <set>

#include "family/words.h"
#include "nets/variants.h"
#include "reports/table.h"

namespace loomproof::reports {
namespace {

enum class Group : uint32_t { part, number, where, cavity, splice, earth, lead, inside };

// What a row is about. Connectors stand before their cavities.
struct Key {
  Group group{};
  std::string connector, name;
};
struct KeyLess {
  bool operator()(const Key& a, const Key& b) const {
    if (a.group != b.group) return a.group < b.group;
    if (a.connector != b.connector) return natural_less(a.connector, b.connector);
    return a.name != b.name && natural_less(a.name, b.name);
  }
};

struct Entry {
  std::string text;
  bool certain = true;
  bool firing = false;
  bool bare = false;  // empty or unknown: says nothing where its connector comes or goes
};
using Entries = std::map<Key, Entry, KeyLess>;

class PartReader {
 public:
  PartReader(const FamilyView& view, Index part, uint32_t cell)
      : view_(view), family_(view.family()), part_(family_.parts[part]), cell_(cell) {}

  Entries read() {
    add_connectors();
    add_points();
    add_insides();
    return std::move(entries_);
  }

 private:
  template <typename Row>
  bool holds(const Row& row) const {
    return family_.holds(row.cells, cell_);
  }
  void add_connectors();
  void add_points();
  void add_insides();
  Entry cavity_entry(const Cavity& cavity) const;
  std::string wires_text(Index point) const;
  bool fires_at(Index point) const { return view_.fires_at(point); }

  const FamilyView& view_;
  const Family& family_;
  const Part& part_;
  uint32_t cell_;
  Entries entries_;
};

std::string wire_words(const Family& family, const Wire& wire) {
  std::string text(family.text(family.circuits[wire.circuit].id));
  append(text, colour_code(family, wire), " ");
  append(text, milli(wire.mm2), " ");
  if (wire.spare != 0) text += ", spare";
  return text;
}

std::string load_words(Quantity volts, Quantity amps) {
  std::string text = volts_text(volts);
  append(text, amps == not_given ? "" : milli(amps) + " A", ", ");
  return text;
}

std::string pin_words(const Family& family, const Pin& pin) {
  std::string text;
  if (pin.circuit != none) text = family.text(family.circuits[pin.circuit].id);
  append(text, word(pin.role), " ");
  append(text, load_words(pin.volts, pin.amps), ", ");
  if (pin.optional) append(text, "need not be connected", ", ");
  return text;
}

Entry PartReader::cavity_entry(const Cavity& cavity) const {
  Entry entry;
  const State state = cavity.state.state;
  entry.certain = state != State::unknown && state != State::disputed;
  for (Index wire : cavity.wires) {
    append(entry.text, wire_words(family_, family_.wires[wire]));
    entry.firing = entry.firing || view_.is_firing(family_.wires[wire].circuit);
  }
  if (cavity.wires.size() > 1) entry.text += ", double crimp";
  if (!cavity.wires.empty()) return entry;
  if (cavity.pin != none && cavity.state.role != Role::open) {
    entry.text = pin_words(family_, family_.pins[cavity.pin]);
    entry.firing = view_.is_firing(family_.pins[cavity.pin].circuit);
    return entry;
  }
  entry.text = cavity.state.role == Role::open ? "open" : std::string(word(state));
  entry.bare = state == State::unknown || state == State::empty;
  return entry;
}

void PartReader::add_connectors() {
  for (Index connector = part_.connectors.first; connector < part_.connectors.end(); ++connector) {
    const Index row_index = connector_row_in(family_, connector, cell_);
    if (row_index == none) continue;
    const ConnectorRow& row = family_.connector_rows[row_index];
    const std::string designator = view_.text(family_.connectors[connector].designator);
    Entry entry;
    if (row.housing != none) entry.text = view_.text(family_.housings[row.housing].id);
    append(entry.text, family_.text(row.where), ", ");
    if (row.loose != 0) append(entry.text, "hangs loose", ", ");
    entry.firing = view_.carries_firing(connector);
    entries_[{Group::cavity, designator, ""}] = entry;
    for (const Cavity& cavity : cavities(view_.index(), cell_, connector)) {
      Entry at = cavity_entry(cavity);
      at.firing = at.firing || entry.firing;
      entries_[{Group::cavity, designator, view_.text(cavity.number)}] = at;
    }
  }
}

// The wires at a splice, earth point or lead: circuit and far ends.
std::string PartReader::wires_text(Index point) const {
  std::vector<std::string> ends;
  for (Index wire : view_.index().wires_at(point)) {
    const Wire& row = family_.wires[wire];
    if (holds(row)) ends.push_back(point_name(family_, row.from == point ? row.to : row.from));
  }
  std::sort(ends.begin(), ends.end(), [](const auto& a, const auto& b) { return natural_less(a, b); });
  std::string text;
  for (const std::string& end : ends) append(text, end, ", ");
  return text.empty() ? text : "wired to " + text;
}

void PartReader::add_points() {
  for (const Splice& row : rows(family_.splices, part_.splices)) {
    if (!holds(row)) continue;
    Entry entry{view_.text(row.where)};
    append(entry.text, wires_text(row.point));
    entry.firing = fires_at(row.point);
    entries_[{Group::splice, "", point_name(family_, row.point)}] = entry;
  }
  for (const Earth& row : rows(family_.earths, part_.earths)) {
    if (!holds(row)) continue;
    Entry entry{view_.text(row.where)};
    append(entry.text, row.ring == 0 ? "" : "ring " + view_.text(row.ring), ", ");
    append(entry.text, word(row.to), ", ");
    append(entry.text, wires_text(row.point));
    entry.firing = fires_at(row.point);
    entries_[{Group::earth, "", point_name(family_, row.point)}] = entry;
  }
  for (const Lead& row : rows(family_.leads, part_.leads)) {
    if (!holds(row)) continue;
    Entry entry{view_.text(row.title)};
    append(entry.text, word(row.role), ", ");
    append(entry.text, load_words(row.volts, row.amps), ", ");
    append(entry.text, wires_text(row.point));
    entry.firing = view_.is_firing(row.circuit) || fires_at(row.point);
    entries_[{Group::lead, "", point_name(family_, row.point)}] = entry;
  }
}

void PartReader::add_insides() {
  for (const Inside& row : rows(family_.insides, part_.insides)) {
    if (!holds(row)) continue;
    Entry entry{
        fmt::format("{} between {} and {}", word(row.kind), point_name(family_, row.a), point_name(family_, row.b))};
    append(entry.text, row.amps == not_given ? "" : milli(row.amps) + " A", ", ");
    append(entry.text, row.ohm == not_given ? "" : milli(row.ohm) + " ohm", ", ");
    entry.firing = row.kind == InsideKind::squib || fires_at(row.a) || fires_at(row.b);
    if (row.rests_known) append(entry.text, row.rests_closed ? "rests closed" : "rests open", ", ");
    entries_[{Group::inside, "", view_.text(row.id)}] = entry;
  }
}

// What is in a place in every built cell. Parts are read once a variant.
class PlaceReader {
 public:
  PlaceReader(const FamilyView& view, Index place) : view_(view), family_(view.family()), place_(place) {}
  std::map<uint32_t, Entries> read();

 private:
  const Entries& part_entries(Index part, uint32_t cell);

  const FamilyView& view_;
  const Family& family_;
  Index place_;
  struct Known {
    CellSet cells;
    Entries entries;
  };
  std::map<Index, std::vector<Known>> parts_;
};

const Entries& PlaceReader::part_entries(Index part, uint32_t cell) {
  auto [known, fresh] = parts_.try_emplace(part);
  if (fresh)
    for (const Variant& variant : variants(family_, part))
      known->second.push_back({variant.cells, PartReader(view_, part, variant.cells.lowest()).read()});
  for (const Known& one : known->second)
    if (one.cells.has(cell)) return one.entries;
  static const Entries nothing;
  return nothing;
}

std::map<uint32_t, Entries> PlaceReader::read() {
  std::map<uint32_t, Entries> by_cell;
  for (uint32_t cell : view_.cells()) {
    Entries& entries = by_cell[cell];
    const Index part = view_.index().part_in(place_, cell);
    if (part == none) continue;
    entries = part_entries(part, cell);
    const Part& row = family_.parts[part];
    Entry what{view_.text(row.id)};
    entries[{Group::part, "", "part"}] = what;
    Entry number, where;
    for (const PartNumber& one : rows(family_.numbers, row.numbers))
      if (family_.holds(one.cells, cell)) append(number.text, family_.text(one.text), ", ");
    if (!number.text.empty()) entries[{Group::number, "", "part number"}] = number;
    for (const PlaceWhere& one : rows(family_.place_where, family_.places[place_].where))
      if (family_.holds(one.cells, cell)) append(where.text, family_.text(one.where));
    if (!where.text.empty()) entries[{Group::where, "", "where"}] = where;
  }
  return by_cell;
}

std::string item_name(const Key& key) {
  if (key.group != Group::cavity) return key.name;
  return key.name.empty() ? key.connector : key.connector + "." + key.name;
}

// One line of values along the axis, and the choices on the other axes for which it holds.
struct Line {
  std::vector<const Entry*> entries;  // null: not there
  std::vector<bool> built;
  CellSet choices;  // with the axis' coordinate taken as 0
  bool agrees(const Line& other) const {
    for (size_t i = 0; i < entries.size(); ++i) {
      if (!built[i] || !other.built[i]) continue;
      if ((entries[i] == nullptr) != (other.entries[i] == nullptr)) return false;
      if (entries[i] && entries[i]->text != other.entries[i]->text) return false;
    }
    return true;
  }
  void join(const Line& other) {
    for (size_t i = 0; i < entries.size(); ++i) {
      if (built[i] || !other.built[i]) continue;
      entries[i] = other.entries[i];
      built[i] = true;
    }
    choices |= other.choices;
  }
};

class Differ {
 public:
  Differ(const FamilyView& view, uint32_t axis) : family_(view.family()), size_(family_.axis_size(axis)) {
    for (uint32_t cell : view.cells()) {
      const uint32_t choice = family_.with_coordinate(cell, axis, 0);
      choices_[choice].resize(size_, none);
      choices_[choice][family_.coordinate(cell, axis)] = cell;
      all_choices_.insert(choice);
    }
  }

  void compare(const Key& key, const std::map<uint32_t, Entries>& by_cell, std::vector<MatrixRow>& out) const {
    for (const Line& line : lines(key, by_cell))
      if (differs(line)) out.push_back(row_of(key, line));
  }

 private:
  std::vector<Line> lines(const Key& key, const std::map<uint32_t, Entries>& by_cell) const;
  bool differs(const Line& line) const;
  MatrixRow row_of(const Key& key, const Line& line) const;

  const Family& family_;
  uint32_t size_;
  std::map<uint32_t, std::vector<uint32_t>> choices_;  // by choice on the other axes: the cell of each value, or none
  CellSet all_choices_;
};

std::vector<Line> Differ::lines(const Key& key, const std::map<uint32_t, Entries>& by_cell) const {
  std::vector<Line> all;
  for (const auto& [choice, cells] : choices_) {
    Line line{std::vector<const Entry*>(size_, nullptr), std::vector<bool>(size_, false), CellSet::of(choice)};
    for (uint32_t value = 0; value < size_; ++value) {
      if (cells[value] == none) continue;
      line.built[value] = true;
      const Entries& entries = by_cell.at(cells[value]);
      if (const auto found = entries.find(key); found != entries.end()) line.entries[value] = &found->second;
    }
    const auto same = std::find_if(all.begin(), all.end(), [&](const Line& other) { return other.agrees(line); });
    if (same == all.end())
      all.push_back(std::move(line));
    else
      same->join(line);
  }
  return all;
}

// Cavities that hold nothing, or that nobody knows, come and go with their connector: the connector's row says so.
bool Differ::differs(const Line& line) const {
  const Entry* first = nullptr;
  bool absent = false, several = false, all_bare = true;
  for (uint32_t value = 0; value < size_; ++value) {
    if (!line.built[value]) continue;
    const Entry* entry = line.entries[value];
    absent |= entry == nullptr;
    if (!entry) continue;
    all_bare = all_bare && entry->bare;
    if (!first) first = entry;
    several |= entry->text != first->text;
  }
  return several || (first && absent && !all_bare);
}

MatrixRow Differ::row_of(const Key& key, const Line& line) const {
  MatrixRow row;
  row.item = item_name(key);
  row.with = cells_text(family_, line.choices, all_choices_);
  const Entry* before = nullptr;
  bool any_before = false;
  for (uint32_t value = 0; value < size_; ++value) {
    Step step = Step::same;
    const Entry* entry = line.entries[value];
    if (line.built[value]) {
      const bool same = entry && before ? entry->text == before->text : entry == before;
      const bool certain = (!entry || entry->certain) && (!before || before->certain);
      if (any_before && !same) step = certain ? Step::changed : Step::uncertain;
      before = entry;
      any_before = true;
      row.firing = row.firing || (entry && entry->firing);
    }
    row.steps.push_back(step);
    row.values.emplace_back(!line.built[value] ? not_built : entry ? std::string_view(entry->text) : not_there);
  }
  return row;
}

}  // namespace

std::vector<MatrixRow> matrix(const FamilyView& view, Index place, uint32_t axis) {
  const std::map<uint32_t, Entries> by_cell = PlaceReader(view, place).read();
  std::set<Key, KeyLess> keys;
  for (const auto& [cell, entries] : by_cell)
    for (const auto& [key, entry] : entries) keys.insert(key);
  std::vector<MatrixRow> found;
  const Differ differ(view, axis);
  for (const Key& key : keys) differ.compare(key, by_cell, found);
  return found;
}

}  // namespace loomproof::reports
