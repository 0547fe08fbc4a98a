#include "identify/next.h"

#include <algorithm>
#include <map>

#include "family/words.h"
#include "identify/practice.h"

namespace loomproof::identify {
namespace {

// What goes wrong with a look, all in all; for planning.
double wrong_of(Look look, const Rates& rates) {
  switch (look) {
    case Look::plug:
    case Look::housing:
      return rates.lost;
    case Look::label:
      return 0.4 + rates.label;  // many have none
    case Look::colour:
      return rates.faded + rates.misread;
    case Look::coloured:
      return rates.faded + rates.misread + rates.altered;
    case Look::beeps:
      return rates.slip + 2 * rates.break_;
    default:
      return rates.misread + rates.altered;
  }
}

std::vector<std::string> all_plugs(const std::vector<const Sheet*>& sheets) {
  std::set<std::string> names;
  for (const Sheet* sheet : sheets)
    for (const auto& [name, plug] : sheet->plugs()) names.insert(name);
  return {names.begin(), names.end()};
}

// One column of the table: outcomes are the distinct answers on record, sorted, with one more for any other.
Trial trial_of(const Question& question, const std::vector<const Sheet*>& sheets, const Rates& rates,
               const Costs& costs, const std::vector<std::string>& plugs, std::vector<std::string>& answers) {
  Trial trial;
  std::vector<std::optional<std::string>> expected;
  std::set<std::string> distinct;
  for (const Sheet* sheet : sheets) {
    expected.push_back(sheet ? sheet->expected(question) : std::nullopt);
    if (expected.back()) distinct.insert(*expected.back());
  }
  answers.assign(distinct.begin(), distinct.end());
  for (const auto& answer : expected)
    trial.outcome.push_back(
        answer ? static_cast<uint16_t>(std::lower_bound(answers.begin(), answers.end(), *answer) - answers.begin())
               : not_told);
  trial.outcomes = static_cast<uint32_t>(std::max<size_t>(answers.size(), 2));
  trial.cost = cost_of(question.look, costs);
  trial.wrong = wrong_of(question.look, rates);
  if (question.look == Look::plug) return trial;  // seen from afar
  for (const std::string& plug : plugs_of(question))
    trial.hands.push_back(static_cast<uint32_t>(std::lower_bound(plugs.begin(), plugs.end(), plug) - plugs.begin()));
  return trial;
}

}  // namespace

std::vector<std::string> plugs_of(const Question& question) {
  std::vector<std::string> plugs;
  if (question.look == Look::label) return plugs;
  for (const std::string& end : {question.a, question.b}) {
    if (end.empty()) continue;
    const std::string plug = needs_view(question.look) ? std::string(plug_of(end)) : end;
    if (!plug.empty() && std::find(plugs.begin(), plugs.end(), plug) == plugs.end()) plugs.push_back(plug);
  }
  return plugs;
}

std::optional<Next> next_reading(const Identification& identification, const Evidence& evidence, const Question* last) {
  std::vector<const Sheet*> sheets;
  TrialTable table;
  constexpr double too_light = 1e-4;
  for (const Candidate& candidate : identification.candidates()) {
    if (candidate.weight < too_light) continue;
    sheets.push_back(candidate.sheet.get());
    table.weight.push_back(candidate.weight);
  }
  table.other_hand = identification.costs().other_plug;
  const Rates& rates = identification.chances().rates();
  const std::vector<std::string> plugs = all_plugs(identification.sheets());
  std::set<Question> asked = evidence.open;
  for (const Reading& reading : evidence.readings) {
    asked.insert(reading.question);
    // A state is told by a colour, and "empty" or "sealed" is all that can be said of a colour.
    Question other = reading.question;
    if (reading.question.look == Look::colour) other.look = Look::state, asked.insert(other);
    if (reading.question.look == Look::state && reading.answer != "wired")
      for (const Look look : {Look::colour, Look::mm2, Look::crimped}) other.look = look, asked.insert(other);
  }
  std::vector<char> is_open;
  std::vector<std::vector<std::string>> answers(identification.questions().size());
  for (size_t i = 0; i < answers.size(); ++i) {
    const Question& question = identification.questions()[i];
    table.trials.push_back(trial_of(question, sheets, rates, identification.costs(), plugs, answers[i]));
    // Before cavity 1 is settled there is one more look to take.
    if (needs_view(question.look))
      for (const std::string& plug : plugs_of(question))
        if (!evidence.settled.contains(plug)) table.trials.back().cost += 1;
    if (question.look == Look::beeps)
      for (const std::string& plug : plugs_of(question))
        if (evidence.plugged.contains(plug)) table.trials.back().cost += identification.costs().unplug;
    is_open.push_back(!asked.contains(question));
  }
  std::vector<uint32_t> in_hand;
  if (last)
    for (const std::string& plug : plugs_of(*last))
      in_hand.push_back(static_cast<uint32_t>(std::lower_bound(plugs.begin(), plugs.end(), plug) - plugs.begin()));
  const NextTrial chosen = next_trial(table, is_open, in_hand);
  constexpr double too_little = 0.001;
  if (chosen.trial == no_trial || chosen.bits < too_little) return std::nullopt;
  Next next{identification.questions()[chosen.trial], chosen.bits, chosen.cost, {}};
  std::map<std::string, std::vector<size_t>> parts;
  for (size_t variant = 0; variant < identification.variants().size(); ++variant)
    if (identification.weight_of(variant) > 0.01)
      if (const auto answer = identification.sheets()[variant]->expected(next.question))
        parts[*answer].push_back(variant);
  next.parts.assign(parts.begin(), parts.end());
  return next;
}

DecisionSheet decision_sheet(const Identification& identification) {
  DecisionSheet sheet;
  TrialTable table;
  table.weight = priors(identification.family(), identification.variants());
  table.other_hand = identification.costs().other_plug;
  const std::vector<std::string> plugs = all_plugs(identification.sheets());
  for (const Question& question : identification.questions()) {
    if (question.look == Look::label) continue;  // it may be wrong: nothing is decided by it
    sheet.questions.push_back(question);
    sheet.answers.emplace_back();
    table.trials.push_back(trial_of(question, identification.sheets(), identification.chances().rates(),
                                    identification.costs(), plugs, sheet.answers.back()));
  }
  sheet.procedure = procedure(table);
  return sheet;
}

bool is_seen(Look look) {
  return look != Look::beeps && look != Look::mm2 && look != Look::crimped;
}

// Of all looks the one that excludes most variants that are not excluded yet, whole plugs before cavities; what the
// others made needless falls away again.
Marks marks_of(const Identification& identification, size_t variant) {
  const auto& sheets = identification.sheets();
  struct Mark {
    const Question* question;
    std::string answer;
    std::vector<char> excludes;
  };
  std::vector<Mark> all;
  std::vector<char> left(sheets.size(), 0);
  for (const Question& question : identification.questions()) {
    if (!is_seen(question.look) || question.look == Look::label) continue;
    const auto here = sheets[variant]->expected(question);
    if (!here) continue;
    Mark mark{&question, *here, std::vector<char>(sheets.size(), 0)};
    bool any = false;
    for (size_t other = 0; other < sheets.size(); ++other) {
      const auto there = sheets[other]->expected(question);
      if (there && *there != *here) mark.excludes[other] = left[other] = 1, any = true;
    }
    if (any) all.push_back(std::move(mark));
  }
  Marks marks;
  for (size_t other = 0; other < sheets.size(); ++other)
    if (!left[other]) marks.alike.push_back(other);
  std::vector<const Mark*> chosen;
  while (std::count(left.begin(), left.end(), 1) > 0) {
    const Mark* best = nullptr;
    double best_rate = 0;
    for (const Mark& mark : all) {
      double count = 0;
      for (size_t other = 0; other < left.size(); ++other) count += left[other] && mark.excludes[other];
      const double rate =
          count / (cost_of(mark.question->look, identification.costs()) + (needs_view(mark.question->look) ? 1 : 0));
      if (rate > best_rate + 1e-12) best_rate = rate, best = &mark;
    }
    for (size_t other = 0; other < left.size(); ++other) left[other] = left[other] && !best->excludes[other];
    chosen.push_back(best);
  }
  for (size_t i = 0; i < chosen.size();) {
    std::vector<char> excluded(sheets.size(), 0);
    for (size_t j = 0; j < chosen.size(); ++j)
      for (size_t other = 0; other < sheets.size() && j != i; ++other) excluded[other] |= chosen[j]->excludes[other];
    const bool is_needed = [&] {
      for (size_t other = 0; other < sheets.size(); ++other)
        if (chosen[i]->excludes[other] && !excluded[other]) return true;
      return false;
    }();
    if (is_needed) {
      ++i;
    } else {
      chosen.erase(chosen.begin() + static_cast<std::ptrdiff_t>(i));
    }
  }
  for (const Mark* mark : chosen) marks.looks.emplace_back(*mark->question, mark->answer);
  std::sort(marks.looks.begin(), marks.looks.end());
  return marks;
}

SettlingLooks settling_looks(const Family& family, const Sheet& sheet, const std::string& plug,
                             const OffLimits& off_limits) {
  SettlingLooks settling;
  const PlugFacts* const facts = sheet.plug(plug);
  if (!facts || off_limits.holds_plug(plug)) return settling;
  const auto seen_at = [&](const std::string& number) -> std::string {
    const auto found = facts->cavities.find(number);
    if (found == facts->cavities.end() || !found->second.is_known()) return {};
    if (found->second.state != State::wired) return std::string(word(found->second.state));
    return found->second.colours.size() == 1 ? *found->second.colours.begin() : std::string();
  };
  // By cavity, the views that it excludes: what is there is known and differs from what the view would show.
  std::vector<std::map<std::string, std::string, std::less<>>> others;
  for (const View3 view : {View3::mirrored, View3::turned})
    if (auto map = seen_as(family, facts->housing_index, view)) others.push_back(std::move(*map));
  settling.is_needed = !others.empty();
  std::vector<char> excluded(others.size(), 0);
  while (std::count(excluded.begin(), excluded.end(), 1) < static_cast<std::ptrdiff_t>(others.size())) {
    std::string best;
    int most = 0;
    for (const auto& [number, cavity] : facts->cavities) {
      int count = 0;
      for (size_t view = 0; view < others.size(); ++view) {
        const auto there = others[view].find(number);
        if (excluded[view] || there == others[view].end()) continue;
        const std::string here = seen_at(number), other = seen_at(there->second);
        count += !here.empty() && !other.empty() && here != other;
      }
      if (count > most) most = count, best = number;
    }
    if (most == 0) return settling;
    settling.looks.emplace_back(plug + '.' + best, seen_at(best));
    for (size_t view = 0; view < others.size(); ++view) {
      const auto there = others[view].find(best);
      if (there != others[view].end() && !seen_at(there->second).empty() && seen_at(there->second) != seen_at(best))
        excluded[view] = 1;
    }
  }
  settling.is_settled = true;
  return settling;
}

}  // namespace loomproof::identify
