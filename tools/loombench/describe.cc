#include "describe.h"

#include <fmt/format.h>

#include <algorithm>

#include "family/words.h"

namespace loomproof::bench {
namespace {

std::string owner_of(const Family& family, Index part) {
  const Part& row = family.parts[part];
  return std::string(family.text(row.place == none ? row.id : family.places[row.place].id));
}

std::string said(const Family& family, const Say& say) {
  const std::string who = source_text(family, say.cite);
  std::string what(word(say.state));
  if (say.circuit != none) what += ", " + circuit_id(family, say.circuit);
  return fmt::format("{} says {}", who.empty() ? "one source" : who, what);
}

}  // namespace

std::string point_in_vehicle(const Family& family, Index point) {
  return fmt::format("{}.{}", owner_of(family, family.points[point].part), point_name(family, point));
}

std::string connector_in_vehicle(const Family& family, Index connector) {
  const Connector& row = family.connectors[connector];
  return fmt::format("{}.{}", owner_of(family, row.part), family.text(row.designator));
}

std::string source_text(const Family& family, CiteId cite) {
  const Cite& row = family.cites[cite];
  std::string text;
  for (Index source : rows(family.source_refs, row.sources)) {
    if (!text.empty()) text += ", ";
    text += family.text(family.sources[source].id);
  }
  if (row.independent && row.sources.count > 1) text += " (independent)";
  return text;
}

std::string marks_text(uint32_t marks) {
  constexpr std::pair<uint32_t, std::string_view> texts[] = {
      {function_single, "function from a single source"}, {function_memory, "function from memory"},
      {colour_single, "colour from a single source"},     {colour_memory, "colour from memory"},
      {mm2_single, "cross-section from a single source"}, {mm2_memory, "cross-section from memory"},
      {ohm_single, "resistance from a single source"},    {ohm_memory, "resistance from memory"},
      {amps_single, "current from a single source"},      {amps_memory, "current from memory"}};
  std::string text;
  for (const auto& [mark, words] : texts) {
    if ((marks & mark) == 0) continue;
    if (!text.empty()) text += "; ";
    text += words;
  }
  return text;
}

std::string state_word(const Cavity& cavity) {
  if (cavity.state.state == State::empty && cavity.state.role == Role::open) return "open";
  return std::string(word(cavity.state.state));
}

std::string state_text(const FamilyIndex& index, const Cavity& cavity) {
  const Family& family = index.family();
  switch (cavity.state.state) {
    case State::wired:
      return "wired";
    case State::empty:
      if (cavity.state.role == Role::open) return "open: connected to nothing inside";
      return "empty: known to hold nothing";
    case State::sealed:
      return "sealed: a terminal or plug, no wire";
    case State::unknown:
      return "unknown: nobody has looked";
    case State::disputed:
      break;
  }
  std::string claims;
  if (cavity.cavity_row != none)
    for (const Say& say : rows(family.says, family.cavity_rows[cavity.cavity_row].says))
      claims += (claims.empty() ? "" : "; ") + said(family, say);
  return "disputed: " + (claims.empty() ? "the sources disagree" : claims);
}

std::string circuit_id(const Family& family, Index circuit) {
  return circuit == none ? std::string() : std::string(family.text(family.circuits[circuit].id));
}

std::string circuit_function(const Family& family, Index circuit) {
  if (circuit == none) return {};
  const Circuit& row = family.circuits[circuit];
  std::string text;
  if (row.terminal != none) text = fmt::format("terminal {}", family.text(family.terminals[row.terminal].designation));
  if (row.function != none)
    text += (text.empty() ? "" : ", ") + std::string(family.text(family.functions[row.function].id));
  return text;
}

std::string colour_text(const Family& family, const Wire& wire) {
  const std::string code = colour_code(family, wire);
  return code.empty() ? code : fmt::format("{} {}", code, colour_name(family, wire));
}

std::string mm2_text(Quantity mm2) {
  return mm2 == not_given ? std::string() : milli(mm2) + " mm²";
}
std::string amps_text(Quantity amps) {
  return amps == not_given ? std::string() : milli(amps) + " A";
}

std::string demand_text(const Pin& pin) {
  std::string text(word(pin.role));
  const auto add = [&](std::string_view words) {
    if (words.empty()) return;
    if (!text.empty()) text += ", ";
    text += words;
  };
  if (pin.volts != not_given) add(pin.volts == system_volts ? "system voltage" : volts_text(pin.volts));
  if (pin.amps != not_given) add("up to " + amps_text(pin.amps));
  if (pin.when != When::always) add(fmt::format("while {}", word(pin.when)));
  if (pin.optional) add("need not be met");
  return text;
}

std::string inside_text(const Family& family, const Inside& inside) {
  std::string text = fmt::format("{} {}", word(inside.kind), family.text(inside.id));
  if (inside.amps != not_given) text += ", " + amps_text(inside.amps);
  if (inside.ohm != not_given) text += ", " + milli(inside.ohm) + " ohm";
  if (inside.kind != InsideKind::contact) return text;
  text += !inside.rests_known ? ", rest not known" : inside.rests_closed ? ", rests closed" : ", rests open";
  if (inside.closed_by == ClosedBy::coil)
    text += fmt::format(", worked by {}", family.text(inside.coil));
  else if (inside.closed_by != ClosedBy::unset)
    text += fmt::format(", worked by {}", word(inside.closed_by));
  return text;
}

bool conducts(InsideKind kind) {
  return kind == InsideKind::strap || kind == InsideKind::link || kind == InsideKind::fuse ||
         kind == InsideKind::contact;
}

}  // namespace loomproof::bench
