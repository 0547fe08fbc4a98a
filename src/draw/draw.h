// The font that sheets are measured and printed in, and display lists as PDF, by cairo and Pango. The same list gives
// the same bytes: no date is written. Text stays text.
#pragma once
#include <memory>
#include <stdexcept>
#include <string>

#include "layout/display.h"

namespace loomproof::draw {

// The font that tools/setup installs is not there; one line.
struct FontMissing : std::runtime_error {
  using std::runtime_error::runtime_error;
};

// Throws FontMissing. For one thread.
std::unique_ptr<layout::Measure> make_measure();

// Throws std::runtime_error where cairo fails.
std::string to_pdf(const layout::Display& display);

}  // namespace loomproof::draw
