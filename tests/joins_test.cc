// What happens when two pin roles share a net: the table of the reference corpus, its way into the family tables and
// through packs, and the lookup. The outcomes that are held here one by one are common practice, no source.
#include "family/joins.h"

#include <catch2/catch.hpp>

#include <algorithm>
#include <set>

#include "editable_yaml.h"
#include "family/words.h"
#include "fixture_harness.h"
#include "nets/nets.h"
#include "pack/pack.h"
#include "random_family.h"

using namespace loomproof;
namespace lt = loomproof::testing;

namespace {

constexpr uint32_t roles = word_count<Role>;  // `unset` is the first of them

Role role(std::string_view text) {
  Role value{};
  if (!parse_word(text, value)) FAIL("no role " << text);
  return value;
}

const Compiled& reference() {
  static const std::unique_ptr<Compiled> compiled =
      lt::compile_files(lt::corpus_in_memory(std::filesystem::path(LOOMPROOF_SOURCE_DIR) / "reference"));
  return *compiled;
}

const Family& table() {
  REQUIRE_FALSE(reference().families.empty());
  return reference().families.front().family;
}

template <typename Visit>
void each_pair(Visit&& visit) {
  for (uint32_t a = 1; a < roles; ++a)
    for (uint32_t b = a; b < roles; ++b) visit(Role{a}, Role{b});
}

// What a row says, whatever the numbers of its texts.
std::string said(const Family& family, const Join& join) {
  return fmt::format("{} and {}, {}: {}, {}: {}", word(join.a), word(join.b), word(join.when), outcome_word(join),
                     word(join.suffers), family.text(join.because));
}

std::vector<std::string> said(const Family& family) {
  std::vector<std::string> all;
  for (const Join& join : family.joins) all.push_back(said(family, join));
  return all;
}

Family read_back(const std::string& bytes) {
  const pack::Opened opened = pack::Pack::open(bytes);
  INFO(opened.refusal);
  REQUIRE(opened.pack);
  return pack::load(*opened.pack);
}

}  // namespace

TEST_CASE("every family carries every pair of roles, with what always holds first") {
  REQUIRE(reference().families.size() >= 2);
  for (const CompiledFamily& each : reference().families) {
    const Family& family = each.family;
    uint32_t pairs = 0;
    each_pair([&](Role a, Role b) {
      INFO(word(a) << " and " << word(b));
      ++pairs;
      const std::span<const Join> found = joins_of(family, a, b);
      REQUIRE_FALSE(found.empty());
      CHECK(found.front().when == JoinWhen::always);
      for (const Join& join : found) {
        CHECK_FALSE(family.text(join.because).empty());
        const Cite& cite = family.cites[join.cite];
        REQUIRE(cite.sources.count == 1);
        CHECK(family.sources[family.source_refs[cite.sources.first]].kind == SourceKind::practice);
      }
    });
    CHECK(pairs == 276);  // 23 roles: 23 * 24 / 2
    CHECK(said(family) == said(table()));
  }
}

TEST_CASE("the lookup finds what a look at every row finds, in either order") {
  const auto check = [](const Family& family) {
    for (uint32_t one = 0; one < roles; ++one)
      for (uint32_t other = 0; other < roles; ++other) {
        std::vector<const Join*> expected;
        for (const Join& join : family.joins)
          if ((join.a == Role{one} && join.b == Role{other}) || (join.a == Role{other} && join.b == Role{one}))
            expected.push_back(&join);
        const std::span<const Join> found = joins_of(family, Role{one}, Role{other});
        REQUIRE(found.size() == expected.size());
        for (size_t i = 0; i < found.size(); ++i) CHECK(&found[i] == expected[i]);
        CHECK((found.empty() || found.front().when == JoinWhen::always));
      }
  };
  for (uint32_t seed = 0; seed < 20; ++seed) check(lt::random_family(seed));
  check(table());
  check(Family());
}

TEST_CASE("a pack gives the table back, and one from before the table has none") {
  CHECK(said(read_back(pack::write(table()))) == said(table()));
  Family older = table();
  older.joins.clear();
  const Family back = read_back(pack::write(older));
  CHECK(back.joins.empty());
  CHECK(joins_of(back, Role::gives_feed, Role::gives_earth).empty());
}

TEST_CASE("a table that the lookup could not search is refused") {
  Family family = lt::random_family(9);
  family.joins = {{Role::gives_feed, Role::gives_feed}, {Role::gives_feed, Role::takes_feed}};
  REQUIRE(pack::fault_of(family).empty());
  SECTION("rows out of order") {
    std::swap(family.joins[0], family.joins[1]);
    CHECK(pack::fault_of(family) == "joins row 1: it is out of order");
  }
  SECTION("a row twice") {
    family.joins.push_back(family.joins.back());
    CHECK(pack::fault_of(family) == "joins row 2: it is out of order");
  }
  SECTION("the later role first") {
    std::swap(family.joins[1].a, family.joins[1].b);
    CHECK(pack::fault_of(family) == "joins row 1: it is out of order");
  }
  SECTION("a condition without what holds where it does not") {
    family.joins[1].when = JoinWhen::volts_above;
    CHECK(pack::fault_of(family) == "joins row 1: it is out of order");
  }
  SECTION("no role") {
    family.joins[0].a = Role::unset;
    CHECK(pack::fault_of(family) == "joins row 0: it is out of order");
  }
}

TEST_CASE("a pair may stand the other way round, and rows in any order") {
  lt::FixtureFiles files = lt::base_corpus();
  std::string& text = files.files.at("./rules/joins.yaml");
  lt::Yaml root = lt::editable(text);
  const std::unique_ptr<Compiled> as_written = lt::compile_files(files);
  for (auto& [key, row] : root.find("joins")->entries) {
    lt::Yaml* meets = row.find("meets");
    if (meets->entries[0].second.text == meets->entries[1].second.text) continue;
    std::swap(meets->entries[0], meets->entries[1]);
    const auto turn = [](lt::Yaml& said_row) {
      std::string& suffers = said_row.find("suffers")->text;
      suffers = suffers == "first" ? "second" : suffers == "second" ? "first" : suffers;
    };
    turn(row);
    if (lt::Yaml* but = row.find("but"))
      for (auto& [none_, condition] : but->entries) turn(condition);
  }
  std::reverse(root.find("joins")->entries.begin(), root.find("joins")->entries.end());
  text = lt::written(root, 2);
  const std::unique_ptr<Compiled> turned = lt::compile_files(files);
  CHECK(lt::rendered(*turned).empty());
  CHECK(said(turned->families.front().family) == said(as_written->families.front().family));
}

TEST_CASE("a table with a hole is not handed on") {
  lt::FixtureFiles files = lt::base_corpus();
  lt::Yaml root = lt::editable(files.files.at("./rules/joins.yaml"));
  root.find("joins")->entries.pop_back();
  files.files.at("./rules/joins.yaml") = lt::written(root, 2);
  const std::unique_ptr<Compiled> compiled = lt::compile_files(files);
  REQUIRE(compiled->report.findings().size() == 1);
  CHECK(compiled->report.findings().front().rule == Rule::join_missing);
  CHECK(compiled->families.front().family.joins.empty());
}

// Said of the trade: common practice, no source.
TEST_CASE("what the trade knows stands in the table") {
  struct Known {
    const char *one, *other;
    JoinWhen when;
    Outcome outcome;
    Suffers suffers;
  };
  const Known known[] = {
      {"gives-feed", "gives-earth", JoinWhen::always, Outcome::opens_fuse, Suffers::wire},
      {"gives-feed", "gives-earth", JoinWhen::unfused, Outcome::endangers, Suffers::people},
      {"gives-feed", "gives-feed", JoinWhen::always, Outcome::fine, Suffers::nobody},
      {"gives-feed", "gives-feed", JoinWhen::other_terminal, Outcome::stays_on, Suffers::both},
      {"gives-feed", "gives-feed", JoinWhen::volts_differ, Outcome::destroys, Suffers::both},
      {"gives-feed", "takes-feed", JoinWhen::always, Outcome::fine, Suffers::nobody},
      {"gives-feed", "takes-feed", JoinWhen::volts_above, Outcome::destroys, Suffers::second},  // 24 V on a 12 V unit
      {"gives-feed", "takes-feed", JoinWhen::volts_below, Outcome::dead, Suffers::second},
      {"gives-earth", "pulls-low", JoinWhen::always, Outcome::stays_on,
       Suffers::second},  // a lift pump that never stops
      {"gives-earth", "takes-low", JoinWhen::always, Outcome::stays_on, Suffers::second},
      {"gives-earth", "gives-return", JoinWhen::always, Outcome::destroys, Suffers::second},
      {"gives-return", "takes-low", JoinWhen::always, Outcome::destroys,
       Suffers::first},  // a valve over a sensor return
      {"gives-earth", "gives-reference", JoinWhen::always, Outcome::dead, Suffers::second},
      {"gives-reference", "takes-reference", JoinWhen::always, Outcome::fine, Suffers::nobody},
      {"pulls-low", "takes-low", JoinWhen::current_above, Outcome::destroys, Suffers::first},
      {"pulls-low", "pulls-high", JoinWhen::always, Outcome::destroys, Suffers::both},
      {"pulls-high", "takes-high", JoinWhen::current_above, Outcome::destroys, Suffers::first},
      {"bus", "bus", JoinWhen::other_line, Outcome::dead, Suffers::both},
      {"gives-earth", "shield", JoinWhen::earthed_twice, Outcome::misreads, Suffers::second},
      {"gives-firing", "takes-firing", JoinWhen::always, Outcome::fine, Suffers::nobody},
      {"gives-firing", "takes-firing", JoinWhen::other_circuit, Outcome::endangers, Suffers::people},
      {"gives-feed", "takes-firing", JoinWhen::always, Outcome::endangers, Suffers::people},
      {"takes-feed", "takes-low", JoinWhen::always, Outcome::fine, Suffers::nobody},
      {"gives-feed", "unknown", JoinWhen::always, Outcome::unset, Suffers::nobody},
  };
  for (const Known& one : known) {
    INFO(one.one << " and " << one.other << ", " << word(one.when));
    const auto found = joins_of(table(), role(one.other), role(one.one));
    const auto row = std::find_if(found.begin(), found.end(), [&](const Join& join) { return join.when == one.when; });
    REQUIRE(row != found.end());
    CHECK(row->outcome == one.outcome);
    CHECK(row->suffers == one.suffers);
  }
}

TEST_CASE("the table agrees with itself") {
  const std::set<Role> firing{Role::gives_firing, Role::takes_firing};
  const auto gives = [](Role one) { return one < Role::takes_feed && one != Role::shield; };
  const auto is_inert = [](Role one) { return one == Role::open || one == Role::passes; };
  each_pair([&](Role a, Role b) {
    INFO(word(a) << " and " << word(b));
    const std::span<const Join> found = joins_of(table(), a, b);
    for (const Join& join : found) {
      INFO(word(join.when));
      // Whoever suffers nothing is well or not known, and the other way round.
      CHECK((join.suffers == Suffers::nobody) == (join.outcome == Outcome::fine || join.outcome == Outcome::unset));
      CHECK((join.suffers == Suffers::people) == (join.outcome == Outcome::endangers));
      if (a == b) CHECK((join.suffers != Suffers::first && join.suffers != Suffers::second));
      // A condition makes it worse: a reader who cannot tell whether it holds knows the better and the worse end.
      if (join.when != JoinWhen::always) CHECK(join.outcome > found.front().outcome);
      switch (join.when) {
        case JoinWhen::other_terminal:
          CHECK((a == Role::gives_feed && b == Role::gives_feed));
          break;
        case JoinWhen::volts_differ:
          CHECK((gives(a) && gives(b)));
          break;
        case JoinWhen::volts_above:
        case JoinWhen::volts_below:
        case JoinWhen::current_above:
          CHECK(gives(a));
          break;
        case JoinWhen::unfused:
          CHECK(a == Role::gives_feed);
          break;
        case JoinWhen::other_line:
          CHECK((a == Role::bus && b == Role::bus));
          break;
        case JoinWhen::earthed_twice:
          CHECK((a == Role::shield || b == Role::shield));
          break;
        case JoinWhen::always:
        case JoinWhen::other_circuit:
          break;
      }
    }
    // Nothing touches a firing circuit but its own igniter, what it passes through, and what has nothing inside.
    if (firing.count(a) + firing.count(b) == 1 && b != Role::open && b != Role::unknown)
      CHECK(std::any_of(found.begin(), found.end(), [](const Join& join) {
        return join.outcome == Outcome::endangers &&
               (join.when == JoinWhen::always || (join.b == Role::passes && join.when == JoinWhen::other_circuit));
      }));
    if (firing.count(a) && firing.count(b)) {
      REQUIRE(found.size() == 2);
      CHECK(found[1].when == JoinWhen::other_circuit);
      CHECK(found[1].outcome == Outcome::endangers);
    }
    // What nobody has looked at is never fine, but at a pin with nothing inside.
    if (b == Role::unknown) CHECK((found.front().outcome == Outcome::unset) == (a != Role::open));
    // Pins that make no demand and takers among themselves leave it to what gives.
    const bool is_left_to_givers = is_inert(b) || (!gives(a) && a != Role::shield && b != Role::unknown);
    if (is_left_to_givers && !firing.count(a) && !firing.count(b)) {
      CHECK(found.size() == 1);
      CHECK(found.front().outcome == Outcome::fine);
    }
  });
}

// The factory's looms worked. Held against pairs of pins alone: loads, fuses and switches between them play no part.
TEST_CASE("no factory build joins pins that the table calls bad whatever the conditions") {
  uint32_t pairs = 0;
  for (const CompiledFamily& each : reference().families) {
    const Family& family = each.family;
    const FamilyIndex index(family);
    for (uint32_t cell : family.set(family.built).cells()) {
      const BuildNets build = build_nets(index, cell);
      for (Index net = 0; net < build.nets.count(); ++net) {
        std::vector<std::pair<Role, Index>> on_net;
        for (Index point : build.nets.points(net)) {
          for (Index pin : index.pins_at(point))
            if (family.holds(family.pins[pin].cells, cell)) on_net.emplace_back(family.pins[pin].role, point);
          for (const Lead& lead : family.leads)
            if (lead.point == point && family.holds(lead.cells, cell)) on_net.emplace_back(lead.role, point);
        }
        for (size_t a = 0; a < on_net.size(); ++a)
          for (size_t b = a + 1; b < on_net.size(); ++b) {
            const std::span<const Join> found = joins_of(family, on_net[a].first, on_net[b].first);
            REQUIRE_FALSE(found.empty());
            ++pairs;
            INFO(point_name(family, on_net[a].second)
                 << " and " << point_name(family, on_net[b].second) << " in " << cell_text(family, cell) << ": "
                 << said(family, found.front()));
            CHECK((found.front().outcome == Outcome::fine || found.front().outcome == Outcome::unset));
          }
      }
    }
  }
  CHECK(pairs > 500);
}
