// What looks and probing cost, and which colours are taken for each other. Common practice, no source.
#pragma once
#include <string_view>

#include "identify/reading.h"

namespace loomproof::identify {

// In looks: how long one takes against a glance at a cavity of the plug in hand.
double cost_of(Look look);
inline constexpr double cost_of_other_plug = 3;  // taking another plug in hand, each

// Whether two base colours (IEC 60757 codes) are taken for each other when dirty or faded.
bool are_confused(std::string_view base, std::string_view other);

}  // namespace loomproof::identify
