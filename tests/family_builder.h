// A Family built by hand in tests: the builder keeps the rows of one owner together and interns texts and sets of
// cells.
#pragma once
#include <map>
#include <string>
#include <string_view>
#include <vector>

#include "family/family.h"

namespace loomproof::testing {

// Fills a Family owner by owner: begin a part, add its rows, end it; texts and sets of cells are interned.
class FamilyBuilder {
 public:
  Family family;

  FamilyBuilder() { family.cites.push_back({}); }

  Str text(std::string_view words) {
    if (words.empty()) return 0;
    const auto [entry, added] = texts_.emplace(words, static_cast<Str>(family.strings.size()));
    if (added) family.strings.emplace_back(words);
    return entry->second;
  }
  Cells cells(const CellSet& set) {
    const auto [entry, added] = sets_.emplace(set, static_cast<Cells>(family.cell_sets.size()));
    if (added) family.cell_sets.push_back(set);
    return entry->second;
  }
  Cells everywhere() { return cells(CellSet::first(family.cell_count())); }

  // Axes first: sets of cells depend on them.
  void era(std::string_view id) { family.eras.push_back({.id = text(id), .title = text("Era " + std::string(id))}); }
  void option(std::string_view id, const std::vector<std::string>& values) {
    const auto index = static_cast<Index>(family.options.size());
    family.options.push_back({text(id), text(id), {next(family.option_values), static_cast<Index>(values.size())}, 0});
    for (const std::string& value : values)
      family.option_values.push_back({index, text(value), text(value), not_given});
  }

  Index source(std::string_view id, SourceKind kind) {
    return add(family.sources, {.id = text(id), .title = text(id), .kind = kind});
  }
  CiteId cite(const std::vector<Index>& sources, bool own = true) {
    const Range range{next(family.source_refs), static_cast<Index>(sources.size())};
    family.source_refs.insert(family.source_refs.end(), sources.begin(), sources.end());
    return add(family.cites, {range, own ? 1u : 0u, 0});
  }
  Index colour(std::string_view code, std::string_view name) {
    return add(family.colours, {text(code), text(name), next(family.colours), 0});
  }
  Index function(std::string_view id) { return add(family.functions, {text(id), text(id), 0}); }
  Index circuit(std::string_view id, std::string_view title, CircuitClass kind, Index function_id = none) {
    return add(family.circuits, {.id = text(id), .title = text(title), .kind = kind, .function = function_id});
  }
  Index housing(std::string_view id, uint32_t cavities, Contact contact = Contact::receptacle) {
    const Index index = next(family.housings);
    family.housings.push_back(
        {.id = text(id), .title = text(id), .cavities = {next(family.housing_cavities), cavities}});
    for (uint32_t i = 0; i < cavities; ++i)
      family.housing_cavities.push_back({.housing = index,
                                         .number = text(std::to_string(i + 1)),
                                         .contact = contact,
                                         .x = static_cast<int32_t>(i * 400),
                                         .y = 0});
    return index;
  }
  Index place(std::string_view id) {
    return add(family.places, {.id = text(id), .title = text("Place " + std::string(id)), .cells = everywhere()});
  }
  void plug(Index place_a, std::string_view a, Index place_b, std::string_view b) {
    family.plugs.push_back({place_a, text(a), place_b, text(b), everywhere()});
  }
  void caution(std::string_view id, std::string_view words, const std::vector<std::string>& when) {
    Caution row{text(id), text(words), {next(family.string_refs), static_cast<Index>(when.size())}};
    for (const std::string& word : when) family.string_refs.push_back(text(word));
    family.cautions.push_back(row);
  }

  // A part: connectors, then points, then the rest. Everything added until end_part() is its own.
  Index begin_part(std::string_view id, PartKind kind, Index place_id, const CellSet& where) {
    Part part{.id = text(id),
              .title = text("Part " + std::string(id)),
              .kind = kind,
              .place = place_id,
              .cells = cells(where)};
    const auto begin = [](Range& range, const auto& table) { range.first = static_cast<Index>(table.size()); };
    begin(part.numbers, family.numbers);
    begin(part.connectors, family.connectors);
    begin(part.points, family.points);
    begin(part.splices, family.splices);
    begin(part.earths, family.earths);
    begin(part.leads, family.leads);
    begin(part.wires, family.wires);
    begin(part.cavity_rows, family.cavity_rows);
    begin(part.pins, family.pins);
    begin(part.insides, family.insides);
    begin(part.positions, family.positions);
    begin(part.branches, family.branches);
    return add(family.parts, part);
  }
  void end_part() {
    Part& part = family.parts.back();
    const auto end = [](Range& range, const auto& table) {
      range.count = static_cast<Index>(table.size()) - range.first;
    };
    end(part.numbers, family.numbers);
    end(part.connectors, family.connectors);
    end(part.points, family.points);
    end(part.splices, family.splices);
    end(part.earths, family.earths);
    end(part.leads, family.leads);
    end(part.wires, family.wires);
    end(part.cavity_rows, family.cavity_rows);
    end(part.pins, family.pins);
    end(part.insides, family.insides);
    end(part.positions, family.positions);
    end(part.branches, family.branches);
  }
  Index connector(std::string_view designator, Index housing_id, Rest rest, const CellSet& where) {
    const Index index = next(family.connectors);
    family.connectors.push_back({part(), text(designator), {next(family.connector_rows), 1}});
    family.connector_rows.push_back({.connector = index, .housing = housing_id, .rest = rest, .cells = cells(where)});
    return index;
  }
  Index cavity(Index connector_id, std::string_view number) {
    return add(family.points, {part(), PointKind::cavity, connector_id, text(number)});
  }
  Index point(PointKind kind, std::string_view id) { return add(family.points, {part(), kind, none, text(id)}); }
  Index wire(Index circuit_id, Index from, Index to, Index base, Index tracer, Quantity mm2, const CellSet& where,
             CiteId cite_id = 0) {
    return add(family.wires, {.part = part(),
                              .circuit = circuit_id,
                              .from = from,
                              .to = to,
                              .base = base,
                              .tracer = tracer,
                              .mm2 = mm2,
                              .cells = cells(where),
                              .cite = cite_id});
  }
  Index pin(Index point_id, Index circuit_id, Role role, const CellSet& where, CiteId cite_id = 0) {
    return add(family.pins,
               {.point = point_id, .circuit = circuit_id, .role = role, .cells = cells(where), .cite = cite_id});
  }
  Index inside(std::string_view id, InsideKind kind, Index a, Index b, const CellSet& where) {
    return add(family.insides, {.part = part(), .id = text(id), .kind = kind, .a = a, .b = b, .cells = cells(where)});
  }
  Index cavity_row(Index point_id, State state, const CellSet& where) {
    return add(family.cavity_rows,
               {.point = point_id, .state = state, .says = {next(family.says), 0}, .cells = cells(where)});
  }
  void say(State state, Index circuit_id, CiteId cite_id) {  // of the cavity row added last
    family.says.push_back({next(family.cavity_rows) - 1, state, circuit_id, cite_id});
    ++family.cavity_rows.back().says.count;
  }

  template <typename Row>
  static Index next(const std::vector<Row>& table) {
    return static_cast<Index>(table.size());
  }
  template <typename Row>
  static Index add(std::vector<Row>& table, const Row& row) {
    table.push_back(row);
    return next(table) - 1;
  }

 private:
  Index part() const { return next(family.parts) - 1; }

  std::map<std::string, Str, std::less<>> texts_{{"", 0}};
  std::map<CellSet, Cells> sets_;
};

}  // namespace loomproof::testing
