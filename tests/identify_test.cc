// Which loom is this: chances and posteriors against exhaustive enumeration, edits, joined looms and views on small
// looms, and on random families that nobody is led to a firing circuit.
#include <algorithm>
#include <catch2/catch.hpp>
#include <cmath>
#include <fstream>
#include <functional>
#include <iterator>

#include "family/words.h"
#include "identify/next.h"
#include "identify/plugs.h"
#include "identify/words.h"
#include "nets/cavities.h"
#include "nets/firing.h"
#include "pack/pack.h"
#include "packed.h"
#include "random_family.h"
#include "small_family.h"

using namespace loomproof;
using loomproof::testing::packed;
using namespace loomproof::identify;
using loomproof::testing::era_a;
using loomproof::testing::era_b;
using loomproof::testing::everywhere;
using loomproof::testing::Random;
using loomproof::testing::SmallFamily;

namespace {

Reading reading(Look look, const std::string& a, const std::string& answer, const std::string& b = "") {
  return {{look, a, b, {}}, answer, {}};
}

// A loom with two splices, a loop of wires and two plugs that differ between the eras.
Family small_loom() {
  SmallFamily small;
  small.place("LOOM");
  small.begin("loom", PartKind::loom, "LOOM");
  small.plug(everywhere, "C1", "inline-8");
  small.plug(everywhere, "C2", "inline-8");
  small.splice(everywhere, "S1", "");
  small.earth(everywhere, "E1", "");
  small.wire(everywhere, "ONE", "C1.1", "S1", "BK");
  small.wire(everywhere, "ONE", "S1", "C2.1", "BK");
  small.wire(everywhere, "ONE", "S1", "C2.2", "BK/RD");
  small.wire(everywhere, "ONE", "C1.1", "C2.2", "RD");  // a loop
  small.wire(era_a, "TWO", "C1.3", "C2.3", "GN", 2500);
  small.wire(era_b, "TWO", "C1.4", "C2.3", "GN/WH", 2500);
  small.wire(era_a, "GND", "C1.5", "E1", "WH");
  small.wire(era_b, "GND", "C2.5", "E1", "WH");
  small.end();
  return small.family();
}

// Every wire whole or broken, every pair of nets apart or bridged: all ways there are.
double enumerated(const Sheet& sheet, const std::vector<Reading>& readings, const Rates& rates) {
  const auto& edges = sheet.edges();
  const auto joined = [&](const std::string& from, const std::string& to, uint32_t whole) {
    std::vector<char> reached(sheet.vertices(), 0);
    const uint32_t start = sheet.vertex(from), end = sheet.vertex(to);
    if (start == Sheet::nowhere || end == Sheet::nowhere) return false;
    reached[start] = 1;
    for (size_t round = 0; round < edges.size(); ++round)
      for (size_t i = 0; i < edges.size(); ++i)
        if (whole >> i & 1 && (reached[edges[i].a] || reached[edges[i].b]))
          reached[edges[i].a] = reached[edges[i].b] = 1;
    return reached[end] != 0;
  };
  const uint32_t all = (1u << edges.size()) - 1;
  const auto net = [&](const std::string& end) {
    std::string lowest = end;  // the first name that is on one net with it
    for (uint32_t v = 0; v < sheet.vertices(); ++v)
      if (sheet.name(v) < lowest && joined(end, sheet.name(v), all)) lowest = sheet.name(v);
    return lowest;
  };
  std::set<std::pair<std::string, std::string>> pairs;
  std::vector<std::pair<std::string, std::string>> pair_of;
  for (const Reading& one : readings) {
    std::string a = net(one.question.a), b = net(one.question.b);
    if (b < a) std::swap(a, b);
    pair_of.emplace_back(a, b);
    if (a != b) pairs.insert({a, b});
  }
  const std::vector<std::pair<std::string, std::string>> bridges(pairs.begin(), pairs.end());
  double sum = 0;
  for (uint32_t whole = 0; whole <= all; ++whole)
    for (uint32_t bridged = 0; bridged < 1u << bridges.size(); ++bridged) {
      double chance = 1;
      for (size_t i = 0; i < edges.size(); ++i) chance *= whole >> i & 1 ? 1 - rates.break_ : rates.break_;
      for (size_t i = 0; i < bridges.size(); ++i) chance *= bridged >> i & 1 ? rates.altered : 1 - rates.altered;
      for (size_t i = 0; i < readings.size(); ++i) {
        bool beeps = false;
        if (pair_of[i].first == pair_of[i].second) {
          beeps = joined(readings[i].question.a, readings[i].question.b, whole);
        } else {
          const auto at = std::find(bridges.begin(), bridges.end(), pair_of[i]) - bridges.begin();
          beeps = bridged >> at & 1;
        }
        chance *= beeps == (readings[i].answer == "yes") ? 1 - rates.slip : rates.slip;
      }
      sum += chance;
    }
  return sum;
}

Rates rough() {  // so that every term shows
  Rates rates;
  rates.break_ = 0.13, rates.slip = 0.07, rates.altered = 0.05;
  return rates;
}

}  // namespace

TEST_CASE("continuity readings together are as likely as all ways of breaks and bridges make them") {
  const Family family = small_loom();
  const FamilyIndex index(family);
  Random random(5);
  const std::vector<std::string> ends{"C1.1", "C1.3", "C1.4", "C1.5", "C2.1", "C2.2", "C2.3", "C2.5", "E1"};
  for (const uint32_t cell : {0u, 2u}) {
    const Sheet sheet(index, {0, cell});
    const Chances chances(family, {&sheet}, rough());
    for (int run = 0; run < 60; ++run) {
      std::vector<Reading> readings;
      for (uint32_t count = random.between(1, 5); count > 0; --count) {
        const std::string a = ends[random.below(9)], b = ends[random.below(9)];
        if (a != b) readings.push_back(reading(Look::beeps, a, random.chance(50) ? "yes" : "no", b));
      }
      CHECK(chances.log_of_beeps(sheet, readings) == Approx(std::log(enumerated(sheet, readings, rough()))));
    }
  }
}

TEST_CASE("the posterior is prior times likelihood, summed up to one") {
  const Family family = small_loom();
  const FamilyIndex index(family);
  Evidence evidence;
  evidence.settled = {"C1", "C2"};
  evidence.readings = {reading(Look::beeps, "C1.3", "no", "C2.3"), reading(Look::beeps, "C1.4", "yes", "C2.3"),
                       reading(Look::colour, "C2.3", "GN"), reading(Look::state, "C1.3", "empty"),
                       reading(Look::colour, "C2.3", "GN")};  // again: adds nothing
  Identification identification(index, 0, rough());
  identification.weigh(evidence);
  const Chances& chances = identification.chances();
  std::vector<double> likelihood;
  for (const Sheet* sheet : identification.sheets())
    likelihood.push_back(enumerated(*sheet, {evidence.readings[0], evidence.readings[1]}, rough()) *
                         chances.of(*sheet, evidence.readings[2].question, "GN") *
                         chances.of(*sheet, evidence.readings[3].question, "empty"));
  REQUIRE(likelihood.size() == 2);
  double weight[2] = {0, 0}, sum = 0;
  for (const Candidate& candidate : identification.candidates()) {
    sum += candidate.weight;
    if (candidate.kind == Kind::variant) weight[candidate.variant] = candidate.weight;
  }
  CHECK(sum == Approx(1));
  CHECK(weight[0] / weight[1] == Approx(likelihood[0] / likelihood[1]));
  CHECK(weight[1] > weight[0]);
}

TEST_CASE("over all answers a look has, chances sum up to one") {
  const Family family = small_loom();
  const FamilyIndex index(family);
  const Sheet a(index, {0, 0}), b(index, {0, 2});
  const Chances chances(family, {&a, &b}, rough());
  std::vector<std::string> counts;
  for (int i = 0; i <= 24; ++i) counts.push_back(std::to_string(i));
  const std::vector<std::string> colours{"BK", "BK/RD", "RD", "GN", "GN/WH", "WH", "VT/TQ"};
  const std::vector<std::pair<Question, std::vector<std::string>>> all = {
      {{Look::plug, "C1", {}, {}}, {"present", "absent", "cut-off"}},
      {{Look::plug, "C9", {}, {}}, {"present", "absent", "cut-off"}},
      {{Look::housing, "C1", {}, {}}, {"inline-8", "other"}},
      {{Look::wires, "C1", {}, {}}, counts},
      {{Look::thick, "C1", {}, {}}, counts},
      {{Look::coloured, "C2", {}, "BK"}, counts},
      {{Look::state, "C1.3", {}, {}}, {"wired", "empty", "sealed"}},
      {{Look::colour, "C1.3", {}, {}}, colours},
      {{Look::colour, "C2.2", {}, {}}, colours},  // two wires
      {{Look::mm2, "C2.3", {}, {}}, {"0.5", "2.5", "6"}},
      {{Look::beeps, "C1.1", "C2.2", {}}, {"yes", "no"}},
      {{Look::beeps, "C1.1", "C2.5", {}}, {"yes", "no"}}};
  for (const auto& [question, answers] : all) {
    double sum = 0, sum_of_none = 0;
    // Where no wire should be, a colour is only told of one that is there all the same.
    const bool is_wired = !needs_view(question.look) || question.look <= Look::state || question.look == Look::beeps ||
                          a.cavity(question.a)->state == State::wired;
    for (const std::string& answer : answers) {
      sum += chances.of(a, question, answer);
      sum_of_none += chances.of_none(question, answer);
    }
    INFO(question_words(question));
    if (is_wired) CHECK(sum == Approx(1));
    if (question.look < Look::colour || question.look == Look::beeps) CHECK(sum_of_none == Approx(1));
  }
}

TEST_CASE("a wire that was moved is found, and what was moved is told") {
  const Family family = small_loom();
  const FamilyIndex index(family);
  Identification identification(index, 0, Rates{});
  Evidence evidence;
  evidence.settled = {"C1", "C2"};
  evidence.readings = {reading(Look::state, "C2.1", "wired"),       reading(Look::beeps, "C1.5", "yes", "E1"),
                       reading(Look::state, "C1.3", "empty"),       reading(Look::colour, "C1.7", "GN"),
                       reading(Look::beeps, "C1.7", "yes", "C2.3"), reading(Look::beeps, "C1.3", "no", "C2.3"),
                       reading(Look::beeps, "C2.5", "no", "E1"),    reading(Look::state, "C2.5", "empty")};
  identification.weigh(evidence);
  const Candidate& first = identification.candidates().front();
  REQUIRE(first.kind == Kind::edited);
  CHECK(first.edits == std::vector<std::string>{"moved C1.3 C1.7"});
  CHECK(identification.variants()[first.variant].cells == era_a);
  CHECK(held_against(*first.sheet, evidence).differ.empty());
}

TEST_CASE("a plug read mirrored is read as what it is, until cavity 1 is settled") {
  const Family family = small_loom();
  const FamilyIndex index(family);
  Identification identification(index, 0, Rates{});
  // Era a from the other side of C1: cavity n is 9 - n.
  Evidence evidence;
  evidence.readings = {reading(Look::colour, "C1.6", "GN"), reading(Look::colour, "C1.4", "WH"),
                       reading(Look::state, "C1.8", "wired"), reading(Look::state, "C1.1", "empty"),
                       reading(Look::beeps, "C1.6", "yes", "C2.3")};
  identification.weigh(evidence);
  const Candidate first = identification.candidates().front();  // a copy: they are weighed again below
  REQUIRE(first.kind == Kind::variant);
  CHECK(identification.variants()[first.variant].cells == era_a);
  const ViewChances chances = views(identification.chances(), family, *first.sheet, evidence);
  CHECK(chances.at("C1")[0] < 0.01);  // a row of cavities looks alike mirrored and turned
  CHECK(chances.at("C1")[1] + chances.at("C1")[2] > 0.99);
  evidence.settled = {"C1", "C2"};
  identification.weigh(evidence);
  CHECK(identification.candidates().front().kind != Kind::variant);

  const OffLimits none(index, 0);
  const SettlingLooks looks = settling_looks(family, *first.sheet, "C1", none);
  CHECK(looks.is_needed);
  CHECK(looks.is_settled);
  REQUIRE(looks.looks.size() == 1);
  // What is there is not what the other view would show.
  const std::string cavity = looks.looks[0].first;
  const auto other = seen_as(family, first.sheet->plug("C1")->housing_index, View3::mirrored);
  const CavityFacts* const there = first.sheet->cavity("C1." + other->at(cavity.substr(3)));
  CHECK((there->state != State::wired || !there->colours.contains(looks.looks[0].second)));
}

TEST_CASE("a loom joined from two is told with its branches") {
  SmallFamily small;
  small.place("LOOM");
  small.begin("loom", PartKind::loom, "LOOM");
  const std::vector<std::string> plugs{"C1", "C2", "C3", "C4"};
  for (const std::string& plug : plugs) small.plug(everywhere, plug, "inline-8");
  const auto wires = [&](const std::string& from, const std::string& to, const std::string& stem) {
    for (int i = 1; i <= 4; ++i) {
      const std::string number = std::to_string(i), other = std::to_string(i + 4);
      small.wire(era_a, stem + number, from + "." + number, to + "." + number, "GN");
      small.wire(era_b, stem + number, from + "." + other, to + "." + number, "RD");
    }
  };
  wires("C1", "C2", "F"), wires("C3", "C4", "R");
  Family& family = small.family();
  for (const auto& [id, first] : {std::pair("front", 0), std::pair("rear", 2)}) {
    family.branches.push_back({0, small.text(id), {small.build().next(family.string_refs), 2}});
    for (int i = 0; i < 2; ++i) family.string_refs.push_back(small.text(plugs[first + i]));
  }
  small.end();
  const FamilyIndex index(family);
  Identification identification(index, 0, Rates{});
  Evidence evidence;
  evidence.settled.insert(plugs.begin(), plugs.end());
  for (int i = 1; i <= 4; ++i) {
    const std::string number = std::to_string(i), other = std::to_string(i + 4);
    evidence.readings.push_back(reading(Look::beeps, "C1." + number, "yes", "C2." + number));
    evidence.readings.push_back(reading(Look::beeps, "C3." + other, "yes", "C4." + number));
    evidence.readings.push_back(reading(Look::colour, "C2." + number, "GN"));
    evidence.readings.push_back(reading(Look::colour, "C4." + number, "RD"));
  }
  identification.weigh(evidence);
  const Candidate& first = identification.candidates().front();
  REQUIRE(first.kind == Kind::mixed);
  CHECK(first.weight > 0.9);
  const bool rest_is_b = identification.variants()[first.rest].cells == era_b;
  CHECK(first.branches == std::vector<std::string>{rest_is_b ? "rear" : "front"});
  CHECK(identification.variants()[first.variant].cells == (rest_is_b ? era_a : era_b));
  CHECK(held_against(*first.sheet, evidence).differ.empty());
}

TEST_CASE("contradictions are told") {
  Evidence evidence;
  evidence.readings = {reading(Look::colour, "C1.1", "BK"),         reading(Look::beeps, "C1.1", "yes", "C2.1"),
                       reading(Look::beeps, "C2.1", "yes", "C2.2"), reading(Look::beeps, "C1.1", "no", "C2.2"),
                       reading(Look::colour, "C1.1", "RD"),         reading(Look::beeps, "C1.1", "no", "C2.1")};
  const auto all = contradictions(evidence);
  REQUIRE(all.size() == 3);
  CHECK((all[0].reading == 3 && all[0].by_path));
  CHECK((all[1].reading == 4 && all[1].earlier == 0 && !all[1].by_path));
  CHECK((all[2].reading == 5 && all[2].earlier == 1));
}

TEST_CASE("the next reading is the one that tells most for what it costs") {
  const Family family = small_loom();
  const FamilyIndex index(family);
  Evidence evidence;
  evidence.settled = {"C1", "C2"};
  // Both tell the eras apart: a glance at C1.3 and continuity from C1.3 to C2.3.
  Costs dear;
  dear.glance = dear.count = dear.gauge = 50;
  dear.other_plug = 0.1;
  const Identification by_eye(index, 0, Rates{}), by_meter(index, 0, Rates{}, {}, dear);
  REQUIRE(next_reading(by_eye, evidence));
  CHECK(next_reading(by_eye, evidence)->question.look != Look::beeps);
  const auto probed = next_reading(by_meter, evidence);
  REQUIRE(probed);
  CHECK(probed->question.look == Look::beeps);
  // What has to come off first costs more.
  evidence.plugged = {"C1", "C2"};
  const auto unplugged = next_reading(by_meter, evidence);
  REQUIRE(unplugged);
  CHECK(unplugged->cost > probed->cost);
}

// Held against the rows of the tables themselves: no cavity that carries a firing circuit in any cell, and none that
// somebody does not know in a plug of a housing that carries one.
TEST_CASE("nobody is led to a firing circuit, in any family") {
  uint32_t asked = 0, firing = 0, led = 0;
  for (uint32_t seed = 1; seed <= 400; ++seed) {
    const Family family = testing::random_family(seed);
    const FamilyIndex index(family);
    std::set<Index> firing_housings;
    const auto fires_at = [&](Index point) {
      const auto fires = [&](Index circuit) {
        return circuit != none && family.circuits[circuit].kind == CircuitClass::firing;
      };
      for (const Wire& wire : family.wires)
        if ((wire.from == point || wire.to == point) && fires(wire.circuit)) return true;
      for (const Pin& pin : family.pins)
        if (pin.point == point &&
            (fires(pin.circuit) || pin.role == Role::takes_firing || pin.role == Role::gives_firing))
          return true;
      for (const CavityRow& row : family.cavity_rows)
        if (row.point == point)
          for (const Say& say : rows(family.says, row.says))
            if (fires(say.circuit)) return true;
      for (const Inside& inside : family.insides)
        if ((inside.a == point || inside.b == point) && inside.kind == InsideKind::squib) return true;
      return false;
    };
    for (Index point = 0; point < family.points.size(); ++point)
      if (family.points[point].kind == PointKind::cavity && fires_at(point))
        for (const ConnectorRow& row :
             rows(family.connector_rows, family.connectors[family.points[point].connector].rows))
          firing_housings.insert(row.housing), ++firing;
    for (Index place = 0; place < family.places.size(); ++place) {
      std::set<std::string> fire, unknown_beside;
      bool has_variant = false;
      for (Index part : index.parts_in(place)) {
        const Part& row = family.parts[part];
        has_variant = has_variant || !(family.set(row.cells) & family.set(family.built)).empty();
        for (Index point = row.points.first; point < row.points.end(); ++point) {
          const std::string name = point_name(family, point);
          if (fires_at(point)) fire.insert(name);
        }
        for (Index at = row.connectors.first; at < row.connectors.end(); ++at)
          for (uint32_t cell : family.set(family.built).cells())
            for (const Cavity& cavity : cavities(index, cell, at)) {
              const Index housing = family.connector_rows[connector_row_in(family, at, cell)].housing;
              if (cavity.state.state == State::unknown && firing_housings.contains(housing))
                unknown_beside.insert(std::string(family.text(family.connectors[at].designator)) + "." +
                                      std::string(family.text(cavity.number)));
            }
      }
      if (!has_variant) continue;
      std::optional<Identification> made;
      try {
        made.emplace(index, place, Rates{});
      } catch (const std::invalid_argument&) {
        continue;
      }
      std::vector<Question> questions = made->questions();
      Evidence evidence;
      for (int step = 0; step < 3; ++step)
        if (const auto next = next_reading(*made, evidence)) {
          questions.push_back(next->question);
          evidence.open.insert(next->question);
          ++led;
        }
      for (const Question& question : questions) {
        if (!needs_view(question.look)) continue;
        for (const std::string& end : {question.a, question.b}) {
          INFO("seed " << seed << ": " << question_words(question));
          CHECK_FALSE(fire.contains(end));
          CHECK_FALSE(unknown_beside.contains(end));
          ++asked;
        }
      }
    }
  }
  CHECK(asked > 2'000);
  CHECK(firing > 500);
  CHECK(led > 100);
}

TEST_CASE("the era that a month falls into, and the one before while it runs out") {
  const Family family = packed("croft");
  const auto eras = [&](int year, int month) {
    std::set<std::string> names;
    for (uint32_t cell : cells_built_in(family, year * 12 + month - 1).cells())
      names.emplace(family.text(family.eras[family.coordinate(cell, 0)].id));
    return names;
  };
  CHECK(eras(1996, 5) == std::set<std::string>{"a"});
  CHECK(eras(2001, 1) == std::set<std::string>{"b", "c"});  // run-out-of-previous: 2001-02
  CHECK(eras(2001, 3) == std::set<std::string>{"c"});
  CHECK(eras(2003, 7) == std::set<std::string>{"d"});
  CHECK(eras(2008, 1).empty());
}

// Common practice, no source: what is driven together shares one cavity at the driving end, what is driven singly does
// not; a common feed shows one colour wherever it goes while switched wires differ; the thickest wires mark the supply.
TEST_CASE("sheets show what mechanics go by") {
  const Family family = packed("croft");
  const FamilyIndex index(family);
  const auto sheet_of = [&](std::string_view part) {
    for (Index i = 0; i < family.parts.size(); ++i)
      if (family.text(family.parts[i].id) == part) return Sheet(index, {i, family.set(family.built).lowest()});
    throw std::logic_error("no such part");
  };
  const Sheet tail = sheet_of("tail");
  CHECK(tail.path("T2.54", "T3.54", {}) == Path::yes);  // both stop lamps hang on T1.5
  CHECK(tail.path("T1.5", "T2.54", {}) == Path::yes);
  CHECK(tail.path("T2.T", "T3.T", {}) == Path::no);  // indicators are driven singly
  CHECK(tail.path("T2.58", "T3.58", {}) == Path::no);
  CHECK(tail.cavity("T2.31")->colours == tail.cavity("T3.31")->colours);
  CHECK(tail.cavity("T2.T")->colours != tail.cavity("T3.T")->colours);
  const Sheet chassis = sheet_of("chassis");
  CHECK(chassis.cavity("C32.86")->colours == chassis.cavity("C33.86")->colours);  // the feed of the relays' coils
  CHECK(chassis.cavity("C32.85")->colours != chassis.cavity("C33.85")->colours);  // each pulled by itself
  CHECK(chassis.count("C21", Look::thick, {}).least == 2);                        // what comes from the link box
}

TEST_CASE("what marks a variant sets it off from all that differ, and no mark is idle") {
  size_t marked = 0;
  for (const char* name : {"croft", "trailer-12v"}) {
    const Family family = packed(name);
    const FamilyIndex index(family);
    for (Index place = 0; place < family.places.size(); ++place) {
      if (index.parts_in(place).empty()) continue;
      const Identification identification(index, place, Rates{});
      const auto& sheets = identification.sheets();
      const auto excludes = [&](const Question& question, size_t variant, size_t other) {
        const auto here = sheets[variant]->expected(question), there = sheets[other]->expected(question);
        return here && there && *here != *there;
      };
      for (size_t variant = 0; variant < sheets.size(); ++variant) {
        const Marks marks = marks_of(identification, variant);
        const auto tell = [&](size_t other, size_t without) {
          for (size_t i = 0; i < marks.looks.size(); ++i)
            if (i != without && excludes(marks.looks[i].first, variant, other)) return true;
          return false;
        };
        for (size_t other = 0; other < sheets.size(); ++other) {
          const bool alike = std::find(marks.alike.begin(), marks.alike.end(), other) != marks.alike.end();
          CHECK(tell(other, marks.looks.size()) != alike);
          // What is alike differs in nothing that eyes can see.
          bool seen = false;
          for (const Question& question : identification.questions())
            seen =
                seen || (is_seen(question.look) && question.look != Look::label && excludes(question, variant, other));
          CHECK(seen != alike);
        }
        for (size_t i = 0; i < marks.looks.size(); ++i, ++marked) {
          CHECK(is_seen(marks.looks[i].first.look));
          CHECK_FALSE(identification.off_limits().holds(marks.looks[i].first));
          bool needed = false;
          for (size_t other = 0; other < sheets.size(); ++other)
            needed = needed || (tell(other, marks.looks.size()) && !tell(other, i));
          CHECK(needed);
        }
      }
    }
  }
  CHECK(marked > 30);
}

TEST_CASE("every recorded plug is found by its own looks, and marked where it may fire") {
  size_t plugs = 0, firing = 0;
  const Family family = packed("croft");
  const FamilyIndex index(family);
  const std::vector<bool> may_fire = connectors_that_may_fire(index);
  for (Index connector = 0; connector < family.connectors.size(); ++connector) {
    const Part& part = family.parts[family.connectors[connector].part];
    for (uint32_t cell : (family.set(part.cells) & family.set(family.built)).cells()) {
      const Index row = connector_row_in(family, connector, cell);
      if (row == none || family.connector_rows[row].housing == none) continue;
      PlugLooks looks;
      const Housing& housing = family.housings[family.connector_rows[row].housing];
      looks.ways = housing.cavities.count, looks.rows = rows_of(family, family.connector_rows[row].housing);
      looks.housing = family.text(housing.id), looks.key = family.text(housing.key);
      for (const Cavity& cavity : cavities(index, cell, connector))
        for (Index wire : cavity.wires) looks.colours.push_back(colour_seen(family, family.wires[wire]));
      const std::vector<PlugMatch> matches = plugs_like(index, looks);
      bool is_there = false;
      for (const PlugMatch& match : matches) {
        if (match.connector != connector || !match.cells.has(cell)) continue;
        is_there = match.missing.empty() && match.near.empty() && match.found.size() == looks.colours.size();
        CHECK(match.may_fire == may_fire[connector]);
        firing += match.may_fire;
      }
      CHECK(is_there);
      REQUIRE_FALSE(matches.empty());
      CHECK(matches.front().missing.empty());
      ++plugs;
    }
  }
  CHECK(plugs > 100);
  CHECK(firing > 0);
  PlugLooks other;
  other.ways = 999;
  CHECK(plugs_like(index, other).empty());
  other = {};
  other.colours = {"PK/TQ"};  // nowhere, nor anything near
  for (const PlugMatch& match : plugs_like(index, other)) CHECK(match.found.empty());
}
