// The search over fillings against trying every one, on the corpus: whatever is left out is no better than what is
// kept.
#include <algorithm>
#include <catch2/catch.hpp>
#include <fstream>
#include <iterator>
#include <random>

#include "judge/fill.h"
#include "pack/pack.h"

using namespace loomproof;
using namespace loomproof::judge;

namespace {

using Random = std::mt19937;

size_t pick(Random& random, size_t count) {
  return std::uniform_int_distribution<size_t>(0, count - 1)(random);
}

Family read_family(const std::string& name) {
  std::ifstream file(LOOMPROOF_SOURCE_DIR "/generated/packs/" + name + ".loompack", std::ios::binary);
  const std::string bytes{std::istreambuf_iterator<char>(file), {}};
  const pack::Opened opened = pack::Pack::open(bytes);
  REQUIRE(opened.pack);
  return load(*opened.pack);
}

using Key = std::pair<Verdict, uint32_t>;  // best case, conflicts

// The best `keep` of all fillings, by what the search promises of them.
std::vector<Key> every(Judge& judge, const std::vector<std::vector<VariantId>>& candidates, size_t keep) {
  std::vector<Key> keys;
  std::vector<size_t> at(candidates.size(), 0);
  while (true) {
    Assembly assembly;
    for (size_t place = 0; place < candidates.size(); ++place)
      assembly.at.push_back(candidates[place].empty() ? none : candidates[place][at[place]]);
    const Judgement judgement = judge.judge(assembly);
    keys.emplace_back(judgement.best, judgement.conflicts.count);
    size_t place = 0;
    while (place < at.size() && (candidates[place].empty() || ++at[place] == candidates[place].size())) at[place++] = 0;
    if (place == at.size()) break;
  }
  std::sort(keys.begin(), keys.end());
  keys.resize(std::min(keys.size(), keep));
  return keys;
}

}  // namespace

TEST_CASE("the fillings that are kept are as good as the best of all") {
  const char* name = GENERATE("croft", "trailer-12v");
  const Family family = read_family(name);
  const FamilyIndex index(family);
  Shelf shelf(index);
  Judge judge(shelf);
  const std::vector<uint32_t> cells = family.cell_sets[family.built].cells();
  Random random(11);
  size_t largest = 0, judged = 0;
  for (int round = 0; round < 40; ++round) {
    // Parts of any build, and a few places open to everything that goes there.
    std::vector<std::vector<VariantId>> candidates(family.places.size());
    size_t product = 1;
    const Assembly start = shelf.build(cells[pick(random, cells.size())]);
    for (Index place = 0; place < family.places.size(); ++place)
      if (start.at[place] != none) candidates[place] = {start.at[place]};
    for (int open = 0; open < 7; ++open) {
      const Index place = static_cast<Index>(pick(random, family.places.size()));
      std::vector<VariantId> all = shelf.of_place(place);
      if (pick(random, 3) == 0) all.push_back(none);
      if (all.empty() || product * all.size() / std::max<size_t>(candidates[place].size(), 1) > 1200) continue;
      product = product / std::max<size_t>(candidates[place].size(), 1) * all.size();
      candidates[place] = all;
    }
    const size_t keep = 1 + pick(random, 4);
    const Search search = fill(judge, shelf, candidates, keep);
    std::vector<Key> found;
    for (const Filling& filling : search.fillings) found.emplace_back(filling.best, filling.conflicts);
    INFO(name << ", round " << round << ", " << product << " fillings");
    REQUIRE(search.is_complete);
    CHECK(found == every(judge, candidates, keep));
    if (product > largest) largest = product, judged = search.judged;
  }
  // Some are ruled out by what clashes in them; of the couplings there are fewer than the search begins with.
  if (std::string(name) == "croft") CHECK(judged < largest);
}

// What the search leaves out it leaves out for this: parts that are added later take no conflict away.
TEST_CASE("conflicts only grow with every part that is added") {
  const char* name = GENERATE("croft", "trailer-12v");
  const Family family = read_family(name);
  const FamilyIndex index(family);
  Shelf shelf(index);
  Judge judge(shelf);
  const std::vector<uint32_t> cells = family.cell_sets[family.built].cells();
  Random random(12);
  int grown = 0;
  for (int round = 0; round < 300; ++round) {
    Assembly whole = shelf.build(cells[pick(random, cells.size())]);
    for (Index place = 0; place < family.places.size(); ++place)
      if (const auto& all = shelf.of_place(place); !all.empty() && (all.size() < 10 || pick(random, 3) == 0))
        whole.at[place] = all[pick(random, all.size())];
    Assembly fewer = whole;
    for (Index place = 0; place < family.places.size(); ++place)
      if (pick(random, 3) == 0) fewer.at[place] = none;
    const Conflicts few = judge.conflicts(fewer), all = judge.conflicts(whole);
    INFO(name << ", round " << round);
    CHECK(few.worst <= all.worst);
    CHECK(few.count <= all.count);
    CHECK(all == judge.judge(whole).conflicts);
    grown += few.count < all.count;
  }
  CHECK(grown > (family.places.size() > 10 ? 100 : 0));
}
