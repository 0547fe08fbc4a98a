// A page of output: headings, facts, tables, steps and cautions, made once and rendered as text or Markdown. Everything
// on a page may come from a pack; the renderers escape it for where it goes.
#pragma once
#include <cstddef>
#include <string>
#include <variant>
#include <vector>

namespace loomproof::bench {

struct Heading {
  std::string text;
  int level = 1;
};
struct Facts {  // label and value, one a line
  std::vector<std::pair<std::string, std::string>> rows;
  void add(std::string label, std::string value) {  // a fact without a value is left out
    if (!value.empty()) rows.emplace_back(std::move(label), std::move(value));
  }
};
struct Grid {
  struct Column {
    std::string title;
    bool wraps = false;  // may be made narrower than its longest cell
  };
  struct Row {
    std::vector<std::string> cells;
    std::string remark;  // what belongs to the row and to no column; may be empty
  };
  std::vector<Column> columns;
  std::vector<Row> rows;
};
struct Steps {  // a path, step after step; where it parts, each branch is one deeper
  struct Step {
    size_t depth = 0;
    bool branch = false;  // begins a branch
    std::string text;
  };
  std::vector<Step> rows;
};
struct CautionText {
  std::string text;
};

using Page = std::vector<std::variant<Heading, Facts, Grid, Steps, CautionText>>;

// Lines of at most `width` columns where words allow it.
std::string render_text(const Page& page, size_t width);
std::string render_markdown(const Page& page);

// A table without the columns that are empty in every row.
Grid without_empty_columns(const Grid& table);

}  // namespace loomproof::bench
