// The order in which a reviewer should look: each risk fires on the change that it is about, and stays silent on its
// near miss. The croft, edited in tables or in text.
#include "review/risk.h"

#include <catch2/catch.hpp>

#include "family/words.h"
#include "review/render.h"
#include "review_edits.h"

namespace lt = loomproof::testing;
using namespace loomproof;
using Told = review::Change;
using review::FamilyReview;
using review::Nature;
using review::Risk;

namespace {

const Family& croft() {
  return lt::croft_base().families.front().family;
}

FamilyReview between(const Family& base, const Family& head) {
  return review::review({{"croft", &base, "a", ""}}, {{"croft", &head, "b", ""}}).families.at(0);
}

// The first wire of a circuit of that class, in the tables; its row.
Index wire_of(const Family& family, CircuitClass kind) {
  for (Index row = 0; row < family.wires.size(); ++row)
    if (family.wires[row].circuit != none && family.circuits[family.wires[row].circuit].kind == kind) return row;
  throw std::runtime_error("no wire of that class");
}

// The risk of one wire in another colour.
Risk recoloured(CircuitClass kind) {
  Family head = croft();
  Wire& wire = head.wires[wire_of(head, kind)];
  wire.base = wire.base == 0 ? 1 : 0;
  const FamilyReview review = between(croft(), head);
  REQUIRE(review.changes.size() == 1);
  CHECK(review.changes[0].nature == Nature::metal);
  return review.changes[0].risk;
}

Index add_source(Family& family, SourceKind kind) {
  Source source = family.sources.front();
  family.strings.push_back("source-of-kind-" + std::string(word(kind)));
  source.id = static_cast<Str>(family.strings.size() - 1);
  source.kind = kind;
  family.sources.push_back(source);
  return static_cast<Index>(family.sources.size() - 1);
}
CiteId add_cite(Family& family, const std::vector<Index>& sources, bool independent = false) {
  Cite cite;
  cite.sources = {static_cast<Index>(family.source_refs.size()), static_cast<Index>(sources.size())};
  cite.own = 1;
  cite.independent = independent;
  for (const Index source : sources) family.source_refs.push_back(source);
  family.cites.push_back(cite);
  return static_cast<CiteId>(family.cites.size() - 1);
}

// What is said of one wire that rests on `was` in the base and on `is` in the head.
Told founded(const std::vector<SourceKind>& was, const std::vector<SourceKind>& is, bool independent_was = false,
             bool independent_is = false) {
  Family base = croft();
  std::map<SourceKind, Index> sources;
  for (const SourceKind kind : {SourceKind::standard, SourceKind::manual, SourceKind::measurement, SourceKind::memory})
    sources[kind] = add_source(base, kind);
  Family head = base;
  const auto cite = [&](Family& family, const std::vector<SourceKind>& kinds, bool independent) {
    std::vector<Index> rows;
    for (const SourceKind kind : kinds) rows.push_back(sources[kind]);
    family.wires[wire_of(family, CircuitClass::signal)].cite = add_cite(family, rows, independent);
  };
  cite(base, was, independent_was);
  cite(head, is, independent_is);
  const FamilyReview review = between(base, head);
  REQUIRE(review.changes.size() == 1);
  CHECK(review.changes[0].nature == Nature::evidence);
  return review.changes[0];
}

}  // namespace

TEST_CASE("what a circuit is decides, and plain signals carry no risk") {
  CHECK(recoloured(CircuitClass::firing) == Risk::firing);
  CHECK(recoloured(CircuitClass::feed) == Risk::feed);
  CHECK(recoloured(CircuitClass::earth) == Risk::earth);
  CHECK(recoloured(CircuitClass::return_) == Risk::return_);
  CHECK(recoloured(CircuitClass::reference) == Risk::reference);
  CHECK(recoloured(CircuitClass::signal) == Risk::other);
  CHECK(recoloured(CircuitClass::drive) == Risk::other);
}

TEST_CASE("the riskiest stand first, whatever their places are called") {
  Family head = croft();
  for (const CircuitClass kind : {CircuitClass::signal, CircuitClass::reference, CircuitClass::return_,
                                  CircuitClass::earth, CircuitClass::feed, CircuitClass::firing}) {
    Wire& wire = head.wires[wire_of(head, kind)];
    wire.base = wire.base == 0 ? 1 : 0;
  }
  std::vector<Risk> risks;
  for (const Told& change : between(croft(), head).changes) risks.push_back(change.risk);
  CHECK(risks == std::vector<Risk>{Risk::firing, Risk::feed, Risk::earth, Risk::return_, Risk::reference, Risk::other});
}

TEST_CASE("whatever is in a plug with a firing circuit is of that risk") {
  // The housing of a firing connector, which names no circuit.
  const Wire& wire = croft().wires[wire_of(croft(), CircuitClass::firing)];
  Family head = croft();
  size_t edited = 0;
  for (ConnectorRow& row : head.connector_rows)
    if (row.connector == head.points[wire.from].connector) row.housing = row.housing == 0 ? 1 : 0, ++edited;
  REQUIRE(edited > 0);
  for (const Told& change : between(croft(), head).changes)
    if (change.kind == "rehoused") CHECK(change.risk == Risk::firing);
  // The same of any other plug.
  const Wire& other = croft().wires[wire_of(croft(), CircuitClass::drive)];
  head = croft();
  for (ConnectorRow& row : head.connector_rows)
    if (row.connector == head.points[other.from].connector) row.housing = row.housing == 0 ? 1 : 0;
  size_t told = 0;
  for (const Told& change : between(croft(), head).changes)
    if (change.kind == "rehoused") {
      CHECK(change.risk != Risk::firing);
      ++told;
    }
  CHECK(told > 0);
}

TEST_CASE("a fact that rests on less than it did") {
  const Told weaker = founded({SourceKind::manual}, {SourceKind::memory});
  CHECK(weaker.risk == Risk::weaker_source);
  CHECK(weaker.remark == "rests on memory, was manual");
  const Told alone = founded({SourceKind::manual, SourceKind::measurement}, {SourceKind::manual}, true);
  CHECK(alone.risk == Risk::weaker_source);
  CHECK(alone.remark == "rests on one source, was 2 independent of each other");
  // The best of several counts, and one more beside it takes nothing away.
  CHECK(founded({SourceKind::standard}, {SourceKind::standard, SourceKind::memory}).risk == Risk::other);
  CHECK(founded({SourceKind::memory}, {SourceKind::manual}).risk == Risk::other);
  CHECK(founded({SourceKind::manual}, {SourceKind::manual, SourceKind::measurement}, false, true).risk == Risk::other);
}

TEST_CASE("a fact that is marked as weaker than the rest of its row") {
  const auto marked = [](uint32_t was, uint32_t is) {
    Family base = croft(), head = croft();
    const Index row = wire_of(base, CircuitClass::signal);
    base.wires[row].marks = was, head.wires[row].marks = is;
    const FamilyReview review = between(base, head);
    REQUIRE(review.changes.size() == 1);
    return review.changes[0];
  };
  const Told change = marked(0, colour_memory);
  CHECK(change.risk == Risk::weaker_source);
  CHECK(change.remark == "colour is now marked memory");
  CHECK(marked(colour_single, colour_memory).risk == Risk::weaker_source);
  CHECK(marked(colour_memory, 0).risk == Risk::other);
  CHECK(marked(colour_memory, colour_single).risk == Risk::other);
}

TEST_CASE("a source that itself is worth less") {
  Family base = croft(), head = croft();
  base.sources[0].kind = SourceKind::manual, head.sources[0].kind = SourceKind::memory;
  FamilyReview review = between(base, head);
  REQUIRE(review.changes.size() == 1);
  CHECK(review.changes[0].risk == Risk::weaker_source);
  review = between(head, base);
  REQUIRE(review.changes.size() == 1);
  CHECK(review.changes[0].risk == Risk::other);
}

TEST_CASE("a declared difference whose reason is empty talk") {
  const auto reason = [](const std::string& text) {
    const FamilyReview review =
        lt::croft_with("./families/croft/changes/c-d.yaml", "because: stronger stop-solenoid drive in the pump unit",
                       "because: " + text);
    REQUIRE(review.changes.size() == 1);
    return review.changes[0];
  };
  const Told empty = reason("see manual");
  CHECK(empty.risk == Risk::empty_reason);
  CHECK(empty.remark == "the reason says nothing");
  CHECK(empty.words ==
        "reason of what is declared between c and d changed from stronger stop-solenoid drive in the pump unit to see "
        "manual");
  CHECK(reason("the old drive burnt out with two solenoids").risk == Risk::other);
}

TEST_CASE("builds and known combinations that are judged otherwise") {
  // Two ends exchanged: return and signal of the rack sensor.
  lt::FixtureFiles files = lt::croft_alone();
  lt::read_otherwise(lt::file_of(files, "./families/croft/looms/pump.yaml"), "P1", {{"4", "5"}, {"5", "4"}});
  const FamilyReview review = lt::croft_after(files);
  size_t builds = 0, combinations = 0;
  for (const review::VerdictChange& each : review.verdicts) {
    builds += each.what.starts_with("factory builds");
    combinations += each.what.starts_with("combination");
    CHECK(each.was != each.becomes);
    CHECK_FALSE(each.because.empty());
  }
  CHECK(builds > 0);
  CHECK(combinations > 0);
  // A colour changes no verdict.
  CHECK(lt::croft_with("./families/croft/looms/pump.yaml", "colour: GN/WH", "colour: GN/RD").verdicts.empty());
}

TEST_CASE("what a combination is said to come to is of the risk of a verdict, its title is not") {
  Family head = croft();
  REQUIRE_FALSE(head.combinations.empty());
  head.combinations[0].worst = Verdict::endangers_people;
  FamilyReview review = between(croft(), head);
  REQUIRE(review.changes.size() == 1);
  CHECK(review.changes[0].risk == Risk::verdict);
  head = croft();
  head.strings.push_back("another title");
  head.combinations[0].title = static_cast<Str>(head.strings.size() - 1);
  review = between(croft(), head);
  REQUIRE(review.changes.size() == 1);
  CHECK(review.changes[0].risk == Risk::other);
}
