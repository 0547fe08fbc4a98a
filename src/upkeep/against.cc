#include "upkeep/against.h"

#include <fmt/format.h>

#include <algorithm>

#include "family/words.h"

namespace loomproof::upkeep {

namespace {

bool quantities_differ(Quantity file, Quantity table) {
  return table != not_given && file != not_given && file != table;
}

Found difference(std::string_view what, std::string_view file, Span there) {
  return {Against::differs, fmt::format("{} {} in the file", what, file), there};
}

}  // namespace

FileSays::FileSays(const TakeInto& into, const FamilyIndex& index, const std::vector<SaidRow>& rows)
    : into_(into), family_(into.family), index_(index) {
  for (const SaidRow& row : rows) {
    if (!row.said.double_crimp || row.refused) continue;
    doubles_[{row.said.end(), row.said.to}] = &row;
    doubles_[{row.said.to, row.said.end()}] = &row;
  }
}

// The file says so, or the table does, whose row will then say so in the file.
bool FileSays::is_double(Index wire) const {
  const Wire& is = family_.wires[wire];
  if (is.double_crimp != 0) return true;
  const auto row = doubles_.find({point_name(family_, is.from), point_name(family_, is.to)});
  return row != doubles_.end() && compare_wire(*row->second, wire).against == Against::agrees &&
         into_.cells.contains(family_.set(is.cells) & family_.set(family_.built));
}

Found FileSays::of(const SaidRow& row, uint32_t cell) const {
  const Cavity cavity = cavity_at(index_, cell, row.at.connector, row.at.number);
  if (row.said.state == State::unknown) return {Against::agrees, {}, {}};  // it leaves open what the file says
  if (row.said.state == State::wired) return is_loom() ? of_wire(row, cell, cavity) : of_pin(row, cavity);
  if (cavity.state.state == State::unknown) return open_at(cavity, row.said.end());
  const bool alike = cavity.wires.empty() && cavity.state.state == row.said.state &&
                     (is_loom() || (cavity.state.role == Role::open) == row.said.open);
  if (alike) return {Against::agrees, {}, row_of(cavity)};
  return other(cavity, row.said.end());
}

Found FileSays::of_wire(const SaidRow& row, uint32_t cell, const Cavity& cavity) const {
  for (const Index wire : cavity.wires) {
    const Wire& is = family_.wires[wire];
    const Index far = is.from == cavity.point ? is.to : is.from;
    const bool meant = row.leads ? point_name(family_, far) == row.said.to : cavity.wires.size() == 1;
    if (meant) return compare_wire(row, wire);
  }
  Found here = nothing_else(row.said, cavity, row.said.end());
  if (here.against == Against::differs || !row.to.is_cavity()) return here;
  if (connector_row_in(family_, row.to.connector, cell) == none)
    return {Against::differs,
            fmt::format("the file has no {} in {}", family_.text(family_.connectors[row.to.connector].designator),
                        cells_text(family_, CellSet::of(cell), into_.cells)),
            {}};
  Found there = nothing_else(row.said, cavity_at(index_, cell, row.to.connector, row.to.number), row.said.to);
  if (there.against == Against::differs) return there;
  here.unknown_rows.insert(here.unknown_rows.end(), there.unknown_rows.begin(), there.unknown_rows.end());
  return here;
}

Found FileSays::nothing_else(const PinSaid& said, const Cavity& cavity, const std::string& end) const {
  const bool doubled =
      said.double_crimp && !cavity.wires.empty() &&
      std::all_of(cavity.wires.begin(), cavity.wires.end(), [&](Index wire) { return is_double(wire); });
  if (cavity.state.state == State::unknown) return open_at(cavity, end);
  if (doubled) return {};
  Found found = other(cavity, end);
  const auto same = [&](Index wire) {
    return family_.text(family_.circuits[family_.wires[wire].circuit].id) == said.circuit;
  };
  if (!cavity.wires.empty() && std::all_of(cavity.wires.begin(), cavity.wires.end(), same))
    found.words += said.double_crimp ? "; for two wires in one terminal that row says `double: true` first"
                                     : "; two wires in one terminal say so in both rows: `double`";
  return found;
}

Found FileSays::open_at(const Cavity& cavity, const std::string& end) const {
  if (cavity.housing_cavity == none)
    return {Against::differs, fmt::format("the housing that the file gives has no cavity {}", end), {}};
  if (cavity.pin != none)
    return {Against::differs, "the file has a pin of unknown role there", into_.spans.pins[cavity.pin].row};
  Found found;
  if (cavity.cavity_row == none) return found;
  const CellSet says = family_.set(family_.cavity_rows[cavity.cavity_row].cells) & family_.set(family_.built);
  if (!into_.cells.contains(says))
    return {Against::differs, "the file says unknown there, in more eras or options than the table is for",
            into_.spans.cavity_rows[cavity.cavity_row]};
  found.unknown_rows.push_back(cavity.cavity_row);
  return found;
}

Span FileSays::row_of(const Cavity& cavity) const {
  if (!cavity.wires.empty()) return into_.spans.wires[cavity.wires.front()].row;
  if (cavity.pin != none) return into_.spans.pins[cavity.pin].row;
  if (cavity.cavity_row != none) return into_.spans.cavity_rows[cavity.cavity_row];
  return {};
}

Found FileSays::other(const Cavity& cavity, const std::string& end) const {
  std::string words;
  if (!cavity.wires.empty()) {
    const Wire& wire = family_.wires[cavity.wires.front()];
    const Index far = wire.from == cavity.point ? wire.to : wire.from;
    words = fmt::format("in the file {} holds {} to {}", end, family_.text(family_.circuits[wire.circuit].id),
                        point_name(family_, far));
  } else if (cavity.pin != none && cavity.state.role != Role::open) {
    words = fmt::format("in the file {} is a pin", end);
  } else {
    const bool by_rest = cavity.cavity_row == none && cavity.pin == none;
    words = fmt::format("in the file {} is {}{}", end,
                        cavity.state.role == Role::open ? "open" : loomproof::word(cavity.state.state),
                        by_rest ? ", by the `rest:` of its connector" : "");
  }
  Span there = row_of(cavity);
  if (!there.known()) {
    const Index row = connector_row_in(family_, cavity.connector, into_.cells.lowest());
    if (row != none) there = into_.spans.connector_rows[row].row;
  }
  return {Against::differs, std::move(words), there};
}

Found FileSays::compare_wire(const SaidRow& row, Index wire) const {
  const Wire& is = family_.wires[wire];
  const PinSaid& said = row.said;
  const WireSpans& spans = into_.spans.wires[wire];
  const std::string_view circuit = family_.text(family_.circuits[is.circuit].id);
  if (circuit != said.circuit) return difference("circuit", circuit, spans.circuit);
  if (!said.colour.base.empty() && is.base != none) {
    const std::string base(family_.text(family_.colours[is.base].code));
    const std::string code =
        is.tracer == none ? base : base + "/" + std::string(family_.text(family_.colours[is.tracer].code));
    const bool shades = said.colour.shade != Shade::unset && is.shade != Shade::unset && said.colour.shade != is.shade;
    if (code != said.colour.code() || shades) return difference("colour", colour_code(family_, is), spans.colour);
  }
  if (quantities_differ(is.mm2, said.mm2)) return difference("mm2", milli(is.mm2), spans.mm2);
  if (quantities_differ(is.length_mm, said.length_mm))
    return difference("length-mm", std::to_string(is.length_mm), spans.row);
  Found found{Against::agrees, {}, spans.row};
  found.wire = wire;
  return found;
}

Found FileSays::of_pin(const SaidRow& row, const Cavity& cavity) const {
  if (cavity.pin == none && cavity.state.state == State::unknown) return open_at(cavity, row.said.end());
  if (cavity.pin == none || cavity.state.state != State::wired) return other(cavity, row.said.end());
  const Pin& is = family_.pins[cavity.pin];
  const PinSpans& spans = into_.spans.pins[cavity.pin];
  const PinSaid& said = row.said;
  if (is.circuit != none && !said.circuit.empty() && family_.text(family_.circuits[is.circuit].id) != said.circuit)
    return difference("circuit", family_.text(family_.circuits[is.circuit].id), spans.circuit);
  if (is.role != said.role) return difference("role", loomproof::word(is.role), spans.role);
  if (quantities_differ(is.volts, said.volts)) return difference("volts", volts_text(is.volts), spans.row);
  if (quantities_differ(is.amps, said.amps)) return difference("max-a", milli(is.amps), spans.row);
  Found found{Against::agrees, {}, spans.row};
  found.pin = cavity.pin;
  return found;
}

}  // namespace loomproof::upkeep
