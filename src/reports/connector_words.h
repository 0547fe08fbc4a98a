// What stands beside a pinout table, in words; plain text. Internal to the reports and to what is made of them.
#pragma once
#include <string>

#include "reports/pinout_rows.h"

namespace loomproof::reports {

// "TB-7733-A on the tag (era c); TB-7733-D on the tag (era d)", of some cells.
std::string numbers_words(const FamilyView& view, const Part& part, const CellSet& cells);
// Where the connector is; of a component, whose connectors say nothing of it, where the component is.
std::string where_words(const FamilyView& view, Index connector, const CellSet& cells);
// "8, of which 6 wired and 2 empty"
std::string counts_words(const Pinout& pinout);

}  // namespace loomproof::reports
