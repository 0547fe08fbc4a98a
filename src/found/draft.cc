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

Draft::Draft(const Family& family, Index part, uint32_t cell)
    : family_(family), part_(part), cell_(cell), next_point_(static_cast<Index>(family.points.size())) {
  for (const Wire& wire : rows(family.wires, family.parts[part].wires))
    if (family.holds(wire.cells, cell)) recorded_.push_back(wire);
  for (const Inside& inside : rows(family.insides, family.parts[part].insides))
    if (family.holds(inside.cells, cell)) insides_.push_back(inside);
  inside_names_.resize(insides_.size());
  wires_ = recorded_;
  gone_.resize(wires_.size(), false);
  from_taken_ = to_taken_ = gone_;
  taps_.resize(wires_.size(), none);
}

std::vector<size_t> Draft::recorded_at(const End& end, const End& far) const {
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

Index Draft::point_of(const End& end) {
  if (end.point != none) return end.point;
  for (size_t i = 0; i < points_.size(); ++i)
    if (points_[i].connector == end.connector && points_[i].number == end.number && end.connector != none)
      return next_point_ + static_cast<Index>(i);
  points_.push_back({PointKind::cavity, end.connector, end.number, {}});
  return next_point_ + static_cast<Index>(points_.size()) - 1;
}

Index Draft::inner(std::string name) {
  points_.push_back({PointKind::inner, none, 0, std::move(name)});
  return next_point_ + static_cast<Index>(points_.size()) - 1;
}

std::string Draft::free_name(std::string_view stem) const {
  const Part& part = family_.parts[part_];
  for (uint32_t number = 1;; ++number) {
    const std::string name = fmt::format("{}{}", stem, number);
    bool taken = std::find(inside_names_.begin(), inside_names_.end(), name) != inside_names_.end();
    for (const Point& point : rows(family_.points, part.points)) taken = taken || family_.text(point.name) == name;
    for (const NewPoint& point : points_) taken = taken || point.name == name;
    for (const Inside& inside : rows(family_.insides, part.insides)) taken = taken || family_.text(inside.id) == name;
    if (!taken) return name;
  }
}

Index Draft::circuit_at(const End& end) const {
  if (end.point == none) return none;
  const Part& part = family_.parts[part_];
  for (const Wire& wire : recorded_)
    if (wire.from == end.point || wire.to == end.point) return wire.circuit;
  const auto of = [&](const auto& table, Range range) {
    for (const auto& row : rows(table, range))
      if (row.point == end.point && family_.holds(row.cells, cell_) && row.circuit != none) return row.circuit;
    return none;
  };
  Index circuit = of(family_.earths, part.earths);
  if (circuit == none) circuit = of(family_.leads, part.leads);
  if (circuit == none) circuit = of(family_.pins, part.pins);
  return circuit;
}

Index Draft::circuit_for(const Edit& edit) const {
  if (edit.circuit != none) return edit.circuit;
  const Index circuit = circuit_at(edit.from);
  return circuit != none ? circuit : circuit_at(edit.to);
}

void Draft::put_wire(const Edit& edit, Index circuit, Index from, Index to) {
  Wire wire;
  wire.part = part_, wire.circuit = circuit, wire.from = from, wire.to = to;
  wire.base = edit.base, wire.tracer = edit.tracer, wire.shade = edit.shade, wire.mm2 = edit.mm2;
  wires_.push_back(wire);
  gone_.push_back(false);
}

std::string Draft::take(size_t wire, bool at_from, const Edit& edit) {
  char& taken = at_from ? from_taken_[wire] : to_taken_[wire];
  if (taken || gone_[wire])
    return fmt::format("edit \"{}\": another edit speaks of the same wire end", edit_text(family_, edit));
  taken = true;
  return {};
}

// Their order in the list means nothing: what takes wires away or moves their ends comes first, then the branches of
// what is left, then what joins points wherever they are.
std::string Draft::apply(std::span<const Edit> edits) {
  for (const Edit& edit : edits)
    if (edit.kind == EditKind::plug_gone) connectors_gone_.push_back(edit.connector);
  for (int turn = 0; turn < 3; ++turn)
    for (const Edit& edit : edits) {
      if (turn_of(edit.kind) != turn) continue;
      const auto lost = [&](const End& end) {
        return end.connector != none && holds_one(connectors_gone_, end.connector);
      };
      if (lost(edit.from) || lost(edit.to))
        return fmt::format("edit \"{}\": the plug is gone, as another edit says", edit_text(family_, edit));
      if (std::string fault = apply(edit); !fault.empty()) return fault;
    }
  settle();
  return {};
}

std::string Draft::apply(const Edit& edit) {
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

std::string Draft::cut(const Edit& edit, State left_behind) {
  const std::vector<size_t> wires = recorded_at(edit.from, edit.to);
  if (wires.empty()) return fmt::format("edit \"{}\": no wire is recorded there", edit_text(family_, edit));
  for (size_t wire : wires) {
    if (std::string fault = take(wire, true, edit); !fault.empty()) return fault;
    if (std::string fault = take(wire, false, edit); !fault.empty()) return fault;
    gone_[wire] = true;
    stubs_.push_back({recorded_[wire].from, left_behind});
    stubs_.push_back({recorded_[wire].to, left_behind});
  }
  return {};
}

std::string Draft::move(const Edit& edit) {
  if (edit.from.point != none && family_.points[edit.from.point].kind == PointKind::splice)
    return fmt::format("edit \"{}\": {} is a splice, and no single wire end", edit_text(family_, edit),
                       end_name(family_, edit.from));
  const std::vector<size_t> wires = recorded_at(edit.from, {});
  if (wires.empty()) return fmt::format("edit \"{}\": no wire is recorded there", edit_text(family_, edit));
  const Index to = point_of(edit.to);
  for (size_t wire : wires) {
    const bool at_from = recorded_[wire].from == edit.from.point;
    if (std::string fault = take(wire, at_from, edit); !fault.empty()) return fault;
    (at_from ? wires_[wire].from : wires_[wire].to) = to;
    if (wires_[wire].from == wires_[wire].to)
      return fmt::format("edit \"{}\": the wire's other end is there", edit_text(family_, edit));
  }
  stubs_.push_back({edit.from.point, State::empty});
  return {};
}

std::string Draft::tap(const Edit& edit) {
  if (edit.from.point != none && family_.points[edit.from.point].kind == PointKind::splice) {
    put_wire(edit, circuit_for(edit), edit.from.point, point_of(edit.to));
    return {};
  }
  const std::vector<size_t> wires = recorded_at(edit.from, {});
  if (wires.empty()) return fmt::format("edit \"{}\": no wire is recorded there", edit_text(family_, edit));
  const size_t wire = wires.front();  // all wires at an end are one net
  if (gone_[wire]) return fmt::format("edit \"{}\": the wire is cut, as another edit says", edit_text(family_, edit));
  put_wire(edit, circuit_for(edit), tap_on(wire), point_of(edit.to));
  return {};
}

// The splice at which branches leave a wire; the first one parts it in two.
Index Draft::tap_on(size_t wire) {
  if (taps_[wire] != none) return taps_[wire];
  points_.push_back({PointKind::splice, none, 0, free_name("TAP-")});
  const Index tap = next_point_ + static_cast<Index>(points_.size()) - 1;
  taps_[wire] = tap;
  Wire rest = wires_[wire];
  rest.from = tap;
  wires_[wire].to = tap;
  rest.length_mm = wires_[wire].length_mm = not_given;
  wires_.push_back(rest);
  gone_.push_back(false);
  return tap;
}

std::string Draft::join(const Edit& edit) {
  const Index circuit = circuit_for(edit);
  if (circuit == none)
    return fmt::format("edit \"{}\": no circuit is recorded at either end; say which with `circuit ID`",
                       edit_text(family_, edit));
  put_wire(edit, circuit, point_of(edit.from), point_of(edit.to));
  return {};
}

std::string Draft::resist(const Edit& edit) {
  const std::string name = end_name(family_, edit.from);
  if (!edit.to.given() && edit.from.point != none && family_.points[edit.from.point].kind == PointKind::splice)
    return fmt::format("edit \"{}\": {} is a splice; say in which wire, as in \"{} C1.1\"", edit_text(family_, edit),
                       name, name);
  const std::vector<size_t> wires = recorded_at(edit.from, edit.to);
  if (wires.empty()) return fmt::format("edit \"{}\": no wire is recorded there", edit_text(family_, edit));
  const std::string id = free_name("R-");
  Wire piece = recorded_[wires.front()];  // from the end itself to the resistance
  const Index near = inner(fmt::format("{} at {}", id, name)), far = inner(fmt::format("{} behind {}", id, name));
  piece.from = edit.from.point, piece.to = near, piece.length_mm = not_given;
  for (size_t wire : wires) {
    const bool at_from = recorded_[wire].from == edit.from.point;
    if (std::string fault = take(wire, at_from, edit); !fault.empty()) return fault;
    (at_from ? wires_[wire].from : wires_[wire].to) = far;
  }
  wires_.push_back(piece);
  gone_.push_back(false);
  Inside resistor;
  resistor.part = part_, resistor.kind = InsideKind::resistor, resistor.a = near, resistor.b = far;
  resistor.ohm = edit.ohm;
  insides_.push_back(resistor);
  inside_names_.push_back(id);
  return {};
}

std::string Draft::earth_gone(const Edit& edit) {
  if (edit.from.point == none || family_.points[edit.from.point].kind != PointKind::earth)
    return fmt::format("edit \"{}\": {} is no earth point", edit_text(family_, edit), end_name(family_, edit.from));
  earths_gone_.push_back(edit.from.point);
  return {};
}

std::string Draft::plug_gone(const Edit& edit) {
  for (Index point = family_.parts[part_].points.first; point < family_.parts[part_].points.end(); ++point) {
    if (family_.points[point].connector != edit.connector) continue;
    const std::vector<size_t> wires = recorded_at({point}, {});
    if (wires.empty()) continue;
    const Index loose = inner("end of " + point_name(family_, point));
    for (size_t wire : wires)
      for (const bool at_from : {true, false}) {
        if ((at_from ? recorded_[wire].from : recorded_[wire].to) != point) continue;
        if (std::string fault = take(wire, at_from, edit); !fault.empty()) return fault;
        (at_from ? wires_[wire].from : wires_[wire].to) = loose;
      }
  }
  return {};
}

std::string Draft::strap_missing(const Edit& edit) {
  if (edit.inside != none) {
    insides_gone_.push_back(edit.inside);
    return {};
  }
  if (edit.from.point == none || family_.points[edit.from.point].kind != PointKind::earth)
    return fmt::format("edit \"{}\": {} is no earth point and no strap", edit_text(family_, edit),
                       end_name(family_, edit.from));
  return cut(edit, State::empty);
}

bool Draft::is_wired(Index point) const {
  for (size_t i = 0; i < wires_.size(); ++i)
    if (!gone_[i] && (wires_[i].from == point || wires_[i].to == point)) return true;
  return false;
}

// Wires that share a cavity with one that came are crimped or pushed in together.
void Draft::settle() {
  for (size_t i = 0; i < wires_.size(); ++i) {
    if (i < recorded_.size() && wires_[i].from == recorded_[i].from && wires_[i].to == recorded_[i].to) continue;
    for (size_t j = 0; j < wires_.size(); ++j)
      for (Index end : {wires_[i].from, wires_[i].to}) {
        const bool is_cavity = end < next_point_ ? family_.points[end].kind == PointKind::cavity
                                                 : points_[end - next_point_].kind == PointKind::cavity;
        if (is_cavity && i != j && !gone_[i] && !gone_[j] && (wires_[j].from == end || wires_[j].to == end))
          wires_[i].double_crimp = 1;
      }
  }
}

}  // namespace loomproof::found
