#include "reports/entries.h"

#include <fmt/format.h>

#include <algorithm>

#include "family/words.h"
#include "reports/table.h"

namespace loomproof::reports {
namespace {

using Group = Item::Group;

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
  entry.bare = state == State::unknown || state == State::empty;
  if (cavity.pin != none && cavity.state.role != Role::open) {
    entry.text = pin_words(family_, family_.pins[cavity.pin]);
    entry.firing = view_.is_firing(family_.pins[cavity.pin].circuit);
    return entry;
  }
  entry.text = cavity.state.role == Role::open ? "open" : std::string(word(state));
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

}  // namespace

std::string item_words(const Item& item) {
  if (item.group != Group::cavity) return item.name;
  return item.name.empty() ? item.connector : item.connector + "." + item.name;
}

bool ItemLess::operator()(const Item& a, const Item& b) const {
  if (a.group != b.group) return a.group < b.group;
  if (a.connector != b.connector) return natural_less(a.connector, b.connector);
  return a.name != b.name && natural_less(a.name, b.name);
}

Entries part_entries(const FamilyView& view, Index part, uint32_t cell) {
  return PartReader(view, part, cell).read();
}

Entries place_entries(const FamilyView& view, Index place, uint32_t cell) {
  const Family& family = view.family();
  Entries entries;
  const Index part = view.index().part_in(place, cell);
  if (part == none) return entries;
  const Part& row = family.parts[part];
  entries[{Group::part, "", "part"}] = {view.text(row.id)};
  Entry number, where;
  for (const PartNumber& one : rows(family.numbers, row.numbers))
    if (family.holds(one.cells, cell)) append(number.text, family.text(one.text), ", ");
  if (!number.text.empty()) entries[{Group::number, "", "part number"}] = number;
  for (const PlaceWhere& one : rows(family.place_where, family.places[place].where))
    if (family.holds(one.cells, cell)) append(where.text, family.text(one.where));
  if (!where.text.empty()) entries[{Group::where, "", "where"}] = where;
  return entries;
}

}  // namespace loomproof::reports
