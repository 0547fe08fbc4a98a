// Known combinations come out as they are said to: what the corpus states of parts that somebody may put together is
// what the judge finds of them.
#include <fmt/format.h>

#include "checks/all.h"
#include "diag/suggest.h"
#include "known/known.h"

namespace loomproof::checks {

namespace {

class Combinations {
 public:
  Combinations(const Judged& in, Report& report, bool may_judge)
      : in_(in), report_(report), may_judge_(may_judge), shelf_(in.index) {}

  void run() {
    for (Index index = 0; index < in_.family.combinations.size(); ++index) {
      report_.judged(Rule::combination_ambiguous);
      std::vector<known::Fault> faults;
      const known::Stands stands = known::put_together(shelf_, in_.family.combinations[index], faults);
      report_.judged(Rule::unknown_name, in_.family.combinations[index].edits.count);
      tell_ambiguous(index, faults);
      for (const known::Fault& fault : faults) tell(fault);
      if (!faults.empty() || !may_judge_) continue;
      report_.judged(Rule::combination_verdict);
      hold(index, known::judge_stands(shelf_, stands));
    }
  }

 private:
  std::string variants_words(const std::vector<judge::VariantId>& variants) const {
    std::string words;
    for (judge::VariantId id : variants) {
      if (!words.empty()) words += "; or ";
      if (id == none) {
        words += "nothing";
        continue;
      }
      words += fmt::format("`{}` as built in {}", in_.part_id(shelf_[id].part), in_.cells_words(shelf_[id].cells));
    }
    return words;
  }

  // What `others` leaves open is one fault, however many places show it.
  void tell_ambiguous(Index index, const std::vector<known::Fault>& faults) {
    const known::Fault* first = nullptr;
    size_t more = 0;
    for (const known::Fault& fault : faults) {
      if (fault.flaw != known::Flaw::not_one || fault.part_row != none) continue;
      first == nullptr ? void(first = &fault) : void(++more);
    }
    if (first == nullptr) return;
    auto finding = report_.add<Rule::combination_ambiguous>(in_.spans.combinations[index].others,
                                                            in_.place_id(first->place), first->variants.size());
    finding.help(variants_words(first->variants));
    if (more > 0) finding.help(fmt::format("{} further place{} left open as well", more, more == 1 ? " is" : "s are"));
  }

  void tell(const known::Fault& fault) {
    switch (fault.flaw) {
      case known::Flaw::no_variant:
        return;  // what was never built is said of its tags
      case known::Flaw::not_one:
        if (fault.part_row == none) return;
        report_
            .add<Rule::combination_ambiguous>(in_.spans.combination_parts[fault.part_row], in_.place_id(fault.place),
                                              fault.variants.size())
            .help(variants_words(fault.variants));
        return;
      case known::Flaw::nothing_here:
        report_.add<Rule::bad_form>(
            edit_span(fault), edit_text(fault),
            fmt::format("is done to nothing: `{}` holds no part here", in_.place_id(fault.place)));
        return;
      case known::Flaw::bad_name: {
        const std::vector<std::string_view> known(fault.edit.known.begin(), fault.edit.known.end());
        const size_t at = edit_text(fault).find(fault.edit.wanted);
        const Span span = at == std::string_view::npos || fault.edit.wanted.empty()
                              ? edit_span(fault)
                              : piece_of(fault, at, fault.edit.wanted.size());
        auto finding = report_.add<Rule::unknown_name>(span, fault.edit.kind, fault.edit.wanted);
        if (const std::string_view near = nearest(fault.edit.wanted, known); !near.empty())
          finding.fix(span, std::string(near));
        return;
      }
      case known::Flaw::bad_edit:
        report_.add<Rule::bad_form>(edit_span(fault), edit_text(fault), "cannot be done: " + fault.edit.line);
        return;
    }
  }

  std::string_view edit_text(const known::Fault& fault) const {
    return in_.id(in_.family.combination_edits[fault.edit_row].text);
  }
  Span edit_span(const known::Fault& fault) const { return in_.spans.combination_edits[fault.edit_row]; }
  Span piece_of(const known::Fault& fault, size_t at, size_t count) const {
    return span_of_piece(edit_span(fault), edit_text(fault), at, count);
  }

  std::string places_words(std::span<const Index> places) const {
    std::string words;
    for (Index place : places) words += fmt::format("{}`{}`", words.empty() ? "" : ", ", in_.place_id(place));
    return words;
  }

  void hold(Index index, const known::Found& found) {
    const Combination& stated = in_.family.combinations[index];
    if (known::is_as_stated(in_.family, stated, found)) return;
    const CombinationSpans& spans = in_.spans.combinations[index];
    const bool is_verdict = stated.best != found.best || stated.worst != found.worst;
    const bool is_outcome = stated.outcome != found.outcome;
    std::string words = "comes out as " +
                        (is_verdict ? verdict_key(found.best, found.worst) : fmt::format("`{}`", word(found.outcome)));
    if (!is_verdict && !is_outcome)
      words = found.suffers.empty() ? "makes no part suffer" : "makes " + places_words(found.suffers) + " suffer";
    auto finding = report_.add<Rule::combination_verdict>(is_verdict   ? spans.verdict
                                                          : is_outcome ? spans.outcome
                                                                       : spans.suffers,
                                                          in_.id(stated.id), words);
    if (is_verdict && is_outcome)
      finding.label(spans.outcome, fmt::format("the worst that comes of it is `{}`", word(found.outcome)));
    if (!found.first) return;
    finding.help("first reason: " + found.first->what);
    if (!found.first->because.empty()) finding.help(found.first->because);
    if (!found.first->suffers.empty()) finding.help(found.first->suffers + " suffers");
    if (!found.first->when.empty()) finding.help("with " + found.first->when);
    if (!found.first->way.empty()) finding.help(fmt::format("by {}", fmt::join(found.first->way, " > ")));
  }

  static std::string verdict_key(Verdict best, Verdict worst) {
    return best == worst ? fmt::format("`{}`", word(best))
                         : fmt::format("`{{from: {}, to: {}}}`", word(best), word(worst));
  }

  const Judged& in_;
  Report& report_;
  bool may_judge_;
  judge::Shelf shelf_;
};

}  // namespace

void combinations(const Judged& in, Report& report) {
  if (!in.family.combinations.empty()) Combinations(in, report, is_sound(report)).run();
}

}  // namespace loomproof::checks
