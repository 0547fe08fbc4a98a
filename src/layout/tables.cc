// Tables: columns as wide as they have room for, rows that part between pages with the head repeated.
#include <algorithm>

#include "layout/placer.h"

namespace loomproof::layout {
namespace {

constexpr uint32_t head_fill = 0xe6e6e6;

// Light enough for black text, and told from white by a printer that has no colours.
uint32_t fill_of(Cell::Look look) {
  switch (look) {
    case Cell::Look::changed:
      return 0xf2d27a;
    case Cell::Look::uncertain:
      return 0xe9e4f5;
    case Cell::Look::plain:
      break;
  }
  return Shape::no_fill;
}

}  // namespace

std::vector<double> Placer::natural_columns(const SheetTable& table) const {
  std::vector<double> widths;
  for (size_t column = 0; column < table.heads.size(); ++column) {
    double widest = measure_.width(table.heads[column], text_size, true);
    for (const auto& row : table.rows) {
      const Cell& cell = row[column];
      widest = std::max(widest, measure_.width(cell.text, text_size, column == 0 || cell.look != Cell::Look::plain));
    }
    widths.push_back(widest + 2 * pad + 0.1);
    if (!table.least.empty()) widths.back() = std::max(widths.back(), table.least[column]);
  }
  return widths;
}

double Placer::natural_width() const {
  double widest = 0;
  for (const Block& block : sheet_.blocks) {
    if (!std::holds_alternative<SheetTable>(block)) continue;
    double sum = 0;
    for (const double column : natural_columns(std::get<SheetTable>(block))) sum += column;
    widest = std::max(widest, sum);
  }
  return widest;
}

// What fits in its even share keeps its width; the others share what is left, or the column that is written in by hand
// gets it.
std::vector<double> Placer::columns(const SheetTable& table) const {
  const std::vector<double> natural = natural_columns(table);
  std::vector<double> widths(natural.size(), 0);
  double left = width_;
  size_t open = natural.size();
  for (bool settled = true; settled && open > 0;) {
    settled = false;
    const double share = left / static_cast<double>(open);
    for (size_t column = 0; column < natural.size(); ++column) {
      if (widths[column] > 0 || natural[column] > share) continue;
      widths[column] = natural[column], left -= natural[column], --open;
      settled = true;
      if (open == 0) break;
    }
  }
  for (double& width : widths)
    if (width == 0) width = left / static_cast<double>(open);
  if (open == 0 && !table.least.empty()) widths.back() += left;  // room to write
  return widths;
}

TableRow Placer::wrapped(const SheetTable& table, const std::vector<double>& widths, size_t number) const {
  TableRow row;
  for (size_t column = 0; column < widths.size(); ++column) {
    const Cell& cell = table.rows[number][column];
    row.cells.push_back(
        wrap(measure_, cell.text, widths[column] - 2 * pad, text_size, column == 0 || cell.look != Cell::Look::plain));
    row.lines = std::max(row.lines, row.cells.back().size());
  }
  row.height = std::max(row_height(row.lines), table.least_height);
  return row;
}

TableRow Placer::wrapped_head(const SheetTable& table, const std::vector<double>& widths) const {
  TableRow row;
  for (size_t column = 0; column < widths.size(); ++column) {
    row.cells.push_back(wrap(measure_, table.heads[column], widths[column] - 2 * pad, text_size, true));
    row.lines = std::max(row.lines, row.cells.back().size());
  }
  row.height = row_height(row.lines);
  return row;
}

// What a page has room for below the head of a table that goes on.
double Placer::fresh_room(double head_room) const {
  return bottom_ - margin - 4 - 4 * line_height(smallest_text) - head_room;
}

// The room that a table takes before it may be parted: its heading, its head and two rows, or one where they are tall.
double Placer::start_of(const SheetTable& table, const std::vector<double>& widths) const {
  const double head_room = wrapped_head(table, widths).height, fresh = fresh_room(head_room);
  double start = head_room;
  if (!table.rows.empty()) {
    const double first = wrapped(table, widths, 0).height;
    start += first > fresh ? row_height(1) : first;
    double some = first;  // three where that is all, so that none is left over
    for (size_t row = 1; row < (table.rows.size() == 3 ? 3 : std::min<size_t>(table.rows.size(), 2)); ++row)
      some += wrapped(table, widths, row).height;
    if (some <= fresh / 3) start = head_room + some;
  }
  return table.heading.empty() ? start : start + heading_height(table.heading);
}

void Placer::head(const SheetTable& table, const std::vector<double>& widths) {
  const auto [cells, count, height] = wrapped_head(table, widths);
  double x = margin;
  for (size_t column = 0; column < widths.size(); x += widths[column++]) {
    page().shapes.push_back({{x, y_, widths[column], height}, Stroke::thin, head_fill});
    for (size_t line = 0; line < cells[column].size(); ++line)
      text(x + pad, y_ + row_pad_ + static_cast<double>(line) * line_height(text_size), cells[column][line], text_size,
           true);
  }
  y_ += height;
}

void Placer::operator()(const SheetTable& table) {
  const std::vector<double> widths = columns(table);
  const double start = start_of(table, widths);
  if (table.heading.empty()) {
    need(start);
  } else {
    section_.clear();
    heading(table.heading, start - heading_height(table.heading));
  }
  head(table, widths);
  const double fresh = fresh_room(wrapped_head(table, widths).height);
  for (size_t number = 0; number < table.rows.size(); ++number) {
    const TableRow row = wrapped(table, widths, number);
    double together = row.height > fresh ? row_height(1) : row.height;
    // The last row is not left alone on a page.
    if (number > 0 && number + 2 == table.rows.size())
      if (const double two = row.height + wrapped(table, widths, number + 1).height; two <= fresh / 3) together = two;
    for (size_t done = 0; done < row.lines;) {  // a row taller than a page is continued on the next
      if (y_ + together > bottom_) new_page(), head(table, widths);
      size_t now = row.lines - done;
      while (now > 1 && y_ + row_height(now) > bottom_) --now;
      const double height = now == row.lines ? row.height : row_height(now);
      double x = margin;
      for (size_t column = 0; column < widths.size(); x += widths[column++]) {
        const Cell& cell = table.rows[number][column];
        const auto& lines = row.cells[column];
        page().shapes.push_back({{x, y_, widths[column], height}, Stroke::thin, fill_of(cell.look)});
        for (size_t at = done; at < std::min(done + now, lines.size()); ++at)
          text(x + pad, y_ + row_pad_ + static_cast<double>(at - done) * line_height(text_size), lines[at], text_size,
               column == 0 || cell.look != Cell::Look::plain);
      }
      y_ += height;
      done += now;
    }
  }
  y_ += 4;
}

}  // namespace loomproof::layout
