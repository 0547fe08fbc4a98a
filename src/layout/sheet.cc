#include "layout/sheet.h"

#include <fmt/format.h>

#include "family/words.h"
#include "reports/escape.h"
#include "reports/evidence.h"
#include "reports/table.h"

namespace loomproof::layout {
namespace {

using reports::append;
using reports::PinoutRow;

std::string state_of(const PinoutRow& row) {
  std::string text(word(row.state));
  if (row.firing) text += ", FIRING";
  return text;
}

SheetTable table_of(const Family& family, const reports::Pinout& pinout) {
  SheetTable table{{"Cavity", "State", "Circuit", "Function", "Colour", "mm²", "Far ends", "Role", "Source", "Note"},
                   {}};
  for (const PinoutRow& row : pinout.rows) {
    const bool wire = !row.to.empty();
    std::string cavity = row.cavity, colour = row.colour, role = row.role;
    if (!row.moulded.empty()) cavity += fmt::format(" (moulded {})", row.moulded);
    append(colour, row.colour_name, " ");
    if (wire && colour.empty()) colour = "not recorded";
    append(role, row.volts, ", ");
    if (!row.amps.empty()) append(role, "at most " + row.amps + " A", ", ");
    append(role, row.inside, "; ");
    const std::string mm2 = wire && row.mm2.empty() ? "not recorded" : row.mm2;
    table.rows.push_back({cavity, state_of(row), row.circuit, reports::function_words(row),
                          colour + reports::in_brackets(row.colour_mark), mm2 + reports::in_brackets(row.mm2_mark),
                          row.to, role, row.cited ? reports::sources_text(family, row.cite) : "", row.note});
    for (std::string& cell : table.rows.back()) cell = plain_line(cell);
  }
  for (size_t column = table.heads.size(); column-- > 0;) {  // what no row has takes no room
    bool used = column < 4 || table.heads[column] == "Source";
    for (const auto& row : table.rows) used = used || !row[column].empty();
    if (used) continue;
    table.heads.erase(table.heads.begin() + static_cast<std::ptrdiff_t>(column));
    for (auto& row : table.rows) row.erase(row.begin() + static_cast<std::ptrdiff_t>(column));
  }
  return table;
}

Face face_of(const Family& family, const Housing& housing, const reports::Pinout& pinout) {
  Face face{{}, housing.view, housing.round != 0, {}};
  for (const HousingCavity& cavity : rows(family.housing_cavities, housing.cavities)) {
    FaceCavity drawn{plain_line(family.text(cavity.number)), cavity.x, cavity.y, State::unknown, {}};
    size_t wires = 0;
    for (const PinoutRow& row : pinout.rows) {
      if (row.cavity != family.text(cavity.number)) continue;
      drawn.state = row.state;
      if (wires++ == 0) drawn.colour = plain_line(row.colour);
    }
    if (wires > 1) drawn.colour += fmt::format(" +{}", wires - 1);
    face.cavities.push_back(std::move(drawn));
  }
  const auto say = [&](std::string_view what, Str value) {
    if (value != 0) append(face.words, fmt::format("{}: {}", what, plain_line(family.text(value))));
  };
  say("key", housing.key);
  say("latch", housing.latch);
  return face;
}

std::string counts_of(const reports::Pinout& pinout) {
  size_t counts[5] = {}, all = 0;
  const PinoutRow* last = nullptr;
  for (const PinoutRow& row : pinout.rows) {
    if (!last || last->cavity != row.cavity) ++counts[static_cast<size_t>(row.state)], ++all;
    last = &row;
  }
  std::vector<std::string> parts;
  for (size_t state = 0; state < 5; ++state)
    if (counts[state] > 0) parts.push_back(fmt::format("{} {}", counts[state], word(static_cast<State>(state))));
  return fmt::format("{}, of which {}", all, reports::list_words(parts));
}

}  // namespace

std::optional<Paper> paper_named(std::string_view word) {
  if (word == "A4") return Paper::a4;
  if (word == "A3") return Paper::a3;
  if (word == "Letter") return Paper::letter;
  return {};
}

Sheet pinout_sheet(const reports::FamilyView& view, Index connector, const reports::Pinout& pinout,
                   std::string_view source) {
  const Family& family = view.family();
  const Part& part = family.parts[family.connectors[connector].part];
  const std::string cells = view.cells_words(pinout.cells);
  const Index row = connector_row_in(family, connector, pinout.cells.lowest());
  const Index of = row == none ? none : family.connector_rows[row].housing;
  const reports::Danger danger = reports::danger_of(view, connector, pinout);
  Sheet sheet;
  sheet.title = plain_line(
      fmt::format("{}: {}", view.connector_name(connector), family.text(part.title == 0 ? part.id : part.title)));
  const auto fact = [&](std::string label, std::string_view value) {
    if (!value.empty()) sheet.facts.emplace_back(std::move(label), plain_line(value));
  };
  fact("Family", family.text(family.title));
  fact("Holds in", cells == "all" ? "all that were built" : cells);
  std::string numbers;
  for (const PartNumber& number : rows(family.numbers, part.numbers)) {
    const CellSet& where = family.set(number.cells);
    if (where.meets(pinout.cells)) append(numbers, view.text(number.text) + view.only_in(where, pinout.cells));
  }
  fact("Part", fmt::format("{} {}", word(part.kind), family.text(part.id)));
  fact("Numbers", numbers);
  if (row != none) fact("Where", family.text(family.connector_rows[row].where));
  if (of != none) {
    const Housing& housing = family.housings[of];
    std::string words = view.text(housing.title);
    append(words, family.text(housing.id), ", ");
    append(words, family.text(housing.colour), ", ");
    fact("Housing", words);
    sheet.face = face_of(family, housing, pinout);
    std::string closes;
    for (const Closes& bar : rows(family.closes, housing.closes))
      append(closes,
             fmt::format("{} with {}", family.text(family.housing_cavities[bar.a].number),
                         family.text(family.housing_cavities[bar.b].number)),
             ", ");
    fact("Joined while unplugged", closes);
  }
  fact("Cavities", counts_of(pinout));
  sheet.description = plain_line(fmt::format("Pinout sheet of {} in {}: {} cavities.", view.connector_name(connector),
                                             cells == "all" ? "all that were built" : cells, counts_of(pinout)));
  if (danger != reports::Danger::ordinary) {
    sheet.mark = reports::firing_mark(danger);
    sheet.description += " " + sheet.mark;
  }
  for (const std::string& text : reports::caution_texts(view, danger)) sheet.cautions.push_back(plain_line(text));
  sheet.table = table_of(family, pinout);
  sheet.foot = plain_line(fmt::format("{} ({}), {}", family.text(family.title), family.text(family.id), source));
  return sheet;
}

}  // namespace loomproof::layout
