// The page of a family that leads to all its reports. Internal to the reports.
#pragma once
#include <string>
#include <string_view>
#include <vector>

#include "reports/difference_pages.h"
#include "reports/pinout.h"
#include "reports/reports.h"

namespace loomproof::reports {

std::string family_markdown(const FamilyView& view, const PinoutPages& pages,
                            const std::vector<DifferencePage>& differences, const std::vector<SheetLink>& sheets,
                            std::string_view page);

// "1995-05 to 1998-01", "from 2003-07"
std::string span_words(const Era& era);

}  // namespace loomproof::reports
