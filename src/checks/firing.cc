// Firing circuits (airbag, belt tensioner) are marked, and end only in pins that fire or are fired.
#include <map>

#include "checks/all.h"
#include "checks/circuits.h"

namespace loomproof::checks {

namespace {

bool is_firing(Role role) {
  return role == Role::gives_firing || role == Role::takes_firing;
}

FindingBuilder tell_unmarked(const Judged& in, Index pin, Span at, Report& report) {
  const Index circuit = in.family.pins[pin].circuit;
  auto finding = report.add<Rule::firing_unmarked>(
      at, in.point_words(in.family.pins[pin].point),
      circuit == none ? std::string_view("none") : in.circuit_id(circuit),
      circuit == none ? std::string_view("none") : word(in.family.circuits[circuit].kind));
  return finding.help("give the circuit `class: firing`: only then is it kept from every probe");
}

}  // namespace

void firing(const Judged& in, Report& report) {
  const Family& family = in.family;
  auto fires = [&](Index circuit) { return circuit != none && family.circuits[circuit].kind == CircuitClass::firing; };
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
        PointKind kind = family.points[point].kind;
        bool wrong = kind == PointKind::earth;
        for (Index pin : in.index.pins_at(point)) {
          const Pin& row = family.pins[pin];
          if (!family.holds(row.cells, cell)) continue;
          wrong |= !is_firing(row.role) && !(row.role == Role::passes && fires(row.circuit)) && row.role != Role::open;
        }
        if (wrong) ends.add({firing_circuit, point}, in.classes[c].cells);
      }
    }
  }
  for (Index lead = 0; lead < family.leads.size(); ++lead)
    if (fires(family.leads[lead].circuit) && !is_firing(family.leads[lead].role))
      ends.add({family.leads[lead].circuit, family.leads[lead].point}, family.set(family.leads[lead].cells));
  ends.tell([&](const auto& key, const CellSet& cells) {
    auto [circuit, point] = key;
    Span at = circuit_span_at(in, point, cells.lowest());
    for (Index pin : in.index.pins_at(point)) at = in.spans.pins[pin].role;
    report.add<Rule::firing_end>(at, in.circuit_id(circuit), in.point_words(point))
        .label(in.spans.circuits[circuit], "declared firing here")
        .help("never a probe, never anything else on a firing circuit: check it against the maker's manual");
  });
}

}  // namespace loomproof::checks
