// The sheets of a family that are kept beside its tables: each loom once, its connectors in all their variants, and
// what differs between eras once a place.
#pragma once
#include <string>
#include <string_view>
#include <vector>

#include "layout/sheet.h"
#include "reports/reports.h"

namespace loomproof::layout {

struct FamilySheet {
  SheetLink link;  // its path without extension
  Sheet sheet;
};
// In the order of places; `source` names the pack.
std::vector<FamilySheet> family_sheets(const Family& family, std::string_view source);

}  // namespace loomproof::layout
