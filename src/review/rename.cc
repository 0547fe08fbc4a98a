#include "review/rename.h"

#include <fmt/format.h>

#include <algorithm>
#include <map>
#include <set>

#include "family/words.h"

namespace loomproof::review {
namespace {

using Uses = std::vector<std::string>;  // sorted; may repeat

// What is named in one revision: by scope (a part, an option; "" where names are the family's) and name.
struct Named {
  std::string scope, name;
  friend auto operator<=>(const Named&, const Named&) = default;
};
using Names = std::map<Named, Uses>;

std::string id(const Family& family, Str str) {
  return std::string(family.text(str));
}
std::string place_of(const Family& family, Index part) {
  const Index place = family.parts[part].place;
  return place == none ? "" : id(family, family.places[place].id);
}
std::string circuit_of(const Family& family, Index circuit) {
  return circuit == none ? "" : id(family, family.circuits[circuit].id);
}
std::string in_part(const Family& family, Index part) {
  return place_of(family, part) + "/" + id(family, family.parts[part].id);
}

Names circuits(const Family& family) {
  Names names;
  const auto uses = [&](Index circuit) -> Uses& { return names[{"", circuit_of(family, circuit)}]; };
  for (Index circuit = 0; circuit < family.circuits.size(); ++circuit) uses(circuit);
  for (const Wire& wire : family.wires) {
    if (wire.circuit == none) continue;
    std::string a = point_name(family, wire.from), b = point_name(family, wire.to);
    if (b < a) std::swap(a, b);
    uses(wire.circuit)
        .push_back(fmt::format("{} {} {} {}", place_of(family, wire.part), a, b, colour_code(family, wire)));
  }
  for (const Pin& pin : family.pins)
    if (pin.circuit != none)
      uses(pin.circuit)
          .push_back(fmt::format("{} {} {}", place_of(family, family.points[pin.point].part),
                                 point_name(family, pin.point), word(pin.role)));
  const auto at_points = [&](const auto& table) {
    for (const auto& row : table)
      if (row.circuit != none)
        uses(row.circuit)
            .push_back(place_of(family, family.points[row.point].part) + " " + point_name(family, row.point));
  };
  at_points(family.earths);
  at_points(family.leads);
  return names;
}

// By place, since a component that four places hold is four parts.
Names parts(const Family& family) {
  Names names;
  for (Index part = 0; part < family.parts.size(); ++part) {
    Uses& uses = names[{place_of(family, part), id(family, family.parts[part].id)}];
    for (Index point = family.parts[part].points.first; point < family.parts[part].points.end(); ++point)
      uses.push_back(point_name(family, point));
    for (const Wire& wire : rows(family.wires, family.parts[part].wires))
      uses.push_back(point_name(family, wire.from) + " " + point_name(family, wire.to));
    for (const Pin& pin : rows(family.pins, family.parts[part].pins))
      uses.push_back(fmt::format("{} {}", point_name(family, pin.point), word(pin.role)));
  }
  return names;
}

Names places(const Family& family) {
  Names names;
  for (const Place& place : family.places) names[{"", id(family, place.id)}];
  for (Index part = 0; part < family.parts.size(); ++part) {
    if (family.parts[part].place == none) continue;
    Uses& uses = names[{"", place_of(family, part)}];
    uses.push_back(id(family, family.parts[part].id));
  }
  for (const PlugPair& plug : family.plugs) {
    names[{"", id(family, family.places[plug.place_a].id)}].push_back(fmt::format(
        "{}: {}.{}", family.text(plug.a), family.text(family.places[plug.place_b].id), family.text(plug.b)));
    names[{"", id(family, family.places[plug.place_b].id)}].push_back(fmt::format(
        "{}: {}.{}", family.text(plug.b), family.text(family.places[plug.place_a].id), family.text(plug.a)));
  }
  return names;
}

Names housings(const Family& family) {
  Names names;
  for (const Housing& housing : family.housings) {
    Uses& uses = names[{"", id(family, housing.id)}];
    uses.push_back(id(family, housing.title) + " " + id(family, housing.colour) + " " + id(family, housing.key));
    for (const HousingCavity& cavity : rows(family.housing_cavities, housing.cavities))
      uses.push_back(fmt::format("{} {} {} {}", family.text(cavity.number), cavity.x, cavity.y, word(cavity.contact)));
  }
  for (const ConnectorRow& row : family.connector_rows) {
    if (row.housing == none) continue;
    const Connector& connector = family.connectors[row.connector];
    names[{"", id(family, family.housings[row.housing].id)}].push_back(place_of(family, connector.part) + "." +
                                                                       id(family, connector.designator));
  }
  return names;
}

Names sources(const Family& family) {
  Names names;
  for (const Source& source : family.sources)
    names[{"", id(family, source.id)}] = {
        fmt::format("{} {}", word(source.kind), family.text(source.title)),
        fmt::format("{} {} {}", family.text(source.number), family.text(source.edition), family.text(source.section)),
        fmt::format("{} {} {}", family.text(source.by), family.text(source.on), family.text(source.sha256))};
  return names;
}

Names eras(const Family& family) {
  Names names;
  for (const Era& era : family.eras)
    names[{"", id(family, era.id)}] = {id(family, era.title), month_text(era.from) + "/" + month_text(era.to)};
  return names;
}

Names options(const Family& family) {
  Names names;
  for (const Option& option : family.options)
    for (const OptionValue& value : rows(family.option_values, option.values))
      names[{"", id(family, option.id)}].push_back(id(family, value.id));
  return names;
}

Names option_values(const Family& family) {
  Names names;
  for (const Option& option : family.options)
    for (Index row = option.values.first; row < option.values.end(); ++row) {
      const OptionValue& value = family.option_values[row];
      names[{id(family, option.id), id(family, value.id)}] = {fmt::format("place {}", row - option.values.first),
                                                              id(family, value.title) + volts_text(value.supply)};
    }
  return names;
}

// Splices, earth points and leads: by the wires that end there.
Names joints(const Family& family) {
  Names names;
  const auto is_joint = [&](Index point) {
    const PointKind kind = family.points[point].kind;
    return kind == PointKind::splice || kind == PointKind::earth || kind == PointKind::lead;
  };
  for (const Wire& wire : family.wires)
    for (const auto& [end, other] : {std::pair(wire.from, wire.to), std::pair(wire.to, wire.from)})
      if (is_joint(end))
        names[{in_part(family, wire.part), id(family, family.points[end].name)}].push_back(
            fmt::format("{} {} {}", circuit_of(family, wire.circuit),
                        is_joint(other) ? std::string("joint") : point_name(family, other), colour_code(family, wire)));
  return names;
}

void sort_uses(Names& names) {
  for (auto& [name, uses] : names) std::sort(uses.begin(), uses.end());
}

double likeness(const Uses& a, const Uses& b) {
  if (a.empty() || b.empty()) return 0;
  Uses both;
  std::set_intersection(a.begin(), a.end(), b.begin(), b.end(), std::back_inserter(both));
  return static_cast<double>(both.size()) / static_cast<double>(std::max(a.size(), b.size()));
}

struct Match {
  double likeness = 0;
  Named was, becomes;
};

// The most alike first, each name once; names that both revisions have are none of our affair.
std::vector<Match> matches(Names base, Names head) {
  sort_uses(base);
  sort_uses(head);
  std::vector<Match> all, chosen;
  for (const auto& [was, uses] : base) {
    if (head.count(was)) continue;
    for (const auto& [becomes, others] : head)
      if (!base.count(becomes) && was.scope == becomes.scope)
        if (const double alike = likeness(uses, others); alike >= 0.5) all.push_back({alike, was, becomes});
  }
  std::stable_sort(all.begin(), all.end(), [](const Match& a, const Match& b) { return a.likeness > b.likeness; });
  std::set<Named> gone, come;
  for (const Match& match : all)
    if (!gone.count(match.was) && !come.count(match.becomes)) {
      gone.insert(match.was), come.insert(match.becomes);
      chosen.push_back(match);
    }
  std::sort(chosen.begin(), chosen.end(), [](const Match& a, const Match& b) { return a.was < b.was; });
  return chosen;
}

class Renamer {
 public:
  Renamer(Family& base, const Family& head) : base_(base), head_(head) {}

  std::vector<Rename> run() {
    each("era", eras, [&](const Match& match, Str name) {
      for (Era& era : base_.eras)
        if (id(base_, era.id) == match.was.name) era.id = name;
    });
    each("option", options, [&](const Match& match, Str name) {
      for (Option& option : base_.options)
        if (id(base_, option.id) == match.was.name) option.id = name;
    });
    each("option value", option_values, [&](const Match& match, Str name) {
      for (OptionValue& value : base_.option_values)
        if (id(base_, base_.options[value.option].id) == match.was.scope && id(base_, value.id) == match.was.name)
          value.id = name;
    });
    each("place", places, [&](const Match& match, Str name) {
      for (Place& place : base_.places)
        if (id(base_, place.id) == match.was.name) place.id = name;
    });
    each("part", parts, [&](const Match& match, Str name) {
      for (Index part = 0; part < base_.parts.size(); ++part)
        if (place_of(base_, part) == match.was.scope && id(base_, base_.parts[part].id) == match.was.name)
          base_.parts[part].id = name;
      restate(ChangeKind::replaced, match, name);
    });
    each("circuit", circuits, [&](const Match& match, Str name) {
      for (Circuit& circuit : base_.circuits)
        if (id(base_, circuit.id) == match.was.name) circuit.id = name;
    });
    each("housing", housings, [&](const Match& match, Str name) {
      for (Housing& housing : base_.housings)
        if (id(base_, housing.id) == match.was.name) housing.id = name;
      restate(ChangeKind::rehoused, match, name);
    });
    each("source", sources, [&](const Match& match, Str name) {
      for (Source& source : base_.sources)
        if (id(base_, source.id) == match.was.name) source.id = name;
    });
    each("joint", joints, [&](const Match& match, Str name) {
      for (Point& point : base_.points)
        if (in_part(base_, point.part) == match.was.scope && id(base_, point.name) == match.was.name &&
            point.connector == none)
          point.name = name;
    });
    return std::move(told_);
  }

 private:
  template <typename Find, typename Apply>
  void each(std::string kind, Find find, Apply apply) {
    for (const Match& match : matches(find(base_), find(head_))) {
      // Each text once: whoever looks for a name compares its number.
      const auto known = std::find(base_.strings.begin(), base_.strings.end(), match.becomes.name);
      const auto name = static_cast<Str>(known - base_.strings.begin());
      if (known == base_.strings.end()) base_.strings.push_back(match.becomes.name);
      apply(match, name);
      Rename rename{kind, match.was.name, match.becomes.name, kind == "part" ? "" : match.was.scope};
      const bool is_told = std::any_of(told_.begin(), told_.end(), [&](const Rename& other) {
        return other.kind == rename.kind && other.was == rename.was && other.becomes == rename.becomes &&
               other.within == rename.within;
      });
      if (!is_told) told_.push_back(std::move(rename));  // a component in four places is one
    }
  }
  // Declared changes name parts and housings by their text.
  void restate(ChangeKind kind, const Match& match, Str name) {
    for (ChangeItem& item : base_.change_items) {
      if (item.kind != kind) continue;
      if (id(base_, item.was) == match.was.name) item.was = name;
      if (id(base_, item.becomes) == match.was.name) item.becomes = name;
    }
  }

  Family& base_;
  const Family& head_;
  std::vector<Rename> told_;
};

}  // namespace

std::vector<Rename> apply_renames(Family& base, const Family& head) {
  return Renamer(base, head).run();
}

}  // namespace loomproof::review
