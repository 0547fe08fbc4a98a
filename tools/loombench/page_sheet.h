// A page of output as a sheet on paper: to be taken to the bench, with boxes to tick and room for readings.
#pragma once
#include "layout/sheet.h"
#include "page.h"

namespace loomproof::bench {

// What a cell of a page holds that is to be ticked off: a box on paper.
inline constexpr std::string_view box = "[ ]";

// `foot` says where it comes from. A table whose rows are numbered ("No") or hold boxes is work to be done: each row
// gets a box and room for what was read.
layout::Sheet sheet_of(const Page& page, const std::string& foot);

}  // namespace loomproof::bench
