// loombench show FAMILY PLACE.C1: a connector, cavity by cavity.
#include <fmt/format.h>

#include <map>
#include <optional>

#include "answer.h"
#include "describe.h"
#include "family/words.h"
#include "nets/called.h"
#include "nets/nets.h"

namespace loomproof::bench {
namespace {

using Json = nlohmann::ordered_json;

// One line of the table: a wire of a loom, a pin of a component, or a cavity that has neither.
struct Line {
  std::string cavity, state, circuit, function, role, colour_code, colour_name, mm2, to, reaches, note, source;
  std::string
      firing;  // "carried", in any cell; "possible": nobody has looked, and its housing carries firing elsewhere
  friend bool operator==(const Line&, const Line&) = default;
};

struct ConnectorView {
  std::string part, title, kind, housing, where, loose, meets, closes;
  std::vector<Line> lines;
  friend bool operator==(const ConnectorView&, const ConnectorView&) = default;
};

std::string joined_names(const Family& family, const std::vector<Index>& points) {
  std::string text;
  for (Index point : points) text += (text.empty() ? "" : ", ") + point_name(family, point);
  return text;
}

std::string wire_note(const Wire& wire, const Cavity& cavity, const Family& family) {
  std::vector<std::string> notes;
  if (cavity.wires.size() > 1) notes.emplace_back("double crimp");
  if (wire.spare != 0) notes.push_back(fmt::format("spare: {}", family.text(wire.spare)));
  if (const std::string marks = marks_text(wire.marks); !marks.empty()) notes.push_back(marks);
  return fmt::format("{}", fmt::join(notes, "; "));
}

std::vector<Line> cavity_lines(const Scope& scope, uint32_t cell, const Cavity& cavity) {
  const FamilyIndex& index = scope.index();
  const Family& family = scope.family();
  Line base;
  base.cavity = family.text(cavity.number);
  base.state = state_word(cavity);
  if (cavity.point != none && carries_firing(index, cavity.point))
    base.firing = "carried";
  else if (cavity.state.state == State::unknown && scope.may_fire(cavity.connector))
    base.firing = "possible";
  base.note = fmt::format("{}", fmt::join(other_names(family, cavity.housing_cavity), "; "));
  const auto with_note = [](Line row, const std::string& note) {
    if (!note.empty()) row.note += (row.note.empty() ? "" : "; ") + note;
    return row;
  };
  std::vector<Line> lines;
  for (Index wire_index : cavity.wires) {
    const Wire& wire = family.wires[wire_index];
    Line row = with_note(base, wire_note(wire, cavity, family));
    row.circuit = circuit_id(family, wire.circuit);
    row.function = circuit_function(family, wire.circuit);
    row.colour_code = colour_code(family, wire);
    row.colour_name = colour_name(family, wire);
    row.mm2 = milli(wire.mm2);
    const Index far = wire.from == cavity.point ? wire.to : wire.from;
    row.to = point_name(family, far);
    if (family.points[far].kind == PointKind::splice)
      row.reaches = joined_names(family, ends_reached(index, cell, cavity.point));
    row.source = source_text(family, wire.cite);
    lines.push_back(std::move(row));
  }
  if (lines.empty() && cavity.pin != none) {
    const Pin& pin = family.pins[cavity.pin];
    Line row = with_note(base, marks_text(pin.marks));
    row.circuit = circuit_id(family, pin.circuit);
    row.function = circuit_function(family, pin.circuit);
    row.role = demand_text(pin);
    row.source = source_text(family, pin.cite);
    lines.push_back(std::move(row));
  }
  if (lines.empty()) {
    if (cavity.cavity_row != none) {
      const CavityRow& said = family.cavity_rows[cavity.cavity_row];
      base = with_note(base, std::string(family.text(said.note)));
      base.source = source_text(family, said.cite);
    }
    if (cavity.state.state == State::disputed) base = with_note(base, state_text(index, cavity).substr(10));
    lines.push_back(std::move(base));
  }
  return lines;
}

std::string body_text(const Family& family, const Housing& housing) {
  std::string text = fmt::format("{}, {} cavities", family.text(housing.id), housing.cavities.count);
  if (housing.title != 0) text = fmt::format("{} ({})", text, family.text(housing.title));
  if (housing.colour != 0) text += fmt::format(", {}", family.text(housing.colour));
  if (housing.key != 0) text += fmt::format(", key {}", family.text(housing.key));
  if (housing.latch != 0) text += fmt::format(", latch {}", family.text(housing.latch));
  return text;
}

std::string meets_text(const FamilyIndex& index, uint32_t cell, Index connector) {
  const Plugged plugged(index, cell);
  std::string text;
  for (Index mating : plugged.matings_of(connector)) {
    const Mating& one = plugged.matings()[mating];
    const Index other = one.connector_a == connector ? one.connector_b : one.connector_a;
    text += (text.empty() ? "" : ", ") + connector_in_vehicle(index.family(), other);
  }
  return text;
}

std::string closes_text(const Family& family, const Housing& housing) {
  std::string text;
  for (const Closes& bar : rows(family.closes, housing.closes))
    text += fmt::format("{}{} with {}", text.empty() ? "" : ", ", family.text(family.housing_cavities[bar.a].number),
                        family.text(family.housing_cavities[bar.b].number));
  return text;
}

std::optional<ConnectorView> view_of_connector(const Scope& scope, const Target& target, uint32_t cell) {
  const Family& family = scope.family();
  const Index connector = connector_in(scope, target, cell);
  if (connector == none) return std::nullopt;
  const ConnectorRow& row = family.connector_rows[connector_row_in(family, connector, cell)];
  const Housing& housing = family.housings[row.housing];
  const Part& part = family.parts[family.connectors[connector].part];
  ConnectorView view;
  view.part = family.text(part.id);
  view.title = family.text(part.title);
  view.kind = word(part.kind);
  view.housing = body_text(family, housing);
  view.where = family.text(row.where);
  view.loose = family.text(row.loose);
  view.meets = meets_text(scope.index(), cell, connector);
  view.closes = closes_text(family, housing);
  for (const Cavity& cavity : cavities(scope.index(), cell, connector)) {
    std::vector<Line> lines = cavity_lines(scope, cell, cavity);
    view.lines.insert(view.lines.end(), lines.begin(), lines.end());
  }
  return view;
}

// The source that most lines have; said once, so that the table names only the others.
std::string usual_source(const ConnectorView& view) {
  std::map<std::string, size_t> counts;
  for (const Line& line : view.lines)
    if (!line.source.empty()) ++counts[line.source];
  std::string usual;
  for (const auto& [source, count] : counts)
    if (usual.empty() || count > counts[usual]) usual = source;
  return usual;
}

Facts facts_of(const ConnectorView& view) {
  Facts facts;
  facts.add(view.kind, view.title.empty() ? view.part : fmt::format("{} ({})", view.part, view.title));
  facts.add("housing", view.housing);
  facts.add("where", view.where);
  facts.add("plugs into", view.meets.empty() ? "nothing" : view.meets);
  facts.add("may hang loose", view.loose);
  facts.add("joined while open", view.closes);
  facts.add("source", usual_source(view));
  return facts;
}

std::string remark_of(const Line& line, const std::string& usual_source_text) {
  std::vector<std::string> remarks;
  if (line.firing == "carried") remarks.emplace_back("FIRING: keep every meter and tester away");
  if (line.firing == "possible") remarks.emplace_back("may be FIRING: keep every meter and tester away");
  if (!line.reaches.empty()) remarks.push_back(fmt::format("through {} to {}", line.to, line.reaches));
  if (!line.note.empty()) remarks.push_back(line.note);
  if (!line.source.empty() && line.source != usual_source_text)
    remarks.push_back(fmt::format("source {}", line.source));
  return fmt::format("{}", fmt::join(remarks, "; "));
}

Grid table_of(const ConnectorView& view) {
  Grid table;
  table.columns = {{"cavity"},     {"state"},  {"circuit"},           {"function", true},
                   {"role", true}, {"colour"}, {"colour name", true}, {"mm²"},
                   {"to"}};
  const std::string usual = usual_source(view);
  for (const Line& line : view.lines)
    table.rows.push_back({{line.cavity, line.state, line.circuit, line.function, line.role, line.colour_code,
                           line.colour_name, line.mm2, line.to},
                          remark_of(line, usual)});
  return without_empty_columns(table);
}

Json json_of(const ConnectorView& view) {
  Json lines = Json::array();
  for (const Line& line : view.lines) {
    Json one = {{"cavity", line.cavity}, {"state", line.state}};
    const std::pair<const char*, const std::string&> optional[] = {{"circuit", line.circuit},
                                                                   {"function", line.function},
                                                                   {"role", line.role},
                                                                   {"colour", line.colour_code},
                                                                   {"colour-name", line.colour_name},
                                                                   {"mm2", line.mm2},
                                                                   {"to", line.to},
                                                                   {"reaches", line.reaches},
                                                                   {"note", line.note},
                                                                   {"firing", line.firing},
                                                                   {"source", line.source}};
    for (const auto& [key, value] : optional)
      if (!value.empty()) one[key] = value;
    lines.push_back(std::move(one));
  }
  return {{"part", view.part},   {"title", view.title},      {"kind", view.kind},   {"housing", view.housing},
          {"where", view.where}, {"plugs-into", view.meets}, {"loose", view.loose}, {"joined-while-open", view.closes},
          {"cavities", lines}};
}

}  // namespace

Answer show_connector(const Scope& scope, const Target& target) {
  const Family& family = scope.family();
  const auto groups = grouped(scope.cells(), [&](uint32_t cell) { return view_of_connector(scope, target, cell); });
  if (groups.empty()) throw UsageError(no_connector(scope, target));
  const std::string name = fmt::format("{}.{}", target.owner, target.designator);
  Answer answer;
  answer.json = {{"family", family.text(family.id)}, {"connector", name}};
  answer.page.emplace_back(Heading{fmt::format("{} {}", family.text(family.id), name), 2});
  if (connector_may_fire(scope, target)) add_cautions(answer, family, {"always", "firing"});
  answer.json["variants"] = Json::array();
  for (const auto& [cells, view] : groups) {
    answer.page.emplace_back(Heading{scope.heading(cells), 3});
    answer.page.emplace_back(facts_of(view));
    answer.page.emplace_back(table_of(view));
    Json one = {{"cells", scope.name(cells)}};
    one.update(json_of(view));
    answer.json["variants"].push_back(std::move(one));
  }
  return answer;
}

}  // namespace loomproof::bench
