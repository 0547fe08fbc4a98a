#include "identify.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "compare/differences.h"
#include "compare/words.h"
#include "family/words.h"
#include "identify/words.h"

namespace loomproof::bench {
namespace {

using identify::Candidate;
using identify::Evidence;
using identify::Identification;
using identify::Kind;
using Json = nlohmann::ordered_json;

constexpr double told_from = 0.02;
constexpr size_t most_candidates = 6;  // candidates
constexpr size_t most_readings = 12;   // against one candidate
constexpr size_t most_group_differences = 12;

double rounded(double value) {
  return std::round(value * 1e6) / 1e6;
}

// What a wire is kept for, or why a plug hangs loose, is on paper alone: the metal is the same.
bool is_about_purpose(const Difference& difference) {
  return difference.item.kind == ChangeKind::re_rated &&
         (difference.of == "spare" || difference.of == "loose" || difference.of == "needed");
}

class PartTeller {
 public:
  PartTeller(const Identification& identification, const BenchPart& part, const job::Job& job)
      : id_(identification), family_(identification.family()), part_(part), job_(job), evidence_(part.evidence) {}

  bool tell(Answer& answer) {
    page_ = &answer.page;
    json_ = {{"place", family_.text(family_.places[part_.place].id)}};
    page_->emplace_back(Heading{
        fmt::format("{}: {}", family_.text(family_.places[part_.place].id), "which of those recorded is it most like?"),
        2});
    const bool leads = verdict();
    candidates();
    against();
    contradictions();
    groups();
    views();
    vehicle();
    next();
    answer.json["places"].push_back(std::move(json_));
    return leads;
  }

 private:
  // A variant, with all that nothing tells from it.
  std::string name(size_t variant) const { return group_words(id_, id_.group_of(variant)); }
  std::string edits_words(const Candidate& candidate) const {
    std::string words;
    for (const std::string& edit : candidate.edits) words += (words.empty() ? "" : "; ") + edit;
    return words;
  }
  std::string candidate_words(const Candidate& candidate) const {
    switch (candidate.kind) {
      case Kind::variant:
        return name(candidate.variant);
      case Kind::edited:
        return fmt::format("{}, with: {}", name(candidate.variant), edits_words(candidate));
      case Kind::mixed:
        return fmt::format("joined: {} of {}; the rest of {}", fmt::join(candidate.branches, ", "),
                           name(candidate.rest), name(candidate.variant));
      case Kind::none:
        break;
    }
    return "none of these";
  }

  bool verdict() {
    Facts facts;
    const size_t count = evidence_.readings.size();
    facts.add(
        "Readings",
        fmt::format("{}{}{}", count, evidence_.open.empty() ? "" : fmt::format(", {} left open", evidence_.open.size()),
                    part_.taken_back == 0 ? "" : fmt::format(", {} taken back", part_.taken_back)));
    const Candidate& first = id_.candidates().front();
    bool leads = false;
    std::string words;
    if (count == 0) {
      words = fmt::format("nothing read yet: {} variants are recorded", id_.variants().size());
    } else if (first.kind == Kind::none) {
      words = fmt::format("most likely none of those recorded ({})", share_text(first.weight));
    } else if (first.kind == Kind::mixed) {
      words = fmt::format("most like {} ({})", candidate_words(first), share_text(first.weight));
    } else {
      const double weight = id_.weight_of_group(first.variant);
      leads = weight >= leads_from;
      const size_t differing = first.sheet ? identify::held_against(*first.sheet, evidence_).differ.size() : 0;
      words = fmt::format("{}most like {}{} ({}): {}, {}", leads ? "" : "open; ", candidate_words(first),
                          id_.variants().size() == 1 ? ", the only one recorded" : " among those recorded",
                          share_text(weight), count == 1 ? "1 reading" : fmt::format("{} readings", count),
                          differing == 0 ? "none of them differs"
                                         : fmt::format("{} of them differ{}", differing, differing == 1 ? "s" : ""));
    }
    facts.add("Verdict", words);
    const std::string meter = meter_words();
    facts.add("Meter", meter);
    json_["meter"] = meter;
    facts.add("Mind",
              "what is told apart are recorded variants; one that nobody recorded may differ where nothing was "
              "read. Only a completed verification sheet says that it is one.");
    page_->emplace_back(facts);
    json_["readings"] = count, json_["open"] = evidence_.open.size(), json_["verdict"] = words, json_["leads"] = leads;
    return leads;
  }

  // Whether the meter was proved on a known short; of concern where it was used.
  std::string meter_words() const {
    const bool used = std::any_of(evidence_.readings.begin(), evidence_.readings.end(),
                                  [](const auto& reading) { return reading.question.look == identify::Look::beeps; });
    if (!used) return {};
    const job::Reading* last = nullptr;
    for (const job::Reading& reading : job_.readings)
      if (reading.ask == job::Ask::meter && reading.counts) last = &reading;
    if (!last) return "not proved in this job: one that has failed reads like a broken wire";
    if (last->answer.text == "failed") return "failed when it was last proved: what was open before may be wrong";
    return "proved on a known short" + (last->ohm.empty() ? std::string() : fmt::format(", leads {} ohm", last->ohm));
  }

  // Candidates that nothing tells apart as one, heaviest first.
  struct Shown {
    const Candidate* candidate;
    double weight;
  };
  std::vector<Shown> shown() const {
    std::vector<Shown> all;
    for (const Candidate& candidate : id_.candidates()) {
      const auto same = std::find_if(all.begin(), all.end(), [&](const Shown& other) {
        return candidate.kind == Kind::variant && other.candidate->kind == Kind::variant &&
               id_.group_of(candidate.variant) == id_.group_of(other.candidate->variant);
      });
      if (same == all.end()) {
        all.push_back({&candidate, candidate.weight});
      } else {
        same->weight += candidate.weight;
      }
    }
    std::stable_sort(all.begin(), all.end(), [](const Shown& a, const Shown& b) { return a.weight > b.weight; });
    return all;
  }

  void candidates() {
    Grid grid{{{"Share"}, {"Candidate", true}, {"Agree"}, {"Differ"}}, {}};
    json_["candidates"] = Json::array();
    double rest = 0;
    size_t others = 0;
    for (const Shown& one : shown()) {
      std::string agree, differ;
      const std::string words = candidate_words(*one.candidate);
      if (one.candidate->sheet) {
        const identify::ForAndAgainst held = identify::held_against(*one.candidate->sheet, evidence_);
        agree = std::to_string(held.agree.size()), differ = std::to_string(held.differ.size());
      }
      json_["candidates"].push_back({{"share", rounded(one.weight)}, {"candidate", words}});
      if (grid.rows.size() >= most_candidates || (one.weight < told_from && grid.rows.size() > 1)) {
        rest += one.weight, ++others;
        continue;
      }
      grid.rows.push_back({{share_text(one.weight), words, agree, differ}, {}});
    }
    if (others > 0) grid.rows.push_back({{share_text(rest), fmt::format("{} others together", others), "", ""}, {}});
    page_->emplace_back(std::move(grid));
  }

  // What speaks against each leading candidate, and for it against the next.
  void against() {
    if (evidence_.readings.empty()) return;
    size_t told = 0;
    json_["leading"] = Json::array();
    for (const Shown& one : shown()) {
      const Candidate& candidate = *one.candidate;
      if (!candidate.sheet || told >= 3 || (one.weight < 0.05 && told > 0)) continue;
      ++told;
      const identify::ForAndAgainst held = identify::held_against(*candidate.sheet, evidence_);
      Json leading{{"candidate", candidate_words(candidate)}, {"against", Json::array()}, {"for", Json::array()}};
      Grid grid{{{""}, {"Read", true}, {"On record", true}}, {}};
      const auto add = [&](const char* side, size_t reading) {
        const identify::Reading& row = evidence_.readings[reading];
        const std::string record = identify::recorded_words(*candidate.sheet, row.question, row.plugged);
        leading[side].push_back({{"read", identify::reading_words(row)}, {"record", record}});
        if (grid.rows.size() < most_readings) grid.rows.push_back({{side, identify::reading_words(row), record}, {}});
      };
      for (size_t reading : held.differ) add("against", reading);
      // What another leading candidate does not have so speaks for this one.
      for (size_t reading : held.agree) {
        bool speaks = false;
        for (const Candidate& other : id_.candidates())
          if (other.sheet && other.kind == Kind::variant && &other != &candidate &&
              (other.weight > 0.001 || id_.variants().size() < 20)) {
            const auto agree = identify::agrees(*other.sheet, evidence_.readings[reading]);
            speaks = speaks || (agree && !*agree);
          }
        if (speaks) add("for", reading);
      }
      json_["leading"].push_back(std::move(leading));
      if (grid.rows.empty()) continue;
      page_->emplace_back(Heading{candidate_words(candidate), 3});
      page_->emplace_back(std::move(grid));
    }
  }

  void contradictions() {
    const auto all = identify::contradictions(evidence_);
    json_["contradictions"] = Json::array();
    if (all.empty()) return;
    page_->emplace_back(Heading{"Readings that contradict each other", 3});
    Facts facts;
    for (const identify::Contradiction& one : all) {
      const std::string later = identify::reading_words(evidence_.readings[one.reading]);
      const std::string text = one.by_path ? later + ", and yet other readings join the two"
                                           : fmt::format("{}; before that, {}", later,
                                                         identify::reading_words(evidence_.readings[one.earlier]));
      facts.add("Read again", text);
      json_["contradictions"].push_back(text);
    }
    page_->emplace_back(std::move(facts));
  }

  void groups() {
    json_["not-told-apart"] = Json::array();
    for (const auto& group : id_.groups()) {
      if (id_.weight_of_group(group[0]) < told_from && !evidence_.readings.empty()) continue;
      page_->emplace_back(Heading{"No allowed reading separates these", 3});
      Facts facts;
      Json members = Json::array(), differing = Json::array();
      for (size_t member : group) {
        const std::string words = variant_words(family_, id_.variants()[member]);
        facts.add(members.empty() ? "Variants" : "", words);
        members.push_back(words);
      }
      std::set<std::string> words;
      for (size_t i = 1; i < group.size(); ++i) {
        const identify::PlaceVariant &a = id_.variants()[group[0]], &b = id_.variants()[group[i]];
        for (const Difference& difference :
             differences(id_.index(), a.part, a.cells.lowest(), b.part, b.cells.lowest()))
          if (!is_about_purpose(difference)) words.insert(difference_words(family_, difference));
      }
      if (words.empty()) {
        facts.add("Follows", "usually nothing: in metal they are the same, and interchangeable");
      } else {
        size_t count = 0;
        for (const std::string& one : words) {
          if (++count <= most_group_differences) facts.add(count == 1 ? "They differ in" : "", one);
          differing.push_back(one);
        }
        if (count > most_group_differences) facts.add("", fmt::format("and {} more", count - most_group_differences));
        facts.add("Follows", "not interchangeable without more: what differs is nothing that may be read here");
      }
      page_->emplace_back(std::move(facts));
      json_["not-told-apart"].push_back(
          {{"variants", members}, {"differ-in", differing}, {"interchangeable", words.empty()}});
    }
  }

  // Plugs that were read by cavity numbers before cavity 1 was settled.
  void views() {
    const Candidate* lead = nullptr;
    for (const Candidate& candidate : id_.candidates())
      if (candidate.sheet && !lead) lead = &candidate;
    if (!lead) return;
    Facts facts;
    json_["views"] = Json::array();
    for (const auto& [plug, chances] : identify::views(id_.chances(), family_, *lead->sheet, evidence_)) {
      const identify::SettlingLooks looks = identify::settling_looks(family_, *lead->sheet, plug, id_.off_limits());
      if (!looks.is_needed) continue;
      std::string text = fmt::format("read as drawn {}, mirrored {}, turned {}", share_text(chances[0]),
                                     share_text(chances[1]), share_text(chances[2]));
      std::string how;
      for (const auto& [cavity, what] : looks.looks)
        how += fmt::format("{}{} is {}", how.empty() ? "" : ", ", cavity, what);
      if (!how.empty()) text += fmt::format("; settled where {}", how);
      if (!looks.is_settled) text += "; no look settles it wholly: find the moulded numbers";
      facts.add(plug, text);
      json_["views"].push_back({{"plug", plug},
                                {"true", chances[0]},
                                {"mirrored", chances[1]},
                                {"turned", chances[2]},
                                {"settled-by", how}});
    }
    if (facts.rows.empty()) return;
    page_->emplace_back(Heading{"Cavity 1 is not settled", 3});
    page_->emplace_back(std::move(facts));
  }

  void vehicle() {
    if (!job_.built.given()) return;
    const CellSet cells = identify::cells_built_in(family_, month_of(job_.built.text));
    Facts facts;
    std::string should;
    bool belongs = false;
    const Candidate& first = id_.candidates().front();
    std::set<size_t> due;
    for (size_t i = 0; i < id_.variants().size(); ++i)
      if (id_.variants()[i].cells.meets(cells)) due.insert(i);
    if (!due.empty()) should = group_words(id_, {due.begin(), due.end()});
    if (first.kind == Kind::variant || first.kind == Kind::edited)
      for (size_t member : id_.group_of(first.variant)) belongs = belongs || due.contains(member);
    facts.add("Should have", should.empty() ? "nothing that was built in that month is recorded" : should);
    std::string verdict;
    if (!evidence_.readings.empty() && !should.empty()) {
      if (first.kind == Kind::none || first.kind == Kind::mixed || id_.weight_of_group(first.variant) < leads_from) {
        verdict = "open, as long as no variant leads";
      } else {
        verdict = belongs ? "what was found is most like what belongs to it"
                          : "what was found is most like one that does not belong to it";
      }
      facts.add("So far", verdict);
    }
    page_->emplace_back(Heading{fmt::format("The vehicle, built {}", job_.built.text), 3});
    page_->emplace_back(std::move(facts));
    json_["vehicle"] = {{"built", job_.built.text}, {"should-have", should}, {"so-far", verdict}};
  }

  void next() {
    const identify::Question* last = evidence_.readings.empty() ? nullptr : &evidence_.readings.back().question;
    const auto next = identify::next_reading(id_, evidence_, last);
    page_->emplace_back(Heading{"Next reading", 3});
    Facts facts;
    if (!next) {
      facts.add("Read", "nothing that is left to read tells more");
      json_["next"] = nullptr;
    } else {
      facts.add("Read", identify::question_words(next->question));
      const std::string why = parts_words(id_, *next);
      facts.add("Because", why);
      std::string settle;
      if (identify::needs_view(next->question.look))
        for (const std::string& plug : identify::plugs_of(next->question))
          if (!evidence_.settled.contains(plug)) settle += (settle.empty() ? "" : ", ") + plug;
      if (!settle.empty())
        facts.add("Before", fmt::format("settle which is cavity 1 of {}: look for the moulded numbers", settle));
      json_["next"] = {{"question", identify::question_words(next->question)},
                       {"bits", rounded(next->bits)},
                       {"cost", next->cost},
                       {"because", why}};
    }
    page_->emplace_back(std::move(facts));
  }

  const Identification& id_;
  const Family& family_;
  const BenchPart& part_;
  const job::Job& job_;
  const Evidence& evidence_;
  Page* page_ = nullptr;
  Json json_;
};

}  // namespace

void begin_page(Answer& answer, const Family& family, const JobFile& file, std::string_view what) {
  const std::string& title = file.job().title;
  answer.page.emplace_back(
      Heading{fmt::format("{}{}: {}", family.text(family.title), title.empty() ? "" : ", " + title, what)});
  answer.json["family"] = family.text(family.id);
  add_probe_cautions(answer, family);
  answer.json["places"] = Json::array();
}

void add_probe_cautions(Answer& answer, const Family& family) {
  add_cautions(answer, family, {"always", "probe", "sheath", "firing", "battery"});
  if (!answer.json["cautions"].empty()) return;
  constexpr std::string_view text =
      "Battery disconnected and control units unplugged first. Never a meter on a firing circuit. The maker's manual, "
      "local codes and licensed practice come before this sheet.";
  answer.page.emplace_back(CautionText{std::string(text)});
  answer.json["cautions"].push_back(text);
}

std::string variant_words(const Family& family, const identify::PlaceVariant& variant) {
  return fmt::format("{}, as built in {}", family.text(family.parts[variant.part].id),
                     cells_text(family, variant.cells));
}

std::string group_words(const Identification& identification, const std::vector<size_t>& variants) {
  const Family& family = identification.family();
  std::map<Index, CellSet> cells;  // by part
  for (size_t variant : variants)
    cells[identification.variants()[variant].part] |= identification.variants()[variant].cells;
  std::string words;
  for (const auto& [part, of_part] : cells)
    words += (words.empty() ? "" : "; or ") + variant_words(family, {part, of_part});
  return words;
}

std::string share_text(double weight) {
  if (weight >= 0.995 && weight < 0.99995) return fmt::format("{:.2f} %", weight * 100);
  return weight < 0.01 ? "< 1 %" : fmt::format("{:.0f} %", weight * 100);
}

std::string parts_words(const Identification& identification, const identify::Next& next) {
  std::string words;
  for (const auto& [answer, variants] : next.parts) {
    if (!words.empty()) words += " from ";
    std::set<std::vector<size_t>> groups;
    for (size_t variant : variants) groups.insert(identification.group_of(variant));
    if (groups.size() == 1) {
      CellSet cells;
      for (size_t variant : *groups.begin()) cells |= identification.variants()[variant].cells;
      words += fmt::format("{} ({})", cells_text(identification.family(), cells), answer);
    } else {
      words += fmt::format("{} candidates ({})", groups.size(), answer);
    }
  }
  return next.parts.size() < 2 ? fmt::format("tells it from what nobody recorded, {:.2f} bit", next.bits)
                               : fmt::format("splits {}, {:.2f} bit", words, next.bits);
}

Identified identify_parts(const FamilyIndex& index, JobFile& file) {
  const std::vector<BenchPart> parts = bench_parts(index, file);
  Identified identified;
  begin_page(identified.answer, index.family(), file, "what lies on the bench?");
  identified.leads = true;
  for (const BenchPart& part : parts) {
    Identification identification(index, part.place, rates_of(file.job()), part.found, costs_of(file.job()));
    identification.weigh(part.evidence);
    identified.leads = PartTeller(identification, part, file.job()).tell(identified.answer) && identified.leads;
  }
  return identified;
}

Answer plan_sheet(const FamilyIndex& index, JobFile& file) {
  const Family& family = index.family();
  Answer answer;
  begin_page(answer, family, file, "decision sheet");
  for (const BenchPart& part : bench_parts(index, file)) {
    const Identification identification(index, part.place, rates_of(file.job()), part.found, costs_of(file.job()));
    const identify::DecisionSheet sheet = identify::decision_sheet(identification);
    const identify::Procedure& procedure = sheet.procedure;
    const std::string_view place = family.text(family.places[part.place].id);
    answer.page.emplace_back(Heading{fmt::format("{}: readings, in their order", place), 2});
    Facts facts;
    facts.add("Variants", std::to_string(identification.variants().size()));
    facts.add("Readings", fmt::format("{:.2f} expected, {:.0f} at worst; {:.2f} is the least that the entropy allows",
                                      procedure.expected, procedure.worst, procedure.bound));
    facts.add("Errors", "the sheet takes every reading for right; `identify` weighs them");
    answer.page.emplace_back(std::move(facts));
    Json json{{"place", place},
              {"expected", procedure.expected},
              {"worst", procedure.worst},
              {"bound", procedure.bound},
              {"steps", Json::array()}};
    // A step is numbered where it is first met; each answer leads to a step or to variants.
    std::vector<size_t> number(procedure.nodes.size(), 0);
    size_t count = 0;
    for (size_t node = 0; node < procedure.nodes.size(); ++node)
      if (procedure.nodes[node].trial != identify::no_trial) number[node] = ++count;
    Grid grid{{{"Step"}, {"Read", true}, {"If"}, {"Then", true}}, {}};
    for (size_t node = 0; node < procedure.nodes.size(); ++node) {
      const auto& row = procedure.nodes[node];
      if (row.trial == identify::no_trial) continue;
      Json step{{"step", number[node]},
                {"read", identify::question_words(sheet.questions[row.trial])},
                {"answers", Json::array()}};
      bool first = true;
      for (const auto& [outcome, child] : row.branches) {
        std::string then;
        if (number[child] > 0) {
          then = fmt::format("step {}", number[child]);
        } else {
          const auto& left = procedure.nodes[child].candidates;
          then = "most like " + group_words(identification, {left.begin(), left.end()});
        }
        grid.rows.push_back({{first ? std::to_string(number[node]) : "",
                              first ? identify::question_words(sheet.questions[row.trial]) : "",
                              sheet.answers[row.trial][outcome], then},
                             {}});
        step["answers"].push_back({{"answer", sheet.answers[row.trial][outcome]}, {"then", then}});
        first = false;
      }
      json["steps"].push_back(std::move(step));
    }
    if (!grid.rows.empty()) answer.page.emplace_back(std::move(grid));
    answer.json["places"].push_back(std::move(json));
  }
  return answer;
}

}  // namespace loomproof::bench
