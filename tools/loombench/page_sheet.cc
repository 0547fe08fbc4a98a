#include "page_sheet.h"

#include <algorithm>

#include "reports/escape.h"

namespace loomproof::bench {
namespace {

// The blocks of a sheet, made one after the other.
class SheetWriter {
 public:
  explicit SheetWriter(layout::Sheet& sheet) : sheet_(sheet) {}

  void operator()(const Heading& heading) {
    if (sheet_.title.empty())
      sheet_.title = plain_line(heading.text);
    else
      sheet_.blocks.push_back(layout::Heading{plain_line(heading.text)});
  }
  void operator()(const Facts& facts) {
    layout::FactList list;
    for (const auto& [label, value] : facts.rows) list.rows.emplace_back(plain_line(label), plain_line(value));
    sheet_.blocks.push_back(std::move(list));
  }
  void operator()(const CautionText& caution) {
    sheet_.blocks.push_back(layout::Paragraph{"• " + plain_line(caution.text)});
  }
  void operator()(const Steps& steps) {
    for (const Steps::Step& step : steps.rows)
      sheet_.blocks.push_back(layout::Paragraph{(step.branch ? "• " : "") + plain_line(step.text)});
  }
  void operator()(const Grid& full) {
    const Grid grid = without_empty_columns(full);
    if (grid.columns.empty() || grid.rows.empty()) return;
    layout::SheetTable table;
    for (const Grid::Column& column : grid.columns) table.heads.push_back(plain_line(column.title));
    const bool is_numbered = table.heads.front() == "No", has_boxes = holds_boxes(grid);
    const bool is_work = is_numbered || has_boxes;
    if (is_work) {
      if (!has_boxes) table.heads.push_back("Done");
      table.heads.push_back("Reading");
      table.least.assign(table.heads.size(), 0);
      table.least.back() = 90;
      table.least_height = 17;  // 6 mm, for a hand
    }
    for (const Grid::Row& row : grid.rows) {
      table.rows.emplace_back();
      for (const std::string& cell : row.cells) table.rows.back().emplace_back(cell == box ? "☐" : plain_line(cell));
      table.rows.back().resize(grid.columns.size());
      if (!row.remark.empty()) {  // below what it belongs to
        std::string& with = table.rows.back()[is_numbered && grid.columns.size() > 1 ? 1 : 0].text;
        with += (with.empty() ? "" : ". ") + plain_line(row.remark);
      }
      if (is_work && !has_boxes) table.rows.back().emplace_back("☐");
      if (is_work) table.rows.back().emplace_back();
    }
    sheet_.blocks.push_back(std::move(table));
  }

 private:
  static bool holds_boxes(const Grid& grid) {
    return std::any_of(grid.rows.begin(), grid.rows.end(), [](const Grid::Row& row) {
      return std::find(row.cells.begin(), row.cells.end(), box) != row.cells.end();
    });
  }

  layout::Sheet& sheet_;
};

}  // namespace

layout::Sheet sheet_of(const Page& page, const std::string& foot) {
  layout::Sheet sheet;
  SheetWriter writer(sheet);
  for (const auto& block : page) std::visit(writer, block);
  sheet.description = "Bench sheet: " + sheet.title;
  sheet.foot = plain_line(foot);
  return sheet;
}

}  // namespace loomproof::bench
