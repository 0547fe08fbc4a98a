// What looks and probing cost, and which colours are taken for each other. Common practice, no source.
#pragma once
#include <string_view>

#include "identify/reading.h"

namespace loomproof::identify {

// Of the reading itself, with its plugs in hand.
double cost_of(Look look, const Costs& costs);

// Whether two base colours (IEC 60757 codes) are taken for each other when dirty or faded.
bool are_confused(std::string_view base, std::string_view other);

}  // namespace loomproof::identify
