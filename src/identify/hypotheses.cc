// Candidates beside the recorded variants: variants with edits that explain readings, and looms joined from two.
#include <algorithm>
#include <cmath>
#include <limits>
#include <map>

#include "family/words.h"
#include "found/as_found.h"
#include "identify/verdict.h"

namespace loomproof::identify {
namespace {

constexpr size_t edited_variants = 3;  // of the likeliest
constexpr size_t most_edits = 3;
constexpr size_t most_proposals = 60;  // a step
constexpr size_t joined_variants = 6;
constexpr size_t most_branches = 6;
constexpr double worth_a_look = 2;  // how much likelier (log) an edit has to make the readings

std::vector<std::string> names_of_net(const Sheet& sheet, const std::string& end) {
  std::vector<std::string> names;
  const uint32_t vertex = sheet.vertex(end);
  if (vertex == Sheet::nowhere) return names;
  for (uint32_t other : sheet.ends_of_net()[sheet.net(vertex)]) names.push_back(sheet.name(other));
  return names;
}

// Edits that could explain a reading that the sheet does not have so.
void propose(const Sheet& sheet, const Reading& reading, const std::vector<const Reading*>& others,
             std::set<std::string>& texts) {
  const Question& question = reading.question;
  if (question.look == Look::plug && reading.answer != "present") texts.insert("plug-gone " + question.a);
  if (question.look == Look::beeps && reading.answer == "yes") {
    texts.insert("bridged " + question.a + ' ' + question.b);
    for (const auto& [here, there] : {std::pair(question.a, question.b), std::pair(question.b, question.a)})
      for (const std::string& end : names_of_net(sheet, there))  // an end of that net sits here instead
        if (plug_of(end) == plug_of(here) && end != here) texts.insert("moved " + end + ' ' + here);
  }
  if (question.look == Look::beeps && reading.answer == "no")
    for (const std::string& end : {question.a, question.b}) {
      texts.insert("cut " + end);
      if (plug_of(end).empty()) texts.insert("earth-gone " + end);
    }
  if (question.look != Look::state && question.look != Look::colour) return;
  // A wire that is not where it was and one that should not be there: the same one, moved.
  const CavityFacts* const cavity = sheet.cavity(question.a);
  if (!cavity) return;
  if (question.look == Look::state && cavity->state == State::wired) texts.insert("cut " + question.a);
  for (const Reading* other : others) {
    if (plug_of(other->question.a) != plug_of(question.a) || other->question.a == question.a) continue;
    const CavityFacts* const from = sheet.cavity(other->question.a);
    if (from && from->state == State::wired) texts.insert("moved " + other->question.a + ' ' + question.a);
  }
  if (question.look != Look::colour) return;
  const PlugFacts* const plug = sheet.plug(plug_of(question.a));
  for (const auto& [number, facts] : plug->cavities)
    if (facts.colours.contains(reading.answer) && number != number_of(question.a))
      texts.insert("moved " + std::string(plug_of(question.a)) + '.' + number + ' ' + question.a);
}

std::vector<std::string> proposals(const Sheet& sheet, const Evidence& evidence) {
  std::vector<const Reading*> differing;
  for (size_t i : held_against(sheet, evidence).differ) differing.push_back(&evidence.readings[i]);
  std::set<std::string> texts;
  for (const Reading* reading : differing) propose(sheet, *reading, differing, texts);
  std::vector<std::string> all(texts.begin(), texts.end());
  if (all.size() > most_proposals) all.resize(most_proposals);
  return all;
}

// How likely this very edit is: somebody was at the cavity, and chose this of all there are.
double prior_of(const Sheet& sheet, const std::string& edit, const Rates& rates) {
  size_t choices = 1;
  if (edit.starts_with("moved ") || edit.starts_with("bridged ")) {
    const std::string end = edit.substr(edit.rfind(' ') + 1);
    if (const PlugFacts* const plug = sheet.plug(plug_of(end))) choices = std::max<size_t>(plug->cavities.size(), 1);
  }
  return rates.altered / static_cast<double>(choices);
}

bool is_firing_edit(const OffLimits& off_limits, const std::string& edit) {
  size_t from = edit.find(' ');
  while (from != edit.npos) {
    const size_t to = edit.find(' ', from + 1);
    const std::string end = edit.substr(from + 1, to == edit.npos ? to : to - from - 1);
    if (off_limits.holds_end(end) || off_limits.holds_plug(end)) return true;
    from = to;
  }
  return false;
}

}  // namespace

// One edit after the other, each the one that makes the readings likeliest.
void Identification::weigh_edits(const Evidence& evidence) {
  std::vector<size_t> order;
  for (size_t i = 0; i < variants_.size(); ++i) order.push_back(i);
  std::stable_sort(order.begin(), order.end(), [&](size_t a, size_t b) { return logs_[a] > logs_[b]; });
  if (order.size() > edited_variants) order.resize(edited_variants);
  for (size_t variant : order) {
    if (family().parts[variants_[variant].part].kind != PartKind::loom) continue;
    const Loom loom{variants_[variant].part, variants_[variant].cells.lowest()};
    std::vector<std::string> texts;
    std::vector<found::Edit> edits = found_[variant];
    std::shared_ptr<const Sheet> sheet = sheets_[variant];
    double log = logs_[variant], prior = candidates_[variant].prior;
    for (size_t step = 0; step < most_edits; ++step) {
      Family altered = family();  // every proposal is a part of its own in one copy
      struct Proposal {
        std::string text;
        found::Edit edit;
        Index part;
      };
      std::vector<Proposal> tried;
      for (const std::string& text : proposals(*sheet, evidence)) {
        if (is_firing_edit(off_limits_, text)) continue;
        found::Fault fault;
        const found::Edit edit = found::parse_edit(index_, loom.part, loom.cell, text, fault);
        if (fault.any()) continue;
        std::vector<found::Edit> with = edits;
        with.push_back(edit);
        if (found::fault_of(index_, loom.part, loom.cell, with).any()) continue;
        tried.push_back({text, edit, found::add_as_found(altered, loom.part, loom.cell, with)});
      }
      if (tried.empty()) break;
      const FamilyIndex altered_index(altered);
      double best_log = log + worth_a_look;
      const Proposal* best = nullptr;
      std::shared_ptr<const Sheet> best_sheet;
      for (const Proposal& proposal : tried) {
        auto made = std::make_shared<Sheet>(altered_index, Loom{proposal.part, loom.cell});
        const double now = std::log(prior * prior_of(*sheet, proposal.text, chances_.rates())) +
                           log_likelihood(chances_, altered, *made, evidence);
        if (now > best_log + 1e-9) best_log = now, best = &proposal, best_sheet = std::move(made);
      }
      if (!best) break;
      prior *= prior_of(*sheet, best->text, chances_.rates());
      texts.push_back(best->text), edits.push_back(best->edit);
      log = best_log, sheet = best_sheet;
      Candidate candidate;
      candidate.kind = Kind::edited, candidate.variant = variant, candidate.edits = texts;
      candidate.prior = prior, candidate.sheet = sheet;
      candidates_.push_back(std::move(candidate));
      logs_.push_back(log);
    }
  }
}

void Identification::weigh_mixed(const Evidence& evidence) {
  std::map<std::string, std::set<std::string>> branches;  // by id, its plugs, as any of the parts declares it
  for (const PlaceVariant& variant : variants_)
    for (const Branch& branch : rows(family().branches, family().parts[variant.part].branches))
      for (Str plug : rows(family().string_refs, branch.connectors))
        branches[std::string(family().text(branch.id))].emplace(family().text(plug));
  std::vector<std::string> read;  // branches of which something was read
  for (const auto& branch : branches) {
    const std::set<std::string>& plugs = branch.second;
    const bool is_read = std::any_of(evidence.readings.begin(), evidence.readings.end(), [&](const Reading& reading) {
      for (const std::string& end : {reading.question.a, reading.question.b})
        if (plugs.contains(end) || plugs.contains(std::string(plug_of(end)))) return true;
      return false;
    });
    if (is_read && read.size() < most_branches) read.push_back(branch.first);
  }
  if (read.size() < 2 || variants_.size() < 2) return;
  // The variants that explain some branch best.
  std::set<size_t> chosen;
  for (const std::string& id : read) {
    Evidence alone = evidence;
    std::erase_if(alone.readings, [&](const Reading& reading) {
      const auto is_here = [&](const std::string& end) {
        return end.empty() || branches[id].contains(end) || branches[id].contains(std::string(plug_of(end)));
      };
      return !is_here(reading.question.a) || !is_here(reading.question.b);
    });
    double best = -std::numeric_limits<double>::infinity();
    size_t variant = 0;
    for (size_t i = 0; i < variants_.size(); ++i)
      if (const double log = log_of(*sheets_[i], alone); log > best + 1e-9) best = log, variant = i;
    chosen.insert(variant);
  }
  for (size_t i = 0; i < candidates_.size() && chosen.size() < joined_variants; ++i) {
    size_t best = variants_.size();
    for (size_t v = 0; v < variants_.size(); ++v)
      if (!chosen.contains(v) && (best == variants_.size() || logs_[v] > logs_[best])) best = v;
    if (best < variants_.size()) chosen.insert(best);
  }
  const size_t ways = (size_t{1} << read.size()) - 2;
  const double pairs = static_cast<double>(variants_.size() * (variants_.size() - 1)) / 2;
  double best_log = -std::numeric_limits<double>::infinity();
  std::vector<double> all_logs;
  Candidate best;
  best.kind = Kind::mixed;
  const double prior = chances_.rates().mixed / (pairs * static_cast<double>(ways));
  for (size_t most : chosen)
    for (size_t rest : chosen) {
      if (most >= rest) continue;
      for (size_t way = 1; way <= ways; ++way) {
        std::set<std::string> plugs;
        std::vector<std::string> ids;
        for (size_t i = 0; i < read.size(); ++i)
          if (way >> i & 1) plugs.insert(branches[read[i]].begin(), branches[read[i]].end()), ids.push_back(read[i]);
        auto sheet = std::make_shared<Sheet>(*sheets_[most], *sheets_[rest], plugs);
        const double log = std::log(prior) + log_likelihood(chances_, family(), *sheet, evidence);
        all_logs.push_back(log);
        if (log > best_log + 1e-9)
          best_log = log, best.variant = most, best.rest = rest, best.branches = ids, best.sheet = std::move(sheet);
      }
    }
  best.prior = chances_.rates().mixed;
  double sum = 0;
  for (double log : all_logs) sum += std::exp(log - best_log);
  if (!best.sheet) return;
  candidates_.push_back(std::move(best));
  logs_.push_back(best_log + std::log(sum));
}

}  // namespace loomproof::identify
