#include "layout/sheet_parts.h"

#include <fmt/format.h>

#include <algorithm>

#include "family/words.h"
#include "reports/escape.h"
#include "reports/evidence.h"
#include "reports/pinout.h"
#include "reports/table.h"

namespace loomproof::layout {

using reports::append;
using reports::Danger;
using reports::FamilyView;
using reports::Pinout;
using reports::PinoutRow;

std::string counts_of(const Pinout& pinout) {
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

std::string cells_of(const FamilyView& view, const CellSet& cells) {
  const std::string words = view.cells_words(cells);
  return words == "all" ? "all that were built" : words;
}

std::string title_of(const FamilyView& view, const Part& part) {
  return view.text(part.title == 0 ? part.id : part.title);
}

std::string foot_of(const Family& family, std::string_view source) {
  return plain_line(
      fmt::format("{} ({}), {}. Cross-sections in mm².", family.text(family.title), family.text(family.id), source));
}

void add_fact(FactList& facts, std::string label, std::string_view value) {
  if (!value.empty()) facts.rows.emplace_back(std::move(label), plain_line(value));
}

std::string numbers_of(const FamilyView& view, const Part& part, const CellSet& cells) {
  std::string numbers;
  for (const PartNumber& number : rows(view.family().numbers, part.numbers)) {
    const CellSet& where = view.family().set(number.cells);
    if (where.meets(cells)) append(numbers, view.text(number.text) + view.only_in(where, cells));
  }
  return numbers;
}

// Of the connector itself: what stands above its faces.
void add_connector_facts(FactList& facts, const FamilyView& view, Index connector, const Pinout& pinout) {
  const Family& family = view.family();
  const Index row = connector_row_in(family, connector, pinout.cells.lowest());
  if (row != none) {
    add_fact(facts, "Where", family.text(family.connector_rows[row].where));
    if (const Index of = family.connector_rows[row].housing; of != none) {
      const Housing& housing = family.housings[of];
      std::string words = view.text(housing.title);
      append(words, family.text(housing.id), ", ");
      append(words, family.text(housing.colour), ", ");
      add_fact(facts, "Housing", words);
      std::string closes;
      for (const Closes& bar : rows(family.closes, housing.closes))
        append(closes,
               fmt::format("{} with {}", family.text(family.housing_cavities[bar.a].number),
                           family.text(family.housing_cavities[bar.b].number)),
               ", ");
      add_fact(facts, "Joined while unplugged", closes);
    }
  }
  add_fact(facts, "Cavities", counts_of(pinout));
}

std::vector<std::string> cautions_of(const FamilyView& view, Danger danger) {
  std::vector<std::string> lines;
  for (const std::string& text : reports::caution_texts(view, danger)) lines.push_back(plain_line(text));
  return lines;
}

void add_cautions(Sheet& sheet, const std::vector<std::string>& cautions) {
  if (cautions.empty()) return;
  sheet.blocks.push_back(Heading{"Cautions"});
  for (const std::string& caution : cautions) sheet.blocks.push_back(Paragraph{"• " + caution});
}

void add_sources(Sheet& sheet, const Family& family, const std::set<Index>& sources) {
  SheetTable table{"Sources", {"Source", "Which is"}, {}};
  for (const Index source : sources)
    table.rows.push_back({plain_line(family.text(family.sources[source].id)),
                          plain_line(reports::source_words(family, family.sources[source]))});
  if (!table.rows.empty()) sheet.blocks.push_back(std::move(table));
}

std::vector<ShownConnector> connectors_shown(const FamilyView& view, Index part, const CellSet& cells) {
  std::vector<ShownConnector> shown;
  for (const Index connector : reports::connectors_of(view, part))
    for (Pinout& pinout : reports::pinouts_of(view, connector)) {
      if (!pinout.cells.meets(cells)) continue;
      const Danger danger = reports::danger_of(view, connector, pinout);
      shown.push_back({connector, std::move(pinout), danger});
    }
  return shown;
}

std::string name_among(const FamilyView& view, const std::vector<ShownConnector>& all, const ShownConnector& one) {
  std::string name = view.text(view.family().connectors[one.connector].designator);
  const auto same = [&](const ShownConnector& other) { return other.connector == one.connector; };
  if (std::count_if(all.begin(), all.end(), same) > 1) name += fmt::format(" in {}", cells_of(view, one.pinout.cells));
  return plain_line(name);
}

Firing firing_among(const Family& family, const std::vector<ShownConnector>& all) {
  Firing firing{Danger::ordinary, {}};
  Index last = none;
  for (const ShownConnector& one : all) {
    if (one.danger == Danger::ordinary) continue;
    if (firing.worst != Danger::firing) firing.worst = one.danger;
    if (one.connector != last) append(firing.names, family.text(family.connectors[one.connector].designator), ", ");
    last = one.connector;
  }
  return firing;
}

std::string firing_connectors(const std::string& names) {
  return plain_line(
      fmt::format("CONNECTORS WITH A FIRING CIRCUIT, OR THAT MAY CARRY ONE: {}. Never put a probe, meter "
                  "or test lamp on any cavity of them.",
                  names));
}

}  // namespace loomproof::layout
