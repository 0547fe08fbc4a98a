// family.yaml: eras, options, builds, places and which plugs meet.
#include <algorithm>

#include "expand/expander.h"

namespace loomproof {

namespace {

// The months of "1995-05/1998-01"; an open end is "..".
std::pair<std::string_view, std::string_view> months(std::string_view built) {
  size_t stroke = built.find('/');
  if (stroke == built.npos) return {};
  return {built.substr(0, stroke), built.substr(stroke + 1)};
}

}  // namespace

// False when there are more cells than a family may have: then nothing else of it can be told.
bool Expander::read_axes(yaml::Node root) {
  for (yaml::Node row : root["eras"]) {
    auto [from, to] = months(row["built"].text());
    Era era{str(row["id"].text()), str(row["title"].text()), month(from), month(to)};
    if (yaml::Node number = row["number-from"])
      era.number_from = static_cast<Quantity>(std::stol(std::string(number.text())));
    era.run_out = month(row["run-out-of-previous"].text());
    auto [known, fresh] = eras_.try_emplace(row["id"].text(), static_cast<Index>(f_.eras.size()));
    if (!fresh) {
      unresolved_ = true;
      report_->add<Rule::duplicate_id>(row["id"].span(), "era", row["id"].text())
          .label(s_.eras[known->second].row, "declared first here");
    }
    f_.eras.push_back(era);
    s_.eras.push_back({row.span(), row["built"].span(), row["run-out-of-previous"].span()});
  }
  uint64_t count = f_.eras.size();
  for (yaml::Node row : by_key(root["options"])) {
    Index option = static_cast<Index>(f_.options.size());
    option_names_[row.key()] = option;
    Range values{static_cast<Index>(f_.option_values.size()), 0};
    for (yaml::Node value : row["values"]) {
      yaml::Node title = row["titles"][value.text()];
      auto [known, fresh] =
          value_names_.try_emplace({option, value.text()}, static_cast<Index>(f_.option_values.size()));
      if (!fresh) {
        unresolved_ = true;
        report_->add<Rule::duplicate_id>(value.span(), "option value", value.text())
            .label(s_.option_values[known->second], "declared first here");
      }
      f_.option_values.push_back({option, str(value.text()), title ? str(title.text()) : str(value.text())});
      s_.option_values.push_back(value.span());
      ++values.count;
    }
    for (yaml::Node title : row["titles"])
      if (!value_names_.count({option, title.key()})) {
        std::vector<std::string_view> known;
        for (yaml::Node value : row["values"]) known.push_back(value.text());
        unknown("value of this option", title.key(), title.key_span(), known);
      }
    count *= values.count;
    f_.options.push_back({str(row.key()), str(row["title"] ? row["title"].text() : row.key()), values,
                          row["independent"].text() == "true"});
    s_.options.push_back(row.key_span());
    if (count > max_cells) break;
  }
  if (count > max_cells) {
    report_->add<Rule::too_large>(root["eras"].key_span(), "the number of eras times option values", max_cells);
    f_.options.clear();
    f_.option_values.clear();
    f_.eras.clear();
    return false;
  }
  for (uint32_t axis = 0; axis < f_.axis_count(); ++axis) {
    axis_cells_.emplace_back(f_.axis_size(axis));
    for (uint32_t cell = 0; cell < f_.cell_count(); ++cell) axis_cells_[axis][f_.coordinate(cell, axis)].insert(cell);
  }
  return true;
}

void Expander::read_builds(yaml::Node root) {
  CellSet built;
  for (yaml::Node row : by_content(root["builds"])) {
    CellSet set = tags(row, {CellSet::first(f_.cell_count()), {}, {}});
    built |= set;
    f_.builds.push_back(cells(set));
    s_.builds.push_back(row.span());
  }
  f_.built = cells(built);
}

void Expander::read_places(yaml::Node root) {
  yaml::Node source = root["source"];
  Scope scope{CellSet::first(f_.cell_count()), source, "the family's places"};
  for (yaml::Node row : by_key(root["places"])) {
    Index index = static_cast<Index>(f_.places.size());
    places_[row.key()] = index;
    Place place{str(row.key()), str(row["title"].text()), 0};
    Scope inner = scope;
    inner.cells = tags(row, scope);
    place.cells = cells(inner.cells);
    place.optional = row["optional"].text() == "true";
    place.undocumented = row["undocumented"].text() == "true";
    place.cite = cite(row, scope);
    place.where.first = static_cast<Index>(f_.place_where.size());
    for (yaml::Node where : one_or_many(row["where"])) {
      yaml::Node text = where.is_map() ? where["where"] : where;
      f_.place_where.push_back(
          {index, str(text.text()), cells(tags(where, inner)), cite(where.is_map() ? where : row, scope)});
      s_.place_where.push_back(text.span());
      ++place.where.count;
    }
    f_.places.push_back(place);
    s_.places.push_back(row.key_span());
  }
}

void Expander::read_plugs(yaml::Node root) {
  struct Side {
    Index place;
    std::string_view designator;
  };
  auto side = [&](yaml::Node node) {
    std::string_view text = node.text();
    size_t dot = text.find('.');
    Span name = span_of_piece(node.span(), text, 0, dot);
    auto found = places_.find(text.substr(0, dot));
    if (found == places_.end()) {
      unknown("place", text.substr(0, dot), name, sorted_names(places_));
      return Side{none, {}};
    }
    return Side{found->second, text.substr(dot + 1)};
  };
  struct Row {
    Side a, b;
    yaml::Node node_a, node_b;
    CellSet cells;
  };
  std::vector<Row> all;
  for (yaml::Node row : root["plugs"]) {
    yaml::Node meet = row.is_map() ? row["meet"] : row;
    auto end = meet.begin();
    Row plug;
    plug.node_a = *end;
    plug.node_b = *++end;
    plug.a = side(plug.node_a);
    plug.b = side(plug.node_b);
    plug.cells = tags(row, {CellSet::first(f_.cell_count()), {}, {}});
    if (plug.a.place != none && plug.b.place != none) all.push_back(plug);
  }
  std::stable_sort(all.begin(), all.end(), [&](const Row& x, const Row& y) {
    if (x.node_a.text() != y.node_a.text()) return natural_less(x.node_a.text(), y.node_a.text());
    if (x.node_b.text() != y.node_b.text()) return natural_less(x.node_b.text(), y.node_b.text());
    return x.cells < y.cells;
  });
  for (const Row& row : all) {
    f_.plugs.push_back({row.a.place, str(row.a.designator), row.b.place, str(row.b.designator), cells(row.cells)});
    s_.plugs.push_back({row.node_a.span(), row.node_b.span()});
  }
}

// Once the parts are known: the connectors that are said to meet are there, on one of the parts that the place may
// hold.
void Expander::check_plugs() {
  std::vector<std::pair<Index, Str>> there;  // place, designator
  for (const Connector& connector : f_.connectors)
    there.emplace_back(f_.parts[connector.part].place, connector.designator);
  std::sort(there.begin(), there.end());
  const auto has_any = [&](Index place) {
    const auto first = std::lower_bound(there.begin(), there.end(), std::pair(place, Str{0}));
    return first != there.end() && first->first == place;
  };
  auto check = [&](Index place, Str designator, Span side) {
    if (!has_any(place) || std::binary_search(there.begin(), there.end(), std::pair(place, designator))) return;
    std::vector<std::string_view> known;
    for (const Connector& connector : f_.connectors)
      if (f_.parts[connector.part].place == place) known.push_back(f_.text(connector.designator));
    const std::string_view name = f_.text(designator);
    const std::string_view owner = f_.text(f_.places[place].id);
    const std::string whole = std::string(owner) + "." + std::string(name);
    unknown("connector of " + std::string(owner), name, span_of_piece(side, whole, owner.size() + 1), known);
  };
  for (size_t i = 0; i < f_.plugs.size(); ++i) {
    check(f_.plugs[i].place_a, f_.plugs[i].a, s_.plugs[i].a);
    check(f_.plugs[i].place_b, f_.plugs[i].b, s_.plugs[i].b);
  }
}

}  // namespace loomproof
