// A family of two eras and the supplies 12V and 24V, written row by row in tests as the corpus writes it:
// loom("chassis").wire(era_a, "STOP", "C7.4", "C21.3", "BK/RD", 500). Cells 0 and 1 are era a, 2 and 3 era b.
#pragma once
#include <functional>
#include <map>
#include <string>
#include <string_view>
#include <vector>

#include "family_builder.h"

namespace loomproof::testing {

inline CellSet cells_of(std::initializer_list<uint32_t> list) {
  CellSet set;
  for (uint32_t cell : list) set.insert(cell);
  return set;
}
inline const CellSet era_a = cells_of({0, 1}), era_b = cells_of({2, 3}), everywhere = cells_of({0, 1, 2, 3});

class SmallFamily {
 public:
  SmallFamily() {
    build_.era("a"), build_.era("b");
    build_.option("supply", {"12V", "24V"});
    build_.family.built = build_.cells(everywhere);
    build_.cite({build_.source("bench", SourceKind::invented)});
    for (const auto& [code, name] : {std::pair("BK", "black"), {"RD", "red"}, {"GN", "green"}, {"WH", "white"}})
      colours_[code] = build_.colour(code, name);
    for (const auto& [id, size] : {std::pair("inline-8", 8), {"inline-12", 12}, {"row-35", 35}})
      housings_[id] = build_.housing(id, static_cast<uint32_t>(size));
  }
  Family& family() { return build_.family; }
  FamilyBuilder& build() { return build_; }

  Index place(const std::string& id) {
    const auto [entry, is_new] = places_.emplace(id, none);
    if (is_new) entry->second = build_.place(id);
    return entry->second;
  }
  Index circuit(const std::string& id) {
    const auto [entry, is_new] = circuits_.emplace(id, none);
    if (is_new) entry->second = build_.circuit(id, id, CircuitClass::signal);
    return entry->second;
  }
  Index point(const std::string& name, Index part = 0) const { return points_.at({part, name}); }
  Index connector(const std::string& name, Index part = 0) const { return connectors_.at({part, name}); }

  // A part is begun, filled and ended; each connector before its cavities are named.
  Index begin(std::string_view id, PartKind kind, const std::string& place_id, const CellSet& cells = everywhere) {
    return part_ = build_.begin_part(id, kind, place(place_id), cells);
  }
  void end() { build_.end_part(); }
  ConnectorRow& plug(const CellSet& cells, const std::string& name, const std::string& housing, Rest rest = Rest::empty,
                     const std::string& where = "") {
    const bool is_new = !connectors_.count({part_, name});
    if (is_new) {
      connectors_[{part_, name}] = build_.connector(name, housings_.at(housing), rest, cells);
    } else {  // a second row stands right behind the first
      ConnectorRow row = build_.family.connector_rows.back();
      row.cells = build_.cells(cells), row.housing = housings_.at(housing), row.rest = rest;
      build_.family.connector_rows.push_back(row);
      ++build_.family.connectors.back().rows.count;
    }
    build_.family.connector_rows.back().where = build_.text(where);
    return build_.family.connector_rows.back();
  }
  Wire& wire(const CellSet& cells, const std::string& circuit_id, const std::string& from, const std::string& to,
             const std::string& colour = "BK", Quantity mm2 = 500) {
    const size_t stroke = colour.find('/');
    const Index base = colour.empty() ? none : colours_.at(colour.substr(0, stroke));
    const Index tracer = stroke == colour.npos ? none : colours_.at(colour.substr(stroke + 1));
    const Index wire = build_.wire(circuit(circuit_id), make(from), make(to), base, tracer, mm2, cells);
    return build_.family.wires[wire];
  }
  Pin& pin(const CellSet& cells, const std::string& at, const std::string& circuit_id, Role role) {
    const Index pin = build_.pin(make(at), circuit_id.empty() ? none : circuit(circuit_id), role, cells);
    return build_.family.pins[pin];
  }
  Inside& inside(const CellSet& cells, const std::string& id, InsideKind kind, const std::string& a,
                 const std::string& b) {
    return build_.family.insides[build_.inside(id, kind, make(a), make(b), cells)];
  }
  void state(const CellSet& cells, const std::string& at, State state) { build_.cavity_row(make(at), state, cells); }
  void splice(const CellSet& cells, const std::string& id, const std::string& where) {
    build_.family.splices.push_back({.point = make(id), .where = build_.text(where), .cells = build_.cells(cells)});
  }
  Earth& earth(const CellSet& cells, const std::string& id, const std::string& where) {
    Earth row;
    row.point = make(id), row.where = build_.text(where), row.to = EarthNode::chassis, row.cells = build_.cells(cells);
    build_.family.earths.push_back(row);
    return build_.family.earths.back();
  }
  Lead& lead(const CellSet& cells, const std::string& id, Role role) {
    build_.family.leads.push_back({.point = make(id), .role = role, .cells = build_.cells(cells)});
    return build_.family.leads.back();
  }
  void place_where(const CellSet& cells, const std::string& place_id, const std::string& where) {
    PlaceWhere row;  // of one place all together
    row.place = place(place_id), row.where = build_.text(where), row.cells = build_.cells(cells);
    Range& range = build_.family.places[row.place].where;
    if (range.count == 0) range.first = build_.next(build_.family.place_where);
    build_.family.place_where.push_back(row);
    ++range.count;
  }

  // A declared change, and its steps.
  void change(uint32_t axis, Index left, Index right) {
    Change row;
    row.axis = axis, row.left = left, row.right = right;
    row.items.first = build_.next(build_.family.change_items);
    build_.add(build_.family.changes, row);
  }
  Index step(ChangeItem item, const CellSet& cells = everywhere) {
    item.change = build_.next(build_.family.changes) - 1;
    item.cells = build_.cells(cells);
    if (item.part == none && item.place == none) item.part = 0;
    if (item.place == none) item.place = build_.family.parts[item.part].place;
    ++build_.family.changes.back().items.count;
    return build_.add(build_.family.change_items, item);
  }
  Str text(std::string_view words) { return build_.text(words); }

 private:
  Index make(const std::string& name) {
    const auto known = points_.find({part_, name});
    if (known != points_.end()) return known->second;
    const size_t dot = name.find('.');
    Index point = none;
    if (dot != name.npos) {
      point = build_.cavity(connectors_.at({part_, name.substr(0, dot)}), name.substr(dot + 1));
    } else {
      const std::map<char, PointKind> kinds{
          {'S', PointKind::splice}, {'E', PointKind::earth}, {'L', PointKind::lead}, {'N', PointKind::inner}};
      point = build_.point(kinds.at(name[0]), name);
    }
    return points_[{part_, name}] = point;
  }

  FamilyBuilder build_;
  Index part_ = none;
  std::map<std::string, Index> colours_, housings_, places_, circuits_;
  std::map<std::pair<Index, std::string>, Index> points_, connectors_;
};

}  // namespace loomproof::testing
