// How the colours of wires are shown. The code that stands beside a swatch is what counts.
#pragma once
#include <cstdint>
#include <string_view>

#include "layout/display.h"

namespace loomproof::layout {

struct Inks {
  uint32_t base = Shape::no_fill, tracer = Shape::no_fill;  // 0xRRGGBB; no_fill for what has no ink
};
// Of "GN/WH", or "light BU/YE +1" as a face has it.
Inks inks_of(std::string_view colour);

}  // namespace loomproof::layout
