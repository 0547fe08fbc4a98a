#include "identify/plugs.h"

#include <algorithm>

#include "family/words.h"
#include "identify/practice.h"
#include "nets/cavities.h"
#include "nets/firing.h"

namespace loomproof::identify {
namespace {

constexpr int32_t one_row = 50;  // half a millimetre

std::string lower_case(std::string_view text) {
  std::string made;
  for (const char c : text) made += c >= 'A' && c <= 'Z' ? static_cast<char>(c - 'A' + 'a') : c;
  return made;
}

bool has_all_words(const Family& family, const Housing& housing, const std::string& words) {
  std::string text;
  for (Str one : {housing.key, housing.latch, housing.title, housing.colour})
    text += lower_case(family.text(one)) + ' ';
  const std::string wanted = lower_case(words);
  for (size_t from = 0; from < wanted.size();) {
    const size_t end = std::min(wanted.find(' ', from), wanted.size());
    if (text.find(wanted.substr(from, end - from)) == text.npos) return false;
    from = end + 1;
  }
  return true;
}

bool are_taken_for_each_other(const std::string& a, const std::string& b) {
  const auto base = [](const std::string& colour) { return colour.substr(0, colour.find('/')); };
  const auto tracer = [](const std::string& colour) {
    return colour.find('/') == colour.npos ? std::string() : colour.substr(colour.find('/') + 1);
  };
  if (base(a) == base(b)) return true;  // a tracer is overlooked
  return tracer(a) == tracer(b) && are_confused(base(a), base(b));
}

}  // namespace

uint32_t rows_of(const Family& family, Index housing) {
  if (family.housings[housing].round) return 0;
  std::vector<int32_t> heights;
  for (const HousingCavity& cavity : rows(family.housing_cavities, family.housings[housing].cavities))
    heights.push_back(cavity.y);
  std::sort(heights.begin(), heights.end());
  uint32_t count = 0;
  for (size_t i = 0; i < heights.size(); ++i) count += i == 0 || heights[i] - heights[i - 1] > one_row;
  return count;
}

std::vector<PlugMatch> plugs_like(const FamilyIndex& index, const PlugLooks& looks) {
  const Family& family = index.family();
  const std::vector<bool> may_fire = connectors_that_may_fire(index);
  std::vector<PlugMatch> matches;
  for (Index connector = 0; connector < family.connectors.size(); ++connector) {
    const Part& part = family.parts[family.connectors[connector].part];
    const CellSet built = family.set(part.cells) & family.set(family.built);
    std::map<std::pair<Index, std::vector<std::string>>, CellSet> alike;  // by housing and colours
    for (uint32_t cell : built.cells()) {
      const Index row = connector_row_in(family, connector, cell);
      if (row == none || family.connector_rows[row].housing == none) continue;
      std::vector<std::string> colours;
      for (const Cavity& cavity : cavities(index, cell, connector))
        for (Index wire : cavity.wires) colours.push_back(colour_seen(family, family.wires[wire]));
      std::sort(colours.begin(), colours.end());
      alike[{family.connector_rows[row].housing, colours}].insert(cell);
    }
    for (const auto& [key, cells] : alike) {
      const auto& [housing, colours] = key;
      PlugMatch match;
      match.connector = connector, match.cells = cells, match.housing = housing;
      match.ways = family.housings[housing].cavities.count, match.rows = rows_of(family, housing);
      match.wires = static_cast<uint32_t>(colours.size()), match.may_fire = may_fire[connector];
      if (looks.ways != 0 && looks.ways != match.ways) continue;
      if (looks.rows != 0 && looks.rows != match.rows) continue;
      if (!looks.housing.empty() && looks.housing != family.text(family.housings[housing].id)) continue;
      if (!has_all_words(family, family.housings[housing], looks.key)) continue;
      std::vector<std::string> left = colours, not_found;
      for (const std::string& wanted : looks.colours) {
        const auto at = std::find(left.begin(), left.end(), wanted);
        (at == left.end() ? not_found : match.found).push_back(wanted);
        if (at != left.end()) left.erase(at);
      }
      for (const std::string& wanted : not_found) {
        const auto at = std::find_if(left.begin(), left.end(),
                                     [&](const std::string& one) { return are_taken_for_each_other(wanted, one); });
        (at == left.end() ? match.missing : match.near).push_back(wanted);
        if (at != left.end()) left.erase(at);
      }
      if (!looks.colours.empty() && match.found.empty() && match.near.empty()) continue;
      matches.push_back(std::move(match));
    }
  }
  std::stable_sort(matches.begin(), matches.end(), [](const PlugMatch& a, const PlugMatch& b) {
    if (a.missing.size() != b.missing.size()) return a.missing.size() < b.missing.size();
    if (a.found.size() != b.found.size()) return a.found.size() > b.found.size();
    return a.wires < b.wires;
  });
  return matches;
}

}  // namespace loomproof::identify
