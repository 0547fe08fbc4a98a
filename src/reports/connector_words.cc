#include "reports/connector_words.h"

#include <fmt/format.h>

#include <map>
#include <set>

#include "family/words.h"
#include "reports/table.h"

namespace loomproof::reports {

std::string numbers_words(const FamilyView& view, const Part& part, const CellSet& cells) {
  const Family& family = view.family();
  std::string text;
  for (const PartNumber& number : rows(family.numbers, part.numbers)) {
    const CellSet& where = family.set(number.cells);
    if (!where.meets(cells)) continue;
    append(text, fmt::format("{}{}{}", family.text(number.text),
                             number.on == 0 ? "" : fmt::format(" on the {}", family.text(number.on)),
                             view.only_in(where, cells)));
  }
  return text;
}

std::string where_words(const FamilyView& view, Index connector, const CellSet& cells) {
  const Family& family = view.family();
  const Index row = connector_row_in(family, connector, cells.lowest());
  if (row != none && family.connector_rows[row].where != 0) return view.text(family.connector_rows[row].where);
  const Index place = family.parts[family.connectors[connector].part].place;
  std::string text;
  if (place == none) return text;
  for (const PlaceWhere& one : rows(family.place_where, family.places[place].where)) {
    const CellSet& where = family.set(one.cells);
    if (where.meets(cells)) append(text, view.text(one.where) + view.only_in(where, cells));
  }
  return text;
}

std::string counts_words(const Pinout& pinout) {
  std::map<State, std::set<std::string>> by_state;
  std::set<std::string> all;
  for (const PinoutRow& cavity : pinout.rows) {
    by_state[cavity.state].insert(cavity.cavity);
    all.insert(cavity.cavity);
  }
  std::vector<std::string> parts;
  for (const auto& [state, cavities] : by_state) parts.push_back(fmt::format("{} {}", cavities.size(), word(state)));
  return fmt::format("{}, of which {}", all.size(), list_words(parts));
}

}  // namespace loomproof::reports
