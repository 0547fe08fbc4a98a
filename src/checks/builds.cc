// Every factory build is electrically clean: its parts get on, every need is met, and what is to be kept apart is.
// Judged as the bench judges parts that somebody put together. What rests on unknown cavities is left to the bench.
#include <algorithm>
#include <map>
#include <tuple>

#include "checks/all.h"
#include "family/words.h"
#include "judge/outcomes.h"
#include "judge/words.h"

namespace loomproof::checks {

namespace {

struct Fault {
  judge::Cause cause;
  Index pin, lead, other_pin, other_lead;  // of a clash or need
  Index circuit, other_circuit, apart;
  auto operator<=>(const Fault&) const = default;
};
struct Told {
  CellSet cells;
  judge::ReasonText text;
};

class Builds {
 public:
  Builds(const Judged& in, Report& report) : in_(in), report_(report), shelf_(in.index), judge_(shelf_) {}

  void run() {
    for (const CellClass& each : in_.classes) judge_cell(each);
    for (const auto& [fault, told] : found_) tell(fault, told);
  }

 private:
  void judge_cell(const CellClass& each) {
    const std::vector<judge::Reason> reasons = judge_.faults_of_build(shelf_.build(each.cell));
    report_.judged(Rule::roles_clash, judge_.network().ports().size());
    for (const judge::Network::PortRef& ref : judge_.network().ports())
      report_.judged(Rule::need_unmet, judge_.network().port(ref).needed ? 1 : 0);
    report_.judged(Rule::not_kept_apart, in_.family.aparts.size());
    for (const judge::Reason& reason : reasons) note(reason, each);
  }

  bool is_told(const CellClass& each, Index circuit) const {
    return circuit != none && in_.faults.circuits.count({each.cell, circuit}) != 0;
  }

  void note(const judge::Reason& reason, const CellClass& each) {
    const bool is_clash = reason.cause == judge::Cause::roles_clash, is_need = reason.cause == judge::Cause::need_unmet;
    const bool is_apart = reason.cause == judge::Cause::kept_apart;  // declared, whoever can say what comes of it
    if (!is_apart && (!reason.certain || (!is_clash && !is_need))) return;
    Fault fault{reason.cause, none, none, none, none, reason.circuit, reason.other_circuit, reason.apart};
    if (is_clash || is_need) {
      const judge::Port& port = judge_.network().port(reason.port);
      fault.pin = port.pin, fault.lead = port.lead, fault.circuit = port.circuit;
    }
    if (is_clash) {
      const judge::Port& other = judge_.network().port(reason.other);
      fault.other_pin = other.pin, fault.other_lead = other.lead, fault.other_circuit = other.circuit;
    }
    if (is_told(each, fault.circuit) || is_told(each, fault.other_circuit)) return;
    const auto [entry, is_new] = found_.try_emplace(fault);
    entry->second.cells |= each.cells;
    if (is_new) entry->second.text = judge::reason_text(judge_.network(), reason);
  }

  Span span_of(Index pin, Index lead) const { return pin != none ? in_.spans.pins[pin].role : in_.spans.leads[lead]; }

  void tell(const Fault& fault, const Told& told) {
    const judge::ReasonText& text = told.text;
    const std::string cells = in_.cells_words(told.cells);
    switch (fault.cause) {
      case judge::Cause::roles_clash: {
        auto finding = report_.add<Rule::roles_clash>(span_of(fault.other_pin, fault.other_lead), text.what, cells);
        finding.label(span_of(fault.pin, fault.lead), "it meets this");
        add_help(finding, text);
        break;
      }
      case judge::Cause::need_unmet: {
        auto finding = report_.add<Rule::need_unmet>(span_of(fault.pin, fault.lead), text.what, cells);
        finding.help(
            giver_words(fault.pin != none ? in_.family.pins[fault.pin].role : in_.family.leads[fault.lead].role));
        add_help(finding, text);
        break;
      }
      default: {
        auto finding = report_.add<Rule::not_kept_apart>(in_.spans.aparts[fault.apart], in_.circuit_id(fault.circuit),
                                                         in_.circuit_id(fault.other_circuit), cells);
        add_help(finding, text);
      }
    }
  }

  // What would meet the need.
  static std::string giver_words(Role need) {
    std::string words;
    for (uint32_t i = 1; i < word_count<Role>; ++i)
      if (judge::givers_for(need) & judge::bit(Role{i}))
        words += fmt::format("{}`{}`", words.empty() ? "" : " or ", word(Role{i}));
    const bool earth = (judge::givers_for(need) & judge::bit(Role::gives_earth)) != 0;
    return fmt::format(
        "no way leads to a pin or lead that is {}{}", words,
        earth ? "; an earth point leads to those on the same body (`to`), and to others by straps alone" : "");
  }

  static void add_help(FindingBuilder& finding, const judge::ReasonText& text) {
    if (!text.because.empty()) finding.help(text.because);
    if (!text.when.empty()) finding.help("with " + text.when);
    std::string way;
    for (const std::string& step : text.way) way += (way.empty() ? "" : " > ") + step;
    if (!way.empty()) finding.help("by " + way);
  }

  const Judged& in_;
  Report& report_;
  judge::Shelf shelf_;
  judge::Judge judge_;
  std::map<Fault, Told> found_;
};

}  // namespace

bool is_sound(const Report& report) {
  const auto& findings = report.findings();
  return std::none_of(findings.begin(), findings.end(),
                      [](const Finding& finding) { return finding.severity == Severity::error; });
}

void builds(const Judged& in, Report& report) {
  if (is_sound(report)) Builds(in, report).run();
}

}  // namespace loomproof::checks
