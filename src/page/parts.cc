// Looms and components: connectors with their faces and pinout tables.
#include <fmt/format.h>

#include <map>
#include <set>

#include "family/words.h"
#include "layout/inks.h"
#include "layout/sheets.h"
#include "page/sections.h"
#include "page/table.h"
#include "reports/connector_words.h"
#include "reports/evidence.h"

namespace loomproof::page {

using reports::append;
using reports::Danger;
using reports::in_brackets;
using reports::PinoutPage;
using reports::PinoutRow;

namespace {

class PartsWriter {
 public:
  explicit PartsWriter(const Content& content)
      : content_(content), view_(content.view), family_(content.view.family()), pages_(content.pages.all()) {}
  void write(Markup& out);

 private:
  void part(const PartPages& pages);
  void connector(const std::vector<Index>& tables);
  void variant(const PinoutPage& page, bool only);
  void facts(const PinoutPage& page, bool only);
  std::string plugs_into(const PinoutPage& page) const;
  std::string table_links(Index connector, const CellSet& cells) const;
  void faces(const PinoutPage& page, const std::string& name);
  void pinout(const PinoutPage& page, const std::string& name);
  const ConnectorRow* row_of(const PinoutPage& page) const;

  const Content& content_;
  const reports::FamilyView& view_;
  const Family& family_;
  const std::vector<PinoutPage>& pages_;
  std::vector<layout::Face> faces_;
  Markup out_;
};

const ConnectorRow* PartsWriter::row_of(const PinoutPage& page) const {
  const Index row = connector_row_in(family_, page.connector, page.pinout.cells.lowest());
  return row == none ? nullptr : &family_.connector_rows[row];
}

void PartsWriter::write(Markup& out) {
  const std::vector<PartPages> parts = pages_by_part(content_);
  if (parts.empty()) return;
  for (const PartPages& one : parts) part(one);
  std::vector<const layout::Face*> drawn;
  for (const layout::Face& face : faces_) drawn.push_back(&face);
  out.open("section", {{"id", "parts"}, {"aria-labelledby", "parts-title"}}).markup("\n");
  out.element("h2", {{"id", "parts-title"}}, "Looms and components");
  out.open("p").text("Read the ").markup(link("cautions", "cautions"));
  out.text(
         " before a hand or a probe goes near a plug. A source in bold is cited at the row itself; otherwise it is the "
         "source of the whole file. \"Same in\" names where a connector has this very row.")
      .close("p");
  const std::string legend = layout::legend_words(drawn);
  if (!legend.empty()) out.element("p", legend);
  out.markup(out_.take()).close("section");
}

void PartsWriter::part(const PartPages& pages) {
  const Part& row = family_.parts[pages.part];
  const std::string place = view_.place_id(pages.part);
  const CellSet cells = family_.set(row.cells) & view_.built();
  const std::string& anchor = content_.anchors.of_part(pages.part);
  out_.open("section", {{"id", anchor}, {"class", "part"}}).markup("\n");
  out_.element("h3", fmt::format("{}: {}", place, family_.text(row.title == 0 ? row.id : row.title)));
  write_facts(out_, {{"Part", fmt::format("{} {}", word(row.kind), code(family_.text(row.id)))},
                     {"Numbers", escaped(reports::numbers_words(view_, row, cells))},
                     {"Holds in", escaped(holds_in(view_, cells))}});
  for (const std::vector<Index>& tables : pages.connectors) connector(tables);
  std::set<Index> sources;
  for (const layout::SheetTable& joints : layout::joints(view_, pages.part, cells, sources)) {
    std::vector<reports::Column> columns;
    for (const std::string& head : joints.heads) columns.push_back({head});
    Table table(fmt::format("{} of {} {}", joints.heading, place, family_.text(row.id)), columns);
    for (const auto& joint : joints.rows) {
      std::vector<Cell> line;
      for (const layout::Cell& cell : joint) line.emplace_back(escaped(cell.text));
      table.add(std::move(line));
    }
    table.write(out_);
  }
  out_.close("section");
}

void PartsWriter::connector(const std::vector<Index>& tables) {
  const Index connector = pages_[tables.front()].connector;
  const std::string name = view_.connector_name(connector);
  out_.open("section", {{"id", content_.anchors.of_connector(connector)}, {"class", "plug"}}).markup("\n");
  out_.element("h4", name);
  if (tables.size() > 1) {
    std::string links;
    for (const Index at : tables) append(links, link(pages_[at].name, holds_in(view_, pages_[at].pinout.cells)), "; ");
    out_.open("p").text(fmt::format("{} tables: ", tables.size())).markup(links + ".").close("p");
  }
  for (const Index at : tables) variant(pages_[at], tables.size() == 1);
  out_.close("section");
}

void PartsWriter::variant(const PinoutPage& page, bool only) {
  const std::string words = holds_in(view_, page.pinout.cells);
  const std::string name = fmt::format("{} in {}", view_.connector_name(page.connector), words);
  if (!only) {
    out_.open("section", {{"id", page.name}, {"class", "variant"}}).markup("\n");
    out_.element("h5", name);
  }
  const Danger danger = danger_of(view_, page.connector, page.pinout);
  if (danger != Danger::ordinary)
    out_.open("p", {{"class", "warning"}}).markup(strong(reports::firing_mark(danger))).close("p");
  facts(page, only);
  faces(page, name);
  pinout(page, name);
  if (!only) out_.close("section");
}

void PartsWriter::facts(const PinoutPage& page, bool only) {
  std::string housing, closes;
  const ConnectorRow* const row = row_of(page);
  if (row && row->housing != none) {
    const Housing& of = family_.housings[row->housing];
    housing = escaped(family_.text(of.title));
    append(housing, code(family_.text(of.id)), ", ");
    append(housing, escaped(family_.text(of.colour)), ", ");
    for (const Closes& bar : rows(family_.closes, of.closes))
      append(closes,
             fmt::format("{} with {}", family_.text(family_.housing_cavities[bar.a].number),
                         family_.text(family_.housing_cavities[bar.b].number)),
             ", ");
  }
  write_facts(out_, {{"Holds in", only ? escaped(holds_in(view_, page.pinout.cells)) : ""},
                     {"Housing", housing},
                     {"Joined while unplugged", escaped(closes)},
                     {"Where", escaped(reports::where_words(view_, page.connector, page.pinout.cells))},
                     {"Plugs into", plugs_into(page)},
                     {"Cavities", escaped(reports::counts_words(page.pinout))}});
}

// The tables of a connector that hold in some of these cells.
std::string PartsWriter::table_links(Index connector, const CellSet& cells) const {
  const std::string name = view_.connector_name(connector);
  std::vector<Index> met;
  for (const Index at : content_.pages.of(connector))
    if (pages_[at].pinout.cells.meets(cells)) met.push_back(at);
  if (met.size() == 1) return link(pages_[met[0]].name, name);
  std::string links;
  for (const Index at : met) append(links, link(pages_[at].name, holds_in(view_, pages_[at].pinout.cells)), "; ");
  return escaped(name) + in_brackets(links);
}

std::string PartsWriter::plugs_into(const PinoutPage& page) const {
  std::map<Index, CellSet> met;
  CellSet alone;
  for (const uint32_t cell : page.pinout.cells.cells()) {
    const std::vector<Index> partners = view_.partners(page.connector, cell);
    for (const Index partner : partners) met[partner].insert(cell);
    if (partners.empty()) alone.insert(cell);
  }
  std::string text;
  for (const auto& [partner, cells] : met)
    append(text, table_links(partner, cells) + escaped(view_.only_in(cells, page.pinout.cells)), "; ");
  if (alone.empty()) return text;
  const ConnectorRow* const row = row_of(page);
  const bool loose = row && row->loose != 0;
  append(text, escaped(fmt::format("nothing{}{}{}", loose ? ", hangs loose: " : " that is recorded",
                                   loose ? family_.text(row->loose) : "", view_.only_in(alone, page.pinout.cells))));
  return text;
}

void PartsWriter::faces(const PinoutPage& page, const std::string& name) {
  layout::Face face = layout::face_of(view_, page.connector, page.pinout);
  if (face.cavities.empty()) return;
  face.title = view_.connector_name(page.connector);
  open_region(out_, "faces", "Faces of " + name);
  const std::string_view body = face.round ? " (a round body)" : "";
  write_face(content_, face, View::wire_side, fmt::format("Seen from the wire side{}", body), out_);
  write_face(content_, face, View::mating_side, fmt::format("Seen from the mating side{}", body), out_);
  out_.close("div");
  if (!face.words.empty()) out_.element("p", "Of the body: " + face.words);
  faces_.push_back(std::move(face));
}

std::string state_markup(const PinoutRow& row) {
  std::string text(word(row.state));
  if (row.state == State::unknown) text += ": nobody has looked";
  if (row.state == State::disputed) text = strong(text);
  if (row.firing) text += ", " + firing();
  return text;
}

// The swatch is for the eye alone: code and name stand beside it.
std::string colour_markup(const PinoutRow& row) {
  std::string words = row.colour;
  append(words, row.colour_name, " ");
  if (!row.to.empty() && words.empty()) words = "not recorded";
  words += in_brackets(row.colour_mark);
  const layout::Inks inks = layout::inks_of(row.colour);
  Markup out;
  if (inks.base != layout::Shape::no_fill) {
    const uint32_t tracer = inks.tracer == layout::Shape::no_fill ? inks.base : inks.tracer;
    out.element("span",
                {{"class", "swatch"},
                 {"style", fmt::format("--base:#{:06x};--tracer:#{:06x}", inks.base, tracer)},
                 {"aria-hidden", "true"}},
                "");
  }
  return out.text(words).take();
}

void PartsWriter::pinout(const PinoutPage& page, const std::string& name) {
  const bool loom = family_.parts[family_.connectors[page.connector].part].kind == PartKind::loom;
  Table table("Cavities of " + name, {{"Cavity", false, true},
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
  for (const PinoutRow& row : page.pinout.rows) {
    const std::string mm2 = !row.to.empty() && row.mm2.empty() ? "not recorded" : row.mm2;
    const std::string source = row.cited ? reports::sources_text(family_, row.cite) : "";
    const bool own = row.cited && family_.cites[row.cite].own;
    table.add({escaped(row.cavity), escaped(row.moulded), escaped(row.in_manual),
               Cell(state_markup(row), word(row.state)), escaped(row.circuit), escaped(function_words(row)),
               colour_markup(row), escaped(mm2 + in_brackets(row.mm2_mark)), escaped(row.to), escaped(row.role),
               escaped(row.volts), escaped(row.amps), escaped(row.inside), escaped(view_.cells_words(row.same_in)),
               own && !source.empty() ? strong(source) : escaped(source), escaped(row.note)});
  }
  table.write(out_);
}

}  // namespace

void write_face(const Content& content, const layout::Face& face, View view, std::string_view words, Markup& out) {
  const layout::Display display = layout::picture(face, view, content.measure);
  out.open("figure").element("figcaption", words).markup("\n");
  if (display.pages.front().shapes.empty())
    out.element("p", "No face is drawn: two cavities are recorded at one place.");
  else
    out.markup(layout::to_svg(display, "img"));
  out.close("figure");
}

void write_parts(const Content& content, Markup& out) {
  PartsWriter(content).write(out);
}

}  // namespace loomproof::page
