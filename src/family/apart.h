// What circuits are declared to be kept apart from, in words.
#pragma once
#include <string>

#include "family/family.h"

namespace loomproof {

// Of a circuit, either way round, and where: "GND-CAB in PEDAL-SENSOR, GND-PWR in PUMP-UNIT". Empty where nothing is
// declared.
std::string apart_words(const Family& family, Index circuit);

}  // namespace loomproof
