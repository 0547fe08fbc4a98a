// What is known of a family, and what it rests on. Internal to the reports.
#pragma once
#include <string>

#include "reports/pinout.h"

namespace loomproof::reports {

std::string coverage_markdown(const FamilyView& view, const PinoutPages& pages);
// One line a count: topic, place, part, connector, item, holds_in, measure, value, detail.
std::string coverage_csv(const FamilyView& view, const PinoutPages& pages);

}  // namespace loomproof::reports
