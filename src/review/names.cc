#include "review/names.h"

#include <fmt/format.h>

#include <algorithm>
#include <iterator>

#include "family/words.h"

namespace loomproof::review {
namespace {

std::string id(const Family& family, Str str) {
  return std::string(family.text(str));
}
std::string circuit_of(const Family& family, Index circuit) {
  return circuit == none ? "" : id(family, family.circuits[circuit].id);
}
std::string contents_of(const Family& family, const Pin& pin) {
  return pin.circuit != none ? circuit_of(family, pin.circuit) : std::string(word(pin.role));
}
bool is_joint(PointKind kind) {
  return kind == PointKind::splice || kind == PointKind::earth || kind == PointKind::lead;
}
std::string connector_name(const Family& family, Index point) {
  const Point& row = family.points[point];
  return id_of_place(family, row.part) + "." + id(family, family.connectors[row.connector].designator);
}

// Calls each(row, circuit) for every row that a circuit is named in and that stands at one point.
template <typename Each>
void at_points(const Family& family, Each&& each) {
  for (const Earth& row : family.earths)
    if (row.circuit != none) each(row.point, row.circuit);
  for (const Lead& row : family.leads)
    if (row.circuit != none) each(row.point, row.circuit);
}

class Collector {
 public:
  Collector(const Family& family, bool is_meaning) : family_(family), is_meaning_(is_meaning) {}

  Names collect(NameKind kind) {
    switch (kind) {
      case NameKind::era:
        eras();
        break;
      case NameKind::option:
        options();
        break;
      case NameKind::option_value:
        option_values();
        break;
      case NameKind::place:
        places();
        break;
      case NameKind::part:
        parts();
        break;
      case NameKind::connector:
        connectors();
        break;
      case NameKind::circuit:
        circuits();
        break;
      case NameKind::housing:
        housings();
        break;
      case NameKind::cavity:
        cavities();
        break;
      case NameKind::source:
        sources();
        break;
      case NameKind::joint:
        joints();
        break;
      case NameKind::inside:
        insides();
        break;
      case NameKind::switch_:
        switches();
        break;
      case NameKind::node:
        nodes();
        break;
      case NameKind::combination:
        combinations();
        break;
    }
    for (auto& [name, uses] : names_) {
      std::sort(uses.begin(), uses.end());
      if (is_meaning_) uses.erase(std::unique(uses.begin(), uses.end()), uses.end());
    }
    return std::move(names_);
  }

 private:
  Uses& at(std::string scope, std::string name) { return names_[{std::move(scope), std::move(name)}]; }
  std::string text(Str str) const { return id(family_, str); }

  void eras() {
    for (const Era& era : family_.eras) {
      Uses& uses = at("", text(era.id));
      if (!is_meaning_) {
        uses = {text(era.title), month_text(era.from) + "/" + month_text(era.to)};
        continue;
      }
      if (era.from != not_given) uses.push_back("from " + month_text(era.from));
      if (era.to != not_given) uses.push_back("to " + month_text(era.to));
    }
  }

  // Rows that hold with some values only: two options of the same values are told apart by what hangs on them.
  void options() {
    for (uint32_t axis = 1; axis < family_.axis_count(); ++axis) {
      const Option& option = family_.options[axis - 1];
      Uses& uses = at("", text(option.id));
      for (const OptionValue& value : rows(family_.option_values, option.values)) uses.push_back(text(value.id));
      if (is_meaning_) continue;
      if (option.title != option.id) uses.push_back(text(option.title));
      const auto hangs = [&](Cells cells) {
        for (uint32_t cell : family_.set(cells).cells())
          for (uint32_t value = 0; value < family_.axis_size(axis); ++value) {
            const uint32_t other = family_.with_coordinate(cell, axis, value);
            if (family_.holds(family_.built, other) && !family_.holds(cells, other)) return true;
          }
        return false;
      };
      for (const Wire& wire : family_.wires)
        if (hangs(wire.cells)) uses.push_back(point_name(family_, wire.from) + " " + point_name(family_, wire.to));
      for (const Part& part : family_.parts)
        if (hangs(part.cells)) uses.push_back(text(part.id));
    }
  }

  void option_values() {
    for (const Option& option : family_.options)
      for (Index row = option.values.first; row < option.values.end(); ++row) {
        const OptionValue& value = family_.option_values[row];
        Uses& uses = at(text(option.id), text(value.id));
        if (is_meaning_) {
          if (value.supply != not_given) uses.push_back(volts_text(value.supply));
          continue;
        }
        const std::string title = value.title == value.id ? "" : text(value.title);
        uses = {fmt::format("place {}", row - option.values.first), title + volts_text(value.supply)};
      }
  }

  void places() {
    for (const Place& place : family_.places) {
      Uses& uses = at("", text(place.id));
      if (is_meaning_ && place.title != place.id) uses.push_back(text(place.title));
    }
    for (Index part = 0; part < family_.parts.size(); ++part)
      if (family_.parts[part].place != none) at("", id_of_place(family_, part)).push_back(text(family_.parts[part].id));
    for (const PlugPair& plug : family_.plugs) {
      const std::string a = text(family_.places[plug.place_a].id), b = text(family_.places[plug.place_b].id);
      at("", a).push_back(fmt::format("{}: {}.{}", text(plug.a), b, text(plug.b)));
      at("", b).push_back(fmt::format("{}: {}.{}", text(plug.b), a, text(plug.a)));
    }
  }

  void parts() {
    for (Index part = 0; part < family_.parts.size(); ++part) {
      const Part& row = family_.parts[part];
      if (is_meaning_) {
        at(std::string(word(row.kind)), text(row.id)).push_back("in " + id_of_place(family_, part));
        continue;
      }
      Uses& uses = at(id_of_place(family_, part), text(row.id));
      for (Index point = row.points.first; point < row.points.end(); ++point)
        uses.push_back(point_name(family_, point));
      for (const Wire& wire : rows(family_.wires, row.wires))
        uses.push_back(point_name(family_, wire.from) + " " + point_name(family_, wire.to));
      for (const Pin& pin : rows(family_.pins, row.pins))
        uses.push_back(fmt::format("{} {}", point_name(family_, pin.point), word(pin.role)));
    }
  }

  // Without names of circuits where it matters for knowing one again: those may have changed theirs as well.
  void connectors() {
    const auto uses_at = [&](Index point) -> Uses& {
      const Point& row = family_.points[point];
      return at(scope_of(family_, row.part), text(family_.connectors[row.connector].designator));
    };
    for (const Connector& row : family_.connectors) at(scope_of(family_, row.part), text(row.designator));
    for (const ConnectorRow& row : family_.connector_rows) {
      const Connector& connector = family_.connectors[row.connector];
      if (row.housing == none) continue;
      Uses& uses = at(scope_of(family_, connector.part), text(connector.designator));
      const std::string housing = "housing " + text(family_.housings[row.housing].id);
      if (std::find(uses.begin(), uses.end(), housing) == uses.end()) uses.push_back(housing);
    }
    for (const Wire& wire : family_.wires)
      for (const auto& [end, other] : {std::pair(wire.from, wire.to), std::pair(wire.to, wire.from)}) {
        if (family_.points[end].connector == none) continue;
        uses_at(end).push_back(is_meaning_ ? circuit_of(family_, wire.circuit)
                                           : fmt::format("{} {} {}", text(family_.points[end].name),
                                                         text(family_.points[other].name), colour_code(family_, wire)));
      }
    for (const Pin& pin : family_.pins)
      if (family_.points[pin.point].connector != none)
        uses_at(pin.point).push_back(is_meaning_
                                         ? contents_of(family_, pin)
                                         : fmt::format("{} {}", text(family_.points[pin.point].name), word(pin.role)));
  }

  void circuits() {
    for (Index circuit = 0; circuit < family_.circuits.size(); ++circuit) at("", circuit_of(family_, circuit));
    const auto use = [&](Index circuit, std::string words) {
      at("", circuit_of(family_, circuit)).push_back(std::move(words));
    };
    if (is_meaning_) {
      const auto leads = [&](Index point, Index circuit) {
        if (circuit != none && family_.points[point].connector != none) use(circuit, connector_name(family_, point));
      };
      for (const Wire& wire : family_.wires) leads(wire.from, wire.circuit), leads(wire.to, wire.circuit);
      for (const Pin& pin : family_.pins) leads(pin.point, pin.circuit);
      at_points(family_, [&](Index point, Index circuit) {
        use(circuit, id_of_place(family_, family_.points[point].part) + " " + point_name(family_, point));
      });
      return;
    }
    for (const Wire& wire : family_.wires) {
      if (wire.circuit == none) continue;
      std::string a = point_name(family_, wire.from), b = point_name(family_, wire.to);
      if (b < a) std::swap(a, b);
      use(wire.circuit, fmt::format("{} {} {} {}", id_of_place(family_, wire.part), a, b, colour_code(family_, wire)));
    }
    for (const Pin& pin : family_.pins)
      if (pin.circuit != none)
        use(pin.circuit, fmt::format("{} {} {}", id_of_place(family_, family_.points[pin.point].part),
                                     point_name(family_, pin.point), word(pin.role)));
    at_points(family_, [&](Index point, Index circuit) {
      use(circuit, id_of_place(family_, family_.points[point].part) + " " + point_name(family_, point));
    });
  }

  void housings() {
    for (const Housing& housing : family_.housings) {
      Uses& uses = at("", text(housing.id));
      if (!is_meaning_) uses.push_back(text(housing.title) + " " + text(housing.colour) + " " + text(housing.key));
      for (const HousingCavity& cavity : rows(family_.housing_cavities, housing.cavities))
        uses.push_back(fmt::format("{} {} {} {}", text(cavity.number), cavity.x, cavity.y, word(cavity.contact)));
    }
    if (is_meaning_) return;
    for (const ConnectorRow& row : family_.connector_rows) {
      if (row.housing == none) continue;
      const Connector& connector = family_.connectors[row.connector];
      at("", text(family_.housings[row.housing].id))
          .push_back(id_of_place(family_, connector.part) + "." + text(connector.designator));
    }
  }

  // A cavity is where it is; that another stands there now is told of its housing.
  void cavities() {
    for (const Housing& housing : family_.housings)
      for (const HousingCavity& cavity : rows(family_.housing_cavities, housing.cavities)) {
        Uses& uses = at(text(housing.id), text(cavity.number));
        if (!is_meaning_) uses = {fmt::format("{} {}", cavity.x, cavity.y)};
      }
  }

  void sources() {
    for (const Source& source : family_.sources)
      at("", text(source.id)) = {
          fmt::format("{} {}", word(source.kind), text(source.title)),
          fmt::format("{} {} {}", text(source.number), text(source.edition), text(source.section)),
          fmt::format("{} {} {}", text(source.by), text(source.on), text(source.sha256))};
  }

  // By the wires that end there.
  void joints() {
    for (const Point& point : family_.points)
      if (is_joint(point.kind)) at(scope_of(family_, point.part), text(point.name));
    for (const Wire& wire : family_.wires)
      for (const auto& [end, other] : {std::pair(wire.from, wire.to), std::pair(wire.to, wire.from)}) {
        if (!is_joint(family_.points[end].kind)) continue;
        Uses& uses = at(scope_of(family_, wire.part), text(family_.points[end].name));
        const std::string circuit = circuit_of(family_, wire.circuit);
        uses.push_back(is_meaning_ ? circuit
                                   : fmt::format("{} {} {}", circuit,
                                                 is_joint(family_.points[other].kind) ? std::string("joint")
                                                                                      : point_name(family_, other),
                                                 colour_code(family_, wire)));
      }
  }

  // Nodes within may be renamed too, and are no words here.
  std::string outer(Index point) const {
    return family_.points[point].kind == PointKind::inner ? "within" : point_name(family_, point);
  }
  void insides() {
    for (const Inside& row : family_.insides) {
      Uses& uses = at(scope_of(family_, row.part), text(row.id));
      uses.push_back(is_meaning_ ? std::string(word(row.kind))
                                 : fmt::format("{} {} {} {} {} {}", word(row.kind), outer(row.a), outer(row.b),
                                               milli(row.ohm), milli(row.amps), row.rests_closed));
    }
  }
  void nodes() {
    for (const Point& point : family_.points)
      if (point.kind == PointKind::inner) at(scope_of(family_, point.part), text(point.name));
    if (is_meaning_) return;
    for (const Inside& row : family_.insides)
      for (const Index end : {row.a, row.b})
        if (family_.points[end].kind == PointKind::inner)
          at(scope_of(family_, row.part), text(family_.points[end].name)).push_back(text(row.id));
  }
  void switches() {
    for (const Position& row : family_.positions) {
      Uses& uses = at(scope_of(family_, row.part), text(row.switch_id));
      if (is_meaning_) continue;
      uses.push_back(text(row.value));
      for (Str each : rows(family_.string_refs, row.closes)) uses.push_back(text(row.value) + " " + text(each));
    }
  }

  void combinations() {
    for (const Combination& row : family_.combinations) {
      Uses& uses = at("", text(row.id));
      for (const CombinationPart& part : rows(family_.combination_parts, row.parts))
        uses.push_back(fmt::format("{} holds {}", text(family_.places[part.place].id),
                                   part.part == none ? "what was built" : text(family_.parts[part.part].id)));
      for (const CombinationEdit& edit : rows(family_.combination_edits, row.edits))
        uses.push_back(text(family_.places[edit.place].id) + " " + text(edit.text));
      if (!is_meaning_) uses.push_back(fmt::format("{} {}", word(row.best), word(row.worst)));
    }
  }

  const Family& family_;
  const bool is_meaning_;
  Names names_;
};

size_t shared(const Uses& a, const Uses& b) {
  Uses both;
  std::set_intersection(a.begin(), a.end(), b.begin(), b.end(), std::back_inserter(both));
  return both.size();
}

}  // namespace

std::string_view word(NameKind kind) {
  static constexpr std::string_view words[] = {"era",       "option",         "option value", "place",  "part",
                                               "connector", "circuit",        "housing",      "cavity", "source",
                                               "joint",     "inside element", "switch",       "node",   "combination"};
  return words[static_cast<size_t>(kind)];
}

std::string id_of_place(const Family& family, Index part) {
  const Index place = family.parts[part].place;
  return place == none ? "" : id(family, family.places[place].id);
}

std::string scope_of(const Family& family, Index part) {
  return id_of_place(family, part) + "/" + id(family, family.parts[part].id);
}

Names uses_of(const Family& family, NameKind kind) {
  return Collector(family, false).collect(kind);
}
Names meanings_of(const Family& family, NameKind kind) {
  return Collector(family, true).collect(kind);
}

double likeness(const Uses& a, const Uses& b) {
  if (a.empty() || b.empty()) return 0;
  return static_cast<double>(shared(a, b)) / static_cast<double>(std::max(a.size(), b.size()));
}
double share_kept(const Uses& was, const Uses& is) {
  return was.empty() ? 1 : static_cast<double>(shared(was, is)) / static_cast<double>(was.size());
}

}  // namespace loomproof::review
