// What looms and components have in common: the part itself, its numbers, connectors, cavity states and branches.
#include <algorithm>

#include "expand/expander.h"

namespace loomproof {

// Registers the part; its tables grow until end_part() closes their ranges.
Part& Expander::begin_part(yaml::Node root, PartKind kind, std::string_view id_key, Index place, const Scope& scope) {
  part_ = static_cast<Index>(f_.parts.size());
  part_names_.emplace_back();
  Part part;
  part.id = str(root[id_key].text());
  part.title = root["title"] ? str(root["title"].text()) : part.id;
  part.kind = kind;
  part.place = place;
  part.cells = cells(scope.cells);
  part.numbers.first = static_cast<Index>(f_.numbers.size());
  part.connectors.first = static_cast<Index>(f_.connectors.size());
  part.points.first = static_cast<Index>(f_.points.size());
  part.splices.first = static_cast<Index>(f_.splices.size());
  part.earths.first = static_cast<Index>(f_.earths.size());
  part.leads.first = static_cast<Index>(f_.leads.size());
  part.wires.first = static_cast<Index>(f_.wires.size());
  part.cavity_rows.first = static_cast<Index>(f_.cavity_rows.size());
  part.pins.first = static_cast<Index>(f_.pins.size());
  part.insides.first = static_cast<Index>(f_.insides.size());
  part.positions.first = static_cast<Index>(f_.positions.size());
  part.branches.first = static_cast<Index>(f_.branches.size());
  f_.parts.push_back(part);
  s_.parts.push_back(root[id_key].span());
  f_.parts.back().cite = cite(root, scope);
  allow(root, root.span());
  return f_.parts.back();
}

void Expander::end_part() {
  unknown_cavities_.clear();  // a later file is told by itself, maybe in another report
  Part& part = f_.parts[part_];
  auto close = [](Range& range, size_t size) { range.count = static_cast<Index>(size) - range.first; };
  close(part.numbers, f_.numbers.size());
  close(part.connectors, f_.connectors.size());
  close(part.points, f_.points.size());
  close(part.splices, f_.splices.size());
  close(part.earths, f_.earths.size());
  close(part.leads, f_.leads.size());
  close(part.wires, f_.wires.size());
  close(part.cavity_rows, f_.cavity_rows.size());
  close(part.pins, f_.pins.size());
  close(part.insides, f_.insides.size());
  close(part.positions, f_.positions.size());
  close(part.branches, f_.branches.size());
  part_ = none;
}

void Expander::read_numbers(yaml::Node root, const Scope& scope) {
  for (yaml::Node row : by_content(root["numbers"])) {
    f_.numbers.push_back({part_, str(row["text"].text()), str(row["on"].text()), str(row["supersedes"].text()),
                          cells(tags(row, scope)), cite(row, scope)});
    s_.numbers.push_back(row.span());
  }
}

void Expander::read_connectors(yaml::Node all, const Scope& scope) {
  for (yaml::Node entry : by_key(all)) {
    Index index = static_cast<Index>(f_.connectors.size());
    names().connectors[entry.key()] = index;
    f_.connectors.push_back({part_, str(entry.key()), {static_cast<Index>(f_.connector_rows.size()), 0}});
    for (yaml::Node row : one_or_many(entry)) read_connector_row(index, row, entry.key_span(), scope);
  }
}

void Expander::read_connector_row(Index connector, yaml::Node row, Span designator, const Scope& scope) {
  ConnectorRow out;
  out.connector = connector;
  out.housing = housing(row["housing"]);
  out.where = str(row["where"].text());
  out.rest = word_of<Rest>(row["rest"]);
  out.loose = str(row["loose"].text());
  out.cells = cells(tags(row, scope));
  out.cite = cite(row, scope);
  // What is allowed at a connector is allowed for whatever is found at its designator.
  Span whole = row.span();
  allow(row, {whole.file, std::min(designator.begin, whole.begin), whole.end});
  f_.connector_rows.push_back(out);
  s_.connector_rows.push_back({row.span(), designator, row["housing"].span()});
  ++f_.connectors[connector].rows.count;
}

void Expander::read_cavity_row(Index point, yaml::Node row, Span place, const Scope& scope) {
  CavityRow out;
  out.point = point;
  out.state = word_of<State>(row["state"]);
  out.note = str(row["note"].text());
  out.cells = cells(tags(row, scope));
  out.cite = cite(row, scope);
  out.says.first = static_cast<Index>(f_.says.size());
  Index index = static_cast<Index>(f_.cavity_rows.size());
  for (yaml::Node say : row["says"]) {
    State state = say["state"] ? word_of<State>(say["state"]) : State::wired;
    f_.says.push_back({index, state, circuit(say["circuit"]), cite_of(say["source"], true)});
    s_.says.push_back(say.span());
    ++out.says.count;
  }
  report_->judged(Rule::missing_key);
  if (out.state == State::disputed && out.says.count < 2) {
    report_->add<Rule::missing_key>(row["state"].span(), "a disputed cavity", "says")
        .help("both statements are kept: says: [{source: …, circuit: …}, {source: …, state: empty}]");
  }
  allow(row, row.span());
  f_.cavity_rows.push_back(out);
  s_.cavity_rows.push_back(place);
}

void Expander::read_branches(yaml::Node root) {
  for (yaml::Node row : by_key(root["branches"])) {
    Range range{static_cast<Index>(f_.string_refs.size()), 0};
    for (yaml::Node designator : row) {
      if (connector(designator.text()) == none) {
        unknown("connector", designator.text(), designator.span(), sorted_names(names().connectors));
        continue;
      }
      f_.string_refs.push_back(str(designator.text()));
      ++range.count;
    }
    f_.branches.push_back({part_, str(row.key()), range});
    s_.branches.push_back(row.key_span());
  }
}

}  // namespace loomproof
