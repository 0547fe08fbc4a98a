// Verification sheets: every single open and bridge is found, no shorter list would do, plugs change as seldom as they
// can, and nothing rests on firing or unknown cavities.
#include <algorithm>
#include <catch2/catch.hpp>
#include <fstream>
#include <functional>
#include <iterator>
#include <numeric>

#include "family/words.h"
#include "nets/firing.h"
#include "nets/variants.h"
#include "pack/pack.h"
#include "packed.h"
#include "prove/order.h"
#include "prove/result.h"
#include "random_family.h"
#include "small_family.h"

using namespace loomproof;
using loomproof::testing::packed;
using namespace loomproof::prove;
using loomproof::testing::everywhere;
using loomproof::testing::Random;
using loomproof::testing::SmallFamily;

namespace {

// What lies on the bench, in the tester's own terms: wires whole or broken, ends joined by a bridge.
struct Bench {
  const identify::Sheet& loom;
  std::set<uint32_t> broken;                                 // edges
  std::vector<std::pair<std::string, std::string>> bridges;  // ends
  bool beeps(const std::vector<std::string>& from, const std::vector<std::string>& to) const {
    std::set<std::string> reached(from.begin(), from.end());
    bool grew = true;
    const auto join = [&](const std::string& a, const std::string& b) {
      if (reached.contains(a) != reached.contains(b)) reached.insert(a), reached.insert(b), grew = true;
    };
    while (grew) {
      grew = false;
      for (uint32_t edge = 0; edge < loom.edges().size(); ++edge)
        if (!broken.contains(edge)) join(loom.name(loom.edges()[edge].a), loom.name(loom.edges()[edge].b));
      for (const auto& [a, b] : bridges) join(a, b);
    }
    return std::any_of(to.begin(), to.end(), [&](const std::string& end) { return reached.contains(end); });
  }
};

// Does every check of the sheet, as somebody at the bench would.
Result carry_out(const Sheet& sheet, const Bench& bench) {
  identify::Evidence evidence;
  std::vector<CombReading> combs;
  const auto read = [&](const Check& check) {
    if (!check.with_comb()) {
      identify::Reading reading;
      reading.question = {identify::Look::beeps, std::min(check.a, check.b), std::max(check.a, check.b), {}};
      reading.answer = bench.beeps({check.a}, {check.b}) ? "yes" : "no";
      evidence.readings.push_back(std::move(reading));
      return;
    }
    std::vector<std::string> comb = sheet.comb;
    std::erase(comb, check.a);
    combs.push_back({check.a, bench.beeps({check.a}, comb)});
  };
  for (const Check& check : sheet.opens) read(check);
  for (const Check& check : sheet.bridges) read(check);
  return result_of(sheet, bench.loom, evidence, combs);
}

bool all_pass(const Result& result) {
  return std::all_of(result.nets.begin(), result.nets.end(), [](const NetResult& net) { return net.passes(); });
}

Family small_loom() {
  SmallFamily small;
  small.place("LOOM");
  small.begin("loom", PartKind::loom, "LOOM");
  small.plug(everywhere, "C1", "inline-8");
  small.plug(everywhere, "C2", "inline-8");
  small.plug(everywhere, "C3", "inline-8");
  small.splice(everywhere, "S1", "");
  small.splice(everywhere, "S2", "");
  small.earth(everywhere, "E1", "");
  small.wire(everywhere, "ONE", "C1.1", "S1", "BK");
  small.wire(everywhere, "ONE", "S1", "S2", "BK");
  small.wire(everywhere, "ONE", "S1", "C2.1", "BK");
  small.wire(everywhere, "ONE", "S2", "C2.2", "BK");
  small.wire(everywhere, "ONE", "S2", "C3.1", "BK");
  small.wire(everywhere, "TWO", "C1.2", "C3.2", "RD");
  small.wire(everywhere, "GND", "C1.3", "E1", "WH");
  small.end();
  return small.family();
}

struct Made {
  Made(const Family& family, Index part, uint32_t cell, Against against)
      : index(family),
        loom(index, {part, cell}),
        off_limits(index, family.parts[part].place),
        sheet(sheet_for(index, {part, cell}, off_limits, against)) {}
  FamilyIndex index;
  identify::Sheet loom;
  identify::OffLimits off_limits;
  Sheet sheet;
};

}  // namespace

TEST_CASE("a loom that is as recorded passes whole, by n - 1 checks a net and one less than there are nets") {
  const Family family = small_loom();
  const Made made(family, 0, 0, Against::comb);
  CHECK(made.sheet.nets.size() == 3);
  CHECK(made.sheet.opens.size() == 3 + 1 + 1);
  CHECK(made.sheet.bridges.size() == 2);
  CHECK(made.sheet.unproven.empty());
  const Result result = carry_out(made.sheet, {made.loom, {}, {}});
  CHECK(result.passes);
  CHECK_FALSE(result.complete);  // nobody has looked at the housings and the empty cavities yet
  CHECK(std::count(result.opens_done.begin(), result.opens_done.end(), 0) == 0);
  CHECK(std::count(result.bridges_done.begin(), result.bridges_done.end(), 0) == 0);
  const Result nothing = result_of(made.sheet, made.loom, {}, {});
  CHECK_FALSE(nothing.passes);
  CHECK(std::count(nothing.opens_done.begin(), nothing.opens_done.end(), 0) == 5);
}

TEST_CASE("complete is only what was seen as well") {
  const Family family = small_loom();
  const Made made(family, 0, 0, Against::comb);
  identify::Evidence evidence;
  std::vector<CombReading> combs;
  for (const Check& check : made.sheet.opens)
    evidence.readings.push_back(
        {{identify::Look::beeps, std::min(check.a, check.b), std::max(check.a, check.b), {}}, "yes", {}});
  for (const Check& check : made.sheet.bridges) combs.push_back({check.a, false});
  for (const PlugLook& look : made.sheet.looks) {
    evidence.readings.push_back({{identify::Look::housing, look.plug, {}, {}}, look.housing, {}});
    for (const std::string& number : look.empty)
      evidence.readings.push_back({{identify::Look::state, look.plug + '.' + number, {}, {}}, "empty", {}});
    for (const std::string& number : look.sealed)
      evidence.readings.push_back({{identify::Look::state, look.plug + '.' + number, {}, {}}, "sealed", {}});
  }
  CHECK(result_of(made.sheet, made.loom, evidence, combs).complete);
  identify::Evidence other = evidence;
  other.readings.back().answer = other.readings.back().answer == "wired" ? "empty" : "wired";
  const Result result = result_of(made.sheet, made.loom, other, combs);
  CHECK_FALSE(result.passes);
  CHECK(result.against.size() == 1);
}

TEST_CASE("what readings say: open, bridged, both ways, and with something plugged in") {
  const Family family = small_loom();
  const Made made(family, 0, 0, Against::comb);
  using identify::Look;
  identify::Evidence evidence;
  const auto say = [&](const std::string& a, const std::string& b, const char* answer,
                       std::set<std::string> plugged = {}) {
    evidence.readings.push_back({{Look::beeps, a, b, {}}, answer, std::move(plugged)});
  };
  say("C1.1", "C2.1", "yes"), say("C1.1", "C2.2", "no"), say("C2.2", "C3.1", "yes");
  say("C1.2", "C3.2", "yes", {"C3"});
  const Result result = result_of(made.sheet, made.loom, evidence, {{"C1.3", true}});
  CHECK(result.nets[0].open);
  CHECK(result.nets[0].pieces == std::vector<std::vector<std::string>>{{"C1.1", "C2.1"}, {"C2.2", "C3.1"}});
  CHECK(result.set_aside == 1);
  CHECK_FALSE(result.nets[1].joined);
  CHECK(result.nets[2].bridged);
  CHECK(result.nets[2].bridged_to.empty());
  say("C1.1", "C2.1", "no");
  CHECK(result_of(made.sheet, made.loom, evidence, {}).nets[0].contradicted);
  evidence.readings.clear();
  say("C1.1", "C2.1", "yes"), say("C2.1", "C2.2", "yes"), say("C1.1", "C2.2", "no");  // joined by others
  CHECK(result_of(made.sheet, made.loom, evidence, {}).nets[0].contradicted);
  evidence.readings.clear();
  say("C1.1", "C1.2", "yes");
  const Result bridged = result_of(made.sheet, made.loom, evidence, {});
  CHECK(bridged.nets[0].bridged_to == std::vector<size_t>{1});
  CHECK(bridged.nets[1].bridged_to == std::vector<size_t>{0});
}

// What was held apart from one piece of a net says nothing of its other pieces.
TEST_CASE("apart is only proven between nets that are whole") {
  const Family family = small_loom();
  const Made made(family, 0, 0, Against::comb);
  const std::vector<CombReading> combs{{"C1.2", false}, {"C1.1", false}};
  const Result result = result_of(made.sheet, made.loom, {}, combs);
  CHECK(std::none_of(result.nets.begin(), result.nets.end(), [](const NetResult& net) { return net.apart; }));
}

TEST_CASE("every single open and every single bridge is caught, in every loom of the corpus") {
  size_t opens = 0, bridges = 0, looms = 0;
  for (const char* name : {"croft", "trailer-12v"}) {
    const Family family = packed(name);
    for (Index part = 0; part < family.parts.size(); ++part) {
      if (family.parts[part].kind != PartKind::loom) continue;
      for (const Variant& variant : variants(family, part)) {
        const Made made(family, part, variant.cells.lowest(), Against::comb);
        ++looms;
        REQUIRE(all_pass(carry_out(made.sheet, {made.loom, {}, {}})));
        std::set<std::string> listed;
        for (const Unproven& one : made.sheet.unproven) listed.insert(one.what);
        for (uint32_t edge = 0; edge < made.loom.edges().size(); ++edge) {
          const std::string a = made.loom.name(made.loom.edges()[edge].a),
                            b = made.loom.name(made.loom.edges()[edge].b);
          if (made.off_limits.holds_end(a) || made.off_limits.holds_end(b)) continue;
          const Result result = carry_out(made.sheet, {made.loom, {edge}, {}});
          INFO(name << ' ' << family.text(family.parts[part].id) << ": " << a << " to " << b);
          CHECK(all_pass(result) == listed.contains(a + " to " + b));
          ++opens;
        }
        const size_t nets = made.sheet.nets.size();
        const size_t step = nets > 40 ? 7 : 1;  // of large looms every seventh pair
        for (size_t pair = 0; pair < nets * nets; pair += step) {
          const size_t i = pair / nets, j = pair % nets;
          if (i >= j) continue;
          const std::string a = made.sheet.nets[i].ends.back(), b = made.sheet.nets[j].ends.back();
          const Result result = carry_out(made.sheet, {made.loom, {}, {{a, b}}});
          INFO(name << ' ' << family.text(family.parts[part].id) << ": " << a << " and " << b);
          CHECK_FALSE(all_pass(result));
          CHECK((result.nets[i].bridged || result.nets[j].bridged));
          ++bridges;
        }
      }
    }
  }
  CHECK(looms >= 10);
  CHECK(opens > 500);
  CHECK(bridges > 1'000);
}

// For every list with one check less there is a faulty loom that passes it: whatever the list is made of. Tried on all
// lists of pairs for small nets, and on all choices of nets to hold against the comb.
TEST_CASE("no shorter list would do") {
  for (size_t ends = 2; ends <= 5; ++ends) {
    std::vector<std::pair<size_t, size_t>> pairs;
    for (size_t a = 0; a < ends; ++a)
      for (size_t b = a + 1; b < ends; ++b) pairs.emplace_back(a, b);
    size_t shortest = pairs.size();
    for (uint32_t list = 0; list < 1u << pairs.size(); ++list) {
      // It will do where no loom that has the ends in two nets, split in any way, passes.
      bool will_do = true;
      for (uint32_t split = 1; split + 1 < 1u << ends && will_do; ++split) {
        bool caught = false;
        for (size_t i = 0; i < pairs.size(); ++i)
          if (list >> i & 1) caught = caught || (split >> pairs[i].first & 1) != (split >> pairs[i].second & 1);
        will_do = caught;
      }
      size_t length = 0;
      for (size_t i = 0; i < pairs.size(); ++i) length += list >> i & 1;
      if (will_do) shortest = std::min(shortest, length);
    }
    CHECK(shortest == ends - 1);
  }
  for (size_t nets = 2; nets <= 6; ++nets) {
    size_t shortest = nets;
    for (uint32_t chosen = 0; chosen < 1u << nets; ++chosen) {
      bool will_do = true;
      for (size_t a = 0; a < nets; ++a)
        for (size_t b = a + 1; b < nets; ++b) will_do = will_do && ((chosen >> a & 1) || (chosen >> b & 1));
      size_t length = 0;
      for (size_t i = 0; i < nets; ++i) length += chosen >> i & 1;
      if (will_do) shortest = std::min(shortest, length);
    }
    CHECK(shortest == nets - 1);
  }
}

TEST_CASE("wires beside another path and wires to nowhere are listed, not passed over") {
  SmallFamily small;
  small.place("LOOM");
  small.begin("loom", PartKind::loom, "LOOM");
  small.plug(everywhere, "C1", "inline-8");
  small.plug(everywhere, "C2", "inline-8");
  small.splice(everywhere, "S1", "");
  small.splice(everywhere, "S2", "");
  small.wire(everywhere, "ONE", "C1.1", "C2.1", "BK");
  small.wire(everywhere, "ONE", "C1.1", "C2.1", "BK");
  small.wire(everywhere, "TWO", "C1.2", "S1", "BK");
  small.wire(everywhere, "TWO", "S1", "C2.2", "BK");
  small.wire(everywhere, "TWO", "S1", "S2", "BK");
  small.end();
  const Made made(small.family(), 0, 0, Against::comb);
  std::vector<std::pair<Unproven::Why, std::string>> all;
  for (const Unproven& one : made.sheet.unproven) all.emplace_back(one.why, one.what);
  CHECK(all == std::vector<std::pair<Unproven::Why, std::string>>{{Unproven::Why::parallel, "C1.1 to C2.1"},
                                                                  {Unproven::Why::dead_end, "S1 to S2"}});
}

TEST_CASE("between neighbours, what is not covered is every other pair") {
  const Family family = packed("croft");
  for (Index part = 0; part < family.parts.size(); ++part) {
    if (family.parts[part].kind != PartKind::loom) continue;
    const Made made(family, part, family.set(family.parts[part].cells).lowest(), Against::neighbours);
    const size_t nets = made.sheet.nets.size();
    CHECK(made.sheet.bridges.size() + made.sheet.not_covered.size() == nets * (nets - 1) / 2);
    for (const Check& check : made.sheet.bridges) {
      CHECK(hand_of(check.a) == hand_of(check.b));
      const Result result = carry_out(made.sheet, {made.loom, {}, {{check.a, check.b}}});
      CHECK(result.nets[check.net].bridged);
    }
    const Result clean = carry_out(made.sheet, {made.loom, {}, {}});
    CHECK(all_pass(clean));
    CHECK((!clean.complete || made.sheet.not_covered.empty()));
  }
}

TEST_CASE("plugs change as seldom as in the best of all orders") {
  Random random(3);
  for (int run = 0; run < 200; ++run) {
    std::vector<Check> checks;
    std::set<std::pair<std::string, std::string>> pairs;
    const uint32_t hands = random.between(2, 5);
    for (uint32_t i = random.between(1, 9); i > 0 && pairs.size() < 6; --i) {
      std::string a = "C" + std::to_string(random.below(hands)), b = "C" + std::to_string(random.below(hands));
      if (b < a) std::swap(a, b);
      pairs.insert({a, b});
      checks.push_back(
          {a + "." + std::to_string(random.below(4)), b + "." + std::to_string(10 + random.below(4)), 0, 0});
    }
    std::vector<std::pair<std::string, std::string>> way(pairs.begin(), pairs.end());
    std::sort(way.begin(), way.end());
    size_t best = 1000;
    do {
      size_t taken = 0;
      std::set<std::string> in_hand;
      for (const auto& [a, b] : way) {
        const std::set<std::string> now{a, b};
        for (const std::string& hand : now) taken += !in_hand.contains(hand);
        in_hand = now;
      }
      best = std::min(best, taken);
    } while (std::next_permutation(way.begin(), way.end()));
    const std::vector<Check> before = checks;
    CHECK(order(checks) == best);
    CHECK(checks.size() == before.size());
  }
}

TEST_CASE("numbers in their order") {
  CHECK(natural_less("C1.2", "C1.10"));
  CHECK_FALSE(natural_less("C1.10", "C1.2"));
  CHECK(natural_less("C2.1", "C10.1"));
  CHECK(natural_less("C1", "C1.1"));
  CHECK_FALSE(natural_less("C1.1", "C1.1"));
}

TEST_CASE("no check leads to a firing circuit, and nothing unknown is proven, in any family") {
  size_t looms = 0, firing = 0, unknown = 0;
  for (uint32_t seed = 1; seed <= 300; ++seed) {
    const Family family = testing::random_family(seed);
    const FamilyIndex index(family);
    for (Index part = 0; part < family.parts.size(); ++part) {
      const CellSet built = family.set(family.parts[part].cells) & family.set(family.built);
      if (family.parts[part].kind != PartKind::loom || built.empty()) continue;
      for (const Against against : {Against::comb, Against::neighbours}) {
        const Made made(family, part, built.lowest(), against);
        ++looms;
        std::set<std::string> fires;
        for (Index point = family.parts[part].points.first; point < family.parts[part].points.end(); ++point)
          if (carries_firing(index, point)) fires.insert(point_name(family, point));
        std::set<std::string> listed;
        for (const Unproven& one : made.sheet.unproven) {
          listed.insert(one.what);
          firing += one.why == Unproven::Why::firing, unknown += one.why == Unproven::Why::unknown;
        }
        const auto hold = [&](const std::string& end) {
          INFO("seed " << seed << ' ' << end);
          CHECK_FALSE(fires.contains(end));
          CHECK_FALSE(listed.contains(end));
        };
        for (const Check& check : made.sheet.opens) hold(check.a), hold(check.b);
        for (const Check& check : made.sheet.bridges) hold(check.a), hold(check.b);
        for (const std::string& end : made.sheet.comb) hold(end);
        if (!made.sheet.unproven.empty()) CHECK_FALSE(carry_out(made.sheet, {made.loom, {}, {}}).complete);
      }
    }
  }
  CHECK(looms > 300);
  CHECK(firing > 50);
  CHECK(unknown > 50);
}
