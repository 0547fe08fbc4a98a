// Tables of a page. Each lies in a region of its own that scrolls sideways, so that the page never does.
#pragma once
#include <string>
#include <string_view>
#include <vector>

#include "page/markup.h"
#include "reports/table.h"

namespace loomproof::page {

struct Cell {
  std::string markup;
  std::string_view looks;  // a class of page.css
  Cell(std::string ready, std::string_view of = {}) : markup(std::move(ready)), looks(of) {}
  Cell(const char* ready) : markup(ready) {}
};

class Table {
 public:
  // caption: plain text that no other table of the page has. The first column names the row.
  Table(std::string caption, std::vector<reports::Column> columns)
      : caption_(std::move(caption)), columns_(std::move(columns)) {}
  void add(std::vector<Cell> cells) { rows_.push_back(std::move(cells)); }
  void total(std::vector<Cell> cells) { total_ = std::move(cells); }  // the last row, whatever the others' order
  bool empty() const { return rows_.empty(); }
  void write(Markup& out) const;  // nothing where there are no rows

 private:
  void write_row(Markup& out, const std::vector<Cell>& row, const std::vector<size_t>& shown) const;

  std::string caption_;
  std::vector<reports::Column> columns_;
  std::vector<std::vector<Cell>> rows_;
  std::vector<Cell> total_;
};

// Facts in pairs; those without a value are left out. Values are markup.
void write_facts(Markup& out, const std::vector<std::pair<std::string_view, std::string>>& facts);
// What scrolls sideways in a region of its own, reached by keyboard; `name` for those who do not see it.
void open_region(Markup& out, std::string_view looks, std::string_view name);

}  // namespace loomproof::page
