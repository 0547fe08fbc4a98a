// combinations.yaml: parts that somebody may put together, and what is known to come of it. Names of places and parts
// are resolved here; whether the words leave one variant, and what the edits name, is found where it is judged.
#include "expand/expander.h"

namespace loomproof {

// The cells in which something goes into a place: all of it, or one part.
CellSet Expander::cells_of_place(Index place, Index part) const {
  CellSet cells;
  for (Index each = 0; each < f_.parts.size(); ++each)
    if (f_.parts[each].place == place && (part == none || each == part)) cells |= f_.set(f_.parts[each].cells);
  return cells;
}

Index Expander::part_of(Index place, yaml::Node id) {
  report_->judged(Rule::unknown_name);
  std::vector<std::string_view> here;
  for (Index part = 0; part < f_.parts.size(); ++part) {
    if (f_.parts[part].place != place) continue;
    if (f_.text(f_.parts[part].id) == id.text()) return part;
    here.push_back(f_.text(f_.parts[part].id));
  }
  unknown("part of " + std::string(f_.text(f_.places[place].id)), id.text(), id.span(), here);
  return none;
}

void Expander::read_combination_part(Index combination, yaml::Node row) {
  CombinationPart out{.combination = combination, .place = named_place(row), .is_left_off = row.is_scalar()};
  if (out.place == none) return;
  if (out.is_left_off == 0) {
    if (yaml::Node id = row["part"]; id && (out.part = part_of(out.place, id)) == none) return;
    const std::string owner = out.part == none ? "a part of " + std::string(f_.text(f_.places[out.place].id))
                                               : std::string(word(f_.parts[out.part].kind)) + " `" +
                                                     std::string(f_.text(f_.parts[out.part].id)) + "`";
    out.cells = cells(tags(row, {cells_of_place(out.place, out.part), {}, owner}));
  }
  f_.combination_parts.push_back(out);
  s_.combination_parts.push_back(span_of_row(row));
}

Index Expander::named_place(yaml::Node row) {
  report_->judged(Rule::unknown_name);
  const auto found = places_.find(row.key());
  if (found != places_.end()) return found->second;
  unknown("place", row.key(), row.key_span(), sorted_names(places_));
  return none;
}

void Expander::read_combination(yaml::Node row, const Scope& scope) {
  const Index index = static_cast<Index>(f_.combinations.size());
  Combination out;
  out.id = str(row.key());
  out.title = str(row["title"].text());
  if (yaml::Node others = row["others"])
    out.others = cells(tags(others, {f_.set(f_.built), {}, "these tags"}) & f_.set(f_.built));
  const yaml::Node verdict = row["verdict"];
  out.best = word_of<Verdict>(verdict.is_map() ? verdict["from"] : verdict);
  out.worst = word_of<Verdict>(verdict.is_map() ? verdict["to"] : verdict);
  out.outcome = word_of<Outcome>(row["outcome"]);
  out.because = str(row["because"].text());
  out.cite = cite(row, scope);
  report_->judged(Rule::bad_range);
  if (out.worst < out.best) {
    unresolved_ = true;
    report_->add<Rule::bad_range>(verdict.span(), "this interval of verdicts runs backward");
  }
  out.suffers.first = static_cast<Index>(f_.place_refs.size());
  for (yaml::Node each : row["suffers"])
    if (const Index found = place(each); found != none) f_.place_refs.push_back(found), ++out.suffers.count;
  out.parts.first = static_cast<Index>(f_.combination_parts.size());
  for (yaml::Node each : by_key(row["parts"])) read_combination_part(index, each);
  out.parts.count = static_cast<Index>(f_.combination_parts.size()) - out.parts.first;
  out.edits.first = static_cast<Index>(f_.combination_edits.size());
  for (yaml::Node of_place : by_key(row["found"])) {
    const Index found = named_place(of_place);
    for (yaml::Node edit : of_place) {
      if (found == none) break;
      f_.combination_edits.push_back({index, found, str(edit.text())});
      s_.combination_edits.push_back(edit.span());
    }
  }
  out.edits.count = static_cast<Index>(f_.combination_edits.size()) - out.edits.first;
  f_.combinations.push_back(out);
  s_.combinations.push_back({row.key_span(), verdict.span(), row["outcome"].span(), row["suffers"].span(),
                             row["others"] ? span_of_row(row["others"]) : row.key_span()});
  allow(row, span_of_row(row));
}

void Expander::read_combinations() {
  if (files_.combinations == nullptr) return;
  const yaml::Node root = files_.combinations->root();
  const Scope scope{CellSet::first(f_.cell_count()), root["source"], "the known combinations"};
  for (yaml::Node row : by_key(root["combinations"])) read_combination(row, scope);
}

}  // namespace loomproof
