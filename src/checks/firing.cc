// Firing circuits (airbag, belt tensioner) are marked, and end only in pins that fire or are fired.
#include <algorithm>
#include <map>

#include "checks/all.h"
#include "checks/circuits.h"

namespace loomproof::checks {

namespace {

FindingBuilder tell_unmarked(const Judged& in, Index pin, Span at, Report& report) {
  const Index circuit = in.family.pins[pin].circuit;
  auto finding = report.add<Rule::firing_unmarked>(
      at, in.point_words(in.family.pins[pin].point),
      circuit == none ? std::string_view("none") : in.circuit_id(circuit),
      circuit == none ? std::string_view("none") : word(in.family.circuits[circuit].kind));
  return finding.help("give the circuit `class: firing`: only then is it kept from every probe");
}

// Where a firing circuit ends and must not. A wire that joins it to another circuit brings all ends of that with it:
// one fault, told once.
struct WrongEnds {
  std::vector<Index> points;
  CellSet cells;
};

// The role of the pin there, else the end itself.
Span end_span(const Judged& in, Index point, uint32_t cell) {
  const std::span<const Index> pins = in.index.pins_at(point);
  return pins.empty() ? circuit_span_at(in, point, cell) : in.spans.pins[pins.front()].role;
}

bool has_own_row(const Judged& in, Index circuit, Index point) {
  const auto of_wire = [&](Index wire) { return in.family.wires[wire].circuit == circuit; };
  const auto of_pin = [&](Index pin) { return in.family.pins[pin].circuit == circuit; };
  const std::span<const Index> wires = in.index.wires_at(point), pins = in.index.pins_at(point);
  return std::any_of(wires.begin(), wires.end(), of_wire) || std::any_of(pins.begin(), pins.end(), of_pin);
}

// A wire of the circuit whose end is also another circuit's; none where there is none.
std::pair<Index, Index> where_joined(const Judged& in, Index circuit, uint32_t cell) {
  for (Index wire = 0; wire < in.family.wires.size(); ++wire) {
    const Wire& row = in.family.wires[wire];
    if (row.circuit != circuit || !in.family.holds(row.cells, cell)) continue;
    for (Index end : {row.from, row.to})
      if (circuits_at(in, end, cell).size() > 1) return {wire, end};
  }
  return {none, none};
}

void tell_ends(const Judged& in, Index circuit, const WrongEnds& wrong, Report& report) {
  constexpr size_t most = 4;  // labels; the rest are counted
  const uint32_t cell = wrong.cells.lowest();
  std::vector<Index> points = wrong.points;
  const auto own =
      std::find_if(points.begin(), points.end(), [&](Index point) { return has_own_row(in, circuit, point); });
  Span at;
  Index shown = none;
  if (own != points.end()) {
    shown = *own;
    at = end_span(in, shown, cell);
    points.erase(own);
  } else if (const auto [wire, end] = where_joined(in, circuit, cell); wire != none) {
    shown = end;
    at = in.wire_end_span(wire, end);
  } else {
    shown = points.front();
    at = end_span(in, shown, cell);
    points.erase(points.begin());
  }
  auto finding = report.add<Rule::firing_end>(at, in.circuit_id(circuit), in.point_words(shown));
  finding.label(in.spans.circuits[circuit], "declared firing here");
  for (size_t i = 0; i < std::min(points.size(), most); ++i)
    finding.label(end_span(in, points[i], cell), "it reaches " + in.point_words(points[i]) + " as well");
  if (points.size() > most)
    finding.help(fmt::format("and {} further place{}", points.size() - most, points.size() == most + 1 ? "" : "s"));
  finding.help("never a probe, never anything else on a firing circuit: check it against the maker's manual");
}

}  // namespace

void firing(const Judged& in, Report& report) {
  const Family& family = in.family;
  const auto fires = [&](Index circuit) { return is_firing(family, circuit); };
  std::map<Index, std::vector<Index>> unmarked;  // circuit, its firing pins: the circuit is wrong once
  for (Index pin = 0; pin < family.pins.size(); ++pin) {
    const Pin& row = family.pins[pin];
    if (!is_firing(row.role)) continue;
    report.judged(Rule::firing_unmarked);
    if (!fires(row.circuit)) unmarked[row.circuit].push_back(pin);
  }
  for (const auto& [circuit, pins] : unmarked) {
    auto finding = tell_unmarked(in, pins.front(), in.spans.pins[pins.front()].circuit, report);
    for (size_t i = 1; i < pins.size(); ++i) finding.label(in.spans.pins[pins[i]].circuit, "this pin fires as well");
  }
  for (Index inside = 0; inside < family.insides.size(); ++inside) {
    const Inside& row = family.insides[inside];
    if (row.kind != InsideKind::squib) continue;
    std::vector<Index> pins;
    for (Index point : {row.a, row.b})
      for (Index pin : in.index.pins_at(point)) {
        report.judged(Rule::firing_unmarked);
        if (!is_firing(family.pins[pin].role) && !fires(family.pins[pin].circuit)) pins.push_back(pin);
      }
    if (pins.empty()) continue;
    auto finding = tell_unmarked(in, pins.front(), in.spans.pins[pins.front()].role, report);
    finding.label(in.spans.insides[inside], "a squib hangs on it");
    for (size_t i = 1; i < pins.size(); ++i) finding.label(in.spans.pins[pins[i]].role, "and on this pin");
  }
  ByCells<std::pair<Index, Index>> ends;  // circuit, point
  for (size_t c = 0; c < in.classes.size(); ++c) {
    const Nets& nets = in.builds[c].nets;
    uint32_t cell = in.classes[c].cell;
    for (Index net = 0; net < nets.count(); ++net) {
      Index firing_circuit = none;
      for (Index circuit : nets.circuits(net))
        if (fires(circuit)) firing_circuit = circuit;
      if (firing_circuit == none) continue;
      for (Index point : nets.points(net)) {
        report.judged(Rule::firing_end);
        if (no_end_of_firing(in, point, cell)) ends.add({firing_circuit, point}, in.classes[c].cells);
      }
    }
  }
  std::map<Index, WrongEnds> by_circuit;
  ends.tell([&](const auto& key, const CellSet& cells) {
    auto [circuit, point] = key;
    by_circuit[circuit].points.push_back(point);
    by_circuit[circuit].cells |= cells;
  });
  for (const auto& [circuit, wrong] : by_circuit) tell_ends(in, circuit, wrong, report);
}

}  // namespace loomproof::checks
