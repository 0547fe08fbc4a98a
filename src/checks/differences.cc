// The heart of it: every difference between neighbours is declared, and every declared change is there, exactly.
#include <algorithm>

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

// The circuit and the cells of a row that a wire or a pin is.
struct RowCircuit {
  Index circuit = none;
  Cells cells = 0;
};
RowCircuit circuit_of(const Family& family, const RowRef& ref) {
  if (ref.table == Table::wires) return {family.wires[ref.row].circuit, family.wires[ref.row].cells};
  if (ref.table == Table::pins) return {family.pins[ref.row].circuit, family.pins[ref.row].cells};
  return {};
}

// Whether what a step says, or a row behind it, is what an earlier rule has told already.
class Told {
 public:
  explicit Told(const Judged& in) : in_(in) {}

  bool step(const ChangeItem& item) const {
    if (in_.faults.parts.count(item.part)) return true;
    if (is_broken(item.circuit, in_.built) || is_broken(item.circuit_b, in_.built)) return true;
    for (Index point : {item.from, item.to}) {
      if (point == none) continue;
      for (Index wire : in_.index.wires_at(point))
        if (is_broken(in_.family.wires[wire].circuit, in_.family.set(in_.family.wires[wire].cells))) return true;
    }
    return false;
  }
  bool rows(const std::vector<RowRef>& refs) const {
    return std::any_of(refs.begin(), refs.end(), [&](const RowRef& ref) {
      if (ref.table == Table::wires && in_.faults.wires.count(ref.row)) return true;
      const RowCircuit row = circuit_of(in_.family, ref);
      return row.circuit != none && is_broken(row.circuit, in_.family.set(row.cells));
    });
  }

 private:
  bool is_broken(Index circuit, const CellSet& cells) const {
    if (circuit == none) return false;
    const std::vector<uint32_t> all = cells.cells();
    return std::any_of(all.begin(), all.end(), [&](uint32_t cell) {
      return in_.faults.circuits.count({cell, circuit}) != 0;
    });
  }

  const Judged& in_;
};

// Wires and pins of a difference: a row that is wrong in one cell differs from each of its neighbours.
std::vector<RowRef> rows_of(const Undeclared& each) {
  std::vector<RowRef> all;
  for (const std::vector<RowRef>* side : {&each.difference.left, &each.difference.right})
    for (const RowRef& ref : *side)
      if (ref.table == Table::wires || ref.table == Table::pins) all.push_back(ref);
  return all;
}
bool shares_row(const std::vector<RowRef>& one, const std::vector<RowRef>& other) {
  return std::any_of(one.begin(), one.end(),
                     [&](const RowRef& ref) { return std::find(other.begin(), other.end(), ref) != other.end(); });
}

using Same = std::vector<const Undeclared*>;

void tell_undeclared(const Judged& in, const Same& same, Report& report) {
  const Family& family = in.family;
  const Undeclared& each = *same.front();
  const Difference& difference = each.difference;
  const std::vector<RowRef>& shown = difference.right.empty() ? difference.left : difference.right;
  Span at = shown.empty() ? in.spans.places[difference.item.place] : span_of(in.spans, shown.front());
  auto finding = report.add<Rule::undeclared_difference>(at, owner_words(in, difference.item),
                                                         difference_words(family, difference),
                                                         sides_words(in, each.axis, each.left, each.right));
  if (!difference.right.empty())
    for (const RowRef& ref : difference.left) finding.label(span_of(in.spans, ref), "before");
  finding.help("seen from " + in.cells_words(difference.cells));
  for (size_t i = 1; i < same.size(); ++i)
    finding.help(fmt::format("between {} as well: {}", sides_words(in, same[i]->axis, same[i]->left, same[i]->right),
                             difference_words(family, same[i]->difference)));
  finding.help(fmt::format("`loomproof compare {} … --declare` prints what to put into changes/", in.id(family.id)));
}

}  // namespace

void differences(const Judged& in, Report& report) {
  const Family& family = in.family;
  FamilyVerdict verdict = judge_family(in.index);
  report.judged(Rule::undeclared_difference, verdict.pairs);
  report.judged(Rule::untrue_change, verdict.items);
  const Told told(in);
  std::vector<RowRef> untrue_rows;
  for (const Untrue& each : verdict.untrue) {
    if (told.step(family.change_items[each.item]) || told.rows(each.rows)) continue;
    auto finding = report.add<Rule::untrue_change>(in.spans.change_items[each.item], each.words);
    for (const RowRef& ref : each.rows) finding.label(span_of(in.spans, ref), "what is there");
    if (!each.cells.empty()) finding.help("in " + in.cells_words(each.cells));
    untrue_rows.insert(untrue_rows.end(), each.rows.begin(), each.rows.end());
  }
  std::vector<Same> found;
  for (const Undeclared& each : verdict.undeclared) {
    const Difference& difference = each.difference;
    const std::vector<RowRef> rows = rows_of(each);
    if (told.step(difference.item) || told.rows(difference.left) || told.rows(difference.right)) continue;
    if (shares_row(rows, untrue_rows)) continue;  // a declared step got that row wrong, or the row is
    const auto same = std::find_if(found.begin(), found.end(), [&](const Same& others) {
      const Undeclared& other = *others.front();
      const bool is_elsewhere = other.axis != each.axis || other.left != each.left || other.right != each.right;
      return is_elsewhere && other.difference.item.kind == difference.item.kind && shares_row(rows, rows_of(other));
    });
    if (same == found.end())
      found.push_back({&each});
    else
      same->push_back(&each);
  }
  for (const Same& same : found) tell_undeclared(in, same, report);
}

}  // namespace loomproof::checks
