// The heart of it: every difference between neighbours is declared, and every declared change is there, exactly.
#include "checks/all.h"
#include "compare/judge.h"
#include "compare/neighbours.h"
#include "compare/stub.h"
#include "compare/words.h"

namespace loomproof::checks {

namespace {

Span span_of(const Spans& spans, const RowRef& ref) {
  switch (ref.table) {
    case Table::wires:
      return spans.wires[ref.row].row;
    case Table::connector_rows:
      return spans.connector_rows[ref.row].row;
    case Table::pins:
      return spans.pins[ref.row].row;
    case Table::cavity_rows:
      return spans.cavity_rows[ref.row];
    case Table::splices:
      return spans.splices[ref.row];
    case Table::earths:
      return spans.earths[ref.row];
    case Table::leads:
      return spans.leads[ref.row];
    case Table::insides:
      return spans.insides[ref.row];
    case Table::positions:
      return spans.positions[ref.row];
    case Table::parts:
      return spans.parts[ref.row];
    case Table::places:
      return spans.places[ref.row];
    case Table::place_where:
      return spans.place_where[ref.row];
    default:
      return {};
  }
}

// Where it is; of a place itself the difference says that already.
std::string_view owner_words(const Judged& in, const ChangeItem& item) {
  const bool of_place = item.kind == ChangeKind::replaced ||
                        (item.kind == ChangeKind::relocated && item.connector == none && item.from == none);
  return of_place ? in.id(in.family.id) : in.place_id(item.place);
}

// "eras b and c", "supply 12V and 24V"
std::string sides_words(const Judged& in, uint32_t axis, Index left, Index right) {
  const Family& family = in.family;
  if (axis == 0) return fmt::format("eras {} and {}", in.id(family.eras[left].id), in.id(family.eras[right].id));
  const Option& option = family.options[axis - 1];
  return fmt::format("{} {} and {}", in.id(option.id), in.id(family.option_values[option.values.first + left].id),
                     in.id(family.option_values[option.values.first + right].id));
}

}  // namespace

void differences(const Judged& in, Report& report) {
  const Family& family = in.family;
  FamilyVerdict verdict = judge_family(in.index);
  report.judged(Rule::undeclared_difference, verdict.pairs);
  report.judged(Rule::untrue_change, verdict.items);
  for (const Undeclared& each : verdict.undeclared) {
    const Difference& difference = each.difference;
    if (in.faults.parts.count(difference.item.part)) continue;
    const std::vector<RowRef>& shown = difference.right.empty() ? difference.left : difference.right;
    Span at = shown.empty() ? in.spans.places[difference.item.place] : span_of(in.spans, shown.front());
    auto finding = report.add<Rule::undeclared_difference>(at, owner_words(in, difference.item),
                                                           difference_words(family, difference),
                                                           sides_words(in, each.axis, each.left, each.right));
    if (!difference.right.empty())
      for (const RowRef& ref : difference.left) finding.label(span_of(in.spans, ref), "before");
    finding.help("seen from " + in.cells_words(difference.cells));
    finding.help(fmt::format("`loomproof compare {} … --declare` prints what to put into changes/", in.id(family.id)));
  }
  for (const Untrue& each : verdict.untrue) {
    if (in.faults.parts.count(family.change_items[each.item].part)) continue;
    auto finding = report.add<Rule::untrue_change>(in.spans.change_items[each.item], each.words);
    for (const RowRef& ref : each.rows) finding.label(span_of(in.spans, ref), "what is there");
    if (!each.cells.empty()) finding.help("in " + in.cells_words(each.cells));
  }
}

}  // namespace loomproof::checks
