// What differs between eras, and between the values of an option: as the charts on paper have it.
#include <fmt/format.h>

#include <variant>

#include "layout/sheets.h"
#include "page/sections.h"
#include "page/table.h"
#include "reports/difference_pages.h"

namespace loomproof::page {
namespace {

using layout::Face;

std::string axis_words(const Family& family, uint32_t axis) {
  std::string ids;
  for (uint32_t value = 0; value < family.axis_size(axis); ++value)
    reports::append(ids, reports::axis_value(family, axis, value).id, ", ");
  if (axis == 0) return fmt::format("Differences between eras ({})", ids);
  const Option& option = family.options[axis - 1];
  return fmt::format("Differences by {} ({})", family.text(option.title == 0 ? option.id : option.title), ids);
}

std::string_view looks_of(layout::Cell::Look look) {
  switch (look) {
    case layout::Cell::Look::plain:
      return {};
    case layout::Cell::Look::changed:
      return "changed";
    case layout::Cell::Look::uncertain:
      return "uncertain";
  }
  return {};
}

// The blocks of one chart.
class ChartWriter {
 public:
  ChartWriter(const Content& content, std::string place, std::string axis, Markup& out)
      : content_(content), place_(std::move(place)), axis_(std::move(axis)), out_(out) {}

  void operator()(const layout::Heading& heading) {
    out_.element("h5", heading.text);
    step_ = heading.text;
  }
  void operator()(const layout::SheetTable& sheet) {
    std::vector<reports::Column> columns;
    for (const std::string& head : sheet.heads) columns.push_back({head, false, true});
    Table table(fmt::format("{}: {}", place_, step_.empty() ? axis_ : step_), columns);
    for (const auto& row : sheet.rows) {
      std::vector<Cell> cells;
      for (const layout::Cell& cell : row) cells.emplace_back(escaped(cell.text), looks_of(cell.look));
      table.add(std::move(cells));
    }
    table.write(out_);
  }
  void operator()(const layout::LinkedFaces& linked) {
    out_.element("p", linked.heading);
    for (const auto* faces : {&linked.before, &linked.after}) {
      const std::string_view when = faces == &linked.before ? "Before" : "After";
      open_region(out_, "faces", fmt::format("{}: {}, {}", when, place_, step_));
      for (const Face& face : *faces)
        write_face(content_, face, View::wire_side, fmt::format("{}: {}, seen from the wire side", when, face.title),
                   out_);
      out_.close("div");
    }
  }
  template <typename Other>
  void operator()(const Other&) {}  // no chart has any

 private:
  const Content& content_;
  std::string place_, axis_, step_;
  Markup& out_;
};

}  // namespace

void write_differences(const Content& content, Markup& out) {
  const Family& family = content.view.family();
  Markup all;
  std::vector<layout::LinkedFaces> moved;
  for (uint32_t axis = 0; axis < family.axis_count(); ++axis) {
    if (family.axis_size(axis) < 2 || (axis > 0 && family.options[axis - 1].independent)) continue;
    const std::string words = axis_words(family, axis);
    all.element("h3", words);
    bool any = false;
    for (Index place = 0; place < family.places.size(); ++place) {
      const std::vector<layout::Block> blocks = layout::differences(content.view, place, axis);
      if (blocks.empty()) continue;
      any = true;
      const std::string id(family.text(family.places[place].id));
      all.open("section", {{"class", "chart"}}).markup("\n");
      all.element("h4", fmt::format("{}: {}", id, family.text(family.places[place].title)));
      ChartWriter writer(content, id, words, all);
      for (const layout::Block& block : blocks) {
        std::visit(writer, block);
        if (const auto* linked = std::get_if<layout::LinkedFaces>(&block)) moved.push_back(*linked);
      }
      all.close("section");
    }
    if (!any) all.element("p", "Nothing differs.");
  }
  if (all.empty()) return;
  out.open("section", {{"id", "differences"}, {"aria-labelledby", "differences-title"}}).markup("\n");
  out.element("h2", {{"id", "differences-title"}}, "Differences");
  if (content.view.any_firing())
    out.open("p", {{"class", "warning"}})
        .markup(strong("FIRING CIRCUITS. Never put a probe, meter or test lamp on anything in a row marked FIRING, nor "
                       "on any other cavity of the same connector."))
        .close("p");
  out.element("p",
              "Only what differs is listed, place by place. ▲ marks a value that is not the one before it; △ the same "
              "where one of the two is unknown or disputed, so that the metal may be alike. \"With\" names the choice "
              "of everything else for which a row holds. Each declared change stands with its reason and its source.");
  std::vector<const Face*> drawn;
  for (const layout::LinkedFaces& linked : moved)
    for (const auto* faces : {&linked.before, &linked.after})
      for (const Face& face : *faces) drawn.push_back(&face);
  const std::string legend = layout::legend_words(drawn);
  if (!legend.empty()) out.element("p", legend);
  out.markup(all.take()).close("section");
}

}  // namespace loomproof::page
