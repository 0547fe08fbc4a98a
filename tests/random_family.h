// Seeded random families for tests. The same seed gives the same family on every platform (std::mt19937 is specified to
// the bit; the library's distributions are not, so they are not used). They are well formed as tables; nothing says
// that they make electrical sense.
#pragma once
#include <random>
#include <string>
#include <utility>
#include <vector>

#include "family/words.h"
#include "family_builder.h"

namespace loomproof::testing {

class Random {
 public:
  explicit Random(uint32_t seed) : engine_(seed) {}
  uint32_t below(uint32_t limit) { return limit < 2 ? 0 : static_cast<uint32_t>(engine_() % limit); }
  uint32_t between(uint32_t low, uint32_t high) { return low + below(high - low + 1); }
  bool chance(uint32_t percent) { return below(100) < percent; }
  template <typename Enum>
  Enum any() {
    return static_cast<Enum>(below(word_count<Enum>));
  }

 private:
  std::mt19937 engine_;
};

struct RandomSize {
  uint32_t eras = 3, options = 2, values = 3;  // at most; always at least one era
  uint32_t looms = 2, components = 3;
  uint32_t connectors = 3, cavities = 8;  // at most, of one part
  uint32_t wires = 16, splices = 3;       // at most, of one loom
};

// One cell set in four is everything, the rest any non-empty subset of `within`.
inline CellSet random_cells(Random& random, const CellSet& within) {
  if (random.chance(25)) return within;
  CellSet set;
  for (uint32_t cell : within.cells())
    if (random.chance(60)) set.insert(cell);
  return set.empty() ? within : set;
}

namespace detail {

inline void random_part(FamilyBuilder& build, Random& random, const RandomSize& size, const std::string& id,
                        PartKind kind, Index place) {
  Family& family = build.family;
  const CellSet all = CellSet::first(family.cell_count());
  const CellSet where = random_cells(random, all);
  const auto circuit = [&] { return random.below(build.next(family.circuits)); };
  const auto cite = [&] { return random.below(build.next(family.cites)); };
  const Index part = build.begin_part(id, kind, place, where);
  family.numbers.push_back(
      {part, build.text("TB-" + std::to_string(random.below(9999))), build.text("tag"), 0, build.cells(where), cite()});
  std::vector<Index> connectors, ends;
  for (uint32_t i = 0, count = random.between(1, size.connectors); i < count; ++i)
    connectors.push_back(build.connector((kind == PartKind::loom ? "C" : "X") + std::to_string(i + 1),
                                         random.below(build.next(family.housings)), random.any<Rest>(), where));
  for (Index connector : connectors)
    for (uint32_t i = 0, count = random.between(1, size.cavities); i < count; ++i)
      ends.push_back(build.cavity(connector, std::to_string(i + 1)));
  const size_t cavities = ends.size();
  const auto end = [&] { return ends[random.below(static_cast<uint32_t>(ends.size()))]; };
  const auto cavity = [&] { return ends[random.below(static_cast<uint32_t>(cavities))]; };
  if (kind == PartKind::loom) {
    for (uint32_t i = 0, count = random.below(size.splices + 1); i < count; ++i) {
      ends.push_back(build.point(PointKind::splice, "S" + std::to_string(i + 1)));
      family.splices.push_back({ends.back(), build.text("150 mm from C1"), 0, build.cells(where), cite()});
    }
    ends.push_back(build.point(PointKind::earth, "E1"));
    family.earths.push_back({ends.back(), build.text("chassis rail"), build.text("M8"), random.any<EarthNode>(),
                             circuit(), build.cells(where), cite()});
    for (uint32_t i = 0, count = random.between(1, size.wires); i < count; ++i) {
      const Index base = random.below(build.next(family.colours));
      const Index tracer = random.chance(40) ? random.below(build.next(family.colours)) : none;
      const Index wire = build.wire(circuit(), end(), end(), base, tracer,
                                    500 + 250 * static_cast<int>(random.below(5)), random_cells(random, where), cite());
      family.wires[wire].shade = random.any<Shade>();
      family.wires[wire].marks = random.below(64);
    }
    family.branches.push_back({part, build.text("trunk"), {build.next(family.string_refs), 1}});
    family.string_refs.push_back(family.connectors[connectors.front()].designator);
  } else {
    ends.push_back(build.point(PointKind::inner, "N1"));
    for (size_t i = 0; i < cavities; ++i)
      if (random.chance(70)) build.pin(ends[i], circuit(), random.any<Role>(), random_cells(random, where), cite());
    for (uint32_t i = 0, count = random.below(3); i < count; ++i)
      build.inside("F" + std::to_string(i + 1), random.any<InsideKind>(), end(), end(), random_cells(random, where));
    family.positions.push_back({part, build.text("KEY"), build.text("on"), {build.next(family.string_refs), 1}});
    family.string_refs.push_back(build.text("F1"));
  }
  for (uint32_t i = 0, count = random.below(4); i < count; ++i) {
    build.cavity_row(cavity(), random.any<State>(), random_cells(random, where));
    if (family.cavity_rows.back().state == State::disputed) {
      build.say(State::wired, circuit(), cite());
      build.say(State::empty, none, cite());
    }
  }
  build.end_part();
}

inline void random_changes(FamilyBuilder& build, Random& random) {
  Family& family = build.family;
  for (Index era = 0; era + 1 < family.eras.size(); ++era) {
    Change change{.left = era, .right = era + 1, .because = build.text("a new output stage")};
    change.items = {build.next(family.change_items), random.below(4)};
    const Index index = build.add(family.changes, change);
    for (Index i = 0; i < change.items.count; ++i) {
      const Index part = random.below(build.next(family.parts));
      const Range points = family.parts[part].points;
      family.change_items.push_back({.change = index,
                                     .kind = random.any<ChangeKind>(),
                                     .cells = build.everywhere(),
                                     .part = part,
                                     .circuit = random.below(build.next(family.circuits)),
                                     .from = points.first + random.below(points.count),
                                     .to = random.chance(50) ? points.first + random.below(points.count) : none});
    }
  }
}

// Some pairs of roles, each with what always holds and some of the conditions.
inline void random_joins(FamilyBuilder& build, Random& random) {
  const auto roles = word_count<Role>, conditions = word_count<JoinWhen>;
  for (uint32_t a = 1; a < roles; ++a)
    for (uint32_t b = a; b < roles; ++b) {
      if (random.chance(70)) continue;
      for (uint32_t when = 0; when < conditions; ++when)
        if (when == 0 || random.chance(20))
          build.family.joins.push_back({Role{a}, Role{b}, JoinWhen{when}, random.any<Outcome>(), random.any<Suffers>(),
                                        build.text("reason " + std::to_string(random.below(5))),
                                        random.below(build.next(build.family.cites))});
    }
}

inline void random_manuals(FamilyBuilder& build, Random& random) {
  Family& family = build.family;
  for (Index cavity = 0; cavity < family.housing_cavities.size(); ++cavity)
    for (uint32_t i = random.below(3); i > 0; --i)
      family.in_manuals.push_back(
          {cavity, build.text("A" + std::to_string(cavity + i)), random.below(build.next(family.cites))});
}

inline void random_combinations(FamilyBuilder& build, Random& random) {
  Family& family = build.family;
  for (uint32_t i = 0, count = random.between(1, 4); i < count; ++i) {
    const auto place = [&] { return random.below(build.next(family.places)); };
    Combination row{.id = build.text("known-" + std::to_string(i)), .others = random.chance(50) ? family.built : 0};
    row.best = random.any<Verdict>(), row.worst = random.any<Verdict>(), row.outcome = random.any<Outcome>();
    row.suffers = {build.next(family.place_refs), random.below(2)};
    for (Index k = 0; k < row.suffers.count; ++k) family.place_refs.push_back(place());
    row.parts = {build.next(family.combination_parts), random.below(3)};
    for (Index k = 0; k < row.parts.count; ++k)
      family.combination_parts.push_back({.combination = i,
                                          .place = place(),
                                          .part = random.chance(50) ? random.below(build.next(family.parts)) : none,
                                          .cells = build.everywhere(),
                                          .is_left_off = random.below(2)});
    row.edits = {build.next(family.combination_edits), random.below(3)};
    for (Index k = 0; k < row.edits.count; ++k)
      family.combination_edits.push_back({i, place(), build.text(random.chance(50) ? "cut C1.1" : "bridged C1.1 S1")});
    family.combinations.push_back(row);
  }
}

}  // namespace detail

inline Family random_family(uint32_t seed, const RandomSize& size = {}) {
  Random random(seed);
  FamilyBuilder build;
  Family& family = build.family;
  family.id = build.text("random-" + std::to_string(seed));
  family.title = build.text("A family of no sense (invented)");
  for (uint32_t i = 0, count = random.between(1, size.eras); i < count; ++i)
    build.era(std::string(1, static_cast<char>('a' + i)));
  for (uint32_t i = 0, count = random.below(size.options + 1); i < count; ++i) {
    std::vector<std::string> values;
    for (uint32_t v = 0, last = random.between(1, size.values); v < last; ++v)
      values.push_back("v" + std::to_string(v));
    build.option("opt-" + std::to_string(i), values);
  }
  const CellSet all = CellSet::first(family.cell_count());
  family.built = build.cells(random_cells(random, all));
  family.builds.push_back(family.built);
  for (uint32_t i = 0; i < 3; ++i) {
    const Index source = build.source("source-" + std::to_string(i), random.any<SourceKind>());
    build.cite({source}, random.chance(50));
    build.cite({0, source});
  }
  for (const auto& [code, name] : {std::pair("BK", "black"), {"GN", "green"}, {"WH", "white"}, {"BU", "blue"}})
    build.colour(code, name);
  build.function("signal return");
  for (uint32_t i = 0, count = random.between(1, 9); i < count; ++i)
    build.circuit("CIRCUIT-" + std::to_string(i), "Circuit " + std::to_string(i), random.any<CircuitClass>(),
                  random.chance(50) ? 0 : none);
  for (uint32_t i = 0; i < 3; ++i) build.housing("housing-" + std::to_string(i), size.cavities, random.any<Contact>());
  for (uint32_t i = 0; i < size.looms + size.components; ++i) {
    const bool loom = i < size.looms;
    const std::string id = (loom ? "loom-" : "part-") + std::to_string(i);
    detail::random_part(build, random, size, id, loom ? PartKind::loom : PartKind::component,
                        build.place("PLACE-" + std::to_string(i)));
  }
  for (Index i = 0; i + 1 < family.places.size(); ++i) build.plug(i, "C1", i + 1, "X1");
  detail::random_changes(build, random);
  detail::random_joins(build, random);
  detail::random_combinations(build, random);
  detail::random_manuals(build, random);
  build.caution("firing-circuit", "Never a meter on a firing circuit.", {"firing"});
  return family;
}

}  // namespace loomproof::testing
