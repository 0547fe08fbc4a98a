// What sheets of connectors and parts have in common, in words. Internal to the layout.
#pragma once
#include <set>
#include <string>
#include <string_view>
#include <vector>

#include "layout/sheet.h"
#include "reports/pinout_rows.h"

namespace loomproof::layout {

// "12, of which 10 wired and 2 empty"
std::string counts_of(const reports::Pinout& pinout);
std::string cells_of(const reports::FamilyView& view, const CellSet& cells);
std::string title_of(const reports::FamilyView& view, const Part& part);
std::string foot_of(const Family& family, std::string_view source);
std::string numbers_of(const reports::FamilyView& view, const Part& part, const CellSet& cells);
std::vector<std::string> cautions_of(const reports::FamilyView& view, reports::Danger danger);

// A fact without a value is left out.
void add_fact(FactList& facts, std::string label, std::string_view value);
// Of the connector itself: what stands above its faces.
void add_connector_facts(FactList& facts, const reports::FamilyView& view, Index connector,
                         const reports::Pinout& pinout);
void add_cautions(Sheet& sheet, const std::vector<std::string>& cautions);
void add_sources(Sheet& sheet, const Family& family, const std::set<Index>& sources);

// A connector of a part, in cells in which it is the same.
struct ShownConnector {
  Index connector = none;
  reports::Pinout pinout;
  reports::Danger danger{};
};
// All of a part in some cells, as people count; one that differs between the cells once for each of its variants.
std::vector<ShownConnector> connectors_shown(const reports::FamilyView& view, Index part, const CellSet& cells);
// Its designator; by its cells as well, where it is shown in several.
std::string name_among(const reports::FamilyView& view, const std::vector<ShownConnector>& all,
                       const ShownConnector& one);
struct Firing {
  reports::Danger worst{};
  std::string names;  // "C1, C2", each once
};
Firing firing_among(const Family& family, const std::vector<ShownConnector>& all);
// What stands above a sheet of several connectors of which those fire, or may.
std::string firing_connectors(const std::string& names);

}  // namespace loomproof::layout
