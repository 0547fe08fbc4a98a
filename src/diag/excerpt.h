// The source line under a finding, with the span underlined. Private to src/diag.
#pragma once
#include <string>
#include <string_view>
#include <vector>

#include "source/source.h"

namespace loomproof {

struct ExcerptLine {
  uint32_t number = 0;        // of the source line
  std::string text;           // made printable and cut to the width
  size_t underline_from = 0;  // columns
  size_t underline_width = 0;
};

// The lines of the span, the first few of them; each at most `width` columns wide, cut around the span with "…".
std::vector<ExcerptLine> excerpt(const SourceFile& file, const Span& span, size_t width);

}  // namespace loomproof
