// What the judge says of two boxes that are plugged together, case by case. The rows of the small tables used here are
// of the kind of reference/rules/joins.yaml; nothing is a fact of the trade.
#include <algorithm>
#include <catch2/catch.hpp>
#include <optional>
#include <tuple>

#include "family/words.h"
#include "family_builder.h"
#include "judge/mend.h"

using namespace loomproof;
using namespace loomproof::testing;
using judge::Cause;
using judge::Verdict;

namespace {

// BOX.X1 meets UNIT.X1, cavity by cavity. Parts are written in turn: pins on either, then what is inside the box.
class Pair {
 public:
  FamilyBuilder build;

  Pair() {
    build.era("a");
    build.family.built = build.everywhere();
    circuit_ = build.circuit("ONE", "One", CircuitClass::signal);
    firing_ = build.circuit("FIRE", "Fire", CircuitClass::firing);
    const Index plug = build.housing("plug", 4), header = build.housing("header", 4, Contact::pin);
    for (const auto& [from, to] : {std::pair(plug, header), std::pair(header, plug)}) {
      build.family.housings[from].mates = {FamilyBuilder::next(build.family.housing_refs), 1};
      build.family.housing_refs.push_back(to);
    }
    const Index box = build.place("BOX"), unit = build.place("UNIT");
    build.family.places[unit].optional = 1;
    build.plug(box, "X1", unit, "X1");
    begin("box", box, plug);
    unit_ = unit, header_ = header;
  }
  Index pin(const char* number, Role role) {
    const Index point = build.cavity(connector_, number);
    const bool fires = role == Role::gives_firing || role == Role::takes_firing;
    build.family.pins[build.pin(point, fires ? firing_ : circuit_, role, here_)].optional = 1;
    return point;
  }
  // Of another circuit, which is to be kept apart from the usual one.
  void pin_apart(const char* number, Role role, Outcome outcome) {
    Apart apart;
    apart.circuit = circuit_;
    apart.other = build.circuit("TWO", "Two", CircuitClass::signal);
    apart.outcome = outcome;
    build.family.aparts.push_back(apart);
    build.family.pins[build.pin(build.cavity(connector_, number), apart.other, role, here_)].optional = 1;
  }
  Index node(const char* name) { return build.point(PointKind::inner, name); }
  void inside(const char* id, InsideKind kind, Index a, Index b) { build.inside(id, kind, a, b, here_); }
  void then_unit() {
    build.end_part();
    begin("unit", unit_, header_);
  }
  void meets(Role a, Role b, JoinWhen when, Outcome outcome) {
    std::vector<Join>& all = build.family.joins;  // in the order of their roles
    const auto before = [](const Join& one, const Join& other) {
      return std::tie(one.a, one.b, one.when) < std::tie(other.a, other.b, other.when);
    };
    const Join join{a, b, when, outcome};
    all.insert(std::upper_bound(all.begin(), all.end(), join, before), join);
  }

  // With or without the unit.
  judge::Judgement judged(bool with_unit = true) {
    if (!index_) {
      build.end_part();
      index_.emplace(build.family);
      shelf_.emplace(*index_);
      judge_.emplace(*shelf_);
    }
    assembly_ = shelf_->build(0);
    if (!with_unit) assembly_.at[unit_] = none;
    return judge_->judge(assembly_);
  }
  std::optional<judge::Mend> mend(const judge::Judgement& judgement, const judge::Reason& reason) {
    return find_mend(*judge_, *shelf_, assembly_, judgement, reason);
  }

 private:
  void begin(const char* id, Index place, Index housing) {
    build.begin_part(id, PartKind::component, place, here_);
    connector_ = build.connector("X1", housing, Rest::open, here_);
  }

  const CellSet here_ = CellSet::first(1);
  Index circuit_ = none, firing_ = none, unit_ = none, header_ = none, connector_ = none;
  std::optional<FamilyIndex> index_;
  std::optional<judge::Shelf> shelf_;
  std::optional<judge::Judge> judge_;
  judge::Assembly assembly_;
};

}  // namespace

TEST_CASE("two roles of which the table says nothing, or nothing that is proven, may do anything") {
  const bool has_row = GENERATE(false, true);
  Pair pair;
  pair.pin("1", Role::gives_signal);
  pair.then_unit();
  pair.pin("1", Role::bus);
  if (has_row) pair.meets(Role::gives_signal, Role::bus, JoinWhen::always, Outcome::unset);
  const judge::Judgement judgement = pair.judged();
  CHECK(judgement.best == Verdict::fits);
  CHECK(judgement.worst == Verdict::endangers_people);
  REQUIRE(judgement.reasons.size() == 1);
  CHECK_FALSE(judgement.reasons[0].certain);
}

TEST_CASE("what is to be kept apart is not proven where nobody says what comes of it, and no better than unsaid") {
  const auto judged = [](Outcome outcome) {
    Pair pair;
    pair.pin("1", Role::gives_signal);
    pair.then_unit();
    pair.pin_apart("1", Role::passes, outcome);
    pair.meets(Role::gives_signal, Role::passes, JoinWhen::always, Outcome::fine);
    return pair.judged();
  };
  const judge::Judgement said = judged(Outcome::misreads);
  CHECK(said.is_proven());
  CHECK(said.best == Verdict::does_not_work);
  REQUIRE(said.reasons.size() == 1);
  CHECK(said.reasons[0].cause == Cause::kept_apart);
  for (const Outcome first : {Outcome::destroys, Outcome::misreads, Outcome::unset}) {  // of several rows the worst
    Pair pair;
    pair.pin("1", Role::gives_signal);
    pair.then_unit();
    pair.pin_apart("1", Role::passes, first);
    for (const Outcome later : {Outcome::misreads, Outcome::destroys, Outcome::unset}) {
      Apart row = pair.build.family.aparts.front();
      row.outcome = later;
      pair.build.family.aparts.push_back(row);
    }
    pair.meets(Role::gives_signal, Role::passes, JoinWhen::always, Outcome::fine);
    const judge::Judgement several = pair.judged();
    CHECK(several.is_proven());
    CHECK(several.best == Verdict::destroys_a_part);
  }
  const judge::Judgement unsaid = judged(Outcome::unset);
  CHECK(unsaid.best == Verdict::does_not_work);  // two circuits that are joined are at least dead
  CHECK(unsaid.worst == Verdict::endangers_people);
  REQUIRE(unsaid.reasons.size() == 2);
  CHECK(unsaid.reasons[0].cause == Cause::circuits_joined);
  CHECK(unsaid.reasons[1].cause == Cause::kept_apart);
  CHECK_FALSE(unsaid.reasons[1].certain);
}

TEST_CASE("a fuse between two counts as one, a contact or plain metal does not") {
  struct Case {
    InsideKind between;
    Verdict verdict;
  };
  for (const auto& [between, verdict] :
       {Case{InsideKind::fuse, Verdict::does_not_work}, Case{InsideKind::contact, Verdict::endangers_people},
        Case{InsideKind::link, Verdict::endangers_people}}) {
    INFO(word(between));
    Pair pair;
    const Index cavity = pair.pin("1", Role::passes), feed = pair.pin("2", Role::gives_feed);
    pair.inside("F1", between, feed, cavity);
    if (between == InsideKind::contact) pair.build.family.insides.back().closed_by = ClosedBy::hand;
    pair.then_unit();
    pair.pin("1", Role::gives_earth);
    for (const Role role : {Role::gives_feed, Role::gives_earth})
      pair.meets(role, Role::passes, JoinWhen::always, Outcome::fine);
    pair.meets(Role::gives_feed, Role::gives_earth, JoinWhen::always, Outcome::opens_fuse);
    pair.meets(Role::gives_feed, Role::gives_earth, JoinWhen::unfused, Outcome::endangers);
    CHECK(pair.judged().best == verdict);
  }
}

TEST_CASE("a pin that has its earth in metal keeps it: a feed on that earth opens its fuse") {
  for (const bool is_earthed : {false, true}) {
    INFO(is_earthed);
    Pair pair;
    pair.inside("F1", InsideKind::fuse, pair.pin("2", Role::gives_feed), pair.pin("1", Role::passes));
    pair.then_unit();
    const Index taker = pair.pin("1", Role::takes_earth);
    if (is_earthed) pair.inside("L1", InsideKind::link, taker, pair.pin("3", Role::gives_earth));
    for (const Role role : {Role::gives_feed, Role::gives_earth, Role::takes_earth})
      pair.meets(role, Role::passes, JoinWhen::always, Outcome::fine);
    pair.meets(Role::gives_earth, Role::takes_earth, JoinWhen::always, Outcome::fine);
    pair.meets(Role::gives_feed, Role::gives_earth, JoinWhen::always, Outcome::opens_fuse);
    pair.meets(Role::gives_feed, Role::takes_earth, JoinWhen::always, Outcome::destroys);
    const judge::Judgement judgement = pair.judged();
    CHECK(judgement.best == (is_earthed ? Verdict::does_not_work : Verdict::destroys_a_part));
    CHECK(judgement.conflicts.count == (is_earthed ? 1 : 0));  // without one, another part may bring the earth
  }
}

TEST_CASE("a shield is earthed once: the second end is told") {
  for (const int ends : {1, 2}) {
    INFO(ends);
    Pair pair;
    const Index earth = pair.pin("1", Role::gives_earth);
    if (ends == 2) pair.inside("L1", InsideKind::link, earth, pair.pin("2", Role::gives_earth));
    pair.then_unit();
    pair.pin("1", Role::shield);
    for (const Role role : {Role::gives_earth, Role::shield})
      pair.meets(Role::gives_earth, role, JoinWhen::always, Outcome::fine);
    pair.meets(Role::gives_earth, Role::shield, JoinWhen::earthed_twice, Outcome::misreads);
    CHECK(pair.judged().best == (ends == 1 ? Verdict::fits : Verdict::does_not_work));
  }
}

TEST_CASE("a plug that hangs loose is to be capped, and left alone where it may fire") {
  for (const Role role : {Role::gives_feed, Role::gives_firing}) {
    INFO(word(role));
    Pair pair;
    pair.pin("1", role);
    pair.then_unit();
    pair.pin("1", Role::passes);
    const judge::Judgement judgement = pair.judged(false);
    CHECK(judgement.best == Verdict::fits_with_loose_ends);
    REQUIRE(judgement.reasons.size() == 1);
    const judge::Reason& reason = judgement.reasons[0];
    CHECK(reason.cause == Cause::hangs_loose);
    CHECK(reason.live == (role == Role::gives_feed));
    CHECK(reason.may_fire == (role == Role::gives_firing));
    CHECK(pair.mend(judgement, reason).has_value() == (role == Role::gives_feed));
  }
}
