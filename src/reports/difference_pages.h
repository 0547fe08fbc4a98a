// What differs between eras, and between the values of an option. Internal to the reports.
#pragma once
#include <string>
#include <vector>

#include "reports/family_view.h"

namespace loomproof::reports {

struct AxisValue {
  std::string id, title;
};
AxisValue axis_value(const Family& family, uint32_t axis, uint32_t coordinate);

// Steps that are told together: what one plug hands over, what one splice gives and takes.
bool told_together(const Family& family, const ChangeItem& a, const ChangeItem& b);
// The left cells that a declared change is about, where it is limited no further.
CellSet left_cells(const FamilyView& view, const Change& change);

struct DifferencePage {
  uint32_t axis = 0;
  std::string name;                    // of its files, without extension
  std::string title;                   // "between eras", "with and without: Exhaust brake"
  std::string markdown, matrix, list;  // list: the declared changes
  size_t rows = 0, changes = 0;
};

// One an axis with more than one value that anybody compares.
std::vector<DifferencePage> difference_pages(const FamilyView& view);

}  // namespace loomproof::reports
