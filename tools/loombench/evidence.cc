#include "evidence.h"

#include <fmt/format.h>

#include <algorithm>
#include <cstdlib>

#include "diag/suggest.h"
#include "family/words.h"
#include "found/as_found.h"

namespace loomproof::bench {
namespace {

using identify::Look;
using identify::Question;

Look look_of(const job::Reading& reading) {
  switch (reading.ask) {
    case job::Ask::plug:
      return Look::plug;
    case job::Ask::housing:
      return Look::housing;
    case job::Ask::count:
      if (reading.of.text == "wires") return Look::wires;
      if (reading.of.text == "thick") return Look::thick;
      return reading.of.text == "empty" ? Look::empty : Look::coloured;
    case job::Ask::label:
      return Look::label;
    case job::Ask::state:
      return Look::state;
    case job::Ask::colour:
      return Look::colour;
    case job::Ask::mm2:
      return Look::mm2;
    case job::Ask::wires:
      return Look::crimped;
    default:
      return Look::beeps;
  }
}

// The names that a place has in any cell.
struct Names {
  std::set<std::string, std::less<>> plugs, ends;
};

Names names_of(const FamilyIndex& index, Index place) {
  const Family& family = index.family();
  Names names;
  for (Index part : index.parts_in(place)) {
    const Part& row = family.parts[part];
    for (Index point = row.points.first; point < row.points.end(); ++point)
      if (family.points[point].kind != PointKind::inner && family.points[point].kind != PointKind::splice)
        names.ends.insert(point_name(family, point));
    for (Index connector = row.connectors.first; connector < row.connectors.end(); ++connector) {
      const std::string plug(family.text(family.connectors[connector].designator));
      names.plugs.insert(plug);
      for (const ConnectorRow& at : rows(family.connector_rows, family.connectors[connector].rows)) {
        if (at.housing == none) continue;
        for (const HousingCavity& cavity : rows(family.housing_cavities, family.housings[at.housing].cavities))
          names.ends.insert(plug + '.' + std::string(family.text(cavity.number)));
      }
    }
  }
  return names;
}

class Resolver {
 public:
  Resolver(const FamilyIndex& index, JobFile& file) : index_(index), family_(index.family()), file_(file) {}

  std::vector<BenchPart> run() {
    for (const job::Bench& bench : file_.job().bench) {
      BenchPart part;
      file_.told_at(bench.place, [&] { part.place = place_named(family_, bench.place.text); });
      if (part.place == none) continue;
      if (index_.parts_in(part.place).empty())
        file_.report().add<Rule::bad_form>(bench.place.span, bench.place.text, "never held a part that is recorded");
      names_.push_back(names_of(index_, part.place));
      off_limits_.emplace_back(index_, part.place);
      for (const job::Text& edit : bench.found) check_edit(edit, part);
      for (const job::Text& plug : bench.plugged)
        if (check(plug, "plug", names_.back().plugs)) {
          part.plugged.push_back(plug.text);
          part.evidence.plugged.insert(plug.text);
        }
      parts_.push_back(std::move(part));
    }
    file_.stop_at_faults();
    const auto& readings = file_.job().readings;
    for (size_t row = 0; row < readings.size(); ++row)
      if (readings[row].ask != job::Ask::meter) add(readings[row], row);
    file_.stop_at_faults();
    return std::move(parts_);
  }

 private:
  bool check(const job::Text& name, std::string_view kind, const std::set<std::string, std::less<>>& known) {
    if (known.contains(name.text)) return true;
    auto finding = file_.report().add<Rule::unknown_name>(name.span, kind, name.text);
    const std::vector<std::string_view> all(known.begin(), known.end());
    if (const std::string_view near = nearest(name.text, all); !near.empty()) finding.fix(name.span, std::string(near));
    return false;
  }

  // An edit that can be true of no variant is wrong; of which it can, the readings say.
  void check_edit(const job::Text& edit, BenchPart& part) {
    found::Fault first;
    for (Index at : index_.parts_in(part.place))
      for (uint32_t cell : family_.set(family_.parts[at].cells).cells()) {
        found::Fault fault;
        const found::Edit parsed = found::parse_edit(index_, at, cell, edit.text, fault);
        if (!fault.any()) fault = found::fault_of(index_, at, cell, std::vector{parsed});
        if (!fault.any()) {
          part.found.push_back(edit.text);
          return;
        }
        if (!first.any()) first = fault;
      }
    file_.told_at(edit, [&] { refuse(first); });
  }

  BenchPart* part_of(const job::Reading& reading) {
    if (!reading.place.given() && parts_.size() == 1) return &parts_.front();
    if (!reading.place.given()) {
      file_.report()
          .add<Rule::bad_form>(reading.span, "reading", "does not say of which place it is")
          .help("the bench holds several: add `place:`");
      return nullptr;
    }
    for (size_t i = 0; i < parts_.size(); ++i)
      if (family_.text(family_.places[parts_[i].place].id) == reading.place.text) return &parts_[i];
    file_.report().add<Rule::unknown_name>(reading.place.span, "place on the bench", reading.place.text);
    return nullptr;
  }

  void add(const job::Reading& reading, size_t row) {
    BenchPart* const part = part_of(reading);
    if (!part) return;
    const size_t at = static_cast<size_t>(part - parts_.data());
    const Names& names = names_[at];
    bool good = true;
    const bool of_plug = reading.ask == job::Ask::plug || reading.ask == job::Ask::housing ||
                         reading.ask == job::Ask::count || reading.ask == job::Ask::cavity_one;
    for (const job::Text& end : reading.ends)
      good = check(end, of_plug ? "plug" : "end", of_plug ? names.plugs : names.ends) && good;
    for (const job::Text& plug : reading.plugged) good = check(plug, "plug", names.plugs) && good;
    if (reading.ask == job::Ask::housing && reading.has_answer() && reading.answer.text != "other") {
      std::set<std::string, std::less<>> housings;
      for (const Housing& housing : family_.housings) housings.emplace(family_.text(housing.id));
      good = check(reading.answer, "housing", housings) && good;
    }
    if (!good) return;
    if (!reading.counts) {
      ++part->taken_back;
      return;
    }
    if (reading.ask == job::Ask::comb) {
      if (off_limits_[at].holds_end(reading.ends[0].text)) {
        refuse_firing(reading.ends[0]);
      } else if (reading.has_answer()) {
        part->comb.push_back({reading.ends[0].text, reading.answer.text == "yes"});
      }
      return;
    }
    if (reading.ask == job::Ask::cavity_one) {
      if (reading.has_answer()) part->evidence.settled.insert(reading.ends[0].text);
      return;
    }
    identify::Reading made;
    made.question = question_of(reading);
    made.answer =
        reading.ask == job::Ask::mm2 && reading.has_answer() ? size_of(reading.answer.text) : reading.answer.text;
    made.plugged.insert(part->plugged.begin(), part->plugged.end());
    for (const job::Text& plug : reading.plugged) made.plugged.insert(plug.text);
    if (off_limits_[at].holds(made.question)) {
      refuse_firing(reading.ends[0]);
      return;
    }
    if (!reading.has_answer()) {
      part->evidence.open.insert(made.question);
      return;
    }
    part->evidence.readings.push_back(std::move(made));
    part->rows.push_back(row);
  }

  void refuse_firing(const job::Text& end) {
    file_.report()
        .add<Rule::bad_form>(end.span, end.text, "carries a firing circuit, or is in a plug that may carry one")
        .help("no reading is taken there: a tester can fire it, and its plug joins the pins when open");
  }

  static std::string size_of(const std::string& text) {
    return milli(static_cast<Quantity>(std::strtod(text.c_str(), nullptr) * 1000 + 0.5));
  }

  static Question question_of(const job::Reading& reading) {
    Question question;
    question.look = look_of(reading);
    if (!reading.ends.empty()) question.a = reading.ends[0].text;
    if (reading.ends.size() > 1) question.b = reading.ends[1].text;
    if (!question.b.empty() && question.b < question.a) std::swap(question.a, question.b);
    if (question.look == Look::coloured) question.of = reading.of.text;
    return question;
  }

  const FamilyIndex& index_;
  const Family& family_;
  JobFile& file_;
  std::vector<Names> names_;
  std::vector<identify::OffLimits> off_limits_;
  std::vector<BenchPart> parts_;
};

// The defaults, but for what the job says.
template <typename Values, size_t count>
Values with_said(Values values, const std::array<std::optional<double>, count>& said,
                 double Values::*const (&members)[count]) {
  for (size_t i = 0; i < count; ++i)
    if (said[i]) values.*members[i] = *said[i];
  return values;
}

}  // namespace

std::vector<BenchPart> bench_parts(const FamilyIndex& index, JobFile& file) {
  return Resolver(index, file).run();
}

identify::Rates rates_of(const job::Job& job) {
  using identify::Rates;
  constexpr double Rates::*members[job::rate_count] = {// in the order of job::Rate
                                                       &Rates::break_, &Rates::slip,  &Rates::misread, &Rates::faded,
                                                       &Rates::lost,   &Rates::label, &Rates::altered, &Rates::foreign,
                                                       &Rates::mixed,  &Rates::view};
  return with_said(Rates{}, job.rates, members);
}

identify::Costs costs_of(const job::Job& job) {
  using identify::Costs;
  constexpr double Costs::*members[job::cost_count] = {
      // in the order of job::Cost
      &Costs::glance, &Costs::count, &Costs::gauge, &Costs::probe, &Costs::other_plug, &Costs::unplug};
  return with_said(Costs{}, job.costs, members);
}

Quantity month_of(const std::string& text) {
  return std::atoi(text.substr(0, 4).c_str()) * 12 + std::atoi(text.substr(5, 2).c_str()) - 1;
}

}  // namespace loomproof::bench
