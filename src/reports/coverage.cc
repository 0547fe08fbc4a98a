#include "reports/coverage.h"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <set>

#include "family/words.h"
#include "reports/cautions.h"
#include "reports/escape.h"
#include "reports/evidence.h"
#include "reports/facts.h"
#include "reports/table.h"

namespace loomproof::reports {
namespace {

StateCount count_page(const PinoutPage& page) {
  StateCount count{.tables = 1};
  std::set<std::string> seen;  // a cavity with two wires is one cavity
  for (const PinoutRow& row : page.pinout.rows)
    if (seen.insert(row.cavity).second) ++count.cavities[static_cast<size_t>(row.state)];
  return count;
}

std::string number(size_t count) {
  return count == 0 ? std::string() : std::to_string(count);
}

class Markdown {
 public:
  Markdown(const FamilyView& view, const PinoutPages& pages) : view_(view), family_(view.family()), pages_(pages) {}
  std::string text() const;

 private:
  std::string head() const;
  std::string states_section() const;
  std::string open_section() const;
  std::string facts_section() const;
  std::string sources_section() const;
  std::string rows_section(const std::vector<WeakRow>& weak, std::string_view heading, std::string_view intro) const;
  std::string relaxations_section() const;

  const FamilyView& view_;
  const Family& family_;
  const PinoutPages& pages_;
};

std::string Markdown::head() const {
  StateCount all;
  for (const PartCount& part : count_states(view_, pages_)) all.add(part.count);
  FactCount facts;
  for (const FactLine& line : count_facts(family_)) facts.add(line.count);
  return fmt::format(
      "# What is known, and what it rests on\n\n- **Family:** [{}](index.md)\n- **As CSV:** "
      "[coverage.csv](coverage.csv)\n"
      "- **Cavities:** {}, of which {} known, {} unknown, {} disputed\n"
      "- **Facts:** {}, of which {} are cited at the row itself and {} by the file they stand in; {} on a single "
      "source, {} on memory alone\n\n",
      markdown_text(family_.text(family_.title)), all.all(),
      all.all() - all.cavities[static_cast<size_t>(State::unknown)] -
          all.cavities[static_cast<size_t>(State::disputed)],
      all.cavities[static_cast<size_t>(State::unknown)], all.cavities[static_cast<size_t>(State::disputed)],
      facts.facts, facts.at_row, facts.from_file, facts.one, facts.memory_only);
}

std::vector<std::string> state_cells(const StateCount& count) {
  std::vector<std::string> cells{std::to_string(count.tables), std::to_string(count.all())};
  for (size_t one : count.cavities) cells.push_back(number(one));
  cells.push_back(fmt::format("{} %", count.known_percent()));
  return cells;
}

std::string Markdown::states_section() const {
  std::vector<Column> columns{{"Part", false, true}, {"Connector", false, true}, {"Tables", true}, {"Cavities", true}};
  for (size_t state = 0; state < states; ++state)
    columns.push_back({std::string(word(static_cast<State>(state))), true, true});
  columns.push_back({"Known", true});
  MarkdownTable table(columns);
  const auto add = [&](std::string part, std::string connector, const StateCount& count) {
    std::vector<std::string> cells{std::move(part), std::move(connector)};
    for (std::string& cell : state_cells(count)) cells.push_back(std::move(cell));
    table.add(std::move(cells));
  };
  StateCount all;
  for (const PartCount& part : count_states(view_, pages_)) {
    const std::string place = markdown_text(view_.place_id(part.part));
    const std::string id = view_.text(family_.parts[part.part].id);
    const std::string name = fmt::format("{} {}", place, markdown_code(id));
    for (const ConnectorCount& one : part.connectors)
      add(name, markdown_text(family_.text(family_.connectors[one.connector].designator)), one.count);
    if (part.connectors.size() > 1) add("**" + name + "**", "**all**", part.count);
    all.add(part.count);
  }
  add("**Family**", "**all**", all);
  return "## Cavities by state\n\nA cavity counts once a pinout table: a connector that differs between eras or "
         "options "
         "has several.\n\n" +
         table.text();
}

std::string Markdown::open_section() const {
  MarkdownTable table({{"Connector"}, {"Cavity"}, {"Table"}, {"State"}, {"What is said"}});
  for (const OpenCavity& open : open_cavities(pages_)) {
    const std::string cells = view_.cells_words(open.page->pinout.cells);
    const bool danger = is_dangerous(view_, *open.page);
    table.add({markdown_text(view_.connector_name(open.page->connector)), markdown_text(open.row->cavity),
               fmt::format("[{}](pinouts/{}.md)", markdown_text(cells), open.page->name),
               std::string(word(open.row->state)) + (danger ? ", **FIRING: do not probe**" : ""),
               markdown_text(open.row->note)});
  }
  return "## Cavities to look at\n\n" + (table.empty() ? "None is unknown or disputed.\n\n" : table.text());
}

std::string Markdown::facts_section() const {
  MarkdownTable kinds(
      {{"Strongest source"}, {"At the row", true, true}, {"From the file", true, true}, {"All", true, true}});
  MarkdownTable facts({{"Facts"},
                       {"All", true, true},
                       {"At the row", true, true},
                       {"From the file", true, true},
                       {"No source", true},
                       {"One source", true, true},
                       {"Several", true, true},
                       {"Several, independent", true, true},
                       {"Memory alone", true, true}});
  FactCount all;
  const auto add = [&](std::string what, const FactCount& count) {
    facts.add({std::move(what), number(count.facts), number(count.at_row), number(count.from_file),
               number(count.uncited), number(count.one), number(count.several), number(count.independent),
               number(count.memory_only)});
  };
  for (const FactLine& line : count_facts(family_)) {
    add(std::string(line.what), line.count);
    all.add(line.count);
  }
  add("**all**", all);
  for (size_t kind = 0; kind < source_kinds; ++kind)
    if (all.row_kinds[kind] + all.file_kinds[kind] > 0)
      kinds.add({std::string(word(static_cast<SourceKind>(kind))), number(all.row_kinds[kind]),
                 number(all.file_kinds[kind]), number(all.row_kinds[kind] + all.file_kinds[kind])});
  return "## Facts by kind of source\n\nFacts that several sources give count under the strongest.\n\n" + kinds.text() +
         "## Facts by what they say\n\n\"Several\" are sources of which one may be copied from another.\n\n" +
         facts.text();
}

std::string Markdown::sources_section() const {
  MarkdownTable table(
      {{"Source"}, {"Kind"}, {"At the row", true, true}, {"From the file", true, true}, {"What it is"}});
  for (const SourceUse& use : count_sources(family_)) {
    const Source& row = family_.sources[use.source];
    table.add({markdown_text(family_.text(row.id)), std::string(word(row.kind)), number(use.at_row),
               number(use.from_file), markdown_text(source_words(family_, row))});
  }
  return "## Sources\n\nHow many facts cite each.\n\n" + table.text();
}

std::string Markdown::rows_section(const std::vector<WeakRow>& weak, std::string_view heading,
                                   std::string_view intro) const {
  MarkdownTable table({{"Part"}, {"Row"}, {"Circuit"}, {"Class"}, {"Holds in"}, {"Why"}});
  for (const WeakRow& row : weak)
    table.add({row.part == none ? "vocabulary" : markdown_text(view_.place_id(row.part)), markdown_text(row.row),
               row.circuit == none ? "" : markdown_text(family_.text(family_.circuits[row.circuit].id)),
               row.circuit == none ? "" : std::string(word(family_.circuits[row.circuit].kind)),
               markdown_text(row.holds_in), markdown_text(row.why)});
  return fmt::format("## {}\n\n{}\n\n{}", heading, intro, table.empty() ? "None.\n\n" : table.text());
}

std::string Markdown::relaxations_section() const {
  MarkdownTable table({{"What"}, {"Place"}, {"Part"}, {"Item"}, {"Holds in"}, {"Reason"}});
  for (const Relaxation& one : relaxations(view_))
    table.add({std::string(one.what), markdown_text(one.place), markdown_text(one.part), markdown_text(one.item),
               markdown_text(one.holds_in), markdown_text(one.detail)});
  return "## Where the rules are relaxed\n\n" + (table.empty() ? "Nowhere.\n\n" : table.text());
}

std::string Markdown::text() const {
  return head() + cautions_always(view_) + states_section() + open_section() + facts_section() + sources_section() +
         rows_section(weak_rows(view_), "Feeds, earths, returns, references and firing circuits on weak ground",
                      "Rows that rest on one source or on memory: check these first where it matters. Never check a "
                      "firing circuit by probing it.") +
         rows_section(marked_rows(view_), "Fields on weak ground",
                      "Single fields of a row that rest on less than the row.") +
         relaxations_section();
}

class Csv {
 public:
  Csv(const FamilyView& view, const PinoutPages& pages)
      : view_(view),
        family_(view.family()),
        pages_(pages),
        table_({"topic", "place", "part", "connector", "item", "holds_in", "measure", "value", "detail"}) {}
  std::string text();

 private:
  void add_states();
  void add_open();
  void add_facts();
  void add_rows(std::string_view topic, const std::vector<WeakRow>& rows);
  void add_relaxations();
  std::string part_id(Index part) const { return view_.text(family_.parts[part].id); }

  const FamilyView& view_;
  const Family& family_;
  const PinoutPages& pages_;
  CsvTable table_;
};

void Csv::add_states() {
  for (const PartCount& part : count_states(view_, pages_))
    for (const ConnectorCount& one : part.connectors) {
      const std::string designator = view_.text(family_.connectors[one.connector].designator);
      const auto add = [&](std::string_view measure, size_t count) {
        table_.add({"cavities", view_.place_id(part.part), part_id(part.part), designator, "", "", std::string(measure),
                    std::to_string(count), ""});
      };
      add("tables", one.count.tables);
      for (size_t state = 0; state < states; ++state) add(word(static_cast<State>(state)), one.count.cavities[state]);
    }
}

void Csv::add_open() {
  for (const OpenCavity& open : open_cavities(pages_)) {
    const Connector& connector = family_.connectors[open.page->connector];
    std::string detail = open.row->note;
    if (is_dangerous(view_, *open.page)) append(detail, "firing circuit: never probe");
    table_.add({"to-look-at", view_.place_id(connector.part), part_id(connector.part), view_.text(connector.designator),
                open.row->cavity, view_.cells_words(open.page->pinout.cells), std::string(word(open.row->state)), "1",
                detail});
  }
}

void Csv::add_facts() {
  for (const FactLine& line : count_facts(family_)) {
    const auto add = [&](std::string measure, size_t count) {
      if (count > 0)
        table_.add({"facts", "", "", "", std::string(line.what), "", std::move(measure), std::to_string(count), ""});
    };
    add("all", line.count.facts);
    add("at row", line.count.at_row);
    add("from file", line.count.from_file);
    add("no source", line.count.uncited);
    add("one source", line.count.one);
    add("several sources", line.count.several);
    add("several independent sources", line.count.independent);
    add("memory alone", line.count.memory_only);
    for (size_t kind = 0; kind < source_kinds; ++kind) {
      add(fmt::format("{} at row", word(static_cast<SourceKind>(kind))), line.count.row_kinds[kind]);
      add(fmt::format("{} from file", word(static_cast<SourceKind>(kind))), line.count.file_kinds[kind]);
    }
  }
  for (const SourceUse& use : count_sources(family_)) {
    const Source& row = family_.sources[use.source];
    table_.add({"sources", "", "", "", view_.text(row.id), "", "at row", std::to_string(use.at_row),
                std::string(word(row.kind))});
    table_.add({"sources", "", "", "", view_.text(row.id), "", "from file", std::to_string(use.from_file),
                std::string(word(row.kind))});
  }
}

void Csv::add_rows(std::string_view topic, const std::vector<WeakRow>& weak) {
  for (const WeakRow& row : weak)
    table_.add({std::string(topic), row.part == none ? "" : view_.place_id(row.part),
                row.part == none ? "vocabulary" : part_id(row.part), "", row.row, row.holds_in,
                row.circuit == none ? "" : view_.text(family_.circuits[row.circuit].id), "1", row.why});
}

void Csv::add_relaxations() {
  for (const Relaxation& one : relaxations(view_))
    table_.add({"relaxed", one.place, one.part, "", one.item, one.holds_in, std::string(one.what), "1", one.detail});
}

std::string Csv::text() {
  add_states();
  add_open();
  add_facts();
  add_rows("weak", weak_rows(view_));
  add_rows("weak-fields", marked_rows(view_));
  add_relaxations();
  return table_.text();
}

}  // namespace

std::vector<PartCount> count_states(const FamilyView& view, const PinoutPages& pages) {
  std::vector<PartCount> parts;
  for (const PinoutPage& page : pages.all()) {
    const Index part = view.family().connectors[page.connector].part;
    if (parts.empty() || parts.back().part != part) parts.push_back({part, {}, {}});
    PartCount& of = parts.back();
    if (of.connectors.empty() || of.connectors.back().connector != page.connector)
      of.connectors.push_back({page.connector, {}});
    const StateCount count = count_page(page);
    of.connectors.back().count.add(count);
    of.count.add(count);
  }
  return parts;
}

std::vector<OpenCavity> open_cavities(const PinoutPages& pages) {
  std::vector<OpenCavity> open;
  for (const PinoutPage& page : pages.all())
    for (const PinoutRow& row : page.pinout.rows)
      if (row.state == State::unknown || row.state == State::disputed) open.push_back({&page, &row});
  return open;
}

std::string coverage_markdown(const FamilyView& view, const PinoutPages& pages) {
  return Markdown(view, pages).text();
}

std::string coverage_csv(const FamilyView& view, const PinoutPages& pages) {
  return Csv(view, pages).text();
}

}  // namespace loomproof::reports
