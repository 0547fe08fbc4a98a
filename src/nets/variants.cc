// Cells are first parted by the distinct cell sets of the rows, which costs next to nothing; what is then apart is
// compared by content, and joined again where rows under different tags say the same.
#include "nets/variants.h"

#include <algorithm>
#include <cstring>
#include <map>

#include "family/fields.h"

namespace loomproof {
namespace {

using Words = std::vector<uint32_t>;

// The words of a row that are content: neither its tags, nor its citation, nor where its lists happen to stand.
template <typename Row>
Words content(Table table, const Row& row) {
  Words raw(sizeof(Row) / sizeof(uint32_t));
  std::memcpy(raw.data(), &row, sizeof(Row));
  Words words{static_cast<uint32_t>(table)};
  for (const Field& field : fields(table)) {
    const bool is_cite = field.kind == FieldKind::index && field.target == Table::cites;
    if (is_cite || field.kind == FieldKind::cells || field.kind == FieldKind::range) continue;
    words.push_back(raw[field.offset]);
  }
  return words;
}

Words content(const Wire& wire) {
  Wire row = wire;
  if (row.to < row.from) std::swap(row.from, row.to);  // a wire has no direction
  return content(Table::wires, row);
}

Words content(const Family& family, const CavityRow& row) {
  Words words = content(Table::cavity_rows, row);
  std::vector<Words> says;
  for (const Say& say : rows(family.says, row.says))
    says.push_back({static_cast<uint32_t>(say.state), say.circuit, say.cite});
  std::sort(says.begin(), says.end());
  for (const Words& say : says) words.insert(words.end(), say.begin(), say.end());
  return words;
}

// One row: where it holds and how to spell it out, which is done only for rows that tell cells apart.
struct Entry {
  Cells cells = 0;
  Table table{};
  Index row = none;
};

Words content(const Family& family, const Entry& entry) {
  switch (entry.table) {
    case Table::connector_rows:
      return content(entry.table, family.connector_rows[entry.row]);
    case Table::splices:
      return content(entry.table, family.splices[entry.row]);
    case Table::earths:
      return content(entry.table, family.earths[entry.row]);
    case Table::leads:
      return content(entry.table, family.leads[entry.row]);
    case Table::wires:
      return content(family.wires[entry.row]);
    case Table::cavity_rows:
      return content(family, family.cavity_rows[entry.row]);
    case Table::pins:
      return content(entry.table, family.pins[entry.row]);
    default:
      return content(entry.table, family.insides[entry.row]);
  }
}

class Entries {
 public:
  explicit Entries(const Family& family) : family_(family) {}

  template <typename Row>
  void add(Table table, const std::vector<Row>& rows, Index row) {
    entries_.push_back({rows[row].cells, table, row});
  }
  template <typename Row>
  void add(Table table, const std::vector<Row>& rows, Range range) {
    for (Index row = range.first; row < range.end(); ++row) add(table, rows, row);
  }
  std::vector<Variant> variants(Index part, const CellSet& universe) const;

 private:
  std::vector<CellSet> refine(const CellSet& universe) const;

  const Family& family_;
  std::vector<Entry> entries_;
};

// Parts the universe by every cell set: cells stay together while each row holds in all or none of them.
std::vector<CellSet> Entries::refine(const CellSet& universe) const {
  std::vector<Cells> distinct;
  for (const Entry& entry : entries_) distinct.push_back(entry.cells);
  std::sort(distinct.begin(), distinct.end());
  distinct.erase(std::unique(distinct.begin(), distinct.end()), distinct.end());
  std::vector<CellSet> classes;
  if (!universe.empty()) classes.push_back(universe);
  for (Cells cells : distinct) {
    const size_t count = classes.size();
    for (size_t i = 0; i < count; ++i) {
      const CellSet inside = classes[i] & family_.set(cells);
      if (inside.empty() || inside == classes[i]) continue;
      classes.push_back(classes[i] - inside);
      classes[i] = inside;
    }
  }
  return classes;
}

std::vector<Variant> Entries::variants(Index part, const CellSet& universe) const {
  const std::vector<CellSet> classes = refine(universe);
  std::map<std::vector<Words>, CellSet> by_content;
  if (classes.size() == 1) {
    by_content[{}] = classes[0];
  } else {
    std::vector<std::vector<Words>> contents(classes.size());
    for (const Entry& entry : entries_) {
      const CellSet& cells = family_.set(entry.cells);
      if (cells.contains(universe)) continue;  // it tells nothing apart
      const Words words = content(family_, entry);
      for (size_t i = 0; i < classes.size(); ++i)
        if (cells.has(classes[i].lowest())) contents[i].push_back(words);
    }
    for (size_t i = 0; i < classes.size(); ++i) {
      std::sort(contents[i].begin(), contents[i].end());
      by_content[std::move(contents[i])] |= classes[i];
    }
  }
  std::vector<Variant> found;
  for (const auto& [words, cells] : by_content) found.push_back({part, cells});
  std::sort(found.begin(), found.end(),
            [](const Variant& a, const Variant& b) { return a.cells.lowest() < b.cells.lowest(); });
  return found;
}

}  // namespace

std::vector<Variant> variants(const Family& family, Index part_index) {
  const Part& part = family.parts[part_index];
  Entries entries(family);
  for (const Connector& connector : rows(family.connectors, part.connectors))
    entries.add(Table::connector_rows, family.connector_rows, connector.rows);
  entries.add(Table::splices, family.splices, part.splices);
  entries.add(Table::earths, family.earths, part.earths);
  entries.add(Table::leads, family.leads, part.leads);
  entries.add(Table::wires, family.wires, part.wires);
  entries.add(Table::cavity_rows, family.cavity_rows, part.cavity_rows);
  entries.add(Table::pins, family.pins, part.pins);
  entries.add(Table::insides, family.insides, part.insides);
  return entries.variants(part_index, family.set(family.built) & family.set(part.cells));
}

std::vector<Variant> connector_variants(const FamilyIndex& index, Index connector) {
  const Family& family = index.family();
  const Range connector_rows = family.connectors[connector].rows;
  const Index part = family.connectors[connector].part;
  CellSet there;
  for (const ConnectorRow& row : rows(family.connector_rows, connector_rows)) there |= family.set(row.cells);
  std::vector<Index> wires;  // a wire from one cavity to another of this connector is met twice
  Entries entries(family);
  entries.add(Table::connector_rows, family.connector_rows, connector_rows);
  for (Index point : index.points_of(connector)) {
    for (Index wire : index.wires_at(point)) wires.push_back(wire);
    for (Index row : index.pins_at(point)) entries.add(Table::pins, family.pins, row);
    for (Index row : index.cavity_rows_at(point)) entries.add(Table::cavity_rows, family.cavity_rows, row);
  }
  std::sort(wires.begin(), wires.end());
  wires.erase(std::unique(wires.begin(), wires.end()), wires.end());
  for (Index wire : wires) entries.add(Table::wires, family.wires, wire);
  return entries.variants(part, there & family.set(family.built) & family.set(family.parts[part].cells));
}

}  // namespace loomproof
