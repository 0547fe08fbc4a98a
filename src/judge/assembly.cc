#include "judge/assembly.h"

#include <algorithm>

namespace loomproof::judge {

namespace {

// The cells of each supply, in the order of their lowest cells.
std::vector<CellSet> by_supply(const Family& family, const CellSet& cells) {
  std::vector<std::pair<Quantity, CellSet>> found;
  for (uint32_t cell : cells.cells()) {
    const Quantity supply = supply_in(family, cell);
    auto at = std::find_if(found.begin(), found.end(), [&](const auto& each) { return each.first == supply; });
    if (at == found.end()) at = found.insert(found.end(), {supply, {}});
    at->second.insert(cell);
  }
  std::vector<CellSet> sets;
  for (const auto& [supply, each] : found) sets.push_back(each);
  return sets;
}

}  // namespace

Shelf::Shelf(const FamilyIndex& index)
    : index_(index), of_part_(family().parts.size()), of_place_(family().places.size()) {
  for (Index part = 0; part < family().parts.size(); ++part) {
    for (const loomproof::Variant& each : loomproof::variants(family(), part))
      for (const CellSet& cells :
           is_made_for_supply(family(), part) ? by_supply(family(), each.cells) : std::vector<CellSet>{each.cells})
        add(part, cells);
  }
}

void Shelf::add(Index part, const CellSet& cells) {
  const auto id = static_cast<VariantId>(variants_.size());
  variants_.push_back(make_variant(index_, part, cells));
  of_part_[part].push_back(id);
  of_place_[family().parts[part].place].push_back(id);
}

VariantId Shelf::variant(Index part, uint32_t cell) {
  for (VariantId id : of_part_[part])
    if (variants_[id].cells.has(cell)) return id;
  if (!family().holds(family().parts[part].cells, cell)) return none;
  variants_.push_back(make_variant(index_, part, CellSet::of(cell)));  // in a cell that nobody built
  of_part_[part].push_back(static_cast<VariantId>(variants_.size()) - 1);
  return of_part_[part].back();
}

Assembly Shelf::build(uint32_t cell) {
  Assembly assembly;
  for (Index place = 0; place < family().places.size(); ++place) {
    const Index part = index_.part_in(place, cell);
    assembly.at.push_back(part == none ? none : variant(part, cell));
  }
  return assembly;
}

Index Shelf::socket_of(VariantId id, Str designator) const {
  for (const Socket& socket : variants_[id].sockets)
    if (family().connectors[socket.connector].designator == designator) return socket.connector;
  return none;
}

namespace {

Index housing_of(const Family& family, const Variant& variant, Index connector) {
  for (const Socket& socket : variant.sockets)
    if (socket.connector == connector) return family.connector_rows[socket.row].housing;
  return none;
}

bool do_mate(const Family& family, Index a, Index b) {
  if (a == none || b == none) return false;
  const auto mates = rows(family.housing_refs, family.housings[a].mates);
  return std::find(mates.begin(), mates.end(), b) != mates.end();
}

}  // namespace

void Shelf::meet(const Assembly& assembly, std::vector<Meeting>& meetings) const {
  meetings.clear();
  for (Index plug = 0; plug < family().plugs.size(); ++plug) {
    const PlugPair& pair = family().plugs[plug];
    const VariantId a = assembly.at[pair.place_a], b = assembly.at[pair.place_b];
    if (a == none || b == none) continue;
    if (!family().holds(pair.cells, variants_[a].cell) && !family().holds(pair.cells, variants_[b].cell)) continue;
    const Index connector_a = socket_of(a, pair.a), connector_b = socket_of(b, pair.b);
    if (connector_a == none || connector_b == none) continue;
    const bool mate = do_mate(family(), housing_of(family(), variants_[a], connector_a),
                              housing_of(family(), variants_[b], connector_b));
    meetings.push_back({plug, pair.place_a, connector_a, pair.place_b, connector_b, mate});
  }
}

const std::vector<Touch>& Shelf::contacts(VariantId a, Index connector_a, VariantId b, Index connector_b) {
  const auto found = contacts_.try_emplace(Key{a, b, connector_a, connector_b});
  std::vector<Touch>& touches = found.first->second;
  if (!found.second) return touches;
  const auto net = [&](const Variant& variant, Index point) {
    return point == none ? none : variant.net_of[point - family().parts[variant.part].points.first];
  };
  const auto add = [&](Index point_a, Index point_b) {
    const Touch touch{net(variants_[a], point_a), net(variants_[b], point_b), point_a, point_b};
    if (touch.net_a != none || touch.net_b != none) touches.push_back(touch);
  };
  for (Index point : index_.points_of(connector_a))
    add(point, index_.cavity_point(connector_b, family().points[point].name));
  for (Index point : index_.points_of(connector_b))
    if (index_.cavity_point(connector_a, family().points[point].name) == none) add(none, point);
  return touches;
}

}  // namespace loomproof::judge
