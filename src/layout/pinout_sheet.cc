// Sheets of a connector, and of a part with all its connectors.
#include <fmt/format.h>

#include <algorithm>
#include <map>
#include <set>

#include "family/words.h"
#include "layout/sheet_parts.h"
#include "layout/sheets.h"
#include "reports/escape.h"
#include "reports/evidence.h"
#include "reports/pinout.h"
#include "reports/table.h"

namespace loomproof::layout {
namespace {

using reports::append;
using reports::Danger;
using reports::FamilyView;
using reports::Pinout;
using reports::PinoutRow;

std::string state_of(const PinoutRow& row) {
  std::string text(word(row.state));
  if (row.firing) text += ", FIRING";
  return text;
}

constexpr const char* read_cautions = "Read the cautions at the end before a hand or a probe goes near the plug.";

}  // namespace

SheetTable pinout_table(const Family& family, const Pinout& pinout) {
  SheetTable table{"Cavities",
                   {"Cavity", "State", "Circuit", "Function", "Colour", "mm²", "Far ends", "Role", "Source", "Note"},
                   {}};
  for (const PinoutRow& row : pinout.rows) {
    const bool wire = !row.to.empty();
    std::string cavity = row.cavity, colour = row.colour, role = row.role;
    if (!row.moulded.empty()) cavity += fmt::format(" (moulded {})", row.moulded);
    if (!row.in_manual.empty()) cavity += fmt::format(" ({})", row.in_manual);
    append(colour, row.colour_name, " ");
    if (wire && colour.empty()) colour = "not recorded";
    append(role, row.volts, ", ");
    if (!row.amps.empty()) append(role, "at most " + row.amps + " A", ", ");
    append(role, row.inside, "; ");
    const std::string mm2 = wire && row.mm2.empty() ? "not recorded" : row.mm2;
    table.rows.emplace_back();
    for (const std::string& cell :
         {cavity, state_of(row), row.circuit, reports::function_words(row),
          colour + reports::in_brackets(row.colour_mark), mm2 + reports::in_brackets(row.mm2_mark), row.to, role,
          row.cited ? reports::sources_text(family, row.cite) : std::string(), row.note})
      table.rows.back().emplace_back(plain_line(cell));
  }
  for (size_t column = table.heads.size(); column-- > 0;) {  // what no row has takes no room
    bool used = column < 4 || table.heads[column] == "Source";
    for (const auto& row : table.rows) used = used || !row[column].text.empty();
    if (used) continue;
    table.heads.erase(table.heads.begin() + static_cast<std::ptrdiff_t>(column));
    for (auto& row : table.rows) row.erase(row.begin() + static_cast<std::ptrdiff_t>(column));
  }
  return table;
}

Face face_of(const FamilyView& view, Index connector, const Pinout& pinout) {
  const Family& family = view.family();
  Face face;
  const Index row = connector_row_in(family, connector, pinout.cells.lowest());
  const Index of = row == none ? none : family.connector_rows[row].housing;
  if (of == none) return face;
  const Housing& housing = family.housings[of];
  face.given = housing.view, face.round = housing.round != 0;
  for (const HousingCavity& cavity : rows(family.housing_cavities, housing.cavities)) {
    FaceCavity drawn{plain_line(family.text(cavity.number)), cavity.x, cavity.y, State::unknown, {}, {}};
    size_t wires = 0;
    for (const PinoutRow& one : pinout.rows) {
      if (one.cavity != family.text(cavity.number)) continue;
      drawn.state = one.state;
      if (wires++ == 0) drawn.colour = plain_line(one.colour);
    }
    if (wires > 1) drawn.colour += fmt::format(" +{}", wires - 1);
    face.cavities.push_back(std::move(drawn));
  }
  const auto say = [&](std::string_view what, Str value) {
    if (value != 0) append(face.words, fmt::format("{}: {}", what, plain_line(family.text(value))));
  };
  say("key", housing.key);
  say("latch", housing.latch);
  face.key = key_of(plain_line(family.text(housing.key)));
  return face;
}

Sheet pinout_sheet(const FamilyView& view, Index connector, const Pinout& pinout, std::string_view source) {
  const Family& family = view.family();
  const Part& part = family.parts[family.connectors[connector].part];
  const Danger danger = reports::danger_of(view, connector, pinout);
  const std::vector<std::string> cautions = cautions_of(view, danger);
  Sheet sheet;
  sheet.title = plain_line(fmt::format("{}: {}", view.connector_name(connector), title_of(view, part)));
  sheet.description = plain_line(fmt::format("Pinout sheet of {} in {}: {} cavities.", view.connector_name(connector),
                                             cells_of(view, pinout.cells), counts_of(pinout)));
  if (danger != Danger::ordinary) {
    sheet.description += fmt::format(" {}", reports::firing_mark(danger));
    sheet.blocks.push_back(Warning{std::string(reports::firing_mark(danger)), cautions});
  }
  FactList facts;
  add_fact(facts, "Family", family.text(family.title));
  add_fact(facts, "Holds in", cells_of(view, pinout.cells));
  add_fact(facts, "Part", fmt::format("{} {}", word(part.kind), family.text(part.id)));
  add_fact(facts, "Numbers", numbers_of(view, part, pinout.cells));
  add_connector_facts(facts, view, connector, pinout);
  sheet.blocks.push_back(std::move(facts));
  if (danger == Danger::ordinary && !cautions.empty()) sheet.blocks.push_back(Paragraph{read_cautions, true});
  sheet.blocks.push_back(BothFaces{face_of(view, connector, pinout)});
  sheet.blocks.push_back(Legend{});
  sheet.blocks.push_back(pinout_table(family, pinout));
  add_sources(sheet, family, {pinout.sources.begin(), pinout.sources.end()});
  if (danger == Danger::ordinary) add_cautions(sheet, cautions);
  sheet.foot = foot_of(family, source);
  return sheet;
}

namespace {

// What a part has besides its connectors, in one of its cells.
class Joints {
 public:
  Joints(const FamilyView& view, const Part& part, const CellSet& cells, std::set<Index>& sources)
      : view_(view), family_(view.family()), part_(part), cells_(cells), sources_(sources) {}

  std::vector<SheetTable> tables() {
    SheetTable splices{"Splices", {"Splice", "Where", "Joins"}, {}};
    for (const Splice& row : rows(family_.splices, part_.splices))
      if (holds(row.cells, row.cite)) add(splices, row.point, view_.text(row.where), row.cells);
    SheetTable earths{"Earth points", {"Earth point", "Where", "Joins"}, {}};
    for (const Earth& row : rows(family_.earths, part_.earths)) {
      std::string where = view_.text(row.where);
      append(where, family_.text(row.ring), ", ");
      append(where, word(row.to), ", ");
      if (holds(row.cells, row.cite)) add(earths, row.point, where, row.cells);
    }
    SheetTable leads{"Leads", {"Lead", "What", "Joins"}, {}};
    for (const Lead& row : rows(family_.leads, part_.leads)) {
      std::string what = view_.text(row.title);
      append(what, word(row.role), ", ");
      append(what, volts_text(row.volts), ", ");
      if (holds(row.cells, row.cite)) add(leads, row.point, what, row.cells);
    }
    std::vector<SheetTable> all;
    for (SheetTable* table : {&splices, &earths, &leads})
      if (!table->rows.empty()) all.push_back(std::move(*table));
    return all;
  }

 private:
  bool holds(Cells cells, CiteId cite) {
    if (!family_.set(cells).meets(cells_)) return false;
    for (const Index source : reports::sources_of(family_, cite)) sources_.insert(source);
    return true;
  }
  void add(SheetTable& table, Index point, const std::string& what, Cells where) {
    const CellSet cells = family_.set(where) & cells_;
    std::map<Index, CellSet> reached;
    for (const uint32_t cell : cells.cells())
      for (const Index end : far_ends(view_.index(), cell, point)) reached[end].insert(cell);
    std::string ends;
    for (const auto& [end, in] : reached) append(ends, point_name(family_, end) + view_.only_in(in, cells), ", ");
    table.rows.push_back(
        {plain_line(point_name(family_, point) + view_.only_in(cells, cells_)), plain_line(what), plain_line(ends)});
  }

  const FamilyView& view_;
  const Family& family_;
  const Part& part_;
  const CellSet& cells_;
  std::set<Index>& sources_;
};

}  // namespace

std::vector<SheetTable> joints(const FamilyView& view, Index part, const CellSet& cells, std::set<Index>& sources) {
  return Joints(view, view.family().parts[part], cells, sources).tables();
}

Sheet part_sheet(const FamilyView& view, Index of, const CellSet& cells, std::string_view source) {
  const Family& family = view.family();
  const Part& part = family.parts[of];
  std::vector<ShownConnector> shown = connectors_shown(view, of, cells);
  const auto [worst, firing] = firing_among(family, shown);
  const std::string place = view.place_id(of), where = cells_of(view, cells);
  const std::vector<std::string> cautions = cautions_of(view, worst);
  Sheet sheet;
  sheet.title = plain_line(fmt::format("{}: {}", place, title_of(view, part)));
  sheet.description =
      plain_line(fmt::format("{} sheet of {} in {}: {} connectors.", part.kind == PartKind::loom ? "Loom" : "Component",
                             place, where, shown.size()));
  if (worst != Danger::ordinary) {
    sheet.blocks.push_back(Warning{firing_connectors(firing), cautions});
    sheet.description += plain_line(fmt::format(" Never put a probe on: {}.", firing));
  }
  FactList facts;
  add_fact(facts, "Family", family.text(family.title));
  add_fact(facts, "Holds in", where);
  add_fact(facts, "Part", fmt::format("{} {}", word(part.kind), family.text(part.id)));
  add_fact(facts, "Numbers", numbers_of(view, part, cells));
  sheet.blocks.push_back(std::move(facts));
  if (worst == Danger::ordinary && !cautions.empty()) sheet.blocks.push_back(Paragraph{read_cautions, true});
  SheetTable contents{"Connectors", {"Connector", "Where", "Housing", "Cavities"}, {}};
  std::set<Index> sources;
  for (const ShownConnector& one : shown) {
    const Index row = connector_row_in(family, one.connector, one.pinout.cells.lowest());
    const Index housing = row == none ? none : family.connector_rows[row].housing;
    contents.rows.push_back({name_among(view, shown, one),
                             row == none ? std::string() : plain_line(family.text(family.connector_rows[row].where)),
                             housing == none ? std::string() : plain_line(family.text(family.housings[housing].id)),
                             counts_of(one.pinout)});
    sources.insert(one.pinout.sources.begin(), one.pinout.sources.end());
  }
  sheet.blocks.push_back(Legend{});
  if (!shown.empty()) sheet.blocks.push_back(std::move(contents));
  for (const ShownConnector& one : shown) {
    sheet.blocks.push_back(Heading{name_among(view, shown, one), true});
    if (one.danger != Danger::ordinary)
      sheet.blocks.push_back(Warning{std::string(reports::firing_mark(one.danger)), {}});
    FactList about;
    add_connector_facts(about, view, one.connector, one.pinout);
    if (!(one.pinout.cells == cells)) add_fact(about, "Holds in", cells_of(view, one.pinout.cells));
    sheet.blocks.push_back(std::move(about));
    sheet.blocks.push_back(BothFaces{face_of(view, one.connector, one.pinout)});
    SheetTable table = pinout_table(family, one.pinout);
    table.heading.clear();
    sheet.blocks.push_back(std::move(table));
  }
  for (SheetTable& table : joints(view, of, cells, sources)) {
    sheet.blocks.push_back(Heading{table.heading, true});
    table.heading.clear();
    sheet.blocks.push_back(std::move(table));
  }
  add_sources(sheet, family, sources);
  if (worst == Danger::ordinary) add_cautions(sheet, cautions);
  sheet.foot = foot_of(family, source);
  return sheet;
}

}  // namespace loomproof::layout
