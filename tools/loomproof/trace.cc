// loomproof trace: why the corpus says what it says at one cavity, splice, earth point or lead. Rows, sources and
// declared changes, each with its place.
#include <fmt/format.h>
#include <unistd.h>

#include <algorithm>
#include <nlohmann/json.hpp>

#include "checks/check.h"
#include "command.h"
#include "compare/words.h"
#include "diag/render.h"
#include "nets/called.h"
#include "nets/variants.h"
#include "reports/evidence.h"
#include "select.h"
#include "terminal.h"

namespace loomproof::tool {

namespace {

struct TraceArguments {
  CorpusArguments corpus;
  CellArguments cells;
  std::string part, cavity, format = "text";
};

// One link of the chain: what is said, by which row, on whose word.
struct Link {
  std::string kind, text;
  Span span;
  bool operator==(const Link&) const = default;
};

class Tracer {
 public:
  Tracer(const Compiled& compiled, const CompiledFamily& each)
      : compiled_(compiled), f_(each.family), s_(each.spans), index_(f_) {}
  std::vector<Index> parts_named(const std::string& name) const;
  std::vector<Link> chain(Index part, Index connector, Str number, uint32_t cell);
  std::vector<Link> joint_chain(Index part, Index point, uint32_t cell);  // of a splice, an earth point or a lead
  const FamilyIndex& index() const { return index_; }
  std::string place_words(Span span) const {
    if (!span.known()) return {};
    const SourceFile& file = compiled_.sources.file(span.file);
    return fmt::format("{}:{}", file.path(), file.at(span.begin).line);
  }
  const Compiled& compiled() const { return compiled_; }

 private:
  void add(std::string kind, std::string text, Span span) {
    links_.push_back({std::move(kind), std::move(text), span});
  }
  void add_sources(CiteId cite);
  void add_marks(uint32_t marks);
  void add_circuit(Index circuit);
  void add_wire(Index wire, Index point);
  void add_pin(Index pin);
  void add_state(Index row);
  void add_mates(Index point, uint32_t cell);
  void add_changes(Index part, Index point, uint32_t cell);
  std::string ends_words(Index point, uint32_t cell) const;

  const Compiled& compiled_;
  const Family& f_;
  const Spans& s_;
  FamilyIndex index_;
  std::vector<Link> links_;
};

std::vector<Index> Tracer::parts_named(const std::string& name) const {
  std::vector<Index> found;
  std::vector<std::string_view> known;
  for (Index part = 0; part < f_.parts.size(); ++part) {
    std::string_view id = f_.text(f_.parts[part].id), place = f_.text(f_.places[f_.parts[part].place].id);
    if (id == name || place == name) found.push_back(part);
    known.push_back(id);
    known.push_back(place);
  }
  if (found.empty()) unknown_name("loom, component or place", name, known);
  return found;
}

void Tracer::add_sources(CiteId cite) {
  const Cite& row = f_.cites[cite];
  for (Index source : rows(f_.source_refs, row.sources)) {
    const Source& from = f_.sources[source];
    std::string text = fmt::format("{}: {}", f_.text(from.id), f_.text(from.title));
    if (from.edition) text += fmt::format(", edition {}", f_.text(from.edition));
    text += fmt::format(" ({}{})", word(from.kind), row.own ? "" : "; for the whole file");
    add("source", text, s_.sources[source]);
  }
}

void Tracer::add_marks(uint32_t marks) {
  if (std::string text = reports::marks_text(marks); !text.empty()) add("mind", std::move(text), Span{});
}

void Tracer::add_circuit(Index circuit) {
  if (circuit == none) return;
  const Circuit& row = f_.circuits[circuit];
  std::string text = fmt::format("{}: {}, class {}", f_.text(row.id), f_.text(row.title), word(row.kind));
  if (row.terminal != none) text += fmt::format(", terminal {}", f_.text(f_.terminals[row.terminal].designation));
  add("circuit", text, s_.circuits[circuit]);
  if (row.kind == CircuitClass::firing) add("caution", "a firing circuit: never a probe, never a meter", Span{});
}

void Tracer::add_wire(Index wire, Index point) {
  const Wire& row = f_.wires[wire];
  Index far = row.from == point ? row.to : row.from;
  std::string text = fmt::format("{} to {}", f_.text(f_.circuits[row.circuit].id), point_name(f_, far));
  if (std::string colour = colour_code(f_, row); !colour.empty()) text += ", " + colour;
  if (row.mm2 != not_given) text += ", " + milli(row.mm2) + " mm²";
  if (row.double_crimp) text += ", double crimp";
  if (row.spare) text += fmt::format(", spare: {}", f_.text(row.spare));
  add("wire", text, s_.wires[wire].row);
  add_marks(row.marks);
  add_sources(row.cite);
}

void Tracer::add_pin(Index pin) {
  const Pin& row = f_.pins[pin];
  std::string text(word(row.role));
  if (row.circuit != none) text = fmt::format("{}, {}", f_.text(f_.circuits[row.circuit].id), text);
  if (row.volts != not_given) text += ", volts " + volts_text(row.volts);
  if (row.amps != not_given) text += ", at most " + milli(row.amps) + " A";
  if (row.optional) text += ", not needed";
  add("pin", text, s_.pins[pin].row);
  add_marks(row.marks);
  add_sources(row.cite);
}

void Tracer::add_state(Index row_index) {
  const CavityRow& row = f_.cavity_rows[row_index];
  std::string text(word(row.state));
  if (row.state == State::unknown) text += ": nobody has looked";
  if (row.note) text += fmt::format(", {}", f_.text(row.note));
  add("state", text, s_.cavity_rows[row_index]);
  for (Index say = row.says.first; say < row.says.end(); ++say) {
    const Say& one = f_.says[say];
    add("says",
        one.circuit == none ? std::string(word(one.state))
                            : fmt::format("circuit {}", f_.text(f_.circuits[one.circuit].id)),
        s_.says[say]);
    add_sources(one.cite);
  }
  add_sources(row.cite);
}

std::string Tracer::ends_words(Index point, uint32_t cell) const {
  std::string text;
  for (Index end : ends_reached(index_, cell, point)) text += (text.empty() ? "" : ", ") + point_name(f_, end);
  return text;
}

void Tracer::add_mates(Index point, uint32_t cell) {
  BuildNets build = build_nets(index_, cell);
  for (const Mate& mate : build.plugged.mates(point)) {
    const Connector& other = f_.connectors[mate.connector];
    std::string name = fmt::format("{}.{} of {} in {}", f_.text(other.designator), f_.text(f_.points[point].name),
                                   f_.text(f_.parts[other.part].id), f_.text(f_.places[f_.parts[other.part].place].id));
    Index row = connector_row_in(f_, mate.connector, cell);
    Cavity cavity = cavity_at(index_, cell, mate.connector, f_.points[point].name);
    std::string state = cavity.state.role == Role::open ? "open inside" : std::string(word(cavity.state.state));
    Span at = row == none ? Span{} : s_.connector_rows[row].designator;
    if (cavity.pin != none)
      at = s_.pins[cavity.pin].row;
    else if (!cavity.wires.empty())
      at = s_.wires[cavity.wires[0]].row;
    else if (cavity.cavity_row != none)
      at = s_.cavity_rows[cavity.cavity_row];
    add("meets", name + ": " + state, at);
    if (cavity.pin != none) add_pin(cavity.pin);
  }
}

void Tracer::add_changes(Index part, Index point, uint32_t cell) {
  std::vector<Index> circuits;
  for (Index wire : index_.wires_at(point)) circuits.push_back(f_.wires[wire].circuit);
  for (Index i = 0; i < f_.change_items.size(); ++i) {
    const ChangeItem& item = f_.change_items[i];
    const Change& change = f_.changes[item.change];
    bool of_point = item.part == part && (item.from == point || item.to == point);
    bool of_part = item.kind == ChangeKind::replaced && item.place == f_.parts[part].place;
    bool of_plug = item.part == part && item.connector != none && item.connector == f_.points[point].connector;
    if (!of_point && !of_part && !of_plug) continue;
    uint32_t coordinate = f_.coordinate(cell, change.axis);
    if (coordinate != change.left && coordinate != change.right) continue;
    // The step holds left cells; look at the left neighbour of this one.
    uint32_t left = f_.with_coordinate(cell, change.axis, change.left);
    if (!f_.holds(item.cells, left)) continue;
    auto value = [&](Index which) {
      return change.axis == 0 ? f_.text(f_.eras[which].id)
                              : f_.text(f_.option_values[f_.options[change.axis - 1].values.first + which].id);
    };
    add("change", fmt::format("{} to {}: {}", value(change.left), value(change.right), change_words(f_, item)),
        s_.change_items[i]);
    add("because", std::string(f_.text(change.because)), s_.changes[item.change]);
    add_sources(change.cite);
  }
}

std::vector<Link> Tracer::chain(Index part, Index connector, Str number, uint32_t cell) {
  links_.clear();
  Index row = connector_row_in(f_, connector, cell);
  const ConnectorRow& connector_row = f_.connector_rows[row];
  Cavity cavity = cavity_at(index_, cell, connector, number);
  add("state",
      cavity.state.role == Role::open        ? "no connection inside"
      : cavity.state.state == State::unknown ? "unknown: nobody has looked"
                                             : std::string(word(cavity.state.state)),
      s_.connector_rows[row].designator);
  add("housing",
      fmt::format("{}{}{}", f_.text(f_.housings[connector_row.housing].id),
                  connector_row.rest == Rest::unset ? "" : ", the rest ", word(connector_row.rest)),
      s_.connector_rows[row].housing);
  add_sources(connector_row.cite);
  for (const std::string& name : other_names(f_, cavity.housing_cavity))
    add("called", name, s_.housing_cavities[cavity.housing_cavity]);
  for (Index wire : cavity.wires) {
    add_wire(wire, cavity.point);
    add_circuit(f_.wires[wire].circuit);
  }
  if (cavity.pin != none) {
    add_pin(cavity.pin);
    add_circuit(f_.pins[cavity.pin].circuit);
  }
  if (cavity.cavity_row != none) add_state(cavity.cavity_row);
  if (cavity.point != none) {
    if (!cavity.wires.empty()) add("leads to", ends_words(cavity.point, cell), Span{});
    add_mates(cavity.point, cell);
    add_changes(part, cavity.point, cell);
  }
  return links_;
}

std::vector<Link> Tracer::joint_chain(Index part, Index point, uint32_t cell) {
  links_.clear();
  std::vector<Index> circuits;
  const auto note = [&](Index circuit) {
    if (circuit != none && std::find(circuits.begin(), circuits.end(), circuit) == circuits.end())
      circuits.push_back(circuit);
  };
  const auto add_rows = [&](const char* kind, const auto& rows, const auto& spans, const auto& words) {
    for (Index i = 0; i < rows.size(); ++i) {
      if (rows[i].point != point || !f_.holds(rows[i].cells, cell)) continue;
      add(kind, fmt::format("{}, {}", f_.text(f_.circuits[rows[i].circuit].id), words(rows[i])), spans[i]);
      add_sources(rows[i].cite);
      note(rows[i].circuit);
    }
  };
  add_rows("lead", f_.leads, s_.leads, [](const Lead& row) { return std::string(word(row.role)); });
  add_rows("earth", f_.earths, s_.earths, [](const Earth& row) { return fmt::format("to the {}", word(row.to)); });
  for (const Index wire : index_.wires_at(point)) {
    if (!f_.holds(f_.wires[wire].cells, cell)) continue;
    add_wire(wire, point);
    note(f_.wires[wire].circuit);
  }
  if (links_.empty()) return {};  // not there in this cell
  for (const Index circuit : circuits) add_circuit(circuit);
  add("leads to", ends_words(point, cell), Span{});
  add_changes(part, point, cell);
  return std::move(links_);
}

void print_text(const Tracer& tracer, const std::string& title, const std::vector<Link>& links) {
  fmt::print("{}\n", title);
  for (const Link& link : links) {
    std::string place = tracer.place_words(link.span);
    size_t width = static_cast<size_t>(terminal_width(STDOUT_FILENO));
    fmt::print("  {:<9} {}\n", link.kind, wrapped(printable(link.text), 12, width));
    if (!place.empty()) fmt::print("            {}\n", printable(place));
  }
  fmt::print("\n");
}

nlohmann::ordered_json to_json(const Tracer& tracer, const std::vector<Link>& links) {
  nlohmann::ordered_json all = nlohmann::ordered_json::array();
  for (const Link& link : links) {
    nlohmann::ordered_json one{{"kind", link.kind}, {"text", link.text}, {"path", nullptr}, {"line", nullptr}};
    if (link.span.known()) {
      const SourceFile& file = tracer.compiled().sources.file(link.span.file);
      one["path"] = file.path();
      one["line"] = file.at(link.span.begin).line;
    }
    all.push_back(one);
  }
  return all;
}

int run(const TraceArguments& arguments) {
  std::unique_ptr<Compiled> compiled = arguments.corpus.compile();
  const CompiledFamily& each = find_family(*compiled, arguments.corpus.family);
  const Family& family = each.family;
  Tracer tracer(*compiled, each);
  CellSet wanted = arguments.cells.select(family);
  const size_t dot = arguments.cavity.find('.');
  const bool is_joint = dot == std::string::npos;
  const std::string designator = arguments.cavity.substr(0, dot),
                    number = is_joint ? "" : arguments.cavity.substr(dot + 1);
  nlohmann::ordered_json json = nlohmann::ordered_json::array();
  std::vector<std::string_view> connectors, cavities_known, joints;
  bool connector_found = false, found = false;
  struct Told {
    Index part;
    CellSet cells;
    std::vector<Link> links;
  };
  std::vector<Told> told;
  // Variants that differ elsewhere alone have the same chain here, and are told once.
  const auto tell = [&](Index part, const CellSet& cells, std::vector<Link> links) {
    found = true;
    const auto same =
        std::find_if(told.begin(), told.end(), [&](const Told& one) { return one.part == part && one.links == links; });
    if (same == told.end())
      told.push_back({part, cells, std::move(links)});
    else
      same->cells |= cells;
  };
  for (Index part : tracer.parts_named(arguments.part)) {
    const Range points = family.parts[part].points;
    for (Index point = points.first; is_joint && point < points.end(); ++point) {
      if (family.points[point].kind == PointKind::cavity || family.points[point].kind == PointKind::inner) continue;
      joints.push_back(family.text(family.points[point].name));
      if (joints.back() != arguments.cavity) continue;
      for (const uint32_t cell : (family.set(family.parts[part].cells) & wanted).cells())
        if (std::vector<Link> links = tracer.joint_chain(part, point, cell); !links.empty())
          tell(part, CellSet::of(cell), std::move(links));
    }
    const Range range = is_joint ? Range{} : family.parts[part].connectors;
    for (Index connector = range.first; connector < range.end(); ++connector) {
      connectors.push_back(family.text(family.connectors[connector].designator));
      if (family.text(family.connectors[connector].designator) != designator) continue;
      connector_found = true;
      for (const Variant& variant : connector_variants(tracer.index(), connector)) {
        CellSet cells = variant.cells & wanted;
        if (cells.empty()) continue;
        const std::vector<Called> called = cavities_called(tracer.index(), cells.lowest(), connector, number);
        for (const Cavity& one : cavities(tracer.index(), cells.lowest(), connector))
          cavities_known.push_back(family.text(one.number));
        const Str cavity = cavity_meant(called);
        if (cavity == 0 && !called.empty())
          throw EnvironmentError(fmt::format("{} has several cavities that are called {}: {}", designator, number,
                                             called_note(family, called, number)));
        if (cavity == 0) continue;
        std::vector<Link> links = tracer.chain(part, connector, cavity, cells.lowest());
        if (const std::string note = called_note(family, called, number); !note.empty())
          links.insert(links.begin(), {"number", note, Span{}});
        tell(part, cells, std::move(links));
      }
    }
  }
  if (is_joint && !found) {
    if (std::find(joints.begin(), joints.end(), arguments.cavity) != joints.end())
      throw EnvironmentError("`" + arguments.part + "` has no " + arguments.cavity + " in that era with those options");
    unknown_name("cavity (as C1.12), splice, earth point or lead of `" + arguments.part + "`", arguments.cavity,
                 joints);
  }
  if (!is_joint && !connector_found) unknown_name("connector of `" + arguments.part + "`", designator, connectors);
  if (!found) {
    if (cavities_known.empty())
      throw EnvironmentError("`" + arguments.part + "` has no " + designator + " in that era with those options");
    unknown_name("cavity of " + designator, number, cavities_known);
  }
  for (const Told& one : told) {
    std::string_view id = family.text(family.parts[one.part].id),
                     place = family.text(family.places[family.parts[one.part].place].id);
    std::string where = cells_text(family, one.cells);
    if (arguments.format == "json")
      json.push_back({{"part", id},
                      {"place", place},
                      {"cavity", arguments.cavity},
                      {"cells", where},
                      {"says", to_json(tracer, one.links)}});
    else
      print_text(tracer, fmt::format("{} of {} in {}: {}", arguments.cavity, id, place, where), one.links);
  }
  if (arguments.format == "json") fmt::print("{}\n", json.dump(2));
  if (!compiled->report.empty())
    fmt::print(stderr, "loomproof: this family has findings; see `loomproof check --family {}`\n",
               arguments.corpus.family);
  return clean;
}

}  // namespace

void add_trace(CLI::App& app, Run& chosen) {
  auto arguments = std::make_shared<TraceArguments>();
  CLI::App* command =
      app.add_subcommand("trace", "Say why the corpus says what it says at one cavity, splice, earth point or lead");
  command->add_option("FAMILY", arguments->corpus.family, "The family")->required();
  command->add_option("PART", arguments->part, "A loom, a component or a place")->required();
  command
      ->add_option("CAVITY", arguments->cavity, "The cavity, such as C1.28, or a splice, earth point or lead by its id")
      ->required();
  arguments->cells.add_to(*command);
  arguments->corpus.add_to(*command, false);
  command->add_option("--format", arguments->format, "text or json")
      ->check(CLI::IsMember({"text", "json"}))
      ->capture_default_str();
  command->footer(
      "Examples:\n  loomproof trace croft chassis C1.28 --era c\n  loomproof trace croft PUMP-UNIT X1.4 --era b --with "
      "supply=24V");
  command->callback([arguments, &chosen] { chosen = [arguments] { return run(*arguments); }; });
}

}  // namespace loomproof::tool
