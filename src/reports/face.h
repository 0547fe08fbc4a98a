// The face of a housing drawn with its numbers, as it is seen from the side that the corpus gives. Internal to the
// reports.
#pragma once
#include <string>

#include "family/family.h"

namespace loomproof::reports {

// A Markdown code block; empty where the housing has fewer than two cavities, or they do not fit on a line.
std::string face_markdown(const Family& family, const Housing& housing);

}  // namespace loomproof::reports
