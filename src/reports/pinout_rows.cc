#include "reports/pinout_rows.h"

#include <fmt/format.h>

#include <algorithm>
#include <map>
#include <set>

#include "family/apart.h"
#include "family/words.h"
#include "nets/called.h"
#include "nets/variants.h"
#include "reports/evidence.h"
#include "reports/table.h"

namespace loomproof::reports {
namespace {

// What makes two rows of different cells the same to a hand: neither who says so nor which row of the corpus it is.
using Signature = std::vector<uint32_t>;

Signature signature(const Wire& wire, Index far) {
  return {0,
          wire.circuit,
          wire.base,
          wire.tracer,
          static_cast<uint32_t>(wire.shade),
          static_cast<uint32_t>(wire.mm2),
          far,

          wire.spare};
}

Signature signature(const Pin& pin) {
  return {1,
          pin.circuit,
          static_cast<uint32_t>(pin.role),
          static_cast<uint32_t>(pin.volts),
          static_cast<uint32_t>(pin.amps),
          pin.optional,
          static_cast<uint32_t>(pin.when),
          pin.through_load,
          pin.coded_low,
          pin.coded_high,
          pin.coded_open,
          pin.pair_with,
          pin.polarity,
          pin.protocol,
          pin.line,
          pin.ends};
}

class Builder {
 public:
  Builder(const FamilyView& view, Index connector) : view_(view), family_(view.family()), connector_(connector) {
    remember_sameness();
  }

  Pinout build(const CellSet& cells);

 private:
  void remember_sameness();
  void add_cavity(const Cavity& cavity);
  PinoutRow row_of(const Cavity& cavity) const;
  void add_circuit(PinoutRow& row, Index circuit, uint32_t marks) const;
  void add_apart(PinoutRow& row, Index circuit) const;
  PinoutRow wire_row(const Cavity& cavity, const Wire& wire);
  PinoutRow pin_row(const Cavity& cavity, const Pin& pin);
  PinoutRow state_row(const Cavity& cavity);
  std::string ends_text(const Wire& wire, Index point);
  std::string inside_text(Index point) const;
  std::string says_text(const CavityRow& row);
  CellSet same_in(Str number, const Signature& signature) const;
  void cite(PinoutRow& row, CiteId id);
  Signature signature_of(const Cavity& cavity) const;

  const FamilyView& view_;
  const Family& family_;
  Index connector_;
  CellSet cells_;  // of the variant at work
  std::map<std::pair<Str, Signature>, CellSet> sameness_;
  std::set<Index> ends_, sources_;
  Pinout out_;
};

Signature Builder::signature_of(const Cavity& cavity) const {
  Signature words{2, static_cast<uint32_t>(cavity.state.state), static_cast<uint32_t>(cavity.state.role)};
  if (cavity.cavity_row == none) return words;
  const CavityRow& row = family_.cavity_rows[cavity.cavity_row];
  words.push_back(row.note);
  for (const Say& say : rows(family_.says, row.says)) {
    words.push_back(static_cast<uint32_t>(say.state));
    words.push_back(say.circuit);
  }
  return words;
}

// In which cells of all those built the connector has which rows.
void Builder::remember_sameness() {
  for (uint32_t cell : view_.cells()) {
    for (const Cavity& cavity : cavities(view_.index(), cell, connector_)) {
      const auto remember = [&](Signature words) { sameness_[{cavity.number, std::move(words)}].insert(cell); };
      for (Index wire : cavity.wires) {
        const Wire& row = family_.wires[wire];
        remember(signature(row, row.from == cavity.point ? row.to : row.from));
      }
      if (cavity.wires.empty() && cavity.pin != none) remember(signature(family_.pins[cavity.pin]));
      if (cavity.wires.empty() && cavity.pin == none) remember(signature_of(cavity));
    }
  }
}

CellSet Builder::same_in(Str number, const Signature& words) const {
  const auto found = sameness_.find({number, words});
  return found == sameness_.end() ? cells_ : found->second;
}

void Builder::cite(PinoutRow& row, CiteId id) {
  row.cite = id;
  row.cited = true;
  for (Index source : sources_of(family_, id)) sources_.insert(source);
}

PinoutRow Builder::row_of(const Cavity& cavity) const {
  PinoutRow row;
  row.state = cavity.state.state;
  row.cavity = view_.text(cavity.number);
  if (cavity.housing_cavity == none)
    row.note = "the housing has no such cavity";
  else {
    row.moulded = view_.text(family_.housing_cavities[cavity.housing_cavity].moulded);
    row.in_manual = names_in_manuals(family_, cavity.housing_cavity);
  }
  return row;
}

void Builder::add_circuit(PinoutRow& row, Index circuit, uint32_t marks) const {
  if (circuit == none) return;
  const Circuit& of = family_.circuits[circuit];
  row.circuit = view_.text(of.id);
  row.title = view_.text(of.title);
  row.circuit_class = word(of.kind);
  if (of.terminal != none) row.terminal = view_.text(family_.terminals[of.terminal].designation);
  if (of.function != none) row.function = view_.text(family_.functions[of.function].id);
  row.function_mark = mark_text(marks, function_single, function_memory);
  row.firing = view_.is_firing(circuit);
}

void Builder::add_apart(PinoutRow& row, Index circuit) const {
  if (const std::string apart = apart_words(family_, circuit); !apart.empty())
    append(row.note, fmt::format("keep apart from {}", apart));
}

// "C21.2", "C21.2, C30.4 (era a) through S3". Behind a splice, ends may differ between cells that share the table.
std::string Builder::ends_text(const Wire& wire, Index point) {
  const Index far = wire.from == point ? wire.to : wire.from;
  ends_.insert(far);
  if (family_.points[far].kind != PointKind::splice) return point_name(family_, far);
  std::map<Index, CellSet> reached;
  for (uint32_t cell : cells_.cells())
    for (Index end : ends_reached(view_.index(), cell, far))
      if (end != point) reached[end].insert(cell);
  std::vector<std::pair<std::string, CellSet>> named;
  for (const auto& [end, cells] : reached) {
    ends_.insert(end);
    named.emplace_back(point_name(family_, end), cells);
  }
  std::stable_sort(named.begin(), named.end(),
                   [](const auto& a, const auto& b) { return natural_less(a.first, b.first); });
  std::string text;
  for (const auto& [name, cells] : named) append(text, name + view_.only_in(cells, cells_), ", ");
  if (text.empty()) return point_name(family_, far);
  return fmt::format("{} through {}", text, point_name(family_, far));
}

PinoutRow Builder::wire_row(const Cavity& cavity, const Wire& wire) {
  PinoutRow row = row_of(cavity);
  add_circuit(row, wire.circuit, wire.marks);
  row.colour = colour_code(family_, wire);
  row.colour_name = colour_name(family_, wire);
  row.colour_mark = mark_text(wire.marks, colour_single, colour_memory);
  row.mm2 = milli(wire.mm2);
  row.mm2_mark = mark_text(wire.marks, mm2_single, mm2_memory);
  if (wire.length_mm != not_given) row.length_mm = std::to_string(wire.length_mm);
  row.to = ends_text(wire, cavity.point);
  if (cavity.wires.size() > 1) append(row.note, "double crimp");  // the wire's own mark does not say at which end
  add_apart(row, wire.circuit);
  if (wire.spare != 0) append(row.note, fmt::format("spare: {}", family_.text(wire.spare)));
  row.same_in = same_in(cavity.number, signature(wire, wire.from == cavity.point ? wire.to : wire.from));
  cite(row, wire.cite);
  return row;
}

std::string inside_words(const Family& family, const Inside& inside) {
  std::string text = fmt::format("{} {}", word(inside.kind), family.text(inside.id));
  if (inside.amps != not_given) text += fmt::format(", {} A", milli(inside.amps));
  if (inside.ohm != not_given) text += fmt::format(", {} ohm", milli(inside.ohm));
  if (inside.rests_known) text += inside.rests_closed ? ", rests closed" : ", rests open";
  if (inside.closed_by == ClosedBy::coil) text += fmt::format(", worked by {}", family.text(inside.coil));
  if (inside.closed_by != ClosedBy::unset && inside.closed_by != ClosedBy::coil)
    text += fmt::format(", worked by {}", word(inside.closed_by));
  return text;
}

// What is behind a pin, each with the point that it leads to.
std::string Builder::inside_text(Index point) const {
  std::string text;
  for (Index inside : view_.index().insides_at(point)) {
    const Inside& row = family_.insides[inside];
    if (!family_.set(row.cells).meets(cells_)) continue;
    const Index other = row.a == point ? row.b : row.a;
    append(text, fmt::format("{}, to {}{}", inside_words(family_, row), point_name(family_, other),
                             view_.only_in(family_.set(row.cells), cells_)));
  }
  return text;
}

std::string pin_notes(const Family& family, const Pin& pin) {
  std::string text;
  const auto note = [&](std::string_view what, Str value) {
    if (value != 0) append(text, fmt::format("{}{}", what, family.text(value)));
  };
  if (pin.role == Role::open) append(text, "open: connected to nothing inside");
  if (pin.when != When::always) append(text, fmt::format("while {}", word(pin.when)));
  if (pin.optional) append(text, "need not be connected");
  if (pin.through_load) append(text, "may be met through a load");
  note("low means ", pin.coded_low);
  note("high means ", pin.coded_high);
  note("open means ", pin.coded_open);
  note("pair with ", pin.pair_with);
  note("polarity ", pin.polarity);
  note("bus ", pin.protocol);
  note("line ", pin.line);
  note("ends in ", pin.ends);
  return text;
}

PinoutRow Builder::pin_row(const Cavity& cavity, const Pin& pin) {
  PinoutRow row = row_of(cavity);
  add_circuit(row, pin.circuit, pin.marks);
  row.firing = row.firing || pin.role == Role::gives_firing || pin.role == Role::takes_firing;
  if (pin.role != Role::open) row.role = word(pin.role);
  row.volts = volts_text(pin.volts);
  row.amps = milli(pin.amps);
  row.inside = inside_text(cavity.point);
  append(row.note, pin_notes(family_, pin));
  add_apart(row, pin.circuit);
  row.same_in = same_in(cavity.number, signature(pin));
  cite(row, pin.cite);
  return row;
}

std::string Builder::says_text(const CavityRow& row) {
  std::string text;
  for (const Say& say : rows(family_.says, row.says)) {
    for (Index source : sources_of(family_, say.cite)) sources_.insert(source);
    std::string what(word(say.state));
    if (say.circuit != none) what = fmt::format("circuit {}", family_.text(family_.circuits[say.circuit].id));
    const std::string who = sources_text(family_, say.cite);
    append(text, fmt::format("{} says {}", who.empty() ? "one source" : who, what));
  }
  return text.empty() ? "the sources disagree" : text;
}

PinoutRow Builder::state_row(const Cavity& cavity) {
  PinoutRow row = row_of(cavity);
  row.same_in = same_in(cavity.number, signature_of(cavity));
  if (cavity.state.role == Role::open) append(row.note, "open: connected to nothing inside");
  if (cavity.cavity_row != none) {
    const CavityRow& said = family_.cavity_rows[cavity.cavity_row];
    if (said.state == State::disputed) append(row.note, says_text(said));
    for (const Say& say : rows(family_.says, said.says)) row.firing = row.firing || view_.is_firing(say.circuit);
    append(row.note, family_.text(said.note));
    if (said.says.count == 0) cite(row, said.cite);
  } else if (row.state != State::unknown) {  // the connector says so of all that no row names
    const Index of = connector_row_in(family_, connector_, cells_.lowest());
    if (of != none) cite(row, family_.connector_rows[of].cite);
  }
  return row;
}

void Builder::add_cavity(const Cavity& cavity) {
  for (Index wire : cavity.wires) out_.rows.push_back(wire_row(cavity, family_.wires[wire]));
  if (!cavity.wires.empty()) return;
  out_.rows.push_back(cavity.pin != none ? pin_row(cavity, family_.pins[cavity.pin]) : state_row(cavity));
}

Pinout Builder::build(const CellSet& cells) {
  cells_ = cells;
  out_ = {.cells = cells};
  ends_.clear();
  sources_.clear();
  for (const Cavity& cavity : cavities(view_.index(), cells_.lowest(), connector_)) add_cavity(cavity);
  out_.ends.assign(ends_.begin(), ends_.end());
  out_.sources.assign(sources_.begin(), sources_.end());
  return std::move(out_);
}

// "Rack position" and "rack position"
bool same_words(std::string_view a, std::string_view b) {
  const auto lower = [](char c) { return c >= 'A' && c <= 'Z' ? static_cast<char>(c - 'A' + 'a') : c; };
  return std::equal(a.begin(), a.end(), b.begin(), b.end(), [&](char x, char y) { return lower(x) == lower(y); });
}

}  // namespace

std::string function_words(const PinoutRow& row) {
  std::string text = row.title, detail;
  append(detail, row.terminal.empty() ? "" : "terminal " + row.terminal, ", ");
  append(detail, same_words(row.function, row.title) ? "" : row.function, ", ");
  if (!detail.empty()) text += text.empty() ? detail : fmt::format(" ({})", detail);
  return text + in_brackets(row.function_mark);
}

Danger danger_of(const FamilyView& view, Index connector, const Pinout& pinout) {
  if (view.carries_firing(connector)) return Danger::firing;
  for (const PinoutRow& row : pinout.rows)
    if (row.firing) return Danger::firing;
  const Family& family = view.family();
  const Index row = connector_row_in(family, connector, pinout.cells.lowest());
  const Index housing = row == none ? none : family.connector_rows[row].housing;
  if (housing == none || !view.fires_somewhere(housing)) return Danger::ordinary;
  for (const PinoutRow& cavity : pinout.rows)
    if (cavity.state == State::unknown || cavity.state == State::disputed) return Danger::possibly_firing;
  return Danger::ordinary;
}

std::vector<Pinout> pinouts_of(const FamilyView& view, Index connector) {
  std::vector<Pinout> all;
  Builder builder(view, connector);
  for (const Variant& variant : connector_variants(view.index(), connector))
    all.push_back(builder.build(variant.cells));
  return all;
}

}  // namespace loomproof::reports
