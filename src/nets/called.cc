#include "nets/called.h"

#include <algorithm>

namespace loomproof {

namespace {

Range manuals_of(const Family& family, Index housing_cavity) {
  const auto& all = family.in_manuals;
  Index first = 0;
  while (first < all.size() && all[first].cavity != housing_cavity) ++first;
  Index end = first;
  while (end < all.size() && all[end].cavity == housing_cavity) ++end;
  return {first, end - first};
}

std::string moulded_words(const Family& family, const HousingCavity& cavity) {
  return "moulded " + std::string(family.text(cavity.moulded));
}

std::string manual_words(const Family& family, const InManual& row) {
  std::string sources;
  for (const Index source : rows(family.source_refs, family.cites[row.cite].sources))
    sources += (sources.empty() ? "" : ", ") + std::string(family.text(family.sources[source].id));
  return std::string(family.text(row.number)) + " in " + sources;
}

}  // namespace

std::vector<Called> cavities_called(const FamilyIndex& index, uint32_t cell, Index connector, std::string_view text) {
  const Family& family = index.family();
  std::vector<Called> found;
  for (const Cavity& cavity : cavities(index, cell, connector)) {
    if (family.text(cavity.number) == text) {
      found.insert(found.begin(), {cavity.number, true, {}});
      continue;
    }
    if (cavity.housing_cavity == none) continue;
    const HousingCavity& row = family.housing_cavities[cavity.housing_cavity];
    std::string how;
    if (row.moulded != 0 && family.text(row.moulded) == text) how = moulded_words(family, row);
    for (const InManual& there : rows(family.in_manuals, manuals_of(family, cavity.housing_cavity)))
      if (family.text(there.number) == text) how += (how.empty() ? "" : ", ") + manual_words(family, there);
    if (!how.empty()) found.push_back({cavity.number, false, how});
  }
  return found;
}

Str cavity_meant(const std::vector<Called>& called) {
  if (called.empty()) return 0;
  return called.front().is_number || called.size() == 1 ? called.front().number : 0;
}

std::vector<std::string> other_names(const Family& family, Index housing_cavity) {
  std::vector<std::string> names;
  if (housing_cavity == none) return names;
  const HousingCavity& row = family.housing_cavities[housing_cavity];
  if (row.moulded != 0) names.push_back(moulded_words(family, row));
  for (const InManual& there : rows(family.in_manuals, manuals_of(family, housing_cavity)))
    names.push_back(manual_words(family, there));
  return names;
}

std::string names_in_manuals(const Family& family, Index housing_cavity) {
  std::string names;
  for (const InManual& there : rows(family.in_manuals, manuals_of(family, housing_cavity)))
    names += (names.empty() ? "" : ", ") + manual_words(family, there);
  return names;
}

std::string called_note(const Family& family, const std::vector<Called>& called, std::string_view text) {
  std::string note;
  for (const Called& each : called) {
    if (each.is_number) continue;
    note += note.empty() ? "" : "; ";
    note += "cavity " + std::string(family.text(each.number)) + " is " + each.how;
  }
  if (note.empty() || !called.front().is_number) return note;
  return "beware: " + note + ", not cavity " + std::string(text);
}

}  // namespace loomproof
