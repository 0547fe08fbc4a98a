// components/*.yaml: pins, what is inside, switch positions.
#include <algorithm>

#include "expand/expander.h"

namespace loomproof {

namespace {

struct RoleKey {
  std::string_view key, words;
  Role first, second;  // the roles it is said of
};
constexpr RoleKey role_keys[] = {
    {"protocol", "`bus`", Role::bus, Role::bus},
    {"line", "`bus`", Role::bus, Role::bus},
    {"ends", "`bus`", Role::bus, Role::bus},
    {"coded", "`senses-low` or `senses-high`", Role::senses_low, Role::senses_high},
};

}  // namespace

void Expander::check_role_keys(yaml::Node row, Role role) {
  report_->judged(Rule::key_of_other_role);
  for (const RoleKey& each : role_keys) {
    const yaml::Node value = row[each.key];
    if (!value || role == each.first || role == each.second) continue;
    report_->add<Rule::key_of_other_role>(value.key_span(), each.key, each.words, row["role"].text())
        .label(row["role"].span(), "its role");
    return;
  }
}

void Expander::read_pin(Index point, yaml::Node row, Span cavity, const Scope& scope) {
  Pin pin;
  pin.point = point;
  pin.circuit = circuit(row["circuit"]);
  pin.role = word_of<Role>(row["role"]);
  pin.volts = volts(row["volts"]);
  pin.amps = quantity(row["max-a"]);
  pin.optional = row["needed"].text() == "false";
  pin.when = word_of<When>(row["when"]);
  pin.through_load = row["through-load"].text() == "allowed";
  yaml::Node coded = row["coded"];
  pin.coded_low = str(coded["low"].text());
  pin.coded_high = str(coded["high"].text());
  pin.coded_open = str(coded["open"].text());
  pin.pair_with = str(row["pair"]["with"].text());
  pin.polarity = str(row["pair"]["polarity"].text());
  pin.protocol = str(row["protocol"].text());
  pin.line = str(row["line"].text());
  pin.ends = str(row["ends"].text());
  pin.marks = read_marks(row);
  pin.cells = cells(tags(row, scope));
  pin.cite = cite(row, scope);
  allow(row, row.span());
  check_role_keys(row, pin.role);
  if (yaml::Node pair = row["pair"]["with"]) {
    Index at = f_.points[point].connector;
    if (!has_cavity(at, pair.text())) cavity_point(at, pair.text(), pair.span());  // says what is unknown
  }
  f_.pins.push_back(pin);
  auto span_or = [&](std::string_view key) { return row[key] ? row[key].span() : cavity; };
  s_.pins.push_back({row.span(), cavity, span_or("circuit"), span_or("role")});
}

void Expander::read_inside(yaml::Node row, const Scope& scope) {
  auto end_point = [&](yaml::Node node) -> Index {
    std::string_view name = node.text();
    if (name.find('.') != name.npos) return point(name, node.span());
    if (name == "BODY") return joint_point("BODY", PointKind::inner);
    auto found = names().joints.find(name);
    if (found != names().joints.end()) return found->second;
    std::vector<std::string_view> known = sorted_names(names().joints);
    known.insert(known.begin(), "BODY");
    unknown("node inside", name, node.span(), known);
    return none;
  };
  Inside inside;
  inside.part = part_;
  inside.id = str(row["id"].text());
  inside.kind = word_of<InsideKind>(row["as"]);
  auto end = row["join"].begin();
  inside.a = end_point(*end);
  inside.b = end_point(*++end);
  inside.ohm = quantity(row["ohm"]);
  inside.amps = quantity(row["a"]);
  inside.volts = volts(row["volts"]);
  inside.rests_known = static_cast<bool>(row["rests"]);
  inside.rests_closed = row["rests"].text() == "closed";
  inside.closed_by = word_of<ClosedBy>(row["by"]);
  if (yaml::Node coil = row["closed-by"]) {
    inside.coil = str(coil.text());
    inside.closed_by = ClosedBy::coil;
  }
  inside.cells = cells(tags(row, scope));
  inside.cite = cite(row, scope);
  if (inside.a == none || inside.b == none) return;
  f_.insides.push_back(inside);
  s_.insides.push_back(row.span());
}

void Expander::read_positions(yaml::Node root) {
  for (yaml::Node entry : by_key(root["positions"]))
    for (yaml::Node position : by_key(entry)) {
      Range closes{static_cast<Index>(f_.string_refs.size()), 0};
      for (yaml::Node id : position) {
        f_.string_refs.push_back(str(id.text()));
        ++closes.count;
      }
      f_.positions.push_back({part_, str(entry.key()), str(position.key()), closes});
      s_.positions.push_back(position.key_span());
    }
}

// Contacts are closed by coils, and positions close contacts, of this component.
void Expander::check_inside_names(yaml::Node root) {
  std::vector<std::string_view> coils, contacts;
  for (yaml::Node row : root["inside"]) {
    if (row["as"].text() == "coil") coils.push_back(row["id"].text());
    if (row["as"].text() == "contact") contacts.push_back(row["id"].text());
  }
  auto need = [&](std::string_view kind, yaml::Node node, const std::vector<std::string_view>& known) {
    if (node && std::find(known.begin(), known.end(), node.text()) == known.end())
      unknown(kind, node.text(), node.span(), known);
  };
  for (yaml::Node row : root["inside"]) need("coil inside", row["closed-by"], coils);
  for (yaml::Node entry : root["positions"])
    for (yaml::Node position : entry)
      for (yaml::Node id : position) need("contact inside", id, contacts);
}

void Expander::read_component_at(const Document& document, Index where) {
  yaml::Node root = document.root();
  std::string owner = "component `" + std::string(root["component"].text()) + "`";
  Scope scope{f_.set(f_.places[where].cells), root["source"], owner};
  scope.cells = tags(root, scope);
  begin_part(root, PartKind::component, "component", where, scope);
  components_[root["component"].text()].push_back(part_);
  read_numbers(root, scope);
  read_connectors(root["connectors"], scope);
  for (yaml::Node name : root["nodes"]) joint_point(name.text(), PointKind::inner);
  for (yaml::Node entry : by_key(root["connectors"])) {
    Index at = connector(entry.key());
    for (yaml::Node connector_row : one_or_many(entry)) {
      Scope inner = scope;
      inner.cells = tags(connector_row, scope);
      for (yaml::Node pin : by_key(connector_row["pins"])) {
        Index at_point = cavity_point(at, pin.key(), pin.key_span());
        for (yaml::Node row : one_or_many(pin))
          if (at_point != none) read_pin(at_point, row, pin.key_span(), inner);
      }
      for (yaml::Node cavity : by_key(connector_row["cavities"])) {
        Index at_point = cavity_point(at, cavity.key(), cavity.key_span());
        for (yaml::Node row : one_or_many(cavity))
          if (at_point != none)
            read_cavity_row(at_point, row, cavity.is_sequence() ? row.span() : cavity.key_span(), inner);
      }
    }
  }
  std::vector<yaml::Node> elements = by_content(root["inside"]);
  std::stable_sort(elements.begin(), elements.end(),
                   [](yaml::Node a, yaml::Node b) { return natural_less(a["id"].text(), b["id"].text()); });
  for (yaml::Node row : elements) read_inside(row, scope);
  check_inside_names(root);
  read_positions(root);
  end_part();
}

void Expander::read_component(const Document& document) {
  std::vector<std::pair<Index, yaml::Node>> places;
  for (yaml::Node node : one_or_many(document.root()["place"]))
    if (Index where = place(node); where != none) places.push_back({where, node});
  std::stable_sort(places.begin(), places.end(), [](const auto& a, const auto& b) { return a.first < b.first; });
  Report* report = report_;
  Report silent;  // a part that several places hold is judged once
  bool unresolved = unresolved_;
  for (size_t i = 0; i < places.size(); ++i) {
    report_ = i == 0 ? report : &silent;
    read_component_at(document, places[i].first);
    if (i == 0) unresolved = unresolved_;
  }
  report_ = report;
  unresolved_ = unresolved;
}

}  // namespace loomproof
