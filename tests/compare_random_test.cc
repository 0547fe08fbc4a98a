// The comparison and the judgement of declared changes, held against a naive expansion on thousands of random edits:
// every edit is found, what is found is enough as a declaration, and no declaration can be left out or altered
// unnoticed.
#include <algorithm>
#include <catch2/catch.hpp>
#include <set>
#include <string>

#include "compare/differences.h"
#include "compare/judge.h"
#include "compare/neighbours.h"
#include "compare/words.h"
#include "family/words.h"
#include "nets/cavities.h"
#include "random_loom.h"

namespace loomproof {
namespace {

using testing::edited_family;
using testing::Random;

constexpr uint32_t left_cell = 1, right_cell = 3;  // era a and b, both with 24V

// --- the oracle: all that a cell says, spelled out -------------------------------------------------------------------

class Spelling {
 public:
  Spelling(const Family& family, uint32_t cell) : family_(family), index_(family), cell_(cell) {}
  std::multiset<std::string> lines() {
    for (Index place = 0; place < family_.places.size(); ++place) {
      const Index part = part_in(family_, place, cell_);
      put({"place", std::to_string(place), part == none ? "none" : text(family_.parts[part].id)});
      if (part == none) continue;
      part_ = part;
      strands(), joints(), insides(), connectors();
    }
    return lines_;
  }

 private:
  std::string text(Str str) const { return std::string(family_.text(str)); }
  std::string point(Index point) const { return point_name(family_, point); }
  static std::string number(int64_t value) { return std::to_string(value); }
  bool here(Index point, Cells cells) const {
    return family_.points[point].part == part_ && family_.holds(cells, cell_);
  }
  void put(const std::vector<std::string>& words) {
    std::string line = std::to_string(part_);
    for (const std::string& word : words) line += "|" + word;
    lines_.insert(line);
  }
  void strands() {
    for (const Wire& wire : family_.wires) {
      if (!here(wire.from, wire.cells)) continue;
      std::string a = point(wire.from), b = point(wire.to);
      if (b < a) std::swap(a, b);
      put({"wire", number(wire.circuit), a, b, colour_code(family_, wire), milli(wire.mm2), number(wire.double_crimp),
           text(wire.spare)});
    }
    for (const Pin& pin : family_.pins) {
      if (!here(pin.point, pin.cells) || pin.circuit == none) continue;
      put({"pin", point(pin.point), number(pin.circuit), std::string(word(pin.role)), volts_text(pin.volts),
           milli(pin.amps), number(pin.optional), number(pin.through_load), text(pin.coded_low), text(pin.pair_with)});
    }
  }
  void joints() {
    for (const Splice& row : family_.splices)
      if (here(row.point, row.cells)) put({"splice", point(row.point), text(row.where)});
    for (const Earth& row : family_.earths)
      if (here(row.point, row.cells))
        put({"earth", point(row.point), text(row.where), text(row.ring), number(int64_t(row.to)), number(row.circuit)});
    for (const Lead& row : family_.leads)
      if (here(row.point, row.cells))
        put({"lead", point(row.point), number(row.circuit), std::string(word(row.role)), milli(row.amps)});
  }
  void insides() {
    for (const Inside& row : family_.insides) {
      if (row.part != part_ || !family_.holds(row.cells, cell_)) continue;
      std::string a = point(row.a), b = point(row.b);
      if (row.kind != InsideKind::diode && b < a) std::swap(a, b);
      put({"inside", text(row.id), std::string(word(row.kind)), a, b, milli(row.ohm), milli(row.amps)});
    }
  }
  void connectors() {
    for (Index i = 0; i < family_.connectors.size(); ++i) {
      if (family_.connectors[i].part != part_) continue;
      const Index found = connector_row_in(family_, i, cell_);
      if (found == none) continue;
      const ConnectorRow& row = family_.connector_rows[found];
      const std::string designator = text(family_.connectors[i].designator);
      put({"connector", designator, number(row.housing), text(row.where), text(row.loose)});
      for (const Cavity& cavity : cavities(index_, cell_, i)) {
        const std::string state(cavity.state.role == Role::open ? "open" : word(cavity.state.state));
        if (state != "wired") put({"cavity", designator, text(cavity.number), state});
      }
    }
  }

  const Family& family_;
  FamilyIndex index_;
  uint32_t cell_;
  Index part_ = none;
  std::multiset<std::string> lines_;
};

bool same_content(const Family& family, uint32_t a, uint32_t b) {
  return Spelling(family, a).lines() == Spelling(family, b).lines();
}

// --- declaring what was found ----------------------------------------------------------------------------------------

Str intern(Family& family, const std::string& text) {
  const auto found = std::find(family.strings.begin(), family.strings.end(), text);
  if (found != family.strings.end()) return static_cast<Str>(found - family.strings.begin());
  family.strings.push_back(text);
  return static_cast<Str>(family.strings.size() - 1);
}

Cells intern(Family& family, const CellSet& cells) {
  const auto found = std::find(family.cell_sets.begin(), family.cell_sets.end(), cells);
  if (found != family.cell_sets.end()) return static_cast<Cells>(found - family.cell_sets.begin());
  family.cell_sets.push_back(cells);
  return static_cast<Cells>(family.cell_sets.size() - 1);
}

// The steps of a difference, appended to the family's last change.
std::vector<Index> declare(Family& family, const Difference& difference) {
  std::vector<Index> added;
  std::vector<ChangeItem> steps = difference.steps;
  if (steps.empty()) steps.push_back(difference.item);
  for (ChangeItem step : steps) {
    step.change = static_cast<Index>(family.changes.size()) - 1;
    step.cells = intern(family, difference.cells);
    step.what = intern(family, difference.what), step.of = intern(family, difference.of);
    step.was = intern(family, difference.was), step.becomes = intern(family, difference.becomes);
    if (step.kind == ChangeKind::re_rated || step.kind == ChangeKind::re_roled) step.circuit = none;  // as in a file
    if (step.kind == ChangeKind::removed && step.to != none) step.base = step.tracer = none, step.mm2 = not_given;
    added.push_back(static_cast<Index>(family.change_items.size()));
    family.change_items.push_back(step);
    ++family.changes.back().items.count;
  }
  return added;
}

void begin_change(Family& family, uint32_t axis, Index left, Index right) {
  Change change;
  change.axis = axis, change.left = left, change.right = right;
  change.items.first = static_cast<Index>(family.change_items.size());
  family.changes.push_back(change);
}

std::string words(const Family& family, const std::vector<Difference>& list) {
  std::string text;
  for (const Difference& difference : list) text += difference_words(family, difference) + "\n";
  return text;
}
std::string words(const Family& family, const PairVerdict& verdict) {
  std::string text = words(family, verdict.undeclared);
  for (const Untrue& untrue : verdict.untrue)
    text += "untrue: " + change_words(family, family.change_items[untrue.item]) + " -- " + untrue.words + "\n";
  return text;
}

TEST_CASE("two sides differ exactly where a naive expansion differs") {
  uint32_t equal = 0, unequal = 0;
  for (uint32_t seed = 0; seed < 6000; ++seed) {
    const Family family = edited_family(seed, seed % 5);
    CAPTURE(seed);
    const std::vector<Difference> found = differences(family, left_cell, right_cell);
    INFO(words(family, found));
    const bool same = same_content(family, left_cell, right_cell);
    REQUIRE(found.empty() == same);
    REQUIRE(differences(family, right_cell, left_cell).empty() == same);
    REQUIRE(differences(family, 0, 1).empty());  // the option changes nothing
    for (const Difference& difference : found) {
      REQUIRE(!difference_words(family, difference).empty());
      REQUIRE(difference.left.size() + difference.right.size() > 0);
    }
    ++(same ? equal : unequal);
  }
  CHECK(equal > 1000);
  CHECK(unequal > 3000);
}

TEST_CASE("what is found, declared, is clean; undeclared, it is found") {
  for (uint32_t seed = 0; seed < 6000; ++seed) {
    Family family = edited_family(seed, 1 + seed % 6);
    CAPTURE(seed);
    const std::vector<Difference> found = differences(family, left_cell, right_cell);
    const PairVerdict nothing_said = judge_cells(family, left_cell, right_cell, {});
    REQUIRE(nothing_said.untrue.empty());
    REQUIRE(words(family, nothing_said.undeclared) == words(family, found));
    begin_change(family, 0, 0, 1);
    std::vector<Index> steps;
    for (const Difference& difference : found)
      for (Index step : declare(family, difference)) steps.push_back(step);
    const PairVerdict verdict = judge_cells(family, left_cell, right_cell, steps);
    INFO("found\n" << words(family, found) << "verdict\n" << words(family, verdict));
    REQUIRE(verdict.is_clean());
  }
}

// --- declarations left out or altered --------------------------------------------------------------------------------

// Whether what is told is about the same as a declared difference: a circuit, an end, a connector or a thing of it.
bool is_about(const ChangeItem& told, const Difference& difference) {
  std::vector<ChangeItem> steps = difference.steps;
  steps.push_back(difference.item);
  return std::any_of(steps.begin(), steps.end(), [&](const ChangeItem& step) {
    const auto shared = [](Index a, Index b) { return a != none && a == b; };
    return shared(told.circuit, step.circuit) || shared(told.circuit, step.circuit_b) ||
           shared(told.circuit_b, step.circuit) || shared(told.circuit_b, step.circuit_b) ||
           shared(told.from, step.from) || shared(told.from, step.to) || shared(told.to, step.from) ||
           shared(told.to, step.to) || shared(told.connector, step.connector) ||
           (told.part == step.part && told.kind == step.kind);
  });
}

void require_all_about(const Family& family, const PairVerdict& verdict, const Difference& difference) {
  for (const Difference& one : verdict.undeclared) {
    std::vector<ChangeItem> steps = one.steps;
    steps.push_back(one.item);
    REQUIRE(
        std::any_of(steps.begin(), steps.end(), [&](const ChangeItem& step) { return is_about(step, difference); }));
  }
  for (const Untrue& one : verdict.untrue) REQUIRE(is_about(family.change_items[one.item], difference));
}

TEST_CASE("a declaration that is left out is found, and nothing else is blamed") {
  uint32_t cases = 0, exact = 0;
  for (uint32_t seed = 0; seed < 3000; ++seed) {
    const Family bare = edited_family(seed, 1 + seed % 6);
    const std::vector<Difference> found = differences(bare, left_cell, right_cell);
    for (size_t left_out = 0; left_out < found.size(); ++left_out) {
      Family family = bare;
      begin_change(family, 0, 0, 1);
      std::vector<Index> steps;
      for (size_t i = 0; i < found.size(); ++i)
        if (i != left_out)
          for (Index step : declare(family, found[i])) steps.push_back(step);
      const PairVerdict verdict = judge_cells(family, left_cell, right_cell, steps);
      INFO("found\n"
           << words(family, found) << "left out\n"
           << difference_words(family, found[left_out]) << "\nverdict\n"
           << words(family, verdict));
      CAPTURE(seed, left_out);
      REQUIRE_FALSE(verdict.is_clean());
      require_all_about(family, verdict, found[left_out]);
      ++cases;
      exact += verdict.untrue.empty() && words(family, verdict.undeclared) == words(family, {found[left_out]});
    }
  }
  CHECK(cases > 5000);
  // The others are those where a declared step rests on the one that was left out.
  INFO(exact << " of " << cases << " are told in the very words of the difference");
  CHECK(exact > cases / 100 * 95);
}

// Makes one step say something else; false where the kind offers nothing to alter.
bool alter(Family& family, ChangeItem& step, Random& random) {
  const auto another = [&](Index& index, Index first, Index count) {
    if (count < 2) return false;
    const Index before = index;
    while (index == before) index = first + random.below(count);
    return true;
  };
  const Range points = family.parts[step.part].points;
  const auto another_point = [&](Index& point) { return another(point, points.first, points.count); };
  switch (step.kind) {
    case ChangeKind::moved:
    case ChangeKind::replugged:
      return another_point(random.chance(50) ? step.from : step.to);
    case ChangeKind::swapped:
      return another_point(random.chance(50) ? step.from : step.to);
    case ChangeKind::added:
    case ChangeKind::respliced:
      if (step.to == none || (step.kind == ChangeKind::respliced && step.step == 0)) return another_point(step.from);
      if (random.chance(30)) return another(step.base, 0, static_cast<Index>(family.colours.size()));
      if (random.chance(30)) return step.mm2 = step.mm2 == 4000 ? 6000 : 4000, true;
      return another_point(random.chance(50) ? step.from : step.to);
    case ChangeKind::removed:
      return another_point(step.to != none && random.chance(50) ? step.to : step.from);
    case ChangeKind::recoloured:
      (random.chance(50) ? step.was : step.becomes) = intern(family, "YE/OG");
      return true;
    case ChangeKind::resized:
      (random.chance(50) ? step.was : step.becomes) = intern(family, "9.5");
      return true;
    default:
      (random.chance(50) ? step.was : step.becomes) = intern(family, "something else");
      return true;
  }
}

TEST_CASE("a declaration that says something else is found, and it or the difference is named") {
  uint32_t cases = 0, single = 0;
  for (uint32_t seed = 0; seed < 3000; ++seed) {
    const Family bare = edited_family(seed, 1 + seed % 6);
    const std::vector<Difference> found = differences(bare, left_cell, right_cell);
    Random random(seed);
    for (size_t altered = 0; altered < found.size(); ++altered) {
      Family family = bare;
      begin_change(family, 0, 0, 1);
      std::vector<Index> steps, candidates;
      for (size_t i = 0; i < found.size(); ++i) {
        const std::vector<Index> own = declare(family, found[i]);
        if (i == altered) candidates = own;
        steps.insert(steps.end(), own.begin(), own.end());
      }
      const Index step = candidates[random.below(static_cast<uint32_t>(candidates.size()))];
      ChangeItem item = family.change_items[step];
      if (!alter(family, item, random)) continue;
      const std::string was = change_words(family, family.change_items[step]);
      family.change_items[step] = item;
      const PairVerdict verdict = judge_cells(family, left_cell, right_cell, steps);
      INFO("found\n"
           << words(family, found) << "altered\n"
           << was << "\nto\n"
           << change_words(family, item) << "\nverdict\n"
           << words(family, verdict));
      CAPTURE(seed, altered);
      REQUIRE_FALSE(verdict.is_clean());
      ++cases;
      const bool named = std::any_of(verdict.untrue.begin(), verdict.untrue.end(),
                                     [&](const Untrue& untrue) { return untrue.item == step; });
      single += named && verdict.untrue.size() == 1 && verdict.undeclared.empty();
      Difference either = found[altered];  // what is told is about the difference, or about what the step now says
      either.steps.push_back(item);
      if (!named) require_all_about(family, verdict, either);
    }
  }
  CHECK(cases > 5000);
  INFO(single << " of " << cases << " are told by the altered step alone");
  CHECK(single > cases / 100 * 90);
}

}  // namespace
}  // namespace loomproof
