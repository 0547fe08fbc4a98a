// The sheet to check plugs by eye: what should be there, a box for what is, and room for what is not. What there is to
// look at on a plug is common practice, no source.
#include <fmt/format.h>

#include <algorithm>
#include <map>

#include "family/words.h"
#include "layout/sheet_parts.h"
#include "layout/sheets.h"
#include "reports/escape.h"
#include "reports/table.h"

namespace loomproof::layout {
namespace {

using reports::append;
using reports::Danger;
using reports::FamilyView;
using reports::Pinout;
using reports::PinoutRow;

constexpr const char* tick = "☐";
constexpr double seen_width = 120, writing_height = 19;

class PlugCheck {
 public:
  PlugCheck(const FamilyView& view, Index part, const CellSet& cells, std::vector<ShownConnector> shown, bool is_whole)
      : view_(view),
        family_(view.family()),
        part_(view.family().parts[part]),
        place_(view.place_id(part)),
        cells_(cells),
        shown_(std::move(shown)),
        is_whole_(is_whole) {}
  Sheet write(std::string_view source);

 private:
  void cautions();
  void add_number(SheetTable& table) const;
  void plug(const ShownConnector& one);
  SheetTable of_the_plug(const ShownConnector& one) const;
  SheetTable cavity_table(const ShownConnector& one) const;

  const FamilyView& view_;
  const Family& family_;
  const Part& part_;
  std::string place_;
  CellSet cells_;
  std::vector<ShownConnector> shown_;
  bool is_whole_;
  Sheet sheet_;
};

SheetTable table_to_tick(std::vector<std::string> heads) {
  SheetTable table{"", std::move(heads), {}};
  table.least.assign(table.heads.size(), 0);
  table.least.back() = seen_width;
  table.least_height = writing_height;
  return table;
}

SheetTable looks_table() {
  return table_to_tick({"Look at", "As it should be", "It is", "What I see"});
}

// Without a box where nothing is recorded: there is nothing that it could be the same as.
void add_look(SheetTable& table, const char* what, const std::string& recorded, const std::string& sound = {}) {
  std::string words = recorded.empty() ? "not recorded" : recorded;
  append(words, sound, "; ");
  table.rows.push_back({what, plain_line(words), recorded.empty() && sound.empty() ? "" : tick, ""});
}

// What the rows of one cavity say that an eye can see.
struct Seen {
  std::string what, mm2, note;
  bool is_known = true;
};
Seen seen_of(const PinoutRow& row, std::string_view contact) {
  switch (row.state) {
    case State::empty:
      return {"empty: nothing in it", "", "", true};
    case State::sealed:
      return {"sealed: closed by a plug or a terminal, no wire", "", "", true};
    case State::unknown:
      return {fmt::format("unknown: {}", row.note.empty() ? "nobody has looked" : row.note), "", "", false};
    case State::disputed:
      return {row.note.empty() ? "disputed" : fmt::format("disputed: {}", row.note), "", "", false};
    case State::wired:
      break;
  }
  if (row.to.empty()) return {fmt::format("a contact, {}", contact), "", "", true};
  std::string colour = row.colour;
  append(colour, row.colour_name, " ");
  if (colour.empty()) colour = "a wire, its colour not recorded";
  colour += reports::in_brackets(row.colour_mark);
  return {colour, row.mm2 + reports::in_brackets(row.mm2_mark), row.note, true};
}

void PlugCheck::cautions() {
  const auto [worst, names] = firing_among(family_, shown_);
  const std::vector<std::string> texts = reports::cautions_to_look(view_, worst);
  std::vector<std::string> lines;
  for (const std::string& text : texts) lines.push_back(plain_line(text));
  if (worst != Danger::ordinary) {
    sheet_.blocks.push_back(
        Warning{is_whole_ ? firing_connectors(names) : std::string(reports::firing_mark(worst)), std::move(lines)});
    sheet_.description += plain_line(fmt::format(" Never unplug, open or probe: {}.", names));
  } else {
    add_cautions(sheet_, lines);
  }
  const bool opens = std::any_of(shown_.begin(), shown_.end(),
                                 [](const ShownConnector& one) { return one.danger == Danger::ordinary; });
  std::string how = "By eye alone: no meter, no probe, nothing pulled or forced. ";
  if (opens) how += "Ignition off and battery disconnected before a plug is opened. ";
  how += "Tick what you saw to be so; write what differs; where you could not see, leave both free.";
  sheet_.blocks.push_back(Paragraph{std::move(how), true});
}

void PlugCheck::add_number(SheetTable& table) const {
  add_look(table, "Number on the label", numbers_of(view_, part_, cells_));
}

SheetTable PlugCheck::of_the_plug(const ShownConnector& one) const {
  SheetTable table = looks_table();
  const bool opens = one.danger == Danger::ordinary;
  if (!is_whole_) add_number(table);
  const Index row = connector_row_in(family_, one.connector, one.pinout.cells.lowest());
  const Index of = row == none ? none : family_.connector_rows[row].housing;
  if (of != none) {
    const Housing& housing = family_.housings[of];
    std::string body = view_.text(housing.title);
    append(body, family_.text(housing.colour), ", ");
    append(body, fmt::format("{} cavities", housing.cavities.count), ", ");
    if (opens && housing.cavities.count > 0)
      append(body, fmt::format("contacts: {}", word(family_.housing_cavities[housing.cavities.first].contact)), ", ");
    add_look(table, "Housing", body);
    add_look(table, "Key", view_.text(housing.key));
    add_look(table, "Latch", view_.text(housing.latch), "closed, not broken");
    if (opens)
      for (const Closes& bar : rows(family_.closes, housing.closes))
        add_look(table, "Bar while open",
                 fmt::format("joins {} with {}", family_.text(family_.housing_cavities[bar.a].number),
                             family_.text(family_.housing_cavities[bar.b].number)));
  }
  add_look(table, "Body and wires behind it",
           "no crack, melting, water or oil; no wire bare, cut, patched or pulled tight");
  if (!opens) return table;
  add_look(table, "Secondary lock", "where the body has one: home, not standing proud");
  add_look(table, "Seals", "where there are any: each wire's and the plug's own in place and whole");
  add_look(table, "Terminals", "none bent, pushed back, spread, burnt or corroded; all equally deep");
  return table;
}

SheetTable PlugCheck::cavity_table(const ShownConnector& one) const {
  const bool opens = one.danger == Danger::ordinary;
  SheetTable table = opens ? table_to_tick({"Cavity", "Recorded", "mm²", "As recorded", "What I see"})
                           : SheetTable{"", {"Cavity", "Recorded", "mm²"}, {}};
  const Index of_row = connector_row_in(family_, one.connector, one.pinout.cells.lowest());
  const Index of = of_row == none ? none : family_.connector_rows[of_row].housing;
  std::map<std::string_view, std::string_view> contacts;
  if (of != none)
    for (const HousingCavity& cavity : rows(family_.housing_cavities, family_.housings[of].cavities))
      contacts.emplace(family_.text(cavity.number), word(cavity.contact));
  std::string last_note;
  for (const PinoutRow& row : one.pinout.rows) {
    std::string name = row.cavity;
    if (!row.moulded.empty()) name += fmt::format(" (moulded {})", row.moulded);
    name = plain_line(name);
    const Seen seen = seen_of(row, contacts[row.cavity]);
    const std::string note = seen.note.empty() ? "" : plain_line(", " + seen.note);
    if (!table.rows.empty() && table.rows.back()[0].text == name) {  // a second wire in the same cavity
      std::string& what = table.rows.back()[1].text;
      if (note == last_note && !note.empty()) what.resize(what.size() - note.size());
      what += "; and " + plain_line(seen.what) + note;
      append(table.rows.back()[2].text, plain_line(seen.mm2), "; ");
    } else {
      table.rows.push_back({name, plain_line(seen.what) + note, plain_line(seen.mm2)});
      if (opens) table.rows.back().insert(table.rows.back().end(), {seen.is_known ? tick : "", ""});
    }
    last_note = note;
  }
  bool has_mm2 = false;
  for (const auto& row : table.rows) has_mm2 = has_mm2 || !row[2].text.empty();
  if (has_mm2) return table;
  table.heads.erase(table.heads.begin() + 2);
  if (!table.least.empty()) table.least.erase(table.least.begin() + 2);
  for (auto& row : table.rows) row.erase(row.begin() + 2);
  return table;
}

void PlugCheck::plug(const ShownConnector& one) {
  if (is_whole_) {
    sheet_.blocks.push_back(Heading{name_among(view_, shown_, one), true});
    if (one.danger != Danger::ordinary)
      sheet_.blocks.push_back(Warning{std::string(reports::firing_mark(one.danger)), {}});
  }
  if (one.danger != Danger::ordinary)
    sheet_.blocks.push_back(Paragraph{
        "Looked at only, from outside, plugged in as it is: never unplugged, opened or probed. Its cavities are "
        "printed for comparison and have no boxes.",
        true});
  FactList about;
  const Index row = connector_row_in(family_, one.connector, one.pinout.cells.lowest());
  if (row != none) add_fact(about, "Where", family_.text(family_.connector_rows[row].where));
  add_fact(about, "Cavities", counts_of(one.pinout));
  if (is_whole_ && !(one.pinout.cells == cells_)) add_fact(about, "Holds in", cells_of(view_, one.pinout.cells));
  sheet_.blocks.push_back(std::move(about));
  sheet_.blocks.push_back(BothFaces{face_of(view_, one.connector, one.pinout)});
  sheet_.blocks.push_back(of_the_plug(one));
  sheet_.blocks.push_back(cavity_table(one));
}

Sheet PlugCheck::write(std::string_view source) {
  const std::string name = is_whole_ ? place_ : view_.connector_name(shown_[0].connector);
  sheet_.title = plain_line(fmt::format("{}: plug check by eye", name));
  sheet_.description = plain_line(
      fmt::format("Plug-check sheet of {} in {}: {}.", name, cells_of(view_, cells_),
                  is_whole_ ? fmt::format("{} connectors", shown_.size()) : "cavities " + counts_of(shown_[0].pinout)));
  cautions();
  FactList facts;
  add_fact(facts, "Family", family_.text(family_.title));
  add_fact(facts, "Recorded for", cells_of(view_, cells_));
  add_fact(facts, "Part", fmt::format("{} {}, {}", word(part_.kind), family_.text(part_.id), title_of(view_, part_)));
  sheet_.blocks.push_back(std::move(facts));
  SheetTable who{"", {"Vehicle or part in hand", "Looked at by", "Date"}, {{"", "", ""}}};
  who.least = {260, 140, 90};
  who.least_height = writing_height;
  sheet_.blocks.push_back(std::move(who));
  if (is_whole_) {
    SheetTable all = looks_table();
    add_number(all);
    std::string names;
    for (const ShownConnector& one : shown_) append(names, name_among(view_, shown_, one), ", ");
    add_look(all, "Connectors", names);
    sheet_.blocks.push_back(std::move(all));
  }
  sheet_.blocks.push_back(Legend{});
  for (const ShownConnector& one : shown_) plug(one);
  sheet_.foot = foot_of(family_, source);
  return std::move(sheet_);
}

}  // namespace

Sheet plug_check_sheet(const FamilyView& view, Index part, const CellSet& cells, std::string_view source) {
  return PlugCheck(view, part, cells, connectors_shown(view, part, cells), true).write(source);
}

Sheet plug_check_sheet(const FamilyView& view, Index connector, const Pinout& pinout, std::string_view source) {
  return PlugCheck(view, view.family().connectors[connector].part, pinout.cells,
                   {{connector, pinout, reports::danger_of(view, connector, pinout)}}, false)
      .write(source);
}

}  // namespace loomproof::layout
