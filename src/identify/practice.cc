#include "identify/practice.h"

#include <algorithm>
#include <utility>

namespace loomproof::identify {
namespace {

constexpr std::pair<std::string_view, std::string_view> confused[] = {
    {"BK", "BN"}, {"BK", "GY"}, {"BK", "BU"}, {"BN", "RD"}, {"BN", "OG"}, {"BN", "VT"}, {"BU", "GN"},
    {"BU", "TQ"}, {"BU", "VT"}, {"GN", "TQ"}, {"GN", "YE"}, {"GY", "PK"}, {"GY", "SR"}, {"GY", "VT"},
    {"GY", "WH"}, {"OG", "RD"}, {"OG", "YE"}, {"PK", "RD"}, {"PK", "WH"}, {"SR", "WH"}, {"WH", "YE"}};

}  // namespace

double cost_of(Look look, const Costs& costs) {
  switch (look) {
    case Look::wires:
    case Look::thick:
    case Look::empty:
    case Look::coloured:
    case Look::crimped:
      return costs.count;
    case Look::mm2:
      return costs.gauge;
    case Look::beeps:
      return costs.probe;
    default:
      return costs.glance;
  }
}

bool are_confused(std::string_view base, std::string_view other) {
  return std::any_of(std::begin(confused), std::end(confused), [&](const auto& pair) {
    return (pair.first == base && pair.second == other) || (pair.first == other && pair.second == base);
  });
}

}  // namespace loomproof::identify
