// The known combinations of the corpus, as it compiles and through its packs: they cover every verdict and outcome, and
// the bench finds of each what is stated. The Croft is invented. What the trailer couplings do to each other is held
// against the tables of contacts of ISO 1724:2003, ISO 3732:2003, ISO 11446:2004 and ISO 11446-1:2012 in
// tests/published, and against their footnotes, named at each check.
#include <nlohmann/json.hpp>
#include <set>

#include "compile/compile.h"
#include "family/words.h"
#include "judge/judgement.h"
#include "known/known.h"
#include "pack/pack.h"
#include "published/table.h"
#include "run_bench.h"

using namespace loomproof;
using loomproof::testing::published_table;

namespace {

const Compiled& compiled() {
  static const std::unique_ptr<Compiled> once = compile(RealFiles(), LOOMPROOF_SOURCE_DIR "/reference", {});
  return *once;
}

const Family& family_of(const std::string& id) {
  for (const CompiledFamily& each : compiled().families)
    if (each.family.text(each.family.id) == id) return each.family;
  FAIL("no family " << id);
  return compiled().families.front().family;
}

Family packed(const std::string& id) {
  const std::string bytes = loomproof::testing::read_file(std::string(PACKS) + "/" + id + ".loompack");
  const pack::Opened opened = pack::Pack::open(bytes);
  INFO(opened.refusal);
  REQUIRE(opened.pack);
  return pack::load(*opened.pack);
}

const Combination& known_as(const Family& family, const std::string& id) {
  for (const Combination& each : family.combinations)
    if (family.text(each.id) == id) return each;
  FAIL("no known combination " << id);
  return family.combinations.front();
}

std::string quoted(const nlohmann::json& words) {
  std::string line;
  for (const auto& word : words) line += " '" + word.get<std::string>() + "'";
  return line;
}

const std::vector<std::string> all_families{"audio-iso10487",   "croft",       "diagnostic-j1939",
                                            "diagnostic-j1962", "trailer-12v", "trailer-24v"};

// What a trailer finds nothing for, by the contacts of its plug.
std::set<std::string> dead_contacts(const std::string& id) {
  const Family& family = family_of("trailer-12v");
  const FamilyIndex index(family);
  judge::Shelf shelf(index);
  std::vector<known::Fault> faults;
  const known::Stands stands = known::put_together(shelf, known_as(family, id), faults);
  REQUIRE(faults.empty());
  judge::Assembly assembly;
  for (const known::Stand& stand : stands) {
    REQUIRE(stand.edits.empty());
    assembly.at.push_back(stand.variant);
  }
  judge::Judge judge(shelf);
  std::set<std::string> contacts;
  for (const judge::Reason& reason : judge.judge(assembly).reasons) {
    if (reason.cause != judge::Cause::need_unmet) continue;
    const judge::Variant& variant = judge.network().variant(reason.port.place);
    const Part& part = family.parts[variant.part];
    REQUIRE(family.text(family.places[part.place].id) == "TRAILER");
    const Index lead = judge.network().port(reason.port).point;
    for (const Wire& wire : rows(family.wires, part.wires))
      if (wire.to == lead && family.holds(wire.cells, variant.cell))
        contacts.emplace(family.text(family.points[wire.from].name));
  }
  return contacts;
}

}  // namespace

TEST_CASE("the known combinations of the corpus cover every verdict and every outcome") {
  CHECK(compiled().report.findings().empty());
  size_t all = 0;
  for (const std::string& id : all_families) all += family_of(id).combinations.size();
  CHECK(compiled().report.judged_count(Rule::combination_verdict) == all);
  const Family& croft = family_of("croft");
  CHECK(croft.combinations.size() >= 10);
  std::set<Verdict> verdicts;
  std::set<Outcome> outcomes;
  bool is_any_not_proven = false;
  for (const Combination& each : croft.combinations) {
    if (each.best == each.worst) verdicts.insert(each.best);
    is_any_not_proven |= each.best != each.worst;
    outcomes.insert(each.outcome);
  }
  CHECK(verdicts.size() == word_count<Verdict>);
  CHECK(outcomes.size() == word_count<Outcome> - 1);  // all but `unset`
  CHECK(is_any_not_proven);
}

TEST_CASE("every known combination names its reason and its source") {
  for (const std::string& id : all_families)
    for (const Combination& each : family_of(id).combinations) {
      INFO(id << " " << family_of(id).text(each.id));
      CHECK_FALSE(family_of(id).text(each.because).empty());
      CHECK(family_of(id).cites[each.cite].sources.count > 0);
    }
}

TEST_CASE("through packs the judge finds of each known combination what is stated") {
  for (const std::string& id : all_families) {
    const Family family = packed(id);
    REQUIRE(family.combinations.size() == family_of(id).combinations.size());
    const FamilyIndex index(family);
    judge::Shelf shelf(index);
    for (Index row = 0; row < family.combinations.size(); ++row) {
      const Combination& each = family.combinations[row];
      INFO(id << " " << family.text(each.id));
      std::vector<known::Fault> faults;
      const known::Stands stands = known::put_together(shelf, each, faults);
      REQUIRE(faults.empty());
      const known::Found found = known::judge_stands(shelf, stands);
      INFO(known::verdict_words(found.best, found.worst) << ", " << word(found.outcome));
      CHECK(known::is_as_stated(family, each, found));
      CHECK(known::find(shelf, stands) == row);  // and no two are the same
    }
  }
}

TEST_CASE("loombench fit gives each known combination its verdict, and says that it is known") {
  for (const std::string& id : all_families) {
    const auto shown = loomproof::testing::run_bench("show " + id + " combinations --format json");
    REQUIRE(shown.status == 0);
    const auto list = nlohmann::json::parse(shown.out)["combinations"];
    REQUIRE(list.size() == family_of(id).combinations.size());
    for (const auto& each : list) {
      const auto run = loomproof::testing::run_bench("fit" + quoted(each["fit"]) + " --format json");
      INFO(each.dump(1) << run.err);
      REQUIRE(run.status <= 1);
      const auto answer = nlohmann::json::parse(run.out);
      CHECK(answer["verdict"]["best"] == each["verdict"]["best"]);
      CHECK(answer["verdict"]["worst"] == each["verdict"]["worst"]);
      CHECK(answer["known"]["id"] == each["id"]);
      CHECK(answer["known"]["because"] == each["because"]);
      CHECK(answer["known"]["source"] == each["source"]);
      const std::string worst = each["verdict"]["worst"];
      CHECK(run.status == (worst == "fits" || worst == "fits, with loose ends" ? 0 : 1));
    }
  }
}

TEST_CASE("what is like a known combination but for one edit is not said to be it") {
  const std::string parts = "fit croft --others era=c,exhaust-brake=none,supply=24V --format json ";
  const auto known = [&](const std::string& more) {
    return nlohmann::json::parse(loomproof::testing::run_bench(parts + more).out).contains("known");
  };
  CHECK(known("--found 'CHASSIS-LOOM: cut C1.21'"));
  CHECK_FALSE(known("--found 'CHASSIS-LOOM: cut C1.22'"));
  CHECK_FALSE(known("--found 'CHASSIS-LOOM: cut C1.21' --found 'CHASSIS-LOOM: cut C1.22'"));
  CHECK_FALSE(known("--found 'CHASSIS-LOOM: cut C1.21' --found 'CAB-LOOM: cut C61.1'"));
  CHECK_FALSE(known(""));
}

// ISO 1724 has one return for all, ISO 11446 the same one for its lamps (contact 3): what the 13-way table names and
// the 12N table does not is what an adapter of contacts 1 to 7 cannot bring.
TEST_CASE("what stays dead behind an adapter is what the vehicle's table does not have") {
  const auto functions = [](const std::string& table) {
    std::set<std::string> all;
    for (const auto& row : published_table(table)) all.insert(row.at("function"));
    return all;
  };
  const std::set<std::string> given = functions("iso1724.csv");
  std::set<std::string> dead;
  for (const auto& row : published_table("iso11446.csv")) {
    const bool has_core = !row.at("colour").empty(), is_lamp_return = row.at("contact") == "3";
    if (has_core && !is_lamp_return && given.count(row.at("function")) == 0) dead.insert(row.at("contact"));
  }
  CHECK(dead == std::set<std::string>{"8", "9", "10", "11", "13"});
  CHECK(dead_contacts("13-way-2012-by-adapter-on-12n") == dead);
  CHECK(dead_contacts("13-way-2004-by-adapter-on-12n") == dead);  // contact 12 is bridged in the trailer's own plug
  CHECK(dead_contacts("12n-by-adapter-on-2012").empty());         // contacts 1 to 7 are the same in both
  CHECK(dead_contacts("12s-by-adapter-on-2012").empty());
}

TEST_CASE("each coupling alone, and each on another") {
  const Family& family = family_of("trailer-12v");
  const auto best = [&](const std::string& id) { return known_as(family, id).best; };
  // One table serves both sides: ISO 1724:2003, ISO 3732:2003, ISO 11446:2004, ISO 11446-1:2012.
  for (const char* id : {"12n-on-12n", "12s-on-12s", "13-way-2004-on-2004", "13-way-2012-on-2012"})
    CHECK(best(id) == Verdict::fits);
  // Types N and S mix pins and tubes differently (ISO 1724, ISO 3732); a 7-way and a 13-way shell are of other sizes.
  for (const char* id :
       {"12n-on-12s", "12s-on-12n", "12n-on-13-way", "12s-on-13-way", "13-way-on-12n", "13-way-on-12s"})
    CHECK(best(id) >= Verdict::does_not_work);
  // Contact 12: bridged to 3 in the trailer's plug (ISO 11446:2004, one page), reserved and without a core in 2012.
  CHECK(best("13-way-2004-on-2012") == Verdict::fits);
  CHECK(best("13-way-2012-on-2004") == Verdict::does_not_work);
}

TEST_CASE("what the standards keep apart in the trailer") {
  const Family& family = family_of("trailer-12v");
  const auto is_stated = [&](const std::string& id, Outcome outcome, const std::string& source) {
    const Combination& row = known_as(family, id);
    INFO(id);
    CHECK(row.outcome == outcome);
    const Cite& cite = family.cites[row.cite];
    bool is_cited = false;
    for (Index ref = cite.sources.first; ref < cite.sources.end(); ++ref)
      is_cited |= family.text(family.sources[family.source_refs[ref]].id) == source;
    CHECK(is_cited);
  };
  // ISO 11446-1, footnote a: the three returns (contacts 3, 11, 13) shall not be electrically joined in the trailer.
  is_stated("returns-joined-in-trailer", Outcome::destroys, "iso-11446-1-2012");
  is_stated("returns-joined-in-adapter", Outcome::destroys, "iso-11446-1-2012");
  // ISO 11446-1, footnote b: no registration-plate lamp shall have a common connection with both 5 and 7.
  is_stated("number-plate-lamp-between-sides", Outcome::stays_on, "iso-11446-1-2012");
  // ISO 3732:2003: contacts 3 and 7 are separate returns, for 4 and 6.
  is_stated("12s-returns-joined-in-trailer", Outcome::destroys, "iso-3732-2003");
  // ISO 11446, national allocation before it: two returns only, contact 11 unallocated.
  is_stated("socket-before-2004", Outcome::dead, "iso-11446-2004");
}

TEST_CASE("24 V: each coupling alone, on another, and by an adapter") {
  const Family& family = family_of("trailer-24v");
  const auto row = [&](const std::string& id) -> const Combination& { return known_as(family, id); };
  // One table serves both sides: ISO 1185, ISO 3731:2003, ISO 12098. Only of the 15-way coupling is every contact
  // known.
  for (const char* id : {"24n-on-24n", "24s-on-24s", "15-way-on-15-way"}) CHECK(row(id).best == Verdict::fits);
  CHECK(row("15-way-on-15-way").worst == Verdict::fits);
  CHECK(row("24n-on-24n").worst > Verdict::fits);  // contact 7: a regional practice has something else there
  CHECK(row("24s-on-24s").worst > Verdict::fits);  // contact 5: which side earths it is not published
  // ISO 12098 has no contact for the trailer's brake control, ISO 1185 has.
  CHECK(row("24n-by-adapter-on-15-way").best == Verdict::endangers_people);
  // ISO 12098: 13 is the return of the data contacts alone; no plate lamp between the position lamps.
  for (const char* id : {"returns-joined-in-trailer", "returns-joined-in-adapter"})
    CHECK(row(id).best == Verdict::destroys_a_part);
  CHECK(row("number-plate-lamp-between-sides").outcome == Outcome::stays_on);
}

TEST_CASE("a tool that the shell keeps out does not fit, and none that enters is proven to fit") {
  // SAE J1962: a plug of type A (12 V) does not enter a socket of type B (24 V); type B enters both. SAE J1939-13
  // likewise.
  const auto row = [&](const std::string& family, const std::string& id) { return known_as(family_of(family), id); };
  CHECK(row("diagnostic-j1962", "a-on-b").best >= Verdict::does_not_work);
  CHECK(row("diagnostic-j1939", "type-1-on-type-2").best >= Verdict::does_not_work);
  for (const char* id : {"a-on-a", "b-on-b", "b-on-a"}) {
    CHECK(row("diagnostic-j1962", id).best == Verdict::fits);
    CHECK(row("diagnostic-j1962", id).worst > Verdict::fits);
  }
  for (const char* id : {"type-1-on-type-1", "type-2-on-type-2", "type-2-on-type-1"}) {
    CHECK(row("diagnostic-j1939", id).best == Verdict::fits);
    CHECK(row("diagnostic-j1939", id).worst > Verdict::fits);
  }
}

// Pages on ISO 10487: some makes exchange contacts 4 and 7 of block A; measure before fitting.
TEST_CASE("a radio with 4 and 7 of block A exchanged does not work where they are not") {
  const Family& family = family_of("audio-iso10487");
  CHECK(known_as(family, "convention-in-exchanged").best == Verdict::does_not_work);
  CHECK(known_as(family, "exchanged-in-convention").best == Verdict::does_not_work);
  CHECK(known_as(family, "convention-in-convention").best == Verdict::fits);
}
