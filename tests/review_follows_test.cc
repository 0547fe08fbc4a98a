// What follows at the far ends, held against every pair of ends: whatever met and meets no longer, or the other way
// round, is told, and nothing else is. The croft, with cavities of its looms read otherwise and wires left out at
// random.
#include <catch2/catch.hpp>
#include <random>
#include <set>

#include "family/words.h"
#include "nets/nets.h"
#include "review/consequence.h"
#include "review_edits.h"

namespace lt = loomproof::testing;
using namespace loomproof;

namespace {

// The ends of one build by name, with their nets.
std::map<std::string, Index> ends_of(const FamilyIndex& index, uint32_t cell) {
  const Family& family = index.family();
  const BuildNets build = build_nets(index, cell);
  std::map<std::string, Index> ends;
  for (Index part : build.parts) {
    if (part == none) continue;
    const auto add = [&](Index point) {
      ends[std::string(family.text(family.places[family.parts[part].place].id)) + "." + point_name(family, point)] =
          build.nets.net(point);
    };
    for (const Pin& pin : rows(family.pins, family.parts[part].pins))
      if (family.holds(pin.cells, cell)) add(pin.point);
    for (const Earth& earth : rows(family.earths, family.parts[part].earths))
      if (family.holds(earth.cells, cell)) add(earth.point);
    for (const Lead& lead : rows(family.leads, family.parts[part].leads))
      if (family.holds(lead.cells, cell)) add(lead.point);
  }
  return ends;
}

// The ends that both have and whose company is another.
std::set<std::string> naive(const FamilyIndex& base, const FamilyIndex& head, const review::CellPair& pair) {
  const std::map<std::string, Index> was = ends_of(base, pair.base), is = ends_of(head, pair.head);
  std::set<std::string> changed;
  for (const auto& [a, net_was] : was)
    for (const auto& [b, other_was] : was)
      if (is.count(a) && is.count(b) && (net_was == other_was) != (is.at(a) == is.at(b))) changed.insert(a);
  return changed;
}

}  // namespace

TEST_CASE("what follows is what every pair of ends says") {
  std::mt19937 random(99);
  const Family& family = lt::croft_base().families.front().family;
  int judged = 0;
  for (int i = 0; i < lt::tries(12); ++i) {
    lt::FixtureFiles files = lt::croft_alone();
    // Three cavities of a connector of a loom go round.
    const Connector& connector = family.connectors[random() % family.connectors.size()];
    const Part& part = family.parts[connector.part];
    if (part.kind != PartKind::loom) {
      --i;
      continue;
    }
    std::vector<std::string> numbers;
    for (Index point = part.points.first; point < part.points.end(); ++point)
      if (family.points[point].connector != none && &family.connectors[family.points[point].connector] == &connector)
        numbers.emplace_back(family.text(family.points[point].name));
    if (numbers.size() < 3) continue;
    for (size_t k = numbers.size(); k > 1; --k) std::swap(numbers[k - 1], numbers[random() % k]);
    const std::string file = "./families/croft/looms/" + std::string(family.text(part.id)) + ".yaml";
    std::string& text = lt::file_of(files, file);
    if (i % 2 == 0) {
      lt::read_otherwise(text, std::string(family.text(connector.designator)),
                         {{numbers[0], numbers[1]}, {numbers[1], numbers[2]}, {numbers[2], numbers[0]}});
    } else {  // or one wire goes
      std::vector<size_t> wires;
      for (size_t at = text.find("\n  - {circuit:"); at != std::string::npos; at = text.find("\n  - {circuit:", at + 1))
        wires.push_back(at);
      REQUIRE_FALSE(wires.empty());
      const size_t at = wires[random() % wires.size()];
      text.erase(at, text.find('\n', at + 1) - at);
    }
    const std::unique_ptr<Compiled> head = lt::compile_files(files);
    if (head->families.empty() || !head->families.front().judged) continue;
    INFO(file << " " << family.text(connector.designator));
    const FamilyIndex base_index(family), head_index(head->families.front().family);
    for (const review::CellPair& pair : review::cell_pairs(family, head->families.front().family)) {
      std::set<std::string> told;
      for (const review::Consequence& each : review::find_consequences(base_index, head_index, pair))
        told.insert(each.ends.begin(), each.ends.end());
      CHECK(told == naive(base_index, head_index, pair));
      judged += !told.empty();
    }
  }
  CHECK(judged > lt::tries(12));
}
