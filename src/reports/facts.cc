#include "reports/facts.h"

#include <fmt/format.h>

#include <algorithm>
#include <map>
#include <set>

#include "family/words.h"
#include "reports/evidence.h"
#include "reports/pinout.h"
#include "reports/table.h"

namespace loomproof::reports {
namespace {

// The first of the parts with one id: a component that several places hold was written once.
std::vector<Index> parts_once(const Family& family) {
  std::set<Str> seen;
  std::vector<Index> parts;
  for (Index part = 0; part < family.parts.size(); ++part)
    if (seen.insert(family.parts[part].id).second) parts.push_back(part);
  return parts;
}

// visit(what, cite) for every fact.
template <typename Visit>
void each_fact(const Family& family, Visit&& visit) {
  const auto all = [&](std::string_view what, const auto& table) {
    for (const auto& row : table) visit(what, row.cite);
  };
  const auto of = [&](std::string_view what, const auto& table, Range range) {
    for (const auto& row : rows(table, range)) visit(what, row.cite);
  };
  visit("family", family.cite);
  all("circuits", family.circuits);
  all("circuits to keep apart", family.aparts);
  all("housings", family.housings);
  all("numbers of cavities in manuals", family.in_manuals);
  all("places", family.places);
  all("positions of places", family.place_where);
  for (Index index : parts_once(family)) {
    const Part& part = family.parts[index];
    visit("parts", part.cite);
    of("part numbers", family.numbers, part.numbers);
    for (const Connector& connector : rows(family.connectors, part.connectors))
      of("connectors", family.connector_rows, connector.rows);
    of("splices", family.splices, part.splices);
    of("earth points", family.earths, part.earths);
    of("leads", family.leads, part.leads);
    of("wires", family.wires, part.wires);
    of("pins", family.pins, part.pins);
    of("elements inside components", family.insides, part.insides);
    for (const CavityRow& row : rows(family.cavity_rows, part.cavity_rows)) {
      if (row.says.count == 0) visit("states of cavities", row.cite);
      of("claims about disputed cavities", family.says, row.says);
    }
  }
  all("declared changes", family.changes);
  all("colours", family.colours);
  all("terminal designations", family.terminals);
  all("functions", family.functions);
  all("fuses", family.fuses);
  all("conductors", family.conductors);
  for (const Conductor& conductor : family.conductors)
    if (conductor.amps != not_given) visit("currents of conductors", conductor.amps_cite);
  all("pin roles that meet", family.joins);
  all("known combinations", family.combinations);
}

bool memory_only(const Family& family, CiteId cite) {
  const std::vector<Index> sources = sources_of(family, cite);
  return !sources.empty() && std::all_of(sources.begin(), sources.end(), [&](Index source) {
    return family.sources[source].kind == SourceKind::memory;
  });
}

FactCount count_one(const Family& family, CiteId cite) {
  FactCount count{.facts = 1};
  const std::vector<Index> sources = sources_of(family, cite);
  if (sources.empty()) {
    count.uncited = 1;
    return count;
  }
  const Cite& row = family.cites[cite];
  (row.own ? count.at_row : count.from_file) = 1;
  (sources.size() == 1 ? count.one : row.independent ? count.independent : count.several) = 1;
  count.memory_only = memory_only(family, cite);
  size_t strongest = source_kinds;
  for (Index source : sources) strongest = std::min(strongest, static_cast<size_t>(family.sources[source].kind));
  (row.own ? count.row_kinds : count.file_kinds)[strongest] = 1;
  return count;
}

// Why a row is weak; empty where it is not.
std::string weakness(const Family& family, CiteId cite, uint32_t marks) {
  std::string why;
  if (memory_only(family, cite))
    why = "from memory";
  else if (sources_of(family, cite).empty())
    why = "no source";
  else if (family.cites[cite].sources.count == 1)
    why = "one source: " + sources_text(family, cite);
  append(why, marks_text(marks));
  return why;
}

std::string wire_name(const Family& family, const Wire& wire) {
  return fmt::format("{} to {}", point_name(family, wire.from), point_name(family, wire.to));
}

// visit(part, circuit, row, cite, marks, cells) for every wire, pin, lead and earth point, place by place.
template <typename Visit>
void each_row_of_a_circuit(const Family& family, Visit&& visit) {
  for (Index index : parts_by_place(family)) {
    const Part& part = family.parts[index];
    for (const Wire& wire : rows(family.wires, part.wires))
      visit(index, wire.circuit, wire_name(family, wire), wire.cite, wire.marks, wire.cells);
    for (const Pin& pin : rows(family.pins, part.pins))
      visit(index, pin.circuit, point_name(family, pin.point), pin.cite, pin.marks, pin.cells);
    for (const Lead& lead : rows(family.leads, part.leads))
      visit(index, lead.circuit, point_name(family, lead.point), lead.cite, 0, lead.cells);
    for (const Earth& earth : rows(family.earths, part.earths))
      visit(index, earth.circuit, point_name(family, earth.point), earth.cite, 0, earth.cells);
  }
}

bool is_vital(CircuitClass kind) {
  return kind == CircuitClass::feed || kind == CircuitClass::earth || kind == CircuitClass::return_ ||
         kind == CircuitClass::reference || kind == CircuitClass::firing;
}

// How many cavities of a connector nobody has named, in the first cell in which the row holds and was built.
size_t unnamed_cavities(const FamilyView& view, Index connector, const CellSet& cells) {
  if (cells.empty()) return 0;
  const std::vector<Cavity> all = cavities(view.index(), cells.lowest(), connector);
  return static_cast<size_t>(std::count_if(all.begin(), all.end(), [](const Cavity& cavity) {
    return cavity.state.state == State::unknown && cavity.pin == none && cavity.cavity_row == none;
  }));
}

class Relaxed {
 public:
  explicit Relaxed(const FamilyView& view) : view_(view), family_(view.family()) {}
  std::vector<Relaxation> collect();

 private:
  void add(std::string_view what, Index part, std::string item, Cells cells, std::string detail) {
    found_.push_back({what, part == none ? "" : view_.place_id(part),
                      part == none ? "" : view_.text(family_.parts[part].id), std::move(item),
                      view_.cells_words(family_.set(cells)), std::move(detail)});
  }
  void add_places();
  void add_part(Index part);
  void add_allowances();

  const FamilyView& view_;
  const Family& family_;
  std::vector<Relaxation> found_;
};

void Relaxed::add_places() {
  for (const Place& place : family_.places) {
    const std::string id = view_.text(place.id), cells = view_.cells_words(family_.set(place.cells));
    if (place.optional) found_.push_back({"optional place", id, "", "", cells, view_.text(place.title)});
    if (place.undocumented) found_.push_back({"undocumented place", id, "", "", cells, view_.text(place.title)});
  }
}

void Relaxed::add_part(Index index) {
  const Part& part = family_.parts[index];
  for (Index connector : connectors_of(view_, index)) {
    const Connector& row = family_.connectors[connector];
    for (const ConnectorRow& one : rows(family_.connector_rows, row.rows)) {
      const std::string name = view_.text(row.designator);
      const CellSet cells = family_.set(one.cells) & view_.built();
      const size_t unnamed = unnamed_cavities(view_, connector, cells);
      if (one.rest == Rest::unknown || unnamed > 0)
        add("rest: unknown", index, name, one.cells, count_words(unnamed, "cavity", "cavities"));
      if (one.loose != 0) add("loose", index, name, one.cells, view_.text(one.loose));
    }
  }
  for (const Wire& wire : rows(family_.wires, part.wires))
    if (wire.spare != 0)
      add("spare", index,
          fmt::format("{} {}", family_.text(family_.circuits[wire.circuit].id), wire_name(family_, wire)), wire.cells,
          view_.text(wire.spare));
  for (const Pin& pin : rows(family_.pins, part.pins))
    if (pin.optional)
      add("needed: false", index, point_name(family_, pin.point), pin.cells,
          pin.circuit == none ? "" : view_.text(family_.circuits[pin.circuit].id));
}

void Relaxed::add_allowances() {
  for (const Allowance& allowance : family_.allowances)
    add("allow", allowance.part,
        allowance.point == none
            ? view_.text(allowance.rule)
            : fmt::format("{} at {}", family_.text(allowance.rule), point_name(family_, allowance.point)),
        allowance.cells, view_.text(allowance.because));
}

std::vector<Relaxation> Relaxed::collect() {
  add_places();
  for (Index part : parts_by_place(family_)) add_part(part);
  add_allowances();
  std::stable_sort(found_.begin(), found_.end(),
                   [](const Relaxation& a, const Relaxation& b) { return a.what < b.what; });
  return std::move(found_);
}

}  // namespace

void FactCount::add(const FactCount& other) {
  facts += other.facts;
  at_row += other.at_row, from_file += other.from_file, uncited += other.uncited;
  one += other.one, several += other.several, independent += other.independent;
  memory_only += other.memory_only;
  for (size_t kind = 0; kind < source_kinds; ++kind) {
    row_kinds[kind] += other.row_kinds[kind];
    file_kinds[kind] += other.file_kinds[kind];
  }
}

std::vector<FactLine> count_facts(const Family& family) {
  std::vector<FactLine> lines;
  each_fact(family, [&](std::string_view what, CiteId cite) {
    auto line = std::find_if(lines.begin(), lines.end(), [&](const FactLine& one) { return one.what == what; });
    if (line == lines.end()) line = lines.insert(lines.end(), {what, {}});
    line->count.add(count_one(family, cite));
  });
  return lines;
}

std::vector<SourceUse> count_sources(const Family& family) {
  std::vector<SourceUse> uses;
  for (Index source = 0; source < family.sources.size(); ++source) uses.push_back({source, 0, 0});
  each_fact(family, [&](std::string_view, CiteId cite) {
    for (Index source : sources_of(family, cite))
      ++(family.cites[cite].own ? uses[source].at_row : uses[source].from_file);
  });
  return uses;
}

std::vector<WeakRow> weak_rows(const FamilyView& view) {
  const Family& family = view.family();
  std::vector<WeakRow> found;
  each_row_of_a_circuit(
      family, [&](Index part, Index circuit, const std::string& row, CiteId cite, uint32_t marks, Cells cells) {
        if (circuit == none || !is_vital(family.circuits[circuit].kind)) return;
        const std::string why = weakness(family, cite, marks);
        if (!why.empty()) found.push_back({part, circuit, row, why, view.cells_words(family.set(cells))});
      });
  return found;
}

std::vector<WeakRow> marked_rows(const FamilyView& view) {
  const Family& family = view.family();
  std::vector<WeakRow> found;
  each_row_of_a_circuit(
      family, [&](Index part, Index circuit, const std::string& row, CiteId, uint32_t marks, Cells cells) {
        if (marks != 0) found.push_back({part, circuit, row, marks_text(marks), view.cells_words(family.set(cells))});
      });
  return found;
}

std::vector<Relaxation> relaxations(const FamilyView& view) {
  return Relaxed(view).collect();
}

}  // namespace loomproof::reports
