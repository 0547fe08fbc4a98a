#include "reports/pinout.h"

#include <fmt/format.h>

#include <algorithm>
#include <map>
#include <set>

#include "family/words.h"
#include "reports/cautions.h"
#include "reports/connector_words.h"
#include "reports/escape.h"
#include "reports/evidence.h"
#include "reports/face.h"
#include "reports/file_names.h"
#include "reports/table.h"

namespace loomproof::reports {
namespace {

// One page as Markdown.
class Page {
 public:
  Page(const FamilyView& view, const PinoutPages& pages, const PinoutPage& page)
      : view_(view),
        family_(view.family()),
        pages_(pages),
        page_(page),
        connector_(family_.connectors[page.connector]),
        part_(family_.parts[connector_.part]),
        row_(connector_row_in(family_, page.connector, page.pinout.cells.lowest())),
        danger_(danger_of(view, page.connector, page.pinout)) {}

  std::string text();

 private:
  struct End {
    std::string name, what, where;
  };
  const ConnectorRow& row() const { return family_.connector_rows[row_]; }
  std::string head();
  void bullet(std::string_view label, const std::string& markdown);
  std::string housing_words(const Housing& housing) const;
  std::string plugs_into() const;
  std::string other_tables() const;
  std::string table() const;
  std::string far_ends() const;
  End end_at(Index point) const;
  std::string connector_where(Index connector) const;
  std::string meets(Index connector) const;
  std::string sources() const;

  const FamilyView& view_;
  const Family& family_;
  const PinoutPages& pages_;
  const PinoutPage& page_;
  const Connector& connector_;
  const Part& part_;
  Index row_;
  Danger danger_;
  std::string head_;
};

void Page::bullet(std::string_view label, const std::string& markdown) {
  if (!markdown.empty()) head_ += fmt::format("- **{}:** {}\n", label, markdown);
}

std::string Page::housing_words(const Housing& housing) const {
  std::string text = view_.text(housing.title);
  text = markdown_text(text);
  append(text, markdown_code(family_.text(housing.id)), ", ");
  const auto detail = [&](std::string_view what, Str value) {
    if (value != 0) append(text, fmt::format("{}{}", what, markdown_text(family_.text(value))), ", ");
  };
  detail("", housing.colour);
  detail("key: ", housing.key);
  detail("latch: ", housing.latch);
  return text;
}

std::string Page::plugs_into() const {
  std::map<Index, CellSet> met;
  CellSet alone;
  for (uint32_t cell : page_.pinout.cells.cells()) {
    const std::vector<Index> partners = view_.partners(page_.connector, cell);
    for (Index partner : partners) met[partner].insert(cell);
    if (partners.empty()) alone.insert(cell);
  }
  std::string text;
  for (const auto& [partner, cells] : met) {
    std::vector<Index> tables;
    for (Index page : pages_.of(partner))
      if (pages_.all()[page].pinout.cells.meets(cells)) tables.push_back(page);
    const std::string name = markdown_text(view_.connector_name(partner));
    std::string one = name, links;
    if (tables.size() == 1) one = fmt::format("[{}]({}.md)", name, pages_.all()[tables[0]].name);
    if (tables.size() > 1)
      for (Index page : tables)
        append(links,
               fmt::format("[{}]({}.md)", markdown_text(view_.cells_words(pages_.all()[page].pinout.cells)),
                           pages_.all()[page].name),
               ", ");
    if (!links.empty()) one += fmt::format(" ({})", links);
    append(text, one + markdown_text(view_.only_in(cells, page_.pinout.cells)), "; ");
  }
  if (!alone.empty())
    append(text, fmt::format("nothing{}{}", row().loose == 0 ? " that is recorded" : ", hangs loose: ",
                             markdown_text(family_.text(row().loose))) +
                     markdown_text(view_.only_in(alone, page_.pinout.cells)));
  return text;
}

std::string Page::other_tables() const {
  std::string text;
  for (Index other : pages_.of(page_.connector)) {
    const PinoutPage& page = pages_.all()[other];
    if (page.name == page_.name) continue;
    append(text, fmt::format("[{}]({}.md)", markdown_text(view_.cells_words(page.pinout.cells)), page.name), "; ");
  }
  return text;
}

std::string Page::head() {
  const std::string cells = view_.cells_words(page_.pinout.cells);
  const std::string name = markdown_text(view_.connector_name(page_.connector));
  const std::string title = view_.text(part_.title == 0 ? part_.id : part_.title);
  head_ = fmt::format("# {}: {}\n\n", name, markdown_text(title));
  bullet("Family", fmt::format("[{}](../index.md)", markdown_text(family_.text(family_.title))));
  bullet("This table holds in", markdown_text(cells == "all" ? "all that were built" : cells));
  bullet("Other tables of it", other_tables());
  std::string part = fmt::format("{} {}", word(part_.kind), markdown_code(family_.text(part_.id)));
  append(part, markdown_text(numbers_words(view_, part_, page_.pinout.cells)), "; ");
  bullet("Part", part);
  if (row_ != none && row().housing != none) {
    const Housing& housing = family_.housings[row().housing];
    bullet("Housing", housing_words(housing));
    std::string closes;
    for (const Closes& bar : rows(family_.closes, housing.closes))
      append(closes,
             fmt::format("{} with {}", family_.text(family_.housing_cavities[bar.a].number),
                         family_.text(family_.housing_cavities[bar.b].number)),
             ", ");
    bullet("Joined while unplugged", markdown_text(closes));
  }
  bullet("Where", markdown_text(where_words(view_, page_.connector, page_.pinout.cells)));
  bullet("Plugs into", plugs_into());
  bullet("Cavities", counts_words(page_.pinout));
  return head_ + "\n";
}

std::string state_markdown(const PinoutRow& row) {
  std::string text(word(row.state));
  if (row.state == State::unknown) text += ": nobody has looked";
  if (row.state == State::disputed) text = "**disputed**";
  if (row.firing) text += ", **FIRING**";
  return text;
}

std::string Page::table() const {
  const bool loom = part_.kind == PartKind::loom;
  MarkdownTable table({{"Cavity", false, true},
                       {"Moulded"},
                       {"In manual"},
                       {"State", false, true},
                       {"Circuit", false, true},
                       {"Function", false, true},
                       {"Colour", false, loom},
                       {"mm²", true, loom},
                       {"To", false, loom},
                       {"Role", false, !loom},
                       {"Volts"},
                       {"Max. A", true},
                       {"Inside"},
                       {"Same in", false, true},
                       {"Source", false, true},
                       {"Note"}});
  for (const PinoutRow& row : page_.pinout.rows) {
    const bool wire = !row.to.empty();
    std::string colour = row.colour;
    append(colour, row.colour_name, " ");
    if (wire && colour.empty()) colour = "not recorded";
    const std::string mm2 = wire && row.mm2.empty() ? "not recorded" : row.mm2;
    const std::string source = row.cited ? sources_markdown(family_, row.cite) : "";
    table.add({markdown_text(row.cavity), markdown_text(row.moulded), markdown_text(row.in_manual), state_markdown(row),
               markdown_text(row.circuit), markdown_text(function_words(row)),
               markdown_text(colour + in_brackets(row.colour_mark)), mm2 + in_brackets(row.mm2_mark),
               markdown_text(row.to), row.role, row.volts, row.amps, markdown_text(row.inside),
               markdown_text(view_.cells_words(row.same_in)), source, markdown_text(row.note)});
  }
  return table.text();
}

std::string Page::meets(Index connector) const {
  std::map<Index, CellSet> met;
  for (uint32_t cell : page_.pinout.cells.cells())
    for (Index partner : view_.partners(connector, cell)) met[partner].insert(cell);
  std::string text;
  for (const auto& [partner, cells] : met)
    append(text, view_.connector_name(partner) + view_.only_in(cells, page_.pinout.cells), ", ");
  return text;
}

template <typename Row>
const Row* row_at(const Family& family, const std::vector<Row>& table, Range range, Index point, const CellSet& cells) {
  for (const Row& row : rows(table, range))
    if (row.point == point && family.set(row.cells).meets(cells)) return &row;
  return nullptr;
}

std::string Page::connector_where(Index connector) const {
  std::vector<std::pair<Str, CellSet>> places;
  for (uint32_t cell : page_.pinout.cells.cells()) {
    const Index row = connector_row_in(family_, connector, cell);
    const Str where = row == none ? 0 : family_.connector_rows[row].where;
    if (where == 0) continue;
    const auto known =
        std::find_if(places.begin(), places.end(), [&](const auto& place) { return place.first == where; });
    if (known == places.end())
      places.emplace_back(where, CellSet::of(cell));
    else
      known->second.insert(cell);
  }
  std::string text;
  for (const auto& [where, cells] : places) append(text, view_.text(where) + view_.only_in(cells, page_.pinout.cells));
  return text;
}

Page::End Page::end_at(Index point) const {
  const CellSet& cells = page_.pinout.cells;
  End end{point_name(family_, point), {}, {}};
  switch (family_.points[point].kind) {
    case PointKind::cavity: {
      const Index connector = family_.points[point].connector;
      const std::string partners = meets(connector);
      end.name = view_.text(family_.connectors[connector].designator);
      end.what =
          partners.empty() ? "connector; what it plugs into is not recorded" : "connector, plugs into " + partners;
      end.where = connector_where(connector);
      break;
    }
    case PointKind::splice: {
      end.what = "splice";
      const Splice* splice = row_at(family_, family_.splices, part_.splices, point, cells);
      if (splice) end.where = view_.text(splice->where);
      break;
    }
    case PointKind::earth: {
      end.what = "earth point";
      const Earth* earth = row_at(family_, family_.earths, part_.earths, point, cells);
      if (!earth) break;
      end.where = view_.text(earth->where);
      if (earth->ring != 0) end.what += ", ring " + view_.text(earth->ring);
      if (earth->to != EarthNode::unset) end.what += fmt::format(", on the {}", word(earth->to));
      break;
    }
    case PointKind::lead: {
      end.what = "lead";
      const Lead* lead = row_at(family_, family_.leads, part_.leads, point, cells);
      if (lead && lead->title != 0) end.what += ": " + view_.text(lead->title);
      break;
    }
    case PointKind::inner:
      end.what = "point inside";
      break;
  }
  return end;
}

std::string Page::far_ends() const {
  std::map<std::string, End> ends;  // a connector once, whatever the cavities
  for (Index point : page_.pinout.ends) {
    if (family_.points[point].connector == page_.connector) continue;
    const End end = end_at(point);
    ends.emplace(end.name, end);
  }
  std::vector<End> sorted;
  for (const auto& [name, end] : ends) sorted.push_back(end);
  std::stable_sort(sorted.begin(), sorted.end(),
                   [](const End& a, const End& b) { return natural_less(a.name, b.name); });
  MarkdownTable table({{"End"}, {"What it is"}, {"Where"}});
  for (const End& end : sorted) table.add({markdown_text(end.name), markdown_text(end.what), markdown_text(end.where)});
  return table.empty() ? "" : "## Where the wires go\n\n" + table.text();
}

std::string Page::sources() const {
  const std::set<Index> sources(page_.pinout.sources.begin(), page_.pinout.sources.end());
  if (sources.empty()) return {};
  return "## Sources\n\nBold in the table: cited at the row itself; otherwise the source of the whole file.\n\n" +
         source_table(family_, sources);
}

std::string Page::text() {
  std::string text = head() + cautions_above(view_, danger_);
  if (row_ != none && row().housing != none) {
    const Housing& housing = family_.housings[row().housing];
    const std::string face = face_markdown(family_, housing);
    if (!face.empty())
      text += fmt::format("The face, seen from the {}{}:\n\n{}",
                          housing.view == View::wire_side ? "wire side" : "mating side",
                          housing.round ? " (a round body)" : "", face);
  }
  return text + table() + far_ends() + cautions_below(view_, danger_) + sources();
}

}  // namespace

std::vector<Index> connectors_of(const FamilyView& view, Index part) {
  const Family& family = view.family();
  const Range range = family.parts[part].connectors;
  std::vector<Index> all;
  for (Index connector = range.first; connector < range.end(); ++connector) all.push_back(connector);
  std::stable_sort(all.begin(), all.end(), [&](Index a, Index b) {
    return natural_less(family.text(family.connectors[a].designator), family.text(family.connectors[b].designator));
  });
  return all;
}

std::vector<Index> parts_by_place(const Family& family) {
  std::vector<Index> all;
  for (Index part = 0; part < family.parts.size(); ++part) all.push_back(part);
  std::stable_sort(all.begin(), all.end(),
                   [&](Index a, Index b) { return family.parts[a].place < family.parts[b].place; });
  return all;
}

PinoutPages::PinoutPages(const FamilyView& view) {
  const Family& family = view.family();
  FileNames names;
  for (Index part : parts_by_place(family)) {
    for (Index connector : connectors_of(view, part)) {
      for (Pinout& pinout : pinouts_of(view, connector)) {
        const std::string wanted = fmt::format("{}-{}--{}", file_word(view.place_id(part)),
                                               file_word(family.text(family.connectors[connector].designator)),
                                               cells_slug(family, pinout.cells, view.built()));
        pages_.push_back({connector, std::move(pinout), names.claim(wanted)});
      }
    }
  }
  of_connector_ = Lists(static_cast<uint32_t>(family.connectors.size()), [&](auto put) {
    for (Index page = 0; page < pages_.size(); ++page) put(pages_[page].connector, page);
  });
}

std::string pinout_markdown(const FamilyView& view, const PinoutPages& pages, const PinoutPage& page) {
  return Page(view, pages, page).text();
}

std::string pinout_csv(const FamilyView& view, const PinoutPage& page) {
  const Family& family = view.family();
  const Danger danger = danger_of(view, page.connector, page.pinout);
  const std::string caution = danger == Danger::ordinary ? ""
                              : danger == Danger::firing ? "firing circuit: never probe"
                                                         : "may carry a firing circuit: never probe";
  const std::string table_cells = view.cells_words(page.pinout.cells);
  const Connector& connector = family.connectors[page.connector];
  CsvTable table({"family",    "place",        "part",
                  "connector", "holds_in",     "cavity",
                  "moulded",   "in_manual",    "state",
                  "circuit",   "title",        "class",
                  "terminal",  "function",     "function_evidence",
                  "colour",    "colour_name",  "colour_evidence",
                  "mm2",       "mm2_evidence", "length_mm",
                  "to",        "role",         "volts",
                  "max_a",     "inside",       "same_in",
                  "sources",   "cited_at",     "note",
                  "caution"});
  for (const PinoutRow& row : page.pinout.rows)
    table.add({view.text(family.id),
               view.place_id(connector.part),
               view.text(family.parts[connector.part].id),
               view.text(connector.designator),
               table_cells,
               row.cavity,
               row.moulded,
               row.in_manual,
               std::string(word(row.state)),
               row.circuit,
               row.title,
               row.circuit_class,
               row.terminal,
               row.function,
               row.function_mark,
               row.colour,
               row.colour_name,
               row.colour_mark,
               row.mm2,
               row.mm2_mark,
               row.length_mm,
               row.to,
               row.role,
               row.volts,
               row.amps,
               row.inside,
               view.cells_words(row.same_in),
               row.cited ? sources_text(family, row.cite) : "",
               row.cited ? std::string(cited_at(family, row.cite)) : "",
               row.note,
               caution});
  return table.text();
}

bool is_dangerous(const FamilyView& view, const PinoutPage& page) {
  return danger_of(view, page.connector, page.pinout) != Danger::ordinary;
}

}  // namespace loomproof::reports
