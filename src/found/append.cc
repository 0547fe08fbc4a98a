// A draft put back into the tables as a part of its own, table by table.
#include <algorithm>

#include "found/draft.h"

namespace loomproof::found {
namespace {

bool lists(const std::vector<Index>& list, Index item) {
  return std::find(list.begin(), list.end(), item) != list.end();
}

template <typename Row>
Range behind(const std::vector<Row>& table) {
  return {static_cast<Index>(table.size()), 0};
}

template <typename Row>
void put(std::vector<Row>& table, Range& range, Row row) {
  table.push_back(row);
  ++range.count;
}

}  // namespace

class Appender {
 public:
  Appender(const PartDraft& draft, Family& family)
      : draft_(draft), family_(family), was_(family.parts[draft.part]), part_(was_) {}
  Index run();

 private:
  Str text(const std::string& words);
  Cells only_here();
  void connectors();
  Range one_row(ConnectorRow row, Index owner);
  void points();
  void joints();
  void wires();
  void cavity_rows();
  void stubs();
  void insides();

  Index point(Index old) const {
    if (old >= draft_.next_point) return part_.points.first + was_.points.count + (old - draft_.next_point);
    return part_.points.first + (old - was_.points.first);
  }
  Index connector(Index old) const {
    if (old == none) return none;
    if (old >= draft_.next_connector)
      return part_.connectors.first + was_.connectors.count + (old - draft_.next_connector);
    return part_.connectors.first + (old - was_.connectors.first);
  }
  bool is_cavity(Index old) const {
    const PointKind kind =
        old < draft_.next_point ? family_.points[old].kind : draft_.points[old - draft_.next_point].kind;
    return kind == PointKind::cavity;
  }
  bool is_on_lost_plug(Index old) const { return lists(draft_.connectors_gone, family_.points[old].connector); }

  // Appends the rows of a range that hold here and that `change` keeps, and returns where they are.
  template <typename Row, typename Change>
  Range copy(std::vector<Row>& table, Range range, Change change) {
    Range copied = behind(table);
    for (Index i = range.first; i < range.end(); ++i) {
      Row row = table[i];
      if (!family_.holds(row.cells, draft_.cell)) continue;
      row.cells = here_;
      if (change(row)) put(table, copied, row);
    }
    return copied;
  }
  template <typename Row>
  Range copy_whole(std::vector<Row>& table, Range range) {
    Range copied = behind(table);
    for (Index i = range.first; i < range.end(); ++i) {
      Row row = table[i];
      row.part = index_;
      put(table, copied, row);
    }
    return copied;
  }

  const PartDraft& draft_;
  Family& family_;
  const Part was_;
  Part part_;
  Index index_ = none;
  Cells here_ = 0;
};

Str Appender::text(const std::string& words) {
  const auto found = std::find(family_.strings.begin(), family_.strings.end(), words);
  if (found != family_.strings.end()) return static_cast<Str>(found - family_.strings.begin());
  family_.strings.push_back(words);
  return static_cast<Str>(family_.strings.size() - 1);
}

Cells Appender::only_here() {
  const CellSet cells = CellSet::of(draft_.cell);
  const auto found = std::find(family_.cell_sets.begin(), family_.cell_sets.end(), cells);
  if (found != family_.cell_sets.end()) return static_cast<Cells>(found - family_.cell_sets.begin());
  family_.cell_sets.push_back(cells);
  return static_cast<Cells>(family_.cell_sets.size() - 1);
}

Index Appender::run() {
  index_ = static_cast<Index>(family_.parts.size());
  here_ = only_here();
  if (family_.cites.empty()) family_.cites.emplace_back();
  part_.id = text(std::string(family_.text(was_.id)) + draft_.suffix);
  part_.title = text(std::string(family_.text(was_.title)) + draft_.suffix);
  part_.cells = here_;
  part_.connectors = behind(family_.connectors);
  part_.points = behind(family_.points);
  part_.numbers = copy(family_.numbers, was_.numbers, [this](PartNumber& row) {
    row.part = index_;
    return true;
  });
  connectors();
  points();
  joints();
  wires();
  cavity_rows();
  stubs();
  part_.pins = copy(family_.pins, was_.pins, [this](Pin& row) {
    const bool lost = is_on_lost_plug(row.point);
    row.point = point(row.point);
    return !lost;
  });
  insides();
  part_.positions = copy_whole(family_.positions, was_.positions);
  part_.branches = copy_whole(family_.branches, was_.branches);
  family_.parts.push_back(part_);
  return index_;
}

// All of them, so that they can be numbered alike; one that is not there has no row.
void Appender::connectors() {
  part_.connectors = copy_whole(family_.connectors, was_.connectors);
  for (const PartDraft::NewConnector& added : draft_.connectors)
    put(family_.connectors, part_.connectors, Connector{index_, added.designator, {}});
  for (Index i = was_.connectors.first; i < was_.connectors.end(); ++i) {
    const ConnectorRow* other = nullptr;
    for (const auto& [which, row] : draft_.rehoused)
      if (which == i) other = &row;
    if (other) {
      family_.connectors[connector(i)].rows = one_row(*other, connector(i));
      continue;
    }
    const Range kept = copy(family_.connector_rows, family_.connectors[i].rows, [this, i](ConnectorRow& row) {
      row.connector = connector(i);
      return !lists(draft_.connectors_gone, i);
    });
    family_.connectors[connector(i)].rows = kept;
  }
  for (Index i = 0; i < draft_.connectors.size(); ++i) {
    const Index own = connector(draft_.next_connector + i);
    family_.connectors[own].rows = one_row(draft_.connectors[i].row, own);
  }
}

Range Appender::one_row(ConnectorRow row, Index owner) {
  Range range = behind(family_.connector_rows);
  row.connector = owner, row.cells = here_;
  put(family_.connector_rows, range, row);
  return range;
}

void Appender::points() {
  part_.points = copy_whole(family_.points, was_.points);
  for (Index i = part_.points.first; i < part_.points.end(); ++i)
    family_.points[i].connector = connector(family_.points[i].connector);
  for (const PartDraft::NewPoint& added : draft_.points) {
    const Str name = added.kind == PointKind::cavity ? added.number : text(added.name);
    family_.points.push_back({index_, added.kind, connector(added.connector), name});
  }
  part_.points.count = was_.points.count + static_cast<Index>(draft_.points.size());
}

void Appender::joints() {
  const auto kept = [this](auto& table, Range range, const auto& added) {
    Range copied = copy(table, range, [this](auto& row) {
      const bool gone = lists(draft_.joints_gone, row.point);
      row.point = point(row.point);
      return !gone;
    });
    for (auto row : added) {
      row.point = point(row.point), row.cells = here_;
      put(table, copied, row);
    }
    return copied;
  };
  part_.splices = kept(family_.splices, was_.splices, draft_.splices);
  part_.earths = kept(family_.earths, was_.earths, draft_.earths);
  part_.leads = kept(family_.leads, was_.leads, draft_.leads);
}

void Appender::wires() {
  part_.wires = behind(family_.wires);
  for (size_t i = 0; i < draft_.wires.size(); ++i) {
    if (draft_.gone[i]) continue;
    Wire row = draft_.wires[i];
    row.part = index_, row.from = point(row.from), row.to = point(row.to), row.cells = here_;
    put(family_.wires, part_.wires, row);
  }
}

void Appender::cavity_rows() {
  const auto stub_at = [this](Index old) {
    return std::any_of(draft_.stubs.begin(), draft_.stubs.end(),
                       [old](const PartDraft::Stub& stub) { return stub.point == old; });
  };
  part_.cavity_rows = copy(family_.cavity_rows, was_.cavity_rows, [&](CavityRow& row) {
    if (draft_.is_wired(row.point) || stub_at(row.point) || is_on_lost_plug(row.point)) return false;
    const Range was = row.says;
    row.point = point(row.point), row.says = behind(family_.says);
    for (Index j = was.first; j < was.end(); ++j) {
      Say one = family_.says[j];
      one.cavity_row = static_cast<Index>(family_.cavity_rows.size());
      put(family_.says, row.says, one);
    }
    return true;
  });
}

// What was left of wires that are gone: known to be empty, or to hold a terminal with a stub.
void Appender::stubs() {
  std::vector<PartDraft::Stub> stubs = draft_.stubs;
  std::sort(stubs.begin(), stubs.end(), [](const PartDraft::Stub& a, const PartDraft::Stub& b) {
    return a.point != b.point ? a.point < b.point : (a.state == State::sealed && b.state != State::sealed);
  });
  Index last = none;
  for (const PartDraft::Stub& stub : stubs) {
    if (stub.point == last || !is_cavity(stub.point)) continue;
    last = stub.point;
    if (draft_.is_wired(stub.point) || (stub.point < draft_.next_point && is_on_lost_plug(stub.point))) continue;
    CavityRow row;
    row.point = point(stub.point), row.state = stub.state, row.cells = here_, row.says = behind(family_.says);
    if (stub.state == State::sealed) row.note = text("a terminal, seal or the end of a cut wire");
    put(family_.cavity_rows, part_.cavity_rows, row);
  }
}

void Appender::insides() {
  part_.insides = behind(family_.insides);
  for (size_t i = 0; i < draft_.insides.size(); ++i) {
    Inside row = draft_.insides[i];
    const bool recorded = draft_.inside_names[i].empty();
    const bool gone = std::any_of(draft_.insides_gone.begin(), draft_.insides_gone.end(),
                                  [&](Index inside) { return recorded && family_.insides[inside].id == row.id; });
    if (gone) continue;
    if (!recorded) row.id = text(draft_.inside_names[i]);
    row.part = index_, row.a = point(row.a), row.b = point(row.b), row.cells = here_;
    put(family_.insides, part_.insides, row);
  }
}

Index append(Family& family, const PartDraft& draft) {
  return Appender(draft, family).run();
}

}  // namespace loomproof::found
