#include "upkeep/headings.h"

#include <fmt/format.h>

#include <algorithm>
#include <map>
#include <set>

#include "diag/render.h"
#include "upkeep/colour_words.h"

namespace loomproof::upkeep {

namespace {

struct HeadingWord {
  std::string_view text;  // folded, letters and digits alone
  Column column;
};

constexpr HeadingWord heading_words[] = {{"family", Column::family},
                                         {"familie", Column::family},
                                         {"part", Column::part},
                                         {"loom", Column::part},
                                         {"harness", Column::part},
                                         {"component", Column::part},
                                         {"leitungssatz", Column::part},
                                         {"kabelbaum", Column::part},
                                         {"bauteil", Column::part},
                                         {"holdsin", Column::holds_in},
                                         {"connector", Column::connector},
                                         {"plug", Column::connector},
                                         {"designator", Column::connector},
                                         {"fromconnector", Column::connector},
                                         {"stecker", Column::connector},
                                         {"steckverbinder", Column::connector},
                                         {"vonstecker", Column::connector},
                                         {"cavity", Column::cavity},
                                         {"pin", Column::cavity},
                                         {"pinno", Column::cavity},
                                         {"pinnumber", Column::cavity},
                                         {"contact", Column::cavity},
                                         {"frompin", Column::cavity},
                                         {"fromcavity", Column::cavity},
                                         {"kammer", Column::cavity},
                                         {"kontakt", Column::cavity},
                                         {"pinnummer", Column::cavity},
                                         {"pinnr", Column::cavity},
                                         {"kammernr", Column::cavity},
                                         {"kontaktnr", Column::cavity},
                                         {"vonpin", Column::cavity},
                                         {"vonkammer", Column::cavity},
                                         {"from", Column::from},
                                         {"von", Column::from},
                                         {"to", Column::to},
                                         {"nach", Column::to},
                                         {"ziel", Column::to},
                                         {"farend", Column::to},
                                         {"destination", Column::to},
                                         {"toconnector", Column::to_connector},
                                         {"nachstecker", Column::to_connector},
                                         {"zielstecker", Column::to_connector},
                                         {"tocavity", Column::to_cavity},
                                         {"topin", Column::to_cavity},
                                         {"nachpin", Column::to_cavity},
                                         {"nachkammer", Column::to_cavity},
                                         {"zielpin", Column::to_cavity},
                                         {"zielkammer", Column::to_cavity},
                                         {"state", Column::state},
                                         {"zustand", Column::state},
                                         {"circuit", Column::circuit},
                                         {"net", Column::circuit},
                                         {"signal", Column::circuit},
                                         {"stromkreis", Column::circuit},
                                         {"netz", Column::circuit},
                                         {"potential", Column::circuit},
                                         {"title", Column::title},
                                         {"description", Column::title},
                                         {"bezeichnung", Column::title},
                                         {"benennung", Column::title},
                                         {"beschreibung", Column::title},
                                         {"function", Column::function},
                                         {"funktion", Column::function},
                                         {"colour", Column::colour},
                                         {"color", Column::colour},
                                         {"wirecolour", Column::colour},
                                         {"wirecolor", Column::colour},
                                         {"farbe", Column::colour},
                                         {"aderfarbe", Column::colour},
                                         {"leitungsfarbe", Column::colour},
                                         {"kabelfarbe", Column::colour},
                                         {"grundfarbe", Column::colour},
                                         {"basecolour", Column::colour},
                                         {"basecolor", Column::colour},
                                         {"tracer", Column::tracer},
                                         {"stripe", Column::tracer},
                                         {"zweitfarbe", Column::tracer},
                                         {"kennfarbe", Column::tracer},
                                         {"streifen", Column::tracer},
                                         {"mm2", Column::mm2},
                                         {"qmm", Column::mm2},
                                         {"crosssection", Column::mm2},
                                         {"crosssectionmm2", Column::mm2},
                                         {"sizemm2", Column::mm2},
                                         {"querschnitt", Column::mm2},
                                         {"querschnittmm2", Column::mm2},
                                         {"querschnittinmm2", Column::mm2},
                                         {"leitungsquerschnitt", Column::mm2},
                                         {"aderquerschnitt", Column::mm2},
                                         {"querschnittqmm", Column::mm2},
                                         {"awg", Column::awg},
                                         {"gauge", Column::awg},
                                         {"wiregauge", Column::awg},
                                         {"gaugeawg", Column::awg},
                                         {"sizeawg", Column::awg},
                                         {"querschnittawg", Column::awg},
                                         {"lengthmm", Column::length_mm},
                                         {"laengemm", Column::length_mm},
                                         {"laengeinmm", Column::length_mm},
                                         {"role", Column::role},
                                         {"rolle", Column::role},
                                         {"volts", Column::volts},
                                         {"voltage", Column::volts},
                                         {"spannung", Column::volts},
                                         {"voltsv", Column::volts},
                                         {"voltagev", Column::volts},
                                         {"spannungv", Column::volts},
                                         {"maxa", Column::max_a},
                                         {"maxcurrenta", Column::max_a},
                                         {"stromamax", Column::max_a},
                                         {"maxstroma", Column::max_a},
                                         {"double", Column::double_crimp},
                                         {"doublecrimp", Column::double_crimp},
                                         {"doppelanschlag", Column::double_crimp},
                                         {"doppelcrimp", Column::double_crimp},
                                         {"source", Column::source},
                                         {"sources", Column::source},
                                         {"quelle", Column::source},
                                         {"quellen", Column::source},
                                         {"note", Column::note},
                                         {"notes", Column::note},
                                         {"remark", Column::note},
                                         {"remarks", Column::note},
                                         {"bemerkung", Column::note},
                                         {"bemerkungen", Column::note},
                                         {"hinweis", Column::note},
                                         {"functionevidence", Column::function_evidence},
                                         {"colourevidence", Column::colour_evidence},
                                         {"mm2evidence", Column::mm2_evidence}};

constexpr std::string_view column_words[column_count] = {"family",
                                                         "part",
                                                         "holds_in",
                                                         "connector",
                                                         "cavity",
                                                         "from",
                                                         "to",
                                                         "to_connector",
                                                         "to_cavity",
                                                         "state",
                                                         "circuit",
                                                         "title",
                                                         "function",
                                                         "colour",
                                                         "tracer",
                                                         "mm2",
                                                         "awg",
                                                         "length_mm",
                                                         "role",
                                                         "volts",
                                                         "max_a",
                                                         "double",
                                                         "sources",
                                                         "note",
                                                         "function_evidence",
                                                         "colour_evidence",
                                                         "mm2_evidence"};

// "Querschnitt [mm²]" -> "querschnittmm2"
std::string letters_of(std::string_view heading) {
  std::string out;
  const std::string small = folded(heading);
  for (size_t i = 0; i < small.size(); ++i) {
    const char c = small[i];
    if ((c >= 'a' && c <= 'z') || (c >= '0' && c <= '9')) out += c;
    if (std::string_view(small).substr(i).starts_with("\xC2\xB2")) out += '2';
  }
  return out;
}

}  // namespace

std::string_view word(Column column) {
  return column_words[static_cast<size_t>(column)];
}

std::optional<CsvFault> read_headings(const CsvTable& table, const std::vector<std::string>& ignored,
                                      Headings& headings) {
  headings = {};
  headings.at.fill(-1);
  std::set<std::string> left_aside;  // as letters
  for (const std::string& name : ignored) {
    left_aside.insert(letters_of(name));
    const auto is_it = [&](const CsvCell& cell) { return letters_of(cell.text) == letters_of(name); };
    if (std::none_of(table.headings.begin(), table.headings.end(), is_it))
      return CsvFault{table.headings.front().place, fmt::format("no heading is `{}`, to be ignored", printable(name))};
  }
  std::map<std::string, std::string> seen;  // as letters -> as written
  for (size_t i = 0; i < table.headings.size(); ++i) {
    const CsvCell& cell = table.headings[i];
    const std::string letters = letters_of(cell.text);
    if (left_aside.contains(letters)) {
      headings.aside.push_back(cell.text);
      continue;
    }
    if (!letters.empty() && !seen.emplace(letters, cell.text).second)
      return CsvFault{cell.place, fmt::format("the heading `{}` stands twice", printable(cell.text))};
    const auto known = std::find_if(std::begin(heading_words), std::end(heading_words),
                                    [&](const HeadingWord& each) { return each.text == letters; });
    if (known == std::end(heading_words)) {
      headings.aside.push_back(cell.text);
      continue;
    }
    int& at = headings.at[static_cast<size_t>(known->column)];
    if (at >= 0)
      return CsvFault{cell.place, fmt::format("`{}` and `{}` both are the {}",
                                              printable(table.headings[static_cast<size_t>(at)].text),
                                              printable(cell.text), word(known->column))};
    at = static_cast<int>(i);
  }
  return std::nullopt;
}

}  // namespace loomproof::upkeep
