#include "page/table.h"

#include <algorithm>

namespace loomproof::page {

void open_region(Markup& out, std::string_view looks, std::string_view name) {
  out.open("div", {{"class", looks}, {"role", "group"}, {"aria-label", name}, {"tabindex", "0"}}).markup("\n");
}

void Table::write_row(Markup& out, const std::vector<Cell>& row, const std::vector<size_t>& shown) const {
  out.open("tr");
  for (const size_t column : shown) {
    const std::string_view looks = columns_[column].number ? "number" : row[column].looks;
    const std::string_view tag = column == shown.front() ? "th" : "td";
    out.open(tag, {{"scope", tag == "th" ? "row" : ""}, {"class", looks}}).markup(row[column].markup).close(tag);
  }
  out.close("tr");
}

void Table::write(Markup& out) const {
  if (rows_.empty()) return;
  std::vector<size_t> shown;
  for (size_t column = 0; column < columns_.size(); ++column)
    if (columns_[column].kept ||
        std::any_of(rows_.begin(), rows_.end(), [&](const auto& row) { return !row[column].markup.empty(); }))
      shown.push_back(column);
  open_region(out, "wide", caption_);
  out.open("table").markup("\n").element("caption", caption_).markup("\n").open("thead").open("tr");
  for (const size_t column : shown)
    out.element("th", {{"scope", "col"}, {"class", columns_[column].number ? "number" : ""}}, columns_[column].heading);
  out.close("tr").close("thead").open("tbody").markup("\n");
  for (const auto& row : rows_) write_row(out, row, shown);
  out.close("tbody");
  if (!total_.empty()) {
    out.open("tfoot");
    write_row(out, total_, shown);
    out.close("tfoot");
  }
  out.close("table").close("div");
}

void write_facts(Markup& out, const std::vector<std::pair<std::string_view, std::string>>& facts) {
  if (std::all_of(facts.begin(), facts.end(), [](const auto& fact) { return fact.second.empty(); })) return;
  out.open("dl");
  for (const auto& [label, value] : facts)
    if (!value.empty()) out.open("div").element("dt", label).open("dd").markup(value).close("dd").close("div");
  out.close("dl");
}

}  // namespace loomproof::page
