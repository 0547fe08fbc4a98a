#include "found/draft.h"

#include <fmt/format.h>

#include <algorithm>

#include "family/words.h"

namespace loomproof::found {
namespace {

bool holds_one(const std::vector<Index>& list, Index item) {
  return std::find(list.begin(), list.end(), item) != list.end();
}

int turn_of(EditKind kind) {
  if (kind == EditKind::tapped) return 1;
  return kind == EditKind::bridged || kind == EditKind::added ? 2 : 0;
}

}  // namespace

PartDraft::PartDraft(const Family& family, Index of_part, uint32_t in_cell)
    : part(of_part),
      cell(in_cell),
      next_point(static_cast<Index>(family.points.size())),
      next_connector(static_cast<Index>(family.connectors.size())) {
  for (const Wire& wire : rows(family.wires, family.parts[part].wires))
    if (family.holds(wire.cells, cell)) wires.push_back(wire);
  for (const Inside& inside : rows(family.insides, family.parts[part].insides))
    if (family.holds(inside.cells, cell)) insides.push_back(inside);
  gone.resize(wires.size(), false);
  inside_names.resize(insides.size());
}

Index PartDraft::add_point(NewPoint point) {
  points.push_back(std::move(point));
  return next_point + static_cast<Index>(points.size()) - 1;
}

bool PartDraft::is_wired(Index point) const {
  for (size_t i = 0; i < wires.size(); ++i)
    if (!gone[i] && (wires[i].from == point || wires[i].to == point)) return true;
  return false;
}

EditRun::EditRun(const Family& family, PartDraft& draft)
    : family_(family),
      draft_(draft),
      recorded_(draft.wires),
      from_taken_(draft.wires.size(), false),
      to_taken_(from_taken_),
      taps_(draft.wires.size(), none) {}

std::vector<size_t> EditRun::recorded_at(const End& end, const End& far) const {
  std::vector<size_t> found;
  if (end.point == none || (far.given() && far.point == none)) return found;
  for (size_t i = 0; i < recorded_.size(); ++i) {
    const Wire& wire = recorded_[i];
    if (wire.from != end.point && wire.to != end.point) continue;
    const Index other = wire.from == end.point ? wire.to : wire.from;
    if (!far.given() || other == far.point) found.push_back(i);
  }
  return found;
}

Index EditRun::point_of(const End& end) {
  if (end.point != none) return end.point;
  const auto& points = draft_.points;
  for (size_t i = 0; i < points.size(); ++i)
    if (points[i].connector == end.connector && points[i].number == end.number && end.connector != none)
      return draft_.next_point + static_cast<Index>(i);
  return draft_.add_point({PointKind::cavity, end.connector, end.number, {}});
}

std::string EditRun::free_name(std::string_view stem) const {
  const Part& part = family_.parts[draft_.part];
  for (uint32_t number = 1;; ++number) {
    const std::string name = fmt::format("{}{}", stem, number);
    bool taken = std::find(draft_.inside_names.begin(), draft_.inside_names.end(), name) != draft_.inside_names.end();
    for (const Point& point : rows(family_.points, part.points)) taken = taken || family_.text(point.name) == name;
    for (const PartDraft::NewPoint& point : draft_.points) taken = taken || point.name == name;
    for (const Inside& inside : rows(family_.insides, part.insides)) taken = taken || family_.text(inside.id) == name;
    if (!taken) return name;
  }
}

Index EditRun::circuit_at(const End& end) const {
  if (end.point == none) return none;
  const Part& part = family_.parts[draft_.part];
  for (const Wire& wire : recorded_)
    if (wire.from == end.point || wire.to == end.point) return wire.circuit;
  const auto of = [&](const auto& table, Range range) {
    for (const auto& row : rows(table, range))
      if (row.point == end.point && family_.holds(row.cells, draft_.cell) && row.circuit != none) return row.circuit;
    return none;
  };
  Index circuit = of(family_.earths, part.earths);
  if (circuit == none) circuit = of(family_.leads, part.leads);
  if (circuit == none) circuit = of(family_.pins, part.pins);
  return circuit;
}

Index EditRun::circuit_for(const Edit& edit) const {
  if (edit.circuit != none) return edit.circuit;
  const Index circuit = circuit_at(edit.from);
  return circuit != none ? circuit : circuit_at(edit.to);
}

void EditRun::put_wire(const Edit& edit, Index circuit, Index from, Index to) {
  Wire wire;
  wire.part = draft_.part, wire.circuit = circuit, wire.from = from, wire.to = to;
  wire.base = edit.base, wire.tracer = edit.tracer, wire.shade = edit.shade, wire.mm2 = edit.mm2;
  draft_.add_wire(wire);
}

std::string EditRun::take(size_t wire, bool at_from, const Edit& edit) {
  char& taken = at_from ? from_taken_[wire] : to_taken_[wire];
  if (taken || draft_.gone[wire])
    return fmt::format("edit \"{}\": another edit speaks of the same wire end", edit_text(family_, edit));
  taken = true;
  return {};
}

// Their order in the list means nothing: what takes wires away or moves their ends comes first, then the branches of
// what is left, then what joins points wherever they are.
std::string EditRun::apply(std::span<const Edit> edits) {
  for (const Edit& edit : edits)
    if (edit.kind == EditKind::plug_gone) draft_.connectors_gone.push_back(edit.connector);
  for (int turn = 0; turn < 3; ++turn)
    for (const Edit& edit : edits) {
      if (turn_of(edit.kind) != turn) continue;
      const auto lost = [&](const End& end) {
        return end.connector != none && holds_one(draft_.connectors_gone, end.connector);
      };
      if (lost(edit.from) || lost(edit.to))
        return fmt::format("edit \"{}\": the plug is gone, as another edit says", edit_text(family_, edit));
      if (std::string fault = apply(edit); !fault.empty()) return fault;
    }
  settle();
  return {};
}

std::string EditRun::apply(const Edit& edit) {
  if (edit.from.given() && edit.from == edit.to)
    return fmt::format("edit \"{}\": both ends are the same", edit_text(family_, edit));
  switch (edit.kind) {
    case EditKind::cut:
      return cut(edit, State::sealed);
    case EditKind::moved:
      return move(edit);
    case EditKind::tapped:
      return tap(edit);
    case EditKind::bridged:
    case EditKind::added:
      return join(edit);
    case EditKind::high_resistance:
      return resist(edit);
    case EditKind::earth_gone:
      return earth_gone(edit);
    case EditKind::plug_gone:
      return plug_gone(edit);
    case EditKind::strap_missing:
      break;
  }
  return strap_missing(edit);
}

std::string EditRun::cut(const Edit& edit, State left_behind) {
  const std::vector<size_t> wires = recorded_at(edit.from, edit.to);
  if (wires.empty()) return fmt::format("edit \"{}\": no wire is recorded there", edit_text(family_, edit));
  for (size_t wire : wires) {
    if (std::string fault = take(wire, true, edit); !fault.empty()) return fault;
    if (std::string fault = take(wire, false, edit); !fault.empty()) return fault;
    draft_.gone[wire] = true;
    draft_.stubs.push_back({recorded_[wire].from, left_behind});
    draft_.stubs.push_back({recorded_[wire].to, left_behind});
  }
  return {};
}

std::string EditRun::move(const Edit& edit) {
  if (edit.from.point != none && family_.points[edit.from.point].kind == PointKind::splice)
    return fmt::format("edit \"{}\": {} is a splice, and no single wire end", edit_text(family_, edit),
                       end_name(family_, edit.from));
  const std::vector<size_t> wires = recorded_at(edit.from, {});
  if (wires.empty()) return fmt::format("edit \"{}\": no wire is recorded there", edit_text(family_, edit));
  const Index to = point_of(edit.to);
  for (size_t wire : wires) {
    const bool at_from = recorded_[wire].from == edit.from.point;
    if (std::string fault = take(wire, at_from, edit); !fault.empty()) return fault;
    (at_from ? draft_.wires[wire].from : draft_.wires[wire].to) = to;
    if (draft_.wires[wire].from == draft_.wires[wire].to)
      return fmt::format("edit \"{}\": the wire's other end is there", edit_text(family_, edit));
  }
  draft_.stubs.push_back({edit.from.point, State::empty});
  return {};
}

std::string EditRun::tap(const Edit& edit) {
  if (edit.from.point != none && family_.points[edit.from.point].kind == PointKind::splice) {
    put_wire(edit, circuit_for(edit), edit.from.point, point_of(edit.to));
    return {};
  }
  const std::vector<size_t> wires = recorded_at(edit.from, {});
  if (wires.empty()) return fmt::format("edit \"{}\": no wire is recorded there", edit_text(family_, edit));
  const size_t wire = wires.front();  // all wires at an end are one net
  if (draft_.gone[wire])
    return fmt::format("edit \"{}\": the wire is cut, as another edit says", edit_text(family_, edit));
  put_wire(edit, circuit_for(edit), tap_on(wire), point_of(edit.to));
  return {};
}

// The splice at which branches leave a wire; the first one parts it in two.
Index EditRun::tap_on(size_t wire) {
  if (taps_[wire] != none) return taps_[wire];
  const Index tap = draft_.add_point({PointKind::splice, none, 0, free_name("TAP-")});
  draft_.splices.push_back({.point = tap});
  taps_[wire] = tap;
  Wire rest = draft_.wires[wire];
  rest.from = tap;
  draft_.wires[wire].to = tap;
  rest.length_mm = draft_.wires[wire].length_mm = not_given;
  draft_.add_wire(rest);
  return tap;
}

std::string EditRun::join(const Edit& edit) {
  const Index circuit = circuit_for(edit);
  if (circuit == none)
    return fmt::format("edit \"{}\": no circuit is recorded at either end; say which with `circuit ID`",
                       edit_text(family_, edit));
  put_wire(edit, circuit, point_of(edit.from), point_of(edit.to));
  return {};
}

std::string EditRun::resist(const Edit& edit) {
  const std::string name = end_name(family_, edit.from);
  if (!edit.to.given() && edit.from.point != none && family_.points[edit.from.point].kind == PointKind::splice)
    return fmt::format("edit \"{}\": {} is a splice; say in which wire, as in \"{} C1.1\"", edit_text(family_, edit),
                       name, name);
  const std::vector<size_t> wires = recorded_at(edit.from, edit.to);
  if (wires.empty()) return fmt::format("edit \"{}\": no wire is recorded there", edit_text(family_, edit));
  const std::string id = free_name("R-");
  Wire piece = recorded_[wires.front()];  // from the end itself to the resistance
  const Index near = draft_.add_point({PointKind::inner, none, 0, fmt::format("{} at {}", id, name)}),
              far = draft_.add_point({PointKind::inner, none, 0, fmt::format("{} behind {}", id, name)});
  piece.from = edit.from.point, piece.to = near, piece.length_mm = not_given;
  for (size_t wire : wires) {
    const bool at_from = recorded_[wire].from == edit.from.point;
    if (std::string fault = take(wire, at_from, edit); !fault.empty()) return fault;
    (at_from ? draft_.wires[wire].from : draft_.wires[wire].to) = far;
  }
  draft_.add_wire(piece);
  Inside resistor;
  resistor.part = draft_.part, resistor.kind = InsideKind::resistor, resistor.a = near, resistor.b = far;
  resistor.ohm = edit.ohm;
  draft_.insides.push_back(resistor);
  draft_.inside_names.push_back(id);
  return {};
}

std::string EditRun::earth_gone(const Edit& edit) {
  if (edit.from.point == none || family_.points[edit.from.point].kind != PointKind::earth)
    return fmt::format("edit \"{}\": {} is no earth point", edit_text(family_, edit), end_name(family_, edit.from));
  draft_.joints_gone.push_back(edit.from.point);
  return {};
}

std::string EditRun::plug_gone(const Edit& edit) {
  for (Index point = family_.parts[draft_.part].points.first; point < family_.parts[draft_.part].points.end();
       ++point) {
    if (family_.points[point].connector != edit.connector) continue;
    const std::vector<size_t> wires = recorded_at({point}, {});
    if (wires.empty()) continue;
    const Index loose = draft_.add_point({PointKind::inner, none, 0, "end of " + point_name(family_, point)});
    for (size_t wire : wires)
      for (const bool at_from : {true, false}) {
        if ((at_from ? recorded_[wire].from : recorded_[wire].to) != point) continue;
        if (std::string fault = take(wire, at_from, edit); !fault.empty()) return fault;
        (at_from ? draft_.wires[wire].from : draft_.wires[wire].to) = loose;
      }
  }
  return {};
}

std::string EditRun::strap_missing(const Edit& edit) {
  if (edit.inside != none) {
    draft_.insides_gone.push_back(edit.inside);
    return {};
  }
  if (edit.from.point == none || family_.points[edit.from.point].kind != PointKind::earth)
    return fmt::format("edit \"{}\": {} is no earth point and no strap", edit_text(family_, edit),
                       end_name(family_, edit.from));
  return cut(edit, State::empty);
}

// Wires that share a cavity with one that came are crimped or pushed in together.
void EditRun::settle() {
  for (size_t i = 0; i < draft_.wires.size(); ++i) {
    if (i < recorded_.size() && draft_.wires[i].from == recorded_[i].from && draft_.wires[i].to == recorded_[i].to)
      continue;
    for (size_t j = 0; j < draft_.wires.size(); ++j)
      for (Index end : {draft_.wires[i].from, draft_.wires[i].to}) {
        const bool is_cavity = end < draft_.next_point
                                   ? family_.points[end].kind == PointKind::cavity
                                   : draft_.points[end - draft_.next_point].kind == PointKind::cavity;
        if (is_cavity && i != j && !draft_.gone[i] && !draft_.gone[j] &&
            (draft_.wires[j].from == end || draft_.wires[j].to == end))
          draft_.wires[i].double_crimp = 1;
      }
  }
}

}  // namespace loomproof::found
