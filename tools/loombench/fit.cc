// Will these parts work together?
#include <fmt/format.h>

#include <algorithm>
#include <tuple>

#include "answer.h"
#include "describe.h"
#include "family/words.h"
#include "fitting.h"
#include "judge/mend.h"
#include "judge/words.h"
#include "nets/firing.h"
#include "repin/suit.h"

namespace loomproof::bench {
namespace {

using judge::Assembly;
using judge::Cause;
using judge::Judgement;
using judge::Reason;
using judge::Shelf;
using Json = nlohmann::ordered_json;

constexpr size_t most_told = 12;  // reasons told at length; the others are counted

std::string variant_text(const Shelf& shelf, judge::VariantId id) {
  const Family& family = shelf.family();
  const judge::Variant& variant = shelf[id];
  return fmt::format("{}, as built in {}", family.text(family.parts[variant.part].id),
                     cells_text(family, variant.cells));
}

class Teller {
 public:
  // `is_open`: by place, whether there was a choice, or somebody named the part.
  // `known`: the combination that it is, by its row; none where it is none that is known.
  Teller(Shelf& shelf, judge::Judge& judge, const Assembly& assembly, const std::vector<char>& is_open, Index known)
      : shelf_(shelf),
        judge_(judge),
        assembly_(assembly),
        is_open_(is_open),
        known_(known),
        judgement_(judge.judge(assembly)) {}

  const Judgement& judgement() const { return judgement_; }

  void tell(Answer& answer) {
    Facts facts;
    facts.add("Verdict", known::verdict_words(judgement_.best, judgement_.worst));
    facts.add("As recorded", "whatever is not said of a part is taken as the pack has it");
    answer.page.emplace_back(facts);
    answer.json["verdict"] = {{"best", judge::word(judgement_.best)},
                              {"worst", judge::word(judgement_.worst)},
                              {"proven", judgement_.is_proven()}};
    tell_known(answer);
    tell_parts(answer);
    tell_reasons(answer);
    tell_repin(answer);
    tell_unknown(answer);
  }

 private:
  void tell_known(Answer& answer) const {
    if (known_ == none) return;
    const Family& family = shelf_.family();
    const Combination& row = family.combinations[known_];
    Facts facts;
    facts.add("Known as", fmt::format("{}: {}", family.text(row.id), family.text(row.title)));
    facts.add("Because", std::string(family.text(row.because)));
    facts.add("Source", source_text(family, row.cite));
    answer.page.emplace_back(facts);
    answer.json["known"] = {{"id", family.text(row.id)},
                            {"title", family.text(row.title)},
                            {"because", family.text(row.because)},
                            {"source", source_text(family, row.cite)}};
  }

  void tell_parts(Answer& answer) const {
    const Family& family = shelf_.family();
    Grid grid{{{"Place"}, {"Part", true}, {"As built in", true}}, {}};
    size_t others = 0;
    for (Index place = 0; place < assembly_.at.size(); ++place) {
      Json one{{"place", family.text(family.places[place].id)}};
      if (assembly_.at[place] == none) {
        one["part"] = nullptr;
        if (is_open_[place])
          grid.rows.push_back({{std::string(family.text(family.places[place].id)), "nothing", ""}, ""});
      } else {
        const judge::Variant& variant = shelf_[assembly_.at[place]];
        const std::string_view part = family.text(family.parts[variant.part].id);
        const std::string cells = cells_text(family, variant.cells);
        one["part"] = part;
        one["cells"] = cells;
        if (is_open_[place])
          grid.rows.push_back({{std::string(family.text(family.places[place].id)), std::string(part), cells}, ""});
        else
          ++others;
      }
      answer.json["parts"].push_back(one);
    }
    answer.page.emplace_back(Heading{"Parts", 2});
    answer.page.emplace_back(grid);
    if (others > 0) {
      Facts facts;
      facts.add("Others", fmt::format("{} places hold what alone can stand there; --format json lists all", others));
      answer.page.emplace_back(facts);
    }
  }

  void tell_reasons(Answer& answer) {
    size_t told = 0, certain = 0;
    answer.json["reasons"] = Json::array();
    for (const Reason& reason : judgement_.reasons) certain += reason.certain;
    for (const Reason& reason : judgement_.reasons) {
      if (!reason.certain) continue;
      judge_.judge(assembly_);
      const judge::ReasonText text = judge::reason_text(judge_.network(), reason);
      Json one{{"outcome", outcome_text(reason)}, {"what", text.what}};
      if (!text.because.empty()) one["because"] = text.because;
      if (!text.suffers.empty()) one["suffers"] = text.suffers;
      if (!text.when.empty()) one["when"] = text.when;
      if (!text.way.empty()) one["way"] = text.way;
      std::string mend;
      if (judge::is_firing(judge_.network(), reason)) {
        mend = "none here: a firing circuit is for the maker's manual and licensed practice alone";
        one["mend"] = mend;
      }
      if (told < most_told) {
        if (const auto found = judge::find_mend(judge_, shelf_, assembly_, judgement_, reason)) {
          mend = judge::mend_text(shelf_, assembly_, *found);
          one["mend"] = mend;
        }
        Facts facts;
        facts.add("What", text.what);
        facts.add("Because", text.because);
        facts.add("Suffers", text.suffers);
        facts.add("When", text.when);
        facts.add("Way", fmt::format("{}", fmt::join(text.way, " > ")));
        facts.add("Mend", mend);
        answer.page.emplace_back(Heading{fmt::format("{}. {}", told + 1, outcome_text(reason)), 2});
        answer.page.emplace_back(facts);
      }
      ++told;
      answer.json["reasons"].push_back(one);
    }
    if (certain > most_told) {
      Facts facts;
      facts.add("And", fmt::format("{} further reasons; --format json has them all", certain - most_told));
      answer.page.emplace_back(facts);
    }
  }

  // Where re-pinning one loom would help: how much work it is, and where to read the steps.
  void tell_repin(Answer& answer) const {
    if (judgement_.best <= judge::Verdict::fits_with_loose_ends) return;
    const loomproof::repin::LeastWork least = loomproof::repin::least_work(shelf_, assembly_);
    if (least.place == none) return;
    const std::string_view place = shelf_.family().text(shelf_.family().places[least.place].id);
    Facts facts;
    facts.add("Re-pin", fmt::format("{} in {} operation{}: then \"{}\"; loombench repin {} {} has the steps", place,
                                    least.operations, least.operations == 1 ? "" : "s", judge::word(least.best),
                                    shelf_.family().text(shelf_.family().id), place));
    answer.page.emplace_back(facts);
    answer.json["re-pin"] = {{"place", place}, {"operations", least.operations}, {"then", judge::word(least.best)}};
  }

  static std::string outcome_text(const Reason& reason) {
    if (reason.cause == Cause::hangs_loose) return reason.live ? "live pins bare" : "harmless";
    return std::string(word(reason.outcome));
  }

  // The cavities that could change the verdict, the most decisive first.
  void tell_unknown(Answer& answer) {
    judge_.judge(assembly_);
    Grid grid{{{"Look at", true}, {"At worst"}}, {}};
    answer.json["look-at"] = Json::array();
    for (const Reason& reason : judgement_.reasons) {
      if (reason.certain) continue;
      const judge::ReasonText text = judge::reason_text(judge_.network(), reason);
      const bool leave = judge::is_firing(judge_.network(), reason);
      grid.rows.push_back(
          {{leave ? text.what + ": " + text.because : text.what, std::string(word(reason.outcome))}, ""});
      Json one{{"what", text.what}, {"at-worst", word(reason.outcome)}};
      if (!text.because.empty()) one["because"] = text.because;
      answer.json["look-at"].push_back(one);
    }
    if (grid.rows.empty()) return;
    answer.page.emplace_back(Heading{"Not known", 2});
    answer.page.emplace_back(grid);
  }

  Shelf& shelf_;
  judge::Judge& judge_;
  const Assembly& assembly_;
  const std::vector<char>& is_open_;
  const Index known_;
  const Judgement judgement_;
};

// A filling with the work that re-pinning one of its looms would be.
struct Ranked {
  const judge::Filling* filling = nullptr;
  loomproof::repin::LeastWork work;  // place `none`: nothing to do, or it does not help
};

// By verdict, then by re-pinning work; fillings that no re-pinning helps come after those that it does.
std::vector<Ranked> ranked(const Shelf& shelf, const judge::Search& search) {
  std::vector<Ranked> all;
  for (const judge::Filling& filling : search.fillings) {
    const bool fits = filling.best <= judge::Verdict::fits_with_loose_ends;
    all.push_back({&filling, fits || search.fillings.size() == 1
                                 ? loomproof::repin::LeastWork{}
                                 : loomproof::repin::least_work(shelf, filling.assembly)});
  }
  std::stable_sort(all.begin(), all.end(), [](const Ranked& a, const Ranked& b) {
    const auto key = [](const Ranked& each) {
      return std::tuple(each.filling->best, each.work.place == none, each.work.best, each.work.operations);
    };
    return key(a) < key(b);
  });
  return all;
}

void tell_others(Answer& answer, const Shelf& shelf, const std::vector<Ranked>& fillings) {
  const Family& family = shelf.family();
  Grid grid{{{"Rank"}, {"Verdict", true}, {"Reasons"}, {"Re-pin", true}, {"Differs from the first in", true}}, {}};
  const Assembly& first = fillings.front().filling->assembly;
  for (size_t i = 0; i < fillings.size(); ++i) {
    const judge::Filling& filling = *fillings[i].filling;
    std::string differs, work;
    for (Index place = 0; place < first.at.size(); ++place) {
      if (filling.assembly.at[place] == first.at[place]) continue;
      const std::string part =
          filling.assembly.at[place] == none ? "nothing" : variant_text(shelf, filling.assembly.at[place]);
      differs += fmt::format("{}{}: {}", differs.empty() ? "" : "; ", family.text(family.places[place].id), part);
    }
    Json one{{"best", judge::word(filling.best)},
             {"worst", judge::word(filling.worst)},
             {"reasons", filling.reasons},
             {"differs", differs}};
    if (const auto& least = fillings[i].work; least.place != none) {
      work = fmt::format("{}: {}, then {}", family.text(family.places[least.place].id), least.operations,
                         judge::word(least.best));
      one["re-pin"] = {{"place", family.text(family.places[least.place].id)},
                       {"operations", least.operations},
                       {"then", judge::word(least.best)}};
    }
    grid.rows.push_back({{fmt::format("{}", i + 1), known::verdict_words(filling.best, filling.worst),
                          fmt::format("{}", filling.reasons), work, differs},
                         ""});
    answer.json["fillings"].push_back(one);
  }
  answer.page.emplace_back(Heading{"Fillings", 2});
  answer.page.emplace_back(grid);
}

bool is_named(const Family& family, const FitChoice& choice, Index place) {
  const std::string start = fmt::format("{}:", family.text(family.places[place].id));
  const auto names = [&](const std::string& text) { return text.compare(0, start.size(), start) == 0; };
  return std::any_of(choice.parts.begin(), choice.parts.end(), names);
}

// The combination that an assembly is, looked up among the parts as they are recorded.
Index known_combination(const Family& family, const AsFound& found, const Shelf& shelf, const Assembly& assembly) {
  if (family.combinations.empty()) return none;
  const FamilyIndex index(family);
  Shelf recorded(index);
  known::Stands stands(assembly.at.size());
  for (Index place = 0; place < assembly.at.size(); ++place) {
    if (assembly.at[place] == none) continue;
    const judge::Variant& variant = shelf[assembly.at[place]];
    if (variant.part < family.parts.size()) stands[place].variant = recorded.variant(variant.part, variant.cell);
  }
  for (size_t i = 0; i < found.parts.size(); ++i) stands[found.parts[i].first] = found.stands[i];
  return known::find(recorded, stands);
}

}  // namespace

Fit fit_parts(const Family& family, const FitChoice& choice, size_t keep) {
  if (family.joins.empty())
    throw UsageError(fmt::format("the pack of {} has no table of joins: it is older than that; compile it anew",
                                 family.text(family.id)));
  const AsFound found = as_found(family, choice);
  const FamilyIndex index(found.family);
  Shelf shelf(index);
  judge::Judge judge(shelf);
  auto open = candidates(shelf, choice);
  put_found(shelf, found, open);
  const judge::Search search = judge::fill(judge, shelf, open, std::max<size_t>(keep, 1));
  if (search.fillings.empty()) throw UsageError("nothing to judge: no place holds anything");
  Fit fit;
  fit.answer.page.emplace_back(Heading{fmt::format("{}: do these parts work together?", family.text(family.title))});
  fit.answer.json["family"] = family.text(family.id);
  // A record without a firing circuit does not say that the vehicle has none: what such a plug looks like always
  // stands.
  std::vector<std::string_view> when{"always", "power", "sheath"};
  const std::vector<bool> may_fire = connectors_that_may_fire(index);
  if (has_firing_circuits(family) || std::find(may_fire.begin(), may_fire.end(), true) != may_fire.end())
    when.emplace_back("firing");
  add_cautions(fit.answer, family, when);
  std::vector<char> is_open, is_found(open.size(), 0);
  for (const auto& [place, part] : found.parts) is_found[place] = 1;
  for (Index place = 0; place < open.size(); ++place)
    is_open.push_back(open[place].size() > 1 || is_found[place] || is_named(family, choice, place));
  for (const std::string& words : found.words) {
    Facts facts;
    facts.add("As found", words);
    fit.answer.page.emplace_back(facts);
    fit.answer.json["as-found"].push_back(words);
  }
  const std::vector<Ranked> fillings = ranked(shelf, search);
  const Assembly& assembly = fillings.front().filling->assembly;
  Teller teller(shelf, judge, assembly, is_open, known_combination(family, found, shelf, assembly));
  teller.tell(fit.answer);
  fit.fits = teller.judgement().worst <= judge::Verdict::fits_with_loose_ends;
  if (fillings.size() > 1) tell_others(fit.answer, shelf, fillings);
  const bool had_choice = std::any_of(open.begin(), open.end(), [](const auto& each) { return each.size() > 1; });
  if (had_choice || !search.is_complete) {
    Facts facts;
    facts.add("Judged", fmt::format("{} fillings of the open places{}", search.judged,
                                    search.is_complete ? "" : "; there are more: name more parts"));
    fit.answer.page.emplace_back(facts);
    fit.answer.json["judged"] = search.judged;
    fit.answer.json["complete"] = search.is_complete;
  }
  return fit;
}

}  // namespace loomproof::bench
