#include "identify/practice.h"

#include <algorithm>
#include <array>
#include <utility>

namespace loomproof::identify {
namespace {

constexpr std::array<double, look_count> costs = {
    1,  // plug
    1,  // housing
    1,  // label
    2,  // wires
    2,  // thick
    2,  // empty
    2,  // coloured
    1,  // state
    1,  // colour
    4,  // mm2: out with the gauge
    2,  // crimped
    3   // beeps
};

constexpr std::pair<std::string_view, std::string_view> confused[] = {
    {"BK", "BN"}, {"BK", "GY"}, {"BK", "BU"}, {"BN", "RD"}, {"BN", "OG"}, {"BN", "VT"}, {"BU", "GN"},
    {"BU", "TQ"}, {"BU", "VT"}, {"GN", "TQ"}, {"GN", "YE"}, {"GY", "PK"}, {"GY", "SR"}, {"GY", "VT"},
    {"GY", "WH"}, {"OG", "RD"}, {"OG", "YE"}, {"PK", "RD"}, {"PK", "WH"}, {"SR", "WH"}, {"WH", "YE"}};

}  // namespace

double cost_of(Look look) {
  return costs[static_cast<size_t>(look)];
}

bool are_confused(std::string_view base, std::string_view other) {
  return std::any_of(std::begin(confused), std::end(confused), [&](const auto& pair) {
    return (pair.first == base && pair.second == other) || (pair.first == other && pair.second == base);
  });
}

}  // namespace loomproof::identify
