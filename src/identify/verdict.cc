#include "identify/verdict.h"

#include <algorithm>
#include <cmath>
#include <stdexcept>

#include "family/words.h"
#include "found/as_found.h"
#include "nets/variants.h"

namespace loomproof::identify {
namespace {

std::vector<PlaceVariant> variants_of(const FamilyIndex& index, Index place) {
  std::vector<PlaceVariant> all;
  for (Index part : index.parts_in(place))
    for (const Variant& variant : loomproof::variants(index.family(), part))
      all.push_back({variant.part, variant.cells});
  if (all.empty()) throw std::invalid_argument("nothing was ever built for this place");
  return all;
}

// By variant, the edits that can be true of it.
std::vector<std::vector<found::Edit>> edits_of(const FamilyIndex& index, const std::vector<PlaceVariant>& variants,
                                               const std::vector<std::string>& texts) {
  std::vector<std::vector<found::Edit>> all(variants.size());
  for (size_t i = 0; i < variants.size(); ++i)
    for (const std::string& text : texts) {
      const uint32_t cell = variants[i].cells.lowest();
      found::Fault fault;
      all[i].push_back(found::parse_edit(index, variants[i].part, cell, text, fault));
      if (fault.any() || found::fault_of(index, variants[i].part, cell, all[i]).any()) all[i].pop_back();
    }
  return all;
}

std::vector<std::shared_ptr<const Sheet>> sheets_of(const FamilyIndex& index, const std::vector<PlaceVariant>& variants,
                                                    const std::vector<std::vector<found::Edit>>& edits) {
  std::vector<std::shared_ptr<const Sheet>> sheets;
  for (size_t i = 0; i < variants.size(); ++i) {
    const Loom loom{variants[i].part, variants[i].cells.lowest()};
    if (edits[i].empty()) {
      sheets.push_back(std::make_shared<Sheet>(index, loom));
      continue;
    }
    Family altered = index.family();
    const Index part = found::add_as_found(altered, loom.part, loom.cell, edits[i]);
    auto sheet = std::make_shared<Sheet>(FamilyIndex(altered), Loom{part, loom.cell});
    sheets.push_back(std::move(sheet));
  }
  return sheets;
}

std::vector<const Sheet*> pointers(const std::vector<std::shared_ptr<const Sheet>>& sheets) {
  std::vector<const Sheet*> all;
  for (const auto& sheet : sheets) all.push_back(sheet.get());
  return all;
}

}  // namespace

std::vector<double> priors(const Family& family, const std::vector<PlaceVariant>& variants) {
  const bool dated = std::all_of(family.eras.begin(), family.eras.end(), [](const Era& era) {
    return era.from != not_given && era.to != not_given && era.to >= era.from;
  });
  std::vector<double> all;
  double sum = 0;
  for (const PlaceVariant& variant : variants) {
    double months = 0;
    for (uint32_t cell : variant.cells.cells()) {
      const Era& era = family.eras[family.coordinate(cell, 0)];
      months += dated ? era.to - era.from + 1 : 0;
    }
    all.push_back(dated ? months : 1);
    sum += all.back();
  }
  for (double& one : all) one /= sum;
  return all;
}

CellSet cells_built_in(const Family& family, Quantity month) {
  CellSet cells;
  for (uint32_t cell : family.set(family.built).cells()) {
    const uint32_t at = family.coordinate(cell, 0);
    const Era& era = family.eras[at];
    const bool began = era.from == not_given || era.from <= month;
    const bool goes_on = era.to == not_given || month <= era.to;
    const bool runs_out =
        at + 1 < family.eras.size() && family.eras[at + 1].run_out != not_given && month <= family.eras[at + 1].run_out;
    if (began && (goes_on || runs_out)) cells.insert(cell);
  }
  return cells;
}

Identification::Identification(const FamilyIndex& index, Index place, const Rates& rates,
                               const std::vector<std::string>& found, const Costs& costs)
    : index_(index),
      place_(place),
      variants_(variants_of(index, place)),
      found_(edits_of(index, variants_, found)),
      sheets_(sheets_of(index, variants_, found_)),
      recorded_(pointers(sheets_)),
      off_limits_(index, place),
      chances_(index.family(), recorded_, rates),
      costs_(costs),
      questions_(telling_questions(recorded_, off_limits_)),
      groups_(inseparable(recorded_, questions_)),
      prior_(priors(index.family(), variants_)) {
  weigh({});
}

double Identification::log_of(const Sheet& sheet, const Evidence& evidence) const {
  return log_likelihood(chances_, family(), sheet, evidence);
}

void Identification::weigh(const Evidence& all) {
  Evidence evidence = all;
  std::erase_if(evidence.readings, [&](const Reading& reading) { return off_limits_.holds(reading.question); });
  candidates_.clear(), logs_.clear();
  const Rates& rates = chances_.rates();
  for (size_t i = 0; i < variants_.size(); ++i) {
    Candidate candidate;
    candidate.variant = i, candidate.sheet = sheets_[i];
    candidate.prior = prior_[i] * (1 - rates.foreign - rates.mixed);
    candidates_.push_back(candidate);
    logs_.push_back(std::log(candidate.prior) + log_of(*sheets_[i], evidence));
  }
  Candidate none;
  none.kind = Kind::none, none.prior = rates.foreign;
  candidates_.push_back(none);
  logs_.push_back(std::log(none.prior) + log_likelihood_of_none(chances_, evidence));
  if (!evidence.readings.empty()) {
    weigh_edits(evidence);
    weigh_mixed(evidence);
  }
  normalise();
}

void Identification::normalise() {
  const double most = *std::max_element(logs_.begin(), logs_.end());
  double sum = 0;
  for (double log : logs_) sum += std::exp(log - most);
  for (size_t i = 0; i < candidates_.size(); ++i) candidates_[i].weight = std::exp(logs_[i] - most) / sum;
  std::stable_sort(candidates_.begin(), candidates_.end(),
                   [](const Candidate& a, const Candidate& b) { return a.weight > b.weight; });
}

double Identification::weight_of(size_t variant) const {
  double weight = 0;
  for (const Candidate& candidate : candidates_)
    if ((candidate.kind == Kind::variant || candidate.kind == Kind::edited) && candidate.variant == variant)
      weight += candidate.weight;
  return weight;
}

std::vector<size_t> Identification::group_of(size_t variant) const {
  for (const std::vector<size_t>& group : groups_)
    if (std::find(group.begin(), group.end(), variant) != group.end()) return group;
  return {variant};
}

double Identification::weight_of_group(size_t variant) const {
  double weight = 0;
  for (size_t member : group_of(variant)) weight += weight_of(member);
  return weight;
}

std::optional<bool> agrees(const Sheet& sheet, const Reading& reading) {
  const Question& question = reading.question;
  if (question.look == Look::beeps) {
    const Path path = sheet.path(question.a, question.b, reading.plugged);
    if (path == Path::may) return std::nullopt;
    return (path == Path::yes) == (reading.answer == "yes");
  }
  if (question.look == Look::label) {
    if (reading.answer == "none" || sheet.labels().empty()) return std::nullopt;
    return sheet.labels().contains(reading.answer);
  }
  if (question.look >= Look::wires && question.look <= Look::coloured) {
    if (!sheet.plug(question.a)) return std::nullopt;
    const Span32 span = sheet.count(question.a, question.look, question.of);
    const auto count = static_cast<uint32_t>(std::atoi(reading.answer.c_str()));
    if (count < span.least || count > span.most) return false;
    if (span.least != span.most) return std::nullopt;
    return true;
  }
  if (question.look == Look::colour || question.look == Look::mm2) {
    const CavityFacts* const cavity = sheet.cavity(question.a);
    if (!cavity || !cavity->is_known()) return std::nullopt;
    if (cavity->state != State::wired) return false;
    const std::set<std::string>& values = question.look == Look::colour ? cavity->colours : cavity->mm2;
    if (values.empty()) return std::nullopt;
    return values.contains(reading.answer);
  }
  const std::optional<std::string> expected = sheet.expected(question);
  if (!expected) return std::nullopt;
  return *expected == reading.answer;
}

ForAndAgainst held_against(const Sheet& sheet, const Evidence& evidence) {
  ForAndAgainst held;
  for (size_t i = 0; i < evidence.readings.size(); ++i) {
    const std::optional<bool> agree = agrees(sheet, evidence.readings[i]);
    (!agree ? held.open : *agree ? held.agree : held.differ).push_back(i);
  }
  return held;
}

}  // namespace loomproof::identify
