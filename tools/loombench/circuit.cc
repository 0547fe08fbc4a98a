// loombench show FAMILY circuit ID: a circuit from end to end, through wires, plugs and what conducts inside
// components.
#include <fmt/format.h>

#include <algorithm>
#include <optional>

#include "answer.h"
#include "describe.h"
#include "family/words.h"
#include "nets/cavities.h"
#include "nets/nets.h"

namespace loomproof::bench {
namespace {

using Json = nlohmann::ordered_json;

// One line of the walk: how a point was reached and what it is.
struct Step {
  size_t depth = 0;
  bool branch = false;
  std::string by, at, what;
  friend bool operator==(const Step&, const Step&) = default;
  std::string text() const {
    std::string line = by.empty() ? at : fmt::format("{} {}", by, at);
    return what.empty() ? line : fmt::format("{}: {}", line, what);
  }
};
using CircuitView = std::vector<Step>;

// Walks one circuit in one cell. Wires of the circuit, plugs and what conducts inside components are followed; where
// another circuit begins, the walk names it and stops.
class Walk {
 public:
  Walk(const FamilyIndex& index, uint32_t cell, Index circuit)
      : index_(index),
        family_(index.family()),
        cell_(cell),
        circuit_(circuit),
        plugged_(index, cell),
        seen_(family_.points.size(), false) {
    for (Index place = 0; place < family_.places.size(); ++place)
      if (const Index part = index.part_in(place, cell); part != none) parts_.push_back(part);
  }

  // Every piece of the circuit, each from its best end: a giver, else where it enters a component, else any end.
  CircuitView steps() {
    std::vector<std::pair<int, Index>> starts;
    for (Index part : parts_) {
      const Range points = family_.parts[part].points;
      for (Index point = points.first; point < points.end(); ++point)
        if (on_circuit(point)) starts.emplace_back(rank(point), point);
    }
    std::sort(starts.begin(), starts.end());
    for (const auto& [order, point] : starts)
      if (!seen_[point]) walk_from(point);
    return std::move(steps_);
  }

 private:
  // A way on from a point. What is not followed has a text instead of a point.
  struct Edge {
    std::string by;
    Index to = none;
    std::string end;
  };

  template <typename Row>
  bool here(const Row& row) const {
    return family_.holds(row.cells, cell_);
  }

  // The rows of a part's table (splices, earths, leads) that make a point what it is; nullptr where none does here.
  template <typename Row>
  const Row* row_at(const std::vector<Row>& table, Range range, Index point) const {
    for (const Row& row : rows(table, range))
      if (row.point == point && here(row)) return &row;
    return nullptr;
  }
  const Earth* earth_at(Index point) const {
    return row_at(family_.earths, family_.parts[family_.points[point].part].earths, point);
  }
  const Lead* lead_at(Index point) const {
    return row_at(family_.leads, family_.parts[family_.points[point].part].leads, point);
  }
  const Splice* splice_at(Index point) const {
    return row_at(family_.splices, family_.parts[family_.points[point].part].splices, point);
  }
  const Pin* pin_at(Index point) const {
    for (Index pin : index_.pins_at(point))
      if (here(family_.pins[pin])) return &family_.pins[pin];
    return nullptr;
  }

  bool on_circuit(Index point) const {
    for (Index wire : index_.wires_at(point))
      if (family_.wires[wire].circuit == circuit_ && here(family_.wires[wire])) return true;
    const Pin* pin = pin_at(point);
    if (pin != nullptr && pin->circuit == circuit_) return true;
    const Earth* earth = earth_at(point);
    const Lead* lead = lead_at(point);
    return (earth != nullptr && earth->circuit == circuit_) || (lead != nullptr && lead->circuit == circuit_);
  }

  static bool gives(Role role) {
    return (role >= Role::gives_feed && role <= Role::pulls_high) || role == Role::gives_firing;
  }

  int rank(Index point) const {
    const Pin* pin = pin_at(point);
    const Lead* lead = lead_at(point);
    if (pin != nullptr && gives(pin->role)) return 0;
    if (lead != nullptr && gives(lead->role)) return 0;
    if (pin != nullptr && pin->role == Role::passes) return 1;
    if (lead != nullptr || earth_at(point) != nullptr) return 2;
    if (pin != nullptr) return 3;
    return 4;
  }

  std::string what(Index point) const {
    const Point& row = family_.points[point];
    if (const Pin* pin = pin_at(point)) return demand_text(*pin);
    if (const Splice* splice = splice_at(point))
      return splice->where == 0 ? "splice" : fmt::format("splice, {}", family_.text(splice->where));
    if (const Earth* earth = earth_at(point)) {
      std::string text = "earth point";
      if (earth->to != EarthNode::unset) text += fmt::format(" to {}", word(earth->to));
      if (earth->where != 0) text += fmt::format(", {}", family_.text(earth->where));
      return text;
    }
    if (const Lead* lead = lead_at(point))
      return fmt::format("end of the family's data, {}{}", word(lead->role),
                         lead->title == 0 ? "" : fmt::format(", {}", family_.text(lead->title)));
    if (row.kind == PointKind::inner) return {};
    const Cavity cavity = cavity_at(index_, cell_, point);
    return cavity.state.state == State::wired ? std::string() : state_text(index_, cavity);
  }

  std::string plugs_text(Index connector) const {
    if (!plugged_.matings_of(connector).empty()) return {};
    const Index row = connector_row_in(family_, connector, cell_);
    const Str loose = row == none ? 0 : family_.connector_rows[row].loose;
    return loose == 0 ? "the plug meets nothing" : fmt::format("the plug meets nothing: {}", family_.text(loose));
  }

  void add_plugs(Index point, std::vector<Edge>& edges) const {
    const Point& row = family_.points[point];
    if (row.kind != PointKind::cavity) return;
    for (const Mate& mate : plugged_.mates(point)) {
      const std::string there = connector_in_vehicle(family_, mate.connector);
      if (mate.point != none)
        edges.push_back({"plugs into", mate.point, {}});
      else
        edges.push_back({"plugs into", none,
                         fmt::format("{}.{}: {}", there, family_.text(row.name),
                                     state_text(index_, cavity_at(index_, cell_, mate.connector, row.name)))});
    }
    if (const std::string open = plugs_text(row.connector); !open.empty() && !index_.wires_at(point).empty())
      edges.push_back({{}, none, open});
  }

  void add_wires(Index point, std::vector<Edge>& edges) const {
    for (Index index : index_.wires_at(point)) {
      const Wire& wire = family_.wires[index];
      if (!here(wire)) continue;
      const Index far = wire.from == point ? wire.to : wire.from;
      std::string by = "wire";
      if (const std::string code = colour_code(family_, wire); !code.empty()) by += " " + code;
      if (wire.mm2 != not_given) by += " " + mm2_text(wire.mm2);
      by += " to";
      if (wire.circuit == circuit_)
        edges.push_back({by, far, {}});
      else
        edges.push_back({by, none,
                         fmt::format("{}: circuit {}, not followed", point_in_vehicle(family_, far),
                                     circuit_id(family_, wire.circuit))});
    }
  }

  void add_insides(Index point, std::vector<Edge>& edges) const {
    for (Index index : index_.insides_at(point)) {
      const Inside& inside = family_.insides[index];
      if (!here(inside)) continue;
      const Index far = inside.a == point ? inside.b : inside.a;
      const bool through = conducts(inside.kind);
      const std::string by = fmt::format("{} {} to", through ? "through" : "into", inside_text(family_, inside));
      if (through && (family_.points[far].kind == PointKind::inner || on_circuit(far))) {
        edges.push_back({by, far, {}});
        continue;
      }
      const Pin* pin = pin_at(far);
      std::string end = point_in_vehicle(family_, far);
      if (pin != nullptr && pin->circuit != none) end += fmt::format(": circuit {}", circuit_id(family_, pin->circuit));
      edges.push_back({by, none, end});
    }
  }

  // The ways on from a point that nobody has gone yet.
  std::vector<Edge> edges(Index point) const {
    std::vector<Edge> found;
    add_plugs(point, found);
    add_wires(point, found);
    add_insides(point, found);
    std::erase_if(found, [&](const Edge& edge) { return edge.to != none && seen_[edge.to]; });
    return found;
  }

  // Depth first, with a stack of its own: a pack may hold a chain of any length.
  void walk_from(Index start) {
    struct Pending {
      size_t depth = 0;
      bool branch = false;
      Edge edge;
    };
    std::vector<Pending> pending{{0, false, {{}, start, {}}}};
    while (!pending.empty()) {
      const Pending next = std::move(pending.back());
      pending.pop_back();
      if (next.edge.to == none) {
        steps_.push_back({next.depth, next.branch, next.edge.by, next.edge.end, {}});
        continue;
      }
      if (seen_[next.edge.to]) continue;  // reached another way meanwhile
      seen_[next.edge.to] = true;
      steps_.push_back(
          {next.depth, next.branch, next.edge.by, point_in_vehicle(family_, next.edge.to), what(next.edge.to)});
      std::vector<Edge> ways = edges(next.edge.to);
      const bool parts = ways.size() > 1;
      for (size_t i = ways.size(); i-- > 0;)
        pending.push_back({parts ? next.depth + 1 : next.depth, parts, std::move(ways[i])});
    }
  }

  const FamilyIndex& index_;
  const Family& family_;
  uint32_t cell_;
  Index circuit_;
  Plugged plugged_;
  std::vector<Index> parts_;
  std::vector<bool> seen_;
  CircuitView steps_;
};

bool fires(const FamilyIndex& index, Index circuit) {
  const Family& family = index.family();
  if (is_firing(family, circuit)) return true;
  return std::any_of(family.pins.begin(), family.pins.end(), [&](const Pin& pin) {
    return pin.circuit == circuit && (pin.role == Role::gives_firing || pin.role == Role::takes_firing);
  });
}

Facts facts_of(const Family& family, const Circuit& circuit) {
  Facts facts;
  facts.add("circuit", std::string(family.text(circuit.title)));
  facts.add("class", std::string(word(circuit.kind)));
  if (circuit.terminal != none)
    facts.add("terminal", fmt::format("{} {}", family.text(family.terminals[circuit.terminal].designation),
                                      family.text(family.terminals[circuit.terminal].meaning)));
  if (circuit.function != none) facts.add("function", std::string(family.text(family.functions[circuit.function].id)));
  facts.add("volts", volts_text(circuit.volts));
  facts.add("at most", amps_text(circuit.amps));
  facts.add("if it stays on", std::string(word(circuit.if_stays_on)));
  facts.add("if it is dead", std::string(word(circuit.if_dead)));
  facts.add("source", source_text(family, circuit.cite));
  return facts;
}

Json json_of(const CircuitView& view) {
  Json steps = Json::array();
  for (const Step& step : view) {
    Json one = {{"depth", step.depth}};
    if (!step.by.empty()) one["by"] = step.by;
    one["at"] = step.at;
    if (!step.what.empty()) one["what"] = step.what;
    steps.push_back(std::move(one));
  }
  return steps;
}

}  // namespace

Answer show_circuit(const Scope& scope, std::string_view id) {
  const Family& family = scope.family();
  const Index circuit = circuit_of(family, id);
  const auto groups = grouped(scope.cells(), [&](uint32_t cell) -> std::optional<CircuitView> {
    CircuitView steps = Walk(scope.index(), cell, circuit).steps();
    return steps.empty() ? std::nullopt : std::optional(std::move(steps));
  });
  if (groups.empty()) throw UsageError(fmt::format("circuit {} is in no part there", id));
  Answer answer;
  answer.json = {{"family", family.text(family.id)},
                 {"circuit", family.text(family.circuits[circuit].id)},
                 {"title", family.text(family.circuits[circuit].title)},
                 {"class", word(family.circuits[circuit].kind)}};
  answer.page.emplace_back(Heading{fmt::format("{} circuit {}", family.text(family.id), id), 2});
  if (fires(scope.index(), circuit)) add_cautions(answer, family, {"always", "firing"});
  answer.page.emplace_back(facts_of(family, family.circuits[circuit]));
  answer.json["variants"] = Json::array();
  for (const auto& [cells, view] : groups) {
    answer.page.emplace_back(Heading{scope.heading(cells), 3});
    Steps steps;
    for (const Step& step : view) steps.rows.push_back({step.depth, step.branch, step.text()});
    answer.page.emplace_back(std::move(steps));
    answer.json["variants"].push_back({{"cells", scope.name(cells)}, {"steps", json_of(view)}});
  }
  return answer;
}

}  // namespace loomproof::bench
