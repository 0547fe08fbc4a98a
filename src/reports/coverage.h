// What is known of a family, and what it rests on. Internal to the reports.
#pragma once
#include <array>
#include <string>
#include <vector>

#include "reports/pinout.h"

namespace loomproof::reports {

inline constexpr size_t states = static_cast<size_t>(State::unknown) + 1;

struct StateCount {
  size_t tables = 0;
  std::array<size_t, states> cavities{};
  size_t all() const {
    size_t sum = 0;
    for (size_t count : cavities) sum += count;
    return sum;
  }
  // Neither unknown nor disputed, in whole percent, rounded down: 100 means all of them.
  size_t known_percent() const {
    const size_t open = cavities[static_cast<size_t>(State::unknown)] + cavities[static_cast<size_t>(State::disputed)];
    return all() == 0 ? 100 : (all() - open) * 100 / all();
  }
  void add(const StateCount& other) {
    tables += other.tables;
    for (size_t state = 0; state < states; ++state) cavities[state] += other.cavities[state];
  }
};

struct ConnectorCount {
  Index connector = none;
  StateCount count;
};
struct PartCount {
  Index part = none;
  std::vector<ConnectorCount> connectors;
  StateCount count;
};

// Part by part and connector by connector, in the order of the pages.
std::vector<PartCount> count_states(const FamilyView& view, const PinoutPages& pages);

struct OpenCavity {
  const PinoutPage* page = nullptr;
  const PinoutRow* row = nullptr;
};
// What somebody should look at.
std::vector<OpenCavity> open_cavities(const PinoutPages& pages);

std::string coverage_markdown(const FamilyView& view, const PinoutPages& pages);
// One line a count: topic, place, part, connector, item, holds_in, measure, value, detail.
std::string coverage_csv(const FamilyView& view, const PinoutPages& pages);

}  // namespace loomproof::reports
