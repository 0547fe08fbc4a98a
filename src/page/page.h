// A family as one HTML page that needs nothing beside it: no file, no network, no script to be read. What it says is
// what the reports and the sheets say, from the same tables. Where script is allowed, tables can be sorted and
// filtered; printed, it is the same without what is pressed. Pure functions: the same family gives the same bytes.
#pragma once
#include <string>
#include <string_view>

#include "family/family.h"
#include "layout/display.h"

namespace loomproof::page {

inline constexpr std::string_view file_name = "page.html";

// `corpus` is its title, `source` names the pack that holds the same; `measure` is for the faces.
std::string family_page(const Family& family, std::string_view corpus, std::string_view source,
                        const layout::Measure& measure);

}  // namespace loomproof::page
