#include "reports/family_view.h"

#include <fmt/format.h>

#include <algorithm>

#include "family/words.h"

namespace loomproof::reports {

FamilyView::FamilyView(const Family& family)
    : family_(family),
      index_(family),
      built_(family.set(family.built)),
      cells_(built_.cells()),
      position_(family.cell_count(), none) {
  for (uint32_t cell : cells_) {
    position_[cell] = static_cast<uint32_t>(plugged_.size());
    plugged_.emplace_back(index_, cell);
  }
  find_firing();
}

std::vector<Index> FamilyView::partners(Index connector, uint32_t built_cell) const {
  const Plugged& plugs = plugged(built_cell);
  std::vector<Index> found;
  for (Index mating : plugs.matings_of(connector)) {
    const Mating& pair = plugs.matings()[mating];
    const Index other = pair.connector_a == connector ? pair.connector_b : pair.connector_a;
    if (std::find(found.begin(), found.end(), other) == found.end()) found.push_back(other);
  }
  return found;
}

bool FamilyView::is_firing(Index circuit) const {
  return circuit != none && family_.circuits[circuit].kind == CircuitClass::firing;
}

bool FamilyView::fires_at(Index point) const {
  for (Index wire : index_.wires_at(point))
    if (is_firing(family_.wires[wire].circuit)) return true;
  for (Index pin : index_.pins_at(point)) {
    const Pin& row = family_.pins[pin];
    if (is_firing(row.circuit) || row.role == Role::gives_firing || row.role == Role::takes_firing) return true;
  }
  for (Index cavity_row : index_.cavity_rows_at(point))
    for (const Say& say : rows(family_.says, family_.cavity_rows[cavity_row].says))
      if (is_firing(say.circuit)) return true;
  for (Index inside : index_.insides_at(point))
    if (family_.insides[inside].kind == InsideKind::squib) return true;
  return false;
}

void FamilyView::find_firing() {
  const auto connectors = static_cast<Index>(family_.connectors.size());
  std::vector<bool> own(connectors, false);
  for (Index connector = 0; connector < connectors; ++connector)
    for (Index point : index_.points_of(connector)) own[connector] = own[connector] || fires_at(point);
  carries_firing_ = own;
  for (const Plugged& plugs : plugged_) {
    for (const Mating& pair : plugs.matings()) {
      if (own[pair.connector_a]) carries_firing_[pair.connector_b] = true;
      if (own[pair.connector_b]) carries_firing_[pair.connector_a] = true;
    }
  }
  housing_fires_.assign(family_.housings.size(), false);
  for (Index connector = 0; connector < connectors; ++connector) {
    if (!carries_firing_[connector]) continue;
    any_firing_ = true;
    for (const ConnectorRow& row : rows(family_.connector_rows, family_.connectors[connector].rows))
      if (row.housing != none) housing_fires_[row.housing] = true;
  }
  for (const Circuit& circuit : family_.circuits) any_firing_ = any_firing_ || circuit.kind == CircuitClass::firing;
}

std::string FamilyView::place_id(Index part) const {
  const Part& row = family_.parts[part];
  return text(row.place == none ? row.id : family_.places[row.place].id);
}

std::string FamilyView::connector_name(Index connector) const {
  const Connector& row = family_.connectors[connector];
  return fmt::format("{} {}", place_id(row.part), family_.text(row.designator));
}

std::string FamilyView::cells_words(const CellSet& cells) const {
  return cells_text(family_, cells, built_);
}

std::string FamilyView::only_in(const CellSet& cells, const CellSet& among) const {
  if (cells.contains(among)) return {};
  return fmt::format(" ({})", cells_text(family_, cells, among));
}

bool natural_less(std::string_view a, std::string_view b) {
  const auto digits = [](std::string_view text) {
    size_t count = 0;
    while (count < text.size() && text[count] >= '0' && text[count] <= '9') ++count;
    return count;
  };
  const std::string_view all_a = a, all_b = b;
  while (!a.empty() && !b.empty()) {
    const size_t in_a = digits(a), in_b = digits(b);
    if (in_a > 0 && in_b > 0) {
      std::string_view number_a = a.substr(0, in_a), number_b = b.substr(0, in_b);
      while (number_a.size() > 1 && number_a[0] == '0') number_a.remove_prefix(1);
      while (number_b.size() > 1 && number_b[0] == '0') number_b.remove_prefix(1);
      if (number_a.size() != number_b.size()) return number_a.size() < number_b.size();
      if (number_a != number_b) return number_a < number_b;
      a.remove_prefix(in_a), b.remove_prefix(in_b);
      continue;
    }
    if (a[0] != b[0]) return a[0] < b[0];
    a.remove_prefix(1), b.remove_prefix(1);
  }
  if (a.empty() != b.empty()) return a.empty();
  return all_a < all_b;  // "01" and "1"
}

}  // namespace loomproof::reports
