#include "page/page.h"

#include <fmt/format.h>

#include <algorithm>

#include "family/words.h"
#include "page/embedded.h"
#include "page/sections.h"
#include "page/table.h"
#include "reports/cautions.h"
#include "reports/contents.h"
#include "reports/file_names.h"
#include "reports/reports.h"

namespace loomproof::page {

using reports::Danger;
using reports::FamilyView;
using reports::PinoutPage;
using reports::PinoutPages;

Anchors::Anchors(const FamilyView& view, const PinoutPages& pages)
    : parts_(view.family().parts.size()), connectors_(view.family().connectors.size()) {
  const Family& family = view.family();
  reports::FileNames names;
  for (Index part = 0; part < parts_.size(); ++part)
    parts_[part] = names.claim(fmt::format("part.{}-{}", reports::file_word(view.place_id(part)),
                                           reports::file_word(family.text(family.parts[part].id))));
  for (Index connector = 0; connector < connectors_.size(); ++connector) {
    const Connector& row = family.connectors[connector];
    // One table: its place is the connector's.
    connectors_[connector] = pages.of(connector).size() == 1
                                 ? pages.all()[pages.of(connector)[0]].name
                                 : names.claim(fmt::format("plug.{}-{}", reports::file_word(view.place_id(row.part)),
                                                           reports::file_word(family.text(row.designator))));
  }
}

std::vector<PartPages> pages_by_part(const Content& content) {
  std::vector<PartPages> parts;
  const std::vector<PinoutPage>& all = content.pages.all();
  for (Index at = 0; at < all.size(); ++at) {
    const Index part = content.view.family().connectors[all[at].connector].part;
    if (parts.empty() || parts.back().part != part) parts.push_back({part, {}});
    auto& connectors = parts.back().connectors;
    if (connectors.empty() || all[connectors.back().front()].connector != all[at].connector) connectors.emplace_back();
    connectors.back().push_back(at);
  }
  return parts;
}

std::string holds_in(const FamilyView& view, const CellSet& cells) {
  const std::string words = view.cells_words(cells);
  return words == "all" ? "all that were built" : words;
}

using reports::append;

namespace {

bool any_dangerous(const Content& content, const std::vector<Index>& tables) {
  for (const Index at : tables)
    if (is_dangerous(content.view, content.pages.all()[at])) return true;
  return false;
}

void write_texts(Markup& out, const std::vector<std::string>& texts) {
  if (texts.empty()) return;
  out.open("ul").markup("\n");
  for (const std::string& text : texts) out.element("li", text);
  out.close("ul");
}

}  // namespace

// What may fire stands first.
void write_cautions(const Content& content, Markup& out) {
  out.open("section", {{"id", "cautions"}, {"aria-labelledby", "cautions-title"}}).markup("\n");
  out.element("h2", {{"id", "cautions-title"}}, "Cautions");
  std::string dangerous;
  for (const PartPages& part : pages_by_part(content))
    for (const std::vector<Index>& tables : part.connectors) {
      const Index connector = content.pages.all()[tables.front()].connector;
      if (any_dangerous(content, tables))
        append(dangerous, link(content.anchors.of_connector(connector), content.view.connector_name(connector)), ", ");
    }
  std::vector<std::string> said;
  if (content.view.any_firing() || !dangerous.empty()) {
    said = caution_texts(content.view, Danger::firing);
    out.open("div", {{"class", "warning"}}).open("p");
    out.element("strong",
                "FIRING CIRCUITS (airbag, belt tensioner). Never put a probe, meter or test lamp on any cavity of a "
                "connector that is marked FIRING.");
    out.close("p");
    if (!dangerous.empty())
      out.open("p").text("Marked, since they carry one or may carry one: ").markup(dangerous + ".").close("p");
    write_texts(out, said);
    out.close("div");
  }
  std::vector<std::string> others;
  for (std::string& text : caution_texts(content.view, Danger::ordinary))
    if (std::find(said.begin(), said.end(), text) == said.end()) others.push_back(std::move(text));
  write_texts(out, others);
  out.close("section");
}

void write_contents(const Content& content, Markup& out) {
  const FamilyView& view = content.view;
  const Family& family = view.family();
  out.open("section", {{"id", "contents"}, {"aria-labelledby", "contents-title"}}).markup("\n");
  out.element("h2", {{"id", "contents-title"}}, "Contents");
  Table table("Looms and components with their connectors",
              {{"Place", false, true}, {"Title"}, {"Part"}, {"Connectors", false, true}});
  for (const PartPages& part : pages_by_part(content)) {
    std::string links;
    for (const std::vector<Index>& tables : part.connectors) {
      const Index connector = content.pages.all()[tables.front()].connector;
      std::string one =
          link(content.anchors.of_connector(connector), family.text(family.connectors[connector].designator));
      if (tables.size() > 1) one += fmt::format(" ({} tables)", tables.size());
      if (any_dangerous(content, tables)) one += " " + firing();
      append(links, one, ", ");
    }
    const Part& row = family.parts[part.part];
    table.add({link(content.anchors.of_part(part.part), view.place_id(part.part)), escaped(family.text(row.title)),
               fmt::format("{} {}", word(row.kind), code(family.text(row.id))), links});
  }
  table.write(out);
  std::vector<std::string> without;
  for (Index place = 0; place < family.places.size(); ++place) {
    bool held = false;
    for (const uint32_t cell : view.cells()) held = held || view.index().part_in(place, cell) != none;
    if (held) continue;
    const Place& row = family.places[place];
    without.push_back(fmt::format("{}: {}{}", family.text(row.id), family.text(row.title),
                                  row.undocumented ? " (undocumented: nothing is recorded of what is in it)" : ""));
  }
  if (!without.empty()) out.element("p", "Places without a table:");
  write_texts(out, without);
  out.close("section");
}

void write_builds(const Content& content, Markup& out) {
  const Family& family = content.view.family();
  out.open("section", {{"id", "built"}, {"aria-labelledby", "built-title"}}).markup("\n");
  out.element("h2", {{"id", "built-title"}}, "Eras and options");
  Table eras("Eras",
             {{"Era", false, true}, {"Title"}, {"Built"}, {"From number", true}, {"Also the one before, until"}});
  for (const Era& era : family.eras)
    eras.add({escaped(family.text(era.id)), escaped(family.text(era.title)), reports::span_words(era),
              era.number_from == not_given ? "" : std::to_string(era.number_from), month_text(era.run_out)});
  eras.write(out);
  Table options("Options", {{"Option", false, true}, {"Value", false, true}, {"Title"}, {"Supply"}});
  for (const Option& option : family.options)
    for (const OptionValue& value : rows(family.option_values, option.values))
      options.add({escaped(family.text(option.title == 0 ? option.id : option.title)), escaped(family.text(value.id)),
                   escaped(family.text(value.title)), volts_text(value.supply)});
  options.write(out);
  std::vector<std::string> built;
  for (const Cells build : family.builds)
    built.push_back(cells_text(family, family.set(build), CellSet::first(family.cell_count())));
  out.element("h3", "What was built");
  write_texts(out, built);
  out.close("section");
}

namespace {

// What stands at the foot of each printed sheet. Nothing but letters, digits, blanks and hyphens gets into the style.
std::string foot_style(std::string_view family, std::string_view source) {
  std::string words;
  for (const char c : std::string(family) + ", " + std::string(source))
    if ((c >= 'a' && c <= 'z') || (c >= '0' && c <= '9') || c == ' ' || c == '-' || c == ',') words += c;
  return fmt::format(
      "@page {{ @bottom-left {{ content: \"{}\"; font: 7pt \"DejaVu Sans\", Verdana, sans-serif; }} }}\n", words);
}

}  // namespace

std::string family_page(const Family& family, std::string_view corpus, std::string_view source,
                        const layout::Measure& measure) {
  const FamilyView view(family);
  const PinoutPages pages(view);
  const Anchors anchors(view, pages);
  const Content content{view, pages, anchors, measure};
  const std::map<std::string, std::string> files = embedded_files();
  const std::string title(family.text(family.title));
  struct Section {
    std::string_view anchor, title;
    void (*write)(const Content&, Markup&);
  };
  const Section sections[] = {{"cautions", "Cautions", write_cautions},
                              {"contents", "Contents", write_contents},
                              {"built", "Eras and options", write_builds},
                              {"parts", "Looms and components", write_parts},
                              {"differences", "Differences", write_differences},
                              {"coverage", "What is known", write_coverage},
                              {"sources", "Sources", write_sources}};
  Markup main, nav;
  for (const Section& section : sections) {
    Markup written;
    section.write(content, written);
    if (written.empty()) continue;
    nav.open("li").markup(link(section.anchor, section.title)).close("li");
    main.markup(written.take());
  }
  Markup out;
  out.markup("<!DOCTYPE html>\n");
  out.open("html", {{"xmlns", "http://www.w3.org/1999/xhtml"}, {"lang", "en"}}).markup("\n<head>\n");
  out.markup("<meta charset=\"utf-8\"/>\n");
  // Nothing from outside, ever; no text of the corpus gets near the two that are allowed.
  out.markup(
      "<meta http-equiv=\"Content-Security-Policy\" content=\"default-src 'none'; style-src 'unsafe-inline'; "
      "script-src 'unsafe-inline'; base-uri 'none'; form-action 'none'\"/>\n");
  out.markup("<meta name=\"viewport\" content=\"width=device-width, initial-scale=1\"/>\n");
  out.element("title", title);
  out.markup("<style>/*<![CDATA[*/\n" + files.at("page.css") + foot_style(family_folder(family), source) +
             "/*]]>*/</style>\n</head>\n<body>\n");
  out.element("a", {{"href", "#main"}, {"class", "skip"}}, "Skip to the content").markup("\n");
  out.open("header").element("h1", title);
  std::string about(corpus.empty() ? std::string_view("Wiring looms") : corpus);
  out.element("p", fmt::format("{}; family {}, {}. Cross-sections in mm².", about, family.text(family.id), source));
  out.close("header");
  out.open("nav", {{"aria-label", "Sections"}}).open("ul").markup(nav.take()).close("ul").close("nav");
  out.open("main", {{"id", "main"}, {"tabindex", "-1"}}).markup("\n" + main.take()).close("main");
  out.open("footer").element("p", fmt::format("Written by loomproof build from the corpus: {}; family {}, {}.", about,
                                              family.text(family.id), source));
  out.close("footer");
  out.markup("<script>//<![CDATA[\n" + files.at("page.js") + "//]]></script>\n").close("body").close("html");
  return out.take();
}

}  // namespace loomproof::page
