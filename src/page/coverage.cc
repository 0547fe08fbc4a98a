// What is known, and what it rests on: the counts; generated/FAMILY/coverage.md has every row.
#include "reports/coverage.h"

#include <fmt/format.h>

#include "family/words.h"
#include "page/sections.h"
#include "page/table.h"
#include "reports/evidence.h"
#include "reports/facts.h"

namespace loomproof::page {

using reports::StateCount;

namespace {

std::string count_text(size_t count) {
  return count == 0 ? std::string() : std::to_string(count);
}

void write_states(const Content& content, Markup& out) {
  std::vector<reports::Column> columns{
      {"Place", false, true}, {"Part", false, true}, {"Tables", true, true}, {"Cavities", true, true}};
  for (size_t state = 0; state < reports::states; ++state)
    columns.push_back({std::string(word(static_cast<State>(state))), true, true});
  columns.push_back({"Known", true, true});
  Table table("Cavities by state; a cavity counts once a pinout table", columns);
  const auto cells_of = [](std::string place, std::string part, const StateCount& count) {
    std::vector<Cell> cells{std::move(place), std::move(part), std::to_string(count.tables),
                            std::to_string(count.all())};
    for (const size_t one : count.cavities) cells.emplace_back(count_text(one));
    cells.emplace_back(fmt::format("{} %", count.known_percent()));
    return cells;
  };
  StateCount all;
  for (const reports::PartCount& part : count_states(content.view, content.pages)) {
    table.add(cells_of(link(content.anchors.of_part(part.part), content.view.place_id(part.part)),
                       code(content.view.text(content.view.family().parts[part.part].id)), part.count));
    all.add(part.count);
  }
  table.total(cells_of("Family", "all", all));
  table.write(out);
}

void write_open(const Content& content, Markup& out) {
  Table table("Cavities to look at: unknown or disputed",
              {{"Connector", false, true}, {"Cavity", false, true}, {"State", false, true}, {"What is said"}});
  for (const reports::OpenCavity& open : open_cavities(content.pages)) {
    std::string state(word(open.row->state));
    if (is_dangerous(content.view, *open.page)) state += ", " + firing("FIRING: do not probe");
    table.add({link(open.page->name, fmt::format("{} in {}", content.view.connector_name(open.page->connector),
                                                 holds_in(content.view, open.page->pinout.cells))),
               escaped(open.row->cavity), Cell(state), escaped(open.row->note)});
  }
  if (table.empty()) out.element("p", "No cavity is unknown or disputed.");
  table.write(out);
}

void write_fact_counts(const Content& content, Markup& out) {
  Table table("Facts by what they say; of several sources one may be copied from another",
              {{"Facts", false, true},
               {"All", true, true},
               {"Cited at the row", true, true},
               {"By the file", true, true},
               {"No source", true},
               {"One source", true, true},
               {"Several", true, true},
               {"Several, independent", true, true},
               {"Memory alone", true, true}});
  reports::FactCount all;
  const auto cells_of = [](std::string what, const reports::FactCount& count) {
    return std::vector<Cell>{std::move(what),
                             count_text(count.facts),
                             count_text(count.at_row),
                             count_text(count.from_file),
                             count_text(count.uncited),
                             count_text(count.one),
                             count_text(count.several),
                             count_text(count.independent),
                             count_text(count.memory_only)};
  };
  for (const reports::FactLine& line : reports::count_facts(content.view.family())) {
    table.add(cells_of(escaped(line.what), line.count));
    all.add(line.count);
  }
  table.total(cells_of("all", all));
  table.write(out);
}

}  // namespace

void write_coverage(const Content& content, Markup& out) {
  out.open("section", {{"id", "coverage"}, {"aria-labelledby", "coverage-title"}}).markup("\n");
  out.element("h2", {{"id", "coverage-title"}}, "What is known, and what it rests on");
  write_states(content, out);
  write_open(content, out);
  write_fact_counts(content, out);
  out.close("section");
}

void write_sources(const Content& content, Markup& out) {
  const Family& family = content.view.family();
  Table table("Sources, and how many facts cite each", {{"Source", false, true},
                                                        {"Kind", false, true},
                                                        {"At the row", true, true},
                                                        {"By the file", true, true},
                                                        {"What it is"}});
  for (const reports::SourceUse& use : reports::count_sources(family)) {
    const Source& row = family.sources[use.source];
    table.add({escaped(family.text(row.id)), std::string(word(row.kind)), count_text(use.at_row),
               count_text(use.from_file), escaped(reports::source_words(family, row))});
  }
  if (table.empty()) return;
  out.open("section", {{"id", "sources"}, {"aria-labelledby", "sources-title"}}).markup("\n");
  out.element("h2", {{"id", "sources-title"}}, "Sources");
  table.write(out);
  out.close("section");
}

}  // namespace loomproof::page
