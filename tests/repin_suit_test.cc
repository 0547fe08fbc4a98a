// Looms made to suit the parts beside them: over every loom and build of the corpus, and for looms whose ends somebody
// put elsewhere. The data is the corpus; the checks follow from what a factory built, which suits by definition.
#include <algorithm>
#include <catch2/catch.hpp>
#include <fstream>
#include <iterator>
#include <random>

#include "family/words.h"
#include "found/as_found.h"
#include "nets/firing.h"
#include "nets/variants.h"
#include "pack/pack.h"
#include "repin/suit.h"

using namespace loomproof;
using namespace loomproof::repin;
using judge::Verdict;

namespace {

Family read_family(const std::string& name) {
  std::ifstream file(LOOMPROOF_SOURCE_DIR "/generated/packs/" + name + ".loompack", std::ios::binary);
  const std::string bytes{std::istreambuf_iterator<char>(file), {}};
  const pack::Opened opened = pack::Pack::open(bytes);
  REQUIRE(opened.pack);
  return load(*opened.pack);
}

std::vector<Side> build_of(const FamilyIndex& index, uint32_t cell) {
  std::vector<Side> sides;
  for (Index place = 0; place < index.family().places.size(); ++place)
    sides.push_back({index.part_in(place, cell), cell});
  return sides;
}

std::string told(const Suited& suited) {
  std::string text;
  for (const std::string& reason : suited.reasons) text += "against it: " + reason + "\n";
  for (const std::string& open : suited.open) text += "open: " + open + "\n";
  for (const Step& step : suited.plan.steps) text += step.words + "\n";
  return text;
}

}  // namespace

TEST_CASE("any loom comes to suit any build as well as the loom that was built for it, for no more work") {
  const char* name = GENERATE("croft", "trailer-12v");
  const Family family = read_family(name);
  const FamilyIndex index(family);
  const std::vector<uint32_t> cells = family.cell_sets[family.built].cells();
  int altered = 0;
  for (Index place = 0; place < family.places.size(); ++place) {
    if (index.parts_in(place).empty() || family.parts[index.parts_in(place)[0]].kind != PartKind::loom) continue;
    for (Index part : index.parts_in(place))
      for (const Variant& from : variants(family, part))
        for (uint32_t cell : cells) {
          const Side loom{part, from.cells.lowest()}, own{index.part_in(place, cell), cell};
          if (own.part == none) continue;
          const Suited suited = plan_to_suit(index, loom, build_of(index, cell));
          INFO(family.text(family.places[place].id)
               << ", " << cell_text(family, loom.cell) << " -> " << cell_text(family, cell) << "\n"
               << told(suited));
          CHECK(suited.best <= suited.best_before);
          const Plan direct = plan(index, loom, own);
          if (!direct.refusal.empty()) continue;
          CHECK(suited.plan.refusal.empty());
          CHECK(suited.plan.operations <= direct.operations);
          // A loom keeps plugs that only its own build may leave loose: then they are told.
          for (const std::string& reason : suited.reasons) CHECK_THAT(reason, Catch::Contains("hangs"));
          CHECK(suited.open.empty());
          altered += suited.plan.operations > 0;
        }
  }
  CHECK(altered > 20);
}

TEST_CASE("ends that were put elsewhere are put back for as little as the record asks for") {
  const Family family = read_family("croft");
  const std::vector<uint32_t> cells = family.cell_sets[family.built].cells();
  std::mt19937 random(3);
  const auto pick = [&](size_t count) { return std::uniform_int_distribution<size_t>(0, count - 1)(random); };
  int rounds = 0;
  while (rounds < 60) {
    const uint32_t cell = cells[pick(cells.size())];
    Family found = family;
    Side loom, recorded;
    {
      const FamilyIndex index(family);
      const Index place = static_cast<Index>(pick(family.places.size()));
      loom = recorded = {index.part_in(place, cell), cell};
      if (loom.part == none || family.parts[loom.part].kind != PartKind::loom) continue;
      // Some wired cavities of one plug exchange what they hold, in a ring.
      const std::vector<bool> may_fire = connectors_that_may_fire(index);
      const Range connectors = family.parts[loom.part].connectors;
      const Index connector = connectors.first + static_cast<Index>(pick(connectors.count));
      if (may_fire[connector]) continue;
      std::vector<std::string> names;
      for (Index point : index.points_of(connector)) {
        const auto wires = index.wires_at(point);
        if (std::any_of(wires.begin(), wires.end(),
                        [&](Index wire) { return family.holds(family.wires[wire].cells, cell); }))
          names.push_back(point_name(family, point));
      }
      if (names.size() < 2) continue;
      std::shuffle(names.begin(), names.end(), random);
      names.resize(2 + pick(std::min<size_t>(names.size() - 1, 4)));
      std::vector<found::Edit> edits;
      for (size_t i = 0; i < names.size(); ++i) {
        found::Fault fault;
        edits.push_back(found::parse_edit(index, loom.part, cell,
                                          "moved " + names[i] + " " + names[(i + 1) % names.size()], fault));
        REQUIRE_FALSE(fault.any());
      }
      if (found::fault_of(index, loom.part, cell, edits).any()) continue;
      loom.part = found::add_as_found(found, loom.part, cell, edits);
    }
    ++rounds;
    const FamilyIndex index(found);
    const Suited suited = plan_to_suit(index, loom, build_of(index, cell));
    INFO(family.text(family.places[family.parts[recorded.part].place].id) << ", " << cell_text(family, cell) << "\n"
                                                                          << told(suited));
    CHECK(suited.best == Verdict::fits);
    CHECK(suited.reasons.empty());
    CHECK(suited.plan.operations <= plan(index, loom, recorded).operations);
  }
}
