#include "reports/face.h"

#include <algorithm>
#include <map>
#include <vector>

#include "reports/escape.h"

namespace loomproof::reports {
namespace {

constexpr size_t widest = 100;  // columns that fit on a printed page

// How many columns stand between the leftmost cavity and each x, where no two cavities of a row touch; empty where that
// is too wide.
std::map<int32_t, size_t> columns_of(const Rows<HousingCavity>& cavities, size_t label) {
  std::map<int32_t, size_t> columns;
  for (const HousingCavity& cavity : cavities) columns[cavity.x] = 0;
  int32_t narrowest = 0;
  for (auto it = columns.begin(), next = std::next(it); next != columns.end(); ++it, ++next) {
    const int32_t gap = next->first - it->first;
    if (narrowest == 0 || gap < narrowest) narrowest = gap;
  }
  if (narrowest == 0) return columns;
  const auto wide = static_cast<size_t>(columns.rbegin()->first - columns.begin()->first);
  const int32_t left = columns.begin()->first;
  for (size_t step = label + 1; step > 1; --step) {  // staggered rows may stand closer than a label is wide
    if (wide * step / static_cast<size_t>(narrowest) > widest) continue;
    for (auto& [x, column] : columns) column = static_cast<size_t>(x - left) * step / static_cast<size_t>(narrowest);
    return columns;
  }
  size_t rank = 0;
  for (auto& [x, column] : columns) column = rank++ * (label + 1);
  return columns.rbegin()->second > widest ? std::map<int32_t, size_t>() : columns;
}

}  // namespace

std::string face_markdown(const Family& family, const Housing& housing) {
  if (housing.cavities.count < 2) return {};
  const Rows<HousingCavity> cavities = rows(family.housing_cavities, housing.cavities);
  size_t label = 1;
  for (const HousingCavity& cavity : cavities) label = std::max(label, plain_line(family.text(cavity.number)).size());
  const std::map<int32_t, size_t> columns = columns_of(cavities, label);
  if (columns.empty()) return {};
  std::map<int32_t, std::vector<const HousingCavity*>> lines;
  for (const HousingCavity& cavity : cavities) lines[cavity.y].push_back(&cavity);
  std::string text;
  for (auto& [y, line] : lines) {
    std::stable_sort(line.begin(), line.end(), [](const auto* a, const auto* b) { return a->x < b->x; });
    std::string drawn;
    for (const HousingCavity* cavity : line) {
      const std::string number = plain_line(family.text(cavity->number));
      size_t at = columns.at(cavity->x) + label - std::min(label, number.size());
      if (!drawn.empty()) at = std::max(at, drawn.size() + 1);
      drawn.append(at > drawn.size() ? at - drawn.size() : 0, ' ').append(number);
    }
    text += "    " + drawn + "\n";
  }
  return text + "\n";
}

}  // namespace loomproof::reports
