#include "era_edits.h"

#include <algorithm>

#include "nets/index.h"

namespace loomproof::testing {

namespace {

// The list or map entry that begins at an offset: its holder and where it stands in it.
struct Place {
  Yaml* holder = nullptr;
  size_t index = 0;
};

bool find(Yaml& node, uint32_t begin, Place& place) {
  for (size_t i = 0; i < node.entries.size(); ++i) {
    Yaml& child = node.entries[i].second;
    if (child.kind == yaml::Kind::map && child.begin == begin) {
      place = {&node, i};
      return true;
    }
    if (find(child, begin, place)) return true;
  }
  return false;
}

Yaml one_or_list(const std::vector<std::string>& texts) {
  return texts.size() == 1 ? Yaml::plain(texts.front()) : Yaml::list(texts);
}

std::string shown(const Yaml& row) {
  std::string text;
  for (const auto& [key, value] : row.entries)
    if (value.kind == yaml::Kind::scalar) text += (text.empty() ? "" : ", ") + key + ": " + value.text;
  return "{" + text + "}";
}

}  // namespace

Subject make_subject(const FixtureFiles& files, const std::string& family) {
  Subject subject{files, family, compile_files(files, {.family = family, .threads = 1})};
  if (!subject.compiled->report.empty()) throw std::runtime_error("not clean:\n" + rendered(*subject.compiled));
  return subject;
}

std::vector<std::string> EraEdits::eras_of(const CellSet& cells) const {
  std::vector<std::string> eras;
  const Family& family = s_.family();
  for (Index era = 0; era < family.eras.size(); ++era) {
    const std::vector<uint32_t> all = (cells & family.set(family.built)).cells();
    if (std::any_of(all.begin(), all.end(), [&](uint32_t cell) { return family.coordinate(cell, 0) == era; }))
      eras.push_back(s_.text(family.eras[era].id));
  }
  return eras;
}

std::string EraEdits::other_circuit(Index circuit) {
  Index other = circuit;
  while (other == circuit) other = static_cast<Index>(below(s_.family().circuits.size()));
  return s_.text(s_.family().circuits[other].id);
}

std::string EraEdits::any_colour() {
  const auto one = [&] { return s_.text(any(s_.family().colours).code); };
  const std::string base = one(), tracer = one();
  return below(2) == 0 || base == tracer ? base : base + "/" + tracer;
}

// Another end of the same part: a cavity, mostly of the same plug, or a joint.
std::string EraEdits::other_end(Index part, Index point) {
  const Family& family = s_.family();
  for (;;) {
    const Range range = family.parts[part].points;
    const Index near = below(3) > 0 ? point : range.first + static_cast<Index>(below(range.count));
    const Point& at = family.points[near];
    std::string name = point_name(family, near);
    if (at.kind == PointKind::cavity) {
      const Connector& connector = family.connectors[at.connector];
      const ConnectorRow& row = family.connector_rows[connector.rows.first];
      const Range cavities = family.housings[row.housing].cavities;
      const HousingCavity& cavity = family.housing_cavities[cavities.first + below(cavities.count)];
      name = s_.text(connector.designator) + "." + s_.text(cavity.number);
    }
    if (name != point_name(family, point) && at.kind != PointKind::inner) return name;
  }
}

// A part of one era alone differs from nothing: another takes its place in the others, and that is declared as a whole.
bool EraEdits::is_of_one_era(Index part) const {
  return eras_of(s_.family().set(s_.family().parts[part].cells)).size() < 2;
}

// Parts the row that begins there in two: as it is in the other eras, changed in one of its own.
std::optional<Edit> EraEdits::edit_row(const char* kind, Index part, const Span& row, Cells cells, const Change& change,
                                       bool drop) {
  const std::vector<std::string> eras = eras_of(s_.family().set(cells));
  if (eras.empty() || is_of_one_era(part)) return std::nullopt;
  const std::string era = any(eras);
  std::vector<std::string> others;
  std::copy_if(eras.begin(), eras.end(), std::back_inserter(others),
               [&](const std::string& each) { return each != era; });

  const std::string file = s_.file(row);
  Yaml root = editable(s_.files.files.at("./" + file));
  Place place;
  if (!find(root, row.begin, place)) return std::nullopt;
  Yaml& holder = *place.holder;
  Yaml before = holder.entries[place.index].second, after = before;
  if (!change(after)) return std::nullopt;
  const std::string what = shown(before) + (drop ? " dropped" : " -> " + shown(after)) + " in era " + era;
  std::vector<std::pair<std::string, Yaml>> rows;
  if (!others.empty()) {
    before.set("eras", one_or_list(others));
    rows.emplace_back("", before);
  }
  if (!drop) {
    after.set("eras", Yaml::plain(era));
    rows.emplace_back("", after);
  }
  if (holder.kind == yaml::Kind::sequence) {
    const auto at = holder.entries.erase(holder.entries.begin() + static_cast<std::ptrdiff_t>(place.index));
    holder.entries.insert(at, rows.begin(), rows.end());
    if (holder.entries.empty()) return std::nullopt;
  } else if (rows.empty()) {
    holder.entries.erase(holder.entries.begin() + static_cast<std::ptrdiff_t>(place.index));
    if (holder.entries.empty()) return std::nullopt;
  } else {
    Yaml list{yaml::Kind::sequence};
    list.entries = rows;
    holder.entries[place.index].second = list;
  }
  return Edit{kind, what, file, written(root)};
}

std::optional<Edit> EraEdits::wire(const char* kind, const std::function<bool(const Wire&, Yaml&)>& change, bool drop) {
  const size_t index = below(s_.family().wires.size());
  const Wire& row = s_.family().wires[index];
  return edit_row(
      kind, row.part, s_.spans().wires[index].row, row.cells, [&](Yaml& text) { return change(row, text); }, drop);
}

std::optional<Edit> EraEdits::pin(const char* kind, const std::function<bool(const Pin&, Yaml&)>& change, bool drop) {
  if (s_.family().pins.empty()) return std::nullopt;
  const size_t index = below(s_.family().pins.size());
  const Pin& row = s_.family().pins[index];
  return edit_row(
      kind, s_.family().points[row.point].part, s_.spans().pins[index].row, row.cells,
      [&](Yaml& text) { return change(row, text); }, drop);
}

std::optional<Edit> EraEdits::recolour(const char* kind) {
  return wire(kind, [&](const Wire&, Yaml& row) {
    const std::string colour = any_colour(), was = row.text_of("colour");
    row.set("colour", Yaml::plain(colour));
    return !was.empty() && colour != was;
  });
}

std::optional<Edit> EraEdits::reshade(const char* kind) {
  return wire(kind, [](const Wire&, Yaml& row) {
    row.set("shade", Yaml::plain(row.text_of("shade") == "light" ? "dark" : "light"));
    return row.find("colour") != nullptr;
  });
}

std::optional<Edit> EraEdits::resize(const char* kind) {
  return wire(kind, [&](const Wire&, Yaml& row) {
    const std::string mm2 = any(std::vector<std::string>{"0.5", "0.75", "1", "1.5", "2.5", "4"}),
                      was = row.text_of("mm2");
    row.set("mm2", Yaml::plain(mm2));
    return !was.empty() && mm2 != was;
  });
}

std::optional<Edit> EraEdits::drop_wire(const char* kind) {
  return wire(
      kind, [](const Wire&, Yaml&) { return true; }, true);
}

std::optional<Edit> EraEdits::move_end(const char* kind) {
  return wire(kind, [&](const Wire& wire, Yaml& row) {
    const bool from = below(2) == 0;
    row.set(from ? "from" : "to", Yaml::plain(other_end(wire.part, from ? wire.from : wire.to)));
    return true;
  });
}

std::optional<Edit> EraEdits::other_circuit_of_wire(const char* kind) {
  return wire(kind, [&](const Wire& wire, Yaml& row) {
    row.set("circuit", Yaml::plain(other_circuit(wire.circuit)));
    return true;
  });
}

// Two wires of a loom, both there in one era, exchange their ends there.
std::optional<Edit> EraEdits::swap_circuits(const char* kind) {
  const Family& family = s_.family();
  const Wire& first = any(family.wires);
  std::vector<Index> partners;
  for (Index i = 0; i < family.wires.size(); ++i)
    if (family.wires[i].part == first.part && family.wires[i].circuit != first.circuit &&
        family.wires[i].cells == first.cells &&
        family.points[family.wires[i].from].connector == family.points[first.from].connector)
      partners.push_back(i);
  if (partners.empty()) return std::nullopt;
  const Index second = any(partners);
  const Index index = static_cast<Index>(&first - family.wires.data());
  const std::vector<std::string> eras = eras_of(family.set(first.cells));
  if (eras.empty()) return std::nullopt;
  const std::string era = any(eras);
  std::vector<std::string> others;
  std::copy_if(eras.begin(), eras.end(), std::back_inserter(others),
               [&](const std::string& each) { return each != era; });
  const std::string file = s_.file(s_.spans().wires[index].row);
  Yaml root = editable(s_.files.files.at("./" + file));
  std::vector<Yaml> rows;
  for (Index each : {index, second}) {
    Place place;
    if (!find(root, s_.spans().wires[each].row.begin, place)) return std::nullopt;
    rows.push_back(place.holder->entries[place.index].second);
    if (others.empty())
      place.holder->entries.erase(place.holder->entries.begin() + static_cast<std::ptrdiff_t>(place.index));
    else
      place.holder->entries[place.index].second.set("eras", one_or_list(others));
  }
  const std::string a = rows[0].text_of("from"), b = rows[1].text_of("from");
  rows[0].set("from", Yaml::plain(b));
  rows[1].set("from", Yaml::plain(a));
  for (Yaml& row : rows) {
    row.set("eras", Yaml::plain(era));
    root.find("wires")->entries.emplace_back("", row);
  }
  return Edit{kind, shown(rows[0]) + " and " + shown(rows[1]), file, written(root)};
}

std::optional<Edit> EraEdits::add_wire(const char* kind) {
  const Family& family = s_.family();
  const Index index = static_cast<Index>(below(family.wires.size()));
  const Wire& like = family.wires[index];
  const std::vector<std::string> eras = eras_of(family.set(like.cells));
  if (eras.empty()) return std::nullopt;
  const std::string file = s_.file(s_.spans().wires[index].row);
  Yaml root = editable(s_.files.files.at("./" + file));
  Yaml row{yaml::Kind::map};
  row.set("circuit", Yaml::plain(s_.text(any(family.circuits).id)));
  row.set("from", Yaml::plain(other_end(like.part, like.to)));
  row.set("to", Yaml::plain(other_end(like.part, like.from)));
  row.set("eras", Yaml::plain(any(eras)));
  root.find("wires")->entries.emplace_back("", row);
  return Edit{kind, shown(row), file, written(root)};
}

std::optional<Edit> EraEdits::role(const char* kind) {
  return pin(kind, [&](const Pin&, Yaml& row) {
    const std::string role =
        any(std::vector<std::string>{"gives-feed", "takes-feed", "takes-earth", "gives-signal", "takes-signal",
                                     "pulls-low", "takes-low", "senses-high", "passes", "open", "unknown"});
    const std::string was = row.text_of("role");
    row.set("role", Yaml::plain(role));
    return role != was;
  });
}

std::optional<Edit> EraEdits::rating(const char* kind) {
  return pin(kind, [](const Pin&, Yaml& row) {
    row.set("max-a", Yaml::plain("0.123"));
    return true;
  });
}

std::optional<Edit> EraEdits::volts(const char* kind) {
  return pin(kind, [](const Pin&, Yaml& row) {
    row.set("volts", Yaml::plain("7"));
    return true;
  });
}

std::optional<Edit> EraEdits::needed(const char* kind) {
  return pin(kind, [](const Pin&, Yaml& row) {
    if (row.find("needed"))
      row.remove("needed");
    else
      row.set("needed", Yaml::plain("false"));
    return true;
  });
}

std::optional<Edit> EraEdits::drop_pin(const char* kind) {
  return pin(
      kind, [](const Pin&, Yaml&) { return true; }, true);
}

std::optional<Edit> EraEdits::other_circuit_of_pin(const char* kind) {
  return pin(kind, [&](const Pin& pin, Yaml& row) {
    row.set("circuit", Yaml::plain(other_circuit(pin.circuit)));
    return pin.circuit != none;
  });
}

std::optional<Edit> EraEdits::rehouse(const char* kind) {
  const Family& family = s_.family();
  const size_t index = below(family.connector_rows.size());
  const Housing& other = any(family.housings);
  const bool is_component =
      family.parts[family.connectors[family.connector_rows[index].connector].part].kind == PartKind::component;
  return edit_row(kind, family.connectors[family.connector_rows[index].connector].part,
                  s_.spans().connector_rows[index].row, family.connector_rows[index].cells, [&](Yaml& row) {
                    const bool same = row.text_of("housing") == s_.text(other.id);
                    row.set("housing", Yaml::plain(s_.text(other.id)));
                    return !same && !is_component;
                  });
}

std::optional<Edit> EraEdits::relocate(const char* kind) {
  const Family& family = s_.family();
  const size_t index = below(family.connector_rows.size());
  return edit_row(kind, family.connectors[family.connector_rows[index].connector].part,
                  s_.spans().connector_rows[index].row, family.connector_rows[index].cells, [&](Yaml& row) {
                    row.set("where", Yaml::words("quite elsewhere"));
                    return row.find("pins") == nullptr;
                  });
}

std::optional<Edit> EraEdits::inside_rating(const char* kind) {
  const Family& family = s_.family();
  if (family.insides.empty()) return std::nullopt;
  const size_t index = below(family.insides.size());
  return edit_row(kind, family.insides[index].part, s_.spans().insides[index], family.insides[index].cells,
                  [&](Yaml& row) {
                    row.set(row.text_of("as") == "fuse" ? "a" : "ohm", Yaml::plain("47"));
                    return row.text_of("as") != "contact" && row.text_of("as") != "strap";
                  });
}

std::optional<Edit> EraEdits::drop_inside(const char* kind) {
  const Family& family = s_.family();
  if (family.insides.empty()) return std::nullopt;
  const size_t index = below(family.insides.size());
  return edit_row(
      kind, family.insides[index].part, s_.spans().insides[index], family.insides[index].cells,
      [](Yaml&) { return true; }, true);
}

// A cavity of a loom that never holds a wire is in another state in one era. (Where a wire comes or goes, that is the
// difference: what the cavity is without it need not be declared beside it.)
std::optional<Edit> EraEdits::state(const char* kind) {
  const Family& family = s_.family();
  const Connector& connector = any(family.connectors);
  if (family.parts[connector.part].kind != PartKind::loom) return std::nullopt;
  const ConnectorRow& row = family.connector_rows[connector.rows.first];
  const Range cavities = family.housings[row.housing].cavities;
  const HousingCavity& cavity = family.housing_cavities[cavities.first + below(cavities.count)];
  const std::vector<std::string> eras = eras_of(family.set(row.cells));
  const Index point =
      FamilyIndex(family).cavity_point(static_cast<Index>(&connector - family.connectors.data()), cavity.number);
  const bool is_wired = std::any_of(family.wires.begin(), family.wires.end(), [&](const Wire& wire) {
    return point != none && (wire.from == point || wire.to == point);
  });
  if (eras.size() < 2 || is_wired) return std::nullopt;
  const std::string file = s_.file(s_.spans().connector_rows[connector.rows.first].row);
  Yaml root = editable(s_.files.files.at("./" + file));
  if (!root.find("cavities")) root.set("cavities", Yaml{yaml::Kind::map});
  const std::string name = s_.text(connector.designator) + "." + s_.text(cavity.number);
  if (root.find("cavities")->find(name)) return std::nullopt;
  Yaml stated{yaml::Kind::map};
  stated.set("state", Yaml::plain(row.rest == Rest::unknown || below(2) == 0 ? "sealed" : "unknown"));
  stated.set("eras", Yaml::plain(any(eras)));
  root.find("cavities")->set(name, stated);
  return Edit{kind, name + " " + shown(stated), file, written(root)};
}

Edit EraEdits::next() {
  static constexpr Kind kinds[] = {
      {"wire recoloured", &EraEdits::recolour},
      {"wire of another shade", &EraEdits::reshade},
      {"wire resized", &EraEdits::resize},
      {"wire dropped", &EraEdits::drop_wire},
      {"wire end moved", &EraEdits::move_end},
      {"wire of another circuit", &EraEdits::other_circuit_of_wire},
      {"two wires exchanged", &EraEdits::swap_circuits},
      {"wire added", &EraEdits::add_wire},
      {"pin of another role", &EraEdits::role},
      {"pin of another rating", &EraEdits::rating},
      {"pin of other volts", &EraEdits::volts},
      {"pin needed or not", &EraEdits::needed},
      {"pin dropped", &EraEdits::drop_pin},
      {"pin of another circuit", &EraEdits::other_circuit_of_pin},
      {"connector rehoused", &EraEdits::rehouse},
      {"connector relocated", &EraEdits::relocate},
      {"element inside of another rating", &EraEdits::inside_rating},
      {"element inside dropped", &EraEdits::drop_inside},
      {"cavity in another state", &EraEdits::state},
  };
  for (;;) {
    const Kind& kind = kinds[below(std::size(kinds))];
    if (std::optional<Edit> edit = (this->*kind.make)(kind.name)) return *edit;
  }
}

}  // namespace loomproof::testing
