// Display lists as SVG and PDF, by cairo and Pango, in the font that tools/setup installs. The same list gives the same
// bytes: no date is written. Text stays text in a PDF; a picture has its title and description in words.
#pragma once
#include <memory>
#include <string>

#include "layout/display.h"

namespace loomproof::draw {

std::unique_ptr<layout::Measure> make_measure();

// The pages of an SVG stand below each other. Both throw std::runtime_error where cairo fails.
std::string to_svg(const layout::Display& display);
std::string to_pdf(const layout::Display& display);

}  // namespace loomproof::draw
