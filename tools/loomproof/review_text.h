// A review for a terminal.
#pragma once
#include <string>

#include "review/review.h"

namespace loomproof::tool {

std::string review_text(const review::Review& review, size_t width);

}  // namespace loomproof::tool
