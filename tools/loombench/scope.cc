#include "scope.h"

#include <fmt/format.h>

#include <algorithm>

#include "describe.h"
#include "diag/suggest.h"
#include "family/words.h"

namespace loomproof::bench {
namespace {

template <typename Row>
std::vector<std::string_view> ids(const Family& family, const std::vector<Row>& table, Range range) {
  std::vector<std::string_view> found;
  for (const Row& row : rows(table, range)) found.push_back(family.text(row.id));
  return found;
}

template <typename Row>
Range whole(const std::vector<Row>& table) {
  return {0, static_cast<Index>(table.size())};
}

template <typename Row>
Index find(const Family& family, const std::vector<Row>& table, Range range, std::string_view id) {
  for (Index row = range.first; row < range.end(); ++row)
    if (family.text(table[row].id) == id) return row;
  return none;
}

CellSet along(const Family& family, uint32_t axis, uint32_t value) {
  CellSet cells;
  for (uint32_t cell = 0; cell < family.cell_count(); ++cell)
    if (family.coordinate(cell, axis) == value) cells.insert(cell);
  return cells;
}

CellSet with_option(const Family& family, const std::string& text) {
  const size_t equals = text.find('=');
  if (equals == std::string::npos) throw UsageError(fmt::format("--with takes option=value, not \"{}\"", text));
  const std::string_view id = std::string_view(text).substr(0, equals),
                         value = std::string_view(text).substr(equals + 1);
  const Index option = find(family, family.options, whole(family.options), id);
  if (option == none)
    unknown(fmt::format("option of {}", family.text(family.id)), id,
            ids(family, family.options, whole(family.options)));
  const Range values = family.options[option].values;
  const Index found = find(family, family.option_values, values, value);
  if (found == none) unknown(fmt::format("value of {}", id), value, ids(family, family.option_values, values));
  return along(family, option + 1, found - values.first);
}

}  // namespace

void unknown(std::string_view what, std::string_view wanted, const std::vector<std::string_view>& known) {
  std::string line = fmt::format("no {} \"{}\"", what, wanted);
  if (const std::string_view near = nearest(wanted, known); !near.empty())
    line += fmt::format("; did you mean {}?", near);
  else if (!known.empty() && known.size() <= 12)
    line += fmt::format("; there is {}", fmt::join(known, ", "));
  throw UsageError(line);
}

Scope::Scope(const Family& family, const Choice& choice)
    : index_(family), cells_(family.set(family.built)), may_fire_(connectors_that_may_fire(index_)) {
  if (!choice.era.empty()) {
    const Index era = find(family, family.eras, whole(family.eras), choice.era);
    if (era == none)
      unknown(fmt::format("era of {}", family.text(family.id)), choice.era,
              ids(family, family.eras, whole(family.eras)));
    cells_ &= along(family, 0, era);
  }
  for (const std::string& option : choice.with) cells_ &= with_option(family, option);
  if (cells_.empty()) throw UsageError(fmt::format("{} was never built like that", family.text(family.id)));
}

std::string Scope::name(const CellSet& cells) const {
  return cells_text(family(), cells, built());
}

std::string Scope::heading(const CellSet& cells) const {
  const std::string text = name(cells);
  return text == "all" ? "In all eras and options" : "In " + text;
}

Target parse_target(const Family& family, std::string_view text) {
  Target target;
  const size_t dot = text.find('.');
  target.owner = text.substr(0, dot);
  target.place = find(family, family.places, whole(family.places), target.owner);
  if (target.place == none) {
    if (find(family, family.parts, whole(family.parts), target.owner) == none) {
      std::vector<std::string_view> known = ids(family, family.places, whole(family.places));
      const auto parts = ids(family, family.parts, whole(family.parts));
      known.insert(known.end(), parts.begin(), parts.end());
      unknown(fmt::format("place or part of {}", family.text(family.id)), target.owner, known);
    }
    target.part_id = target.owner;
  }
  if (dot == std::string_view::npos) return target;
  const std::string_view rest = text.substr(dot + 1);
  const size_t second = rest.find('.');
  target.designator = rest.substr(0, second);
  if (second != std::string_view::npos) target.cavity = rest.substr(second + 1);
  return target;
}

Index connector_in(const Scope& scope, const Target& target, uint32_t cell) {
  const Family& family = scope.family();
  Index part = none;
  if (target.place != none) {
    part = scope.index().part_in(target.place, cell);
  } else {
    for (Index row = 0; row < family.parts.size() && part == none; ++row)
      if (family.text(family.parts[row].id) == target.part_id && family.holds(family.parts[row].cells, cell))
        part = row;
  }
  if (part == none) return none;
  const Range connectors = family.parts[part].connectors;
  for (Index connector = connectors.first; connector < connectors.end(); ++connector)
    if (family.text(family.connectors[connector].designator) == target.designator &&
        connector_row_in(family, connector, cell) != none)
      return connector;
  return none;
}

bool connector_may_fire(const Scope& scope, const Target& target) {
  for (uint32_t cell : scope.cells().cells())
    if (const Index connector = connector_in(scope, target, cell); connector != none && scope.may_fire(connector))
      return true;
  return false;
}

std::string no_connector(const Scope& scope, const Target& target) {
  const Family& family = scope.family();
  std::vector<std::string_view> names;
  CellSet elsewhere;
  for (const Part& part : family.parts) {
    const bool meant = target.place != none ? part.place == target.place : family.text(part.id) == target.part_id;
    if (!meant) continue;
    for (const Connector& connector : rows(family.connectors, part.connectors)) {
      const std::string_view designator = family.text(connector.designator);
      if (std::find(names.begin(), names.end(), designator) == names.end()) names.push_back(designator);
      if (designator != target.designator) continue;
      for (const ConnectorRow& row : rows(family.connector_rows, connector.rows))
        elsewhere |= family.set(row.cells) & family.set(part.cells);
    }
  }
  elsewhere &= scope.built();
  if (!elsewhere.empty())
    return fmt::format("{} has no {} there; it has one in {}", target.owner, target.designator, scope.name(elsewhere));
  if (names.empty()) return fmt::format("{} has no connectors", target.owner);
  const std::string list = fmt::format("{}", fmt::join(names, ", "));
  if (target.designator.empty()) return fmt::format("say which connector of {}: {}", target.owner, list);
  const std::string_view near = nearest(target.designator, names);
  const std::string hint = near.empty() ? "it has " + list : fmt::format("did you mean {}?", near);
  return fmt::format("{} has no connector \"{}\"; {}", target.owner, target.designator, hint);
}

Index circuit_of(const Family& family, std::string_view id) {
  const Index circuit = find(family, family.circuits, whole(family.circuits), id);
  if (circuit == none)
    unknown(fmt::format("circuit of {}", family.text(family.id)), id,
            ids(family, family.circuits, whole(family.circuits)));
  return circuit;
}

}  // namespace loomproof::bench
