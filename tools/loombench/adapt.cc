// loombench adapt FAMILY SIDE FAMILY SIDE: what each pin of two loose sides meets on the other.
#include <fmt/format.h>

#include <algorithm>
#include <optional>

#include "adapt/adapter.h"
#include "answer.h"
#include "describe.h"
#include "family/words.h"
#include "fitting.h"
#include "nets/firing.h"
#include "reports/escape.h"

namespace loomproof::bench {
namespace {

using adapt::Adapter;
using adapt::Pick;
using adapt::Side;
using adapt::Way;
using Json = nlohmann::ordered_json;

std::vector<std::string> split(const std::string& text, char at) {
  std::vector<std::string> words;
  for (size_t from = 0;;) {
    const size_t end = text.find(at, from);
    words.push_back(text.substr(from, end == std::string::npos ? end : end - from));
    if (end == std::string::npos) return words;
    from = end + 1;
  }
}

// One side as it is asked for, resolved.
struct Chosen {
  Side side;
  std::string owner;               // the first word of it: "PUMP-UNIT"
  std::vector<std::string> words;  // of each pick: "croft PUMP-UNIT.X1: unit-12-c, as built in era c, supply 12V"
  std::vector<std::string> how;    // it is taken
};

std::optional<Pick> pick_in(const Scope& scope, const Target& target, uint32_t cell) {
  const Family& family = scope.family();
  Pick pick;
  pick.cell = cell;
  if (!target.designator.empty()) {
    const Index connector = connector_in(scope, target, cell);
    if (connector == none) return std::nullopt;
    pick.part = family.connectors[connector].part;
    pick.connectors = {connector};
    return pick;
  }
  if (target.place != none) {
    pick.part = scope.index().part_in(target.place, cell);
  } else {
    for (Index part = 0; part < family.parts.size() && pick.part == none; ++part)
      if (family.text(family.parts[part].id) == target.part_id && family.holds(family.parts[part].cells, cell))
        pick.part = part;
  }
  if (pick.part == none) return std::nullopt;
  const Range all = family.parts[pick.part].connectors;
  for (Index connector = all.first; connector < all.end(); ++connector)
    if (connector_row_in(family, connector, cell) != none) pick.connectors.push_back(connector);
  if (pick.connectors.empty()) return std::nullopt;
  return pick;
}

// The pick that a word means; throws UsageError where it means none, or several that differ.
Pick pick_of(const Scope& scope, const std::string& text, std::string& owner, std::string& words, std::string& how) {
  const Family& family = scope.family();
  const size_t colon = text.find(':');
  const std::string name = text.substr(0, colon);
  if (name.empty()) throw UsageError(fmt::format("\"{}\" names no side; it is PLACE.C1:era=…,option=…", text));
  const Target target = parse_target(family, name);
  if (!target.cavity.empty())
    throw UsageError(fmt::format("{} is one cavity; a side is whole connectors, as in {}.{}", name, target.owner,
                                 target.designator));
  CellSet cells = scope.built();
  if (colon != std::string::npos) {
    std::vector<std::string_view> rest;
    const std::string spec = text.substr(colon + 1);
    cells &= cells_of_spec(family, spec, rest);
    if (!rest.empty()) throw UsageError(fmt::format("a side takes eras and options, not \"{}\"", rest[0]));
    if (cells.empty()) throw UsageError(fmt::format("{} was never built with \"{}\"", family.text(family.id), spec));
  }
  struct View {
    Index part;
    Side side;
    bool operator==(const View&) const = default;
  };
  const auto groups = grouped(cells, [&](uint32_t cell) -> std::optional<View> {
    const auto pick = pick_in(scope, target, cell);
    if (!pick) return std::nullopt;
    return View{pick->part, adapt::make_side(scope.index(), {*pick})};
  });
  if (groups.empty()) {
    if (target.designator.empty()) throw UsageError(fmt::format("nothing was built for {}", text));
    throw UsageError(no_connector(scope, target));
  }
  if (groups.size() > 1) {
    std::vector<std::string> choices;
    for (const auto& group : groups) choices.push_back(cells_text(family, group.cells));
    throw UsageError(
        fmt::format("\"{}\" leaves {} that differ; say which: {}", text, groups.size(), fmt::join(choices, " | ")));
  }
  const uint32_t cell = groups.front().cells.lowest();
  Pick pick = *pick_in(scope, target, cell);
  const Part& part = family.parts[pick.part];
  owner = target.owner;
  words = fmt::format("{} {}: {}, as built in {}", family.text(family.id), name, family.text(part.id),
                      cells_text(family, groups.front().cells));
  how = part.kind == PartKind::component ? "by itself; colours and mm² are of the loom that it comes from"
                                         : "with all that it hung on as it was built, less what is pulled";
  return pick;
}

Chosen choose(const Scope& scope, const std::string& text) {
  Chosen chosen;
  std::vector<Pick> picks;
  for (const std::string& word : split(text, '+')) {
    std::string owner, words, how;
    Pick pick = pick_of(scope, word, owner, words, how);
    for (const Pick& other : picks)
      for (Index connector : other.connectors)
        if (other.cell == pick.cell &&
            std::find(pick.connectors.begin(), pick.connectors.end(), connector) != pick.connectors.end())
          throw UsageError(fmt::format("\"{}\" names a connector twice", text));
    picks.push_back(std::move(pick));
    chosen.words.push_back(words);
    chosen.how.push_back(how);
    chosen.owner = owner;
  }
  chosen.side = adapt::make_side(scope.index(), picks);
  return chosen;
}

std::string_view word(Way way) {
  return way == Way::relay ? "relay" : way == Way::part ? "part" : "wire";
}

class Teller {
 public:
  Teller(const Family& left_family, const Family& right_family, const Chosen& left, const Chosen& right)
      : families_{&left_family, &right_family},
        left_(left),
        right_(right),
        list_(adapt::adapter(left.side, right.side)) {}
  Adapt tell(const std::string& title);

 private:
  Page& page() { return adapt_.answer.page; }
  Json& json() { return adapt_.answer.json; }
  void cautions();
  void verdict();
  void pairs();
  void choices();
  void refused();
  void open(const char* key, const char* title, const std::vector<adapt::Open>& list);
  void left_alone();
  void material();
  void line(const std::vector<std::string>& fields);
  std::string remark(const adapt::Row& row);
  std::string_view side_word(bool of_left) const { return of_left ? "left" : "right"; }

  std::vector<const Family*> families_;
  const Chosen &left_, &right_;
  Adapter list_;
  Adapt adapt_;
  std::vector<std::string> conditions_;  // each once: pairs name them by number
};

void Teller::line(const std::vector<std::string>& fields) {
  for (size_t i = 0; i < fields.size(); ++i) adapt_.csv += (i ? "," : "") + csv_field(fields[i]);
  adapt_.csv += "\r\n";
}

// Those of both packs, each once.
void Teller::cautions() {
  std::vector<std::string_view> when{"always", "load", "power", "probe", "sheath", "high-voltage"};
  if (has_firing_circuits(*families_[0]) || has_firing_circuits(*families_[1]))
    when.insert(when.end(), {"battery", "firing"});
  json()["cautions"] = Json::array();
  const auto add = [&](const std::string& text) {
    for (const Json& known : json()["cautions"])
      if (known == text) return;
    page().emplace_back(CautionText{text});
    json()["cautions"].push_back(text);
  };
  for (const Family* family : families_) {
    Answer of_family;
    add_cautions(of_family, *family, when);
    for (const Json& text : of_family.json["cautions"]) add(text.get<std::string>());
  }
  if (json()["cautions"].empty())  // no pack can leave this out
    add("Battery disconnected and control units unplugged first. The maker's manual, local codes and licensed practice "
        "come before this sheet.");
  for (const Chosen* chosen : {&left_, &right_})
    for (const std::string& plug : chosen->side.firing)
      add(
          fmt::format("{} carries a firing circuit, or may. Nothing of it is matched here: leave it to the maker's "
                      "manual and to licensed practice.",
                      plug));
}

void Teller::verdict() {
  Facts facts;
  for (const Chosen* chosen : {&left_, &right_})
    for (size_t i = 0; i < chosen->words.size(); ++i) {
      facts.add(chosen == &left_ ? "left" : "right", chosen->words[i]);
      if (i + 1 == chosen->words.size() || chosen->how[i] != chosen->how[i + 1]) facts.add("taken", chosen->how[i]);
    }
  const auto count = [](size_t number, const char* one, const char* many) {
    return number == 0 ? std::string() : fmt::format("{} {}", number, number == 1 ? one : many);
  };
  size_t parts = 0, conditions = 0;
  for (const adapt::Row& row : list_.rows) parts += row.way == Way::part, conditions += !row.conditions.empty();
  const std::string against[] = {
      count(list_.unmet.size(), "need is not met", "needs are not met"),
      count(list_.choices.size(), "choice is open", "choices are open"),
      count(list_.refused.size(), "pair of one name must not be joined", "pairs of one name must not be joined"),
      count(parts, "part for other volts is to be found", "parts for other volts are to be found"),
      count(left_.side.hidden.size() + right_.side.hidden.size(), "cavity is unknown or disputed",
            "cavities are unknown or disputed"),
      count(left_.side.firing.size() + right_.side.firing.size(), "plug may fire", "plugs may fire")};
  std::string text;
  for (const std::string& each : against)
    if (!each.empty()) text += (text.empty() ? "" : ", ") + each;
  facts.add("verdict", list_.is_complete ? "every need is met, from the record" : "NOT COMPLETE: " + text);
  if (conditions > 0)
    facts.add("but", count(conditions, "pair holds on a condition: see below", "pairs hold on conditions: see below"));
  page().emplace_back(std::move(facts));
  json()["left"] = left_.words, json()["right"] = right_.words;
  json()["complete"] = list_.is_complete;
}

std::string Teller::remark(const adapt::Row& row) {
  std::string text = fmt::format("{} | {}", row.left_does, row.right_does);
  if (row.way != Way::direct) text += fmt::format(". NOT BY A WIRE: {}", row.because);
  for (const std::string& each : row.takes) text += fmt::format(". Takes {}", each);
  std::string numbers;
  for (const std::string& each : row.conditions) {
    auto at = std::find(conditions_.begin(), conditions_.end(), each);
    if (at == conditions_.end()) at = conditions_.insert(at, each);
    numbers += fmt::format("{}{}", numbers.empty() ? "" : ", ", at - conditions_.begin() + 1);
  }
  if (!numbers.empty()) text += fmt::format(". On condition {}", numbers);
  for (const adapt::Line& each : row.lines)
    for (const adapt::End* end : {&each.left, &each.right})
      if (end->marks != 0) text += fmt::format(". {}: {}", end->cavity, marks_text(end->marks));
  return text;
}

void Teller::pairs() {
  json()["pairs"] = Json::array();
  if (list_.rows.empty()) return;
  page().emplace_back(Heading{"Pin to pin", 3});
  Grid grid{{{left_.words.size() == 1 ? left_.owner : "Left"},
             {"Colour"},
             {right_.words.size() == 1 ? right_.owner : "Right"},
             {"Colour"},
             {"Matched by", true},
             {"mm²"}},
            {}};
  for (const adapt::Row& row : list_.rows) {
    Json wires = Json::array();
    for (const adapt::Line& each : row.lines) {
      const bool last = &each == &row.lines.back();
      grid.rows.push_back(
          {{each.left.cavity, each.left.colour, each.right.cavity, each.right.colour, row.by, milli(each.mm2)},
           last ? remark(row) : ""});
      Json one = {{"left", each.left.cavity}, {"right", each.right.cavity}};
      if (!each.left.colour.empty()) one["left-colour"] = each.left.colour;
      if (!each.right.colour.empty()) one["right-colour"] = each.right.colour;
      if (each.left.marks != 0) one["left-evidence"] = marks_text(each.left.marks);
      if (each.right.marks != 0) one["right-evidence"] = marks_text(each.right.marks);
      if (each.mm2 != not_given) one["mm2"] = milli(each.mm2);
      if (each.left_again || each.right_again) one["splice"] = each.left_again ? "left" : "right";
      wires.push_back(std::move(one));
      line({std::string(word(row.way)), each.left.cavity, each.left.colour, row.left_does, each.right.cavity,
            each.right.colour, row.right_does, row.by, milli(each.mm2), fmt::format("{}", fmt::join(row.takes, "; ")),
            fmt::format("{}", fmt::join(row.conditions, "; "))});
    }
    Json one = {{"way", word(row.way)},     {"matched-by", row.by}, {"left", row.left_does},
                {"right", row.right_does},  {"takes", row.takes},   {"conditions", row.conditions},
                {"wires", std::move(wires)}};
    if (!row.because.empty()) one["not-by-a-wire"] = row.because;
    json()["pairs"].push_back(std::move(one));
  }
  page().emplace_back(std::move(grid));
  if (conditions_.empty()) return;
  page().emplace_back(Heading{"Conditions, by their numbers above", 3});
  Facts facts;
  for (size_t i = 0; i < conditions_.size(); ++i) facts.add(std::to_string(i + 1), conditions_[i]);
  page().emplace_back(std::move(facts));
}

void Teller::choices() {
  json()["choices"] = Json::array();
  if (list_.choices.empty()) return;
  page().emplace_back(Heading{"To choose: any of the left may be any of the right", 3});
  for (const adapt::Alternatives& each : list_.choices) {
    Facts facts;
    facts.add("alike by", each.ground);
    const auto add = [&](const char* label, const std::vector<std::string>& list) {
      for (const std::string& text : list) facts.add(&text == &list.front() ? label : "", text);
    };
    add("left", each.left), add("right", each.right);
    page().emplace_back(std::move(facts));
    json()["choices"].push_back({{"alike-by", each.ground}, {"left", each.left}, {"right", each.right}});
    line({"choice", fmt::format("{}", fmt::join(each.left, "; ")), "", "",
          fmt::format("{}", fmt::join(each.right, "; ")), "", "", each.ground, "", "", ""});
  }
}

void Teller::refused() {
  json()["refused"] = Json::array();
  if (list_.refused.empty()) return;
  page().emplace_back(Heading{"One by name, and not to be joined", 3});
  for (const adapt::Refused& each : list_.refused) {
    const std::string outcome =
        each.outcome == Outcome::unset ? "not-proven" : std::string(loomproof::word(each.outcome));
    Facts facts;
    facts.add("left", each.left), facts.add("right", each.right);
    facts.add("alike by", each.by), facts.add("joined", fmt::format("{}: {}", outcome, each.because));
    page().emplace_back(std::move(facts));
    json()["refused"].push_back({{"left", each.left},
                                 {"right", each.right},
                                 {"matched-by", each.by},
                                 {"outcome", outcome},
                                 {"because", each.because}});
    line({"refused", each.left, "", "", each.right, "", "", each.by, "", "", each.because});
  }
}

void Teller::open(const char* key, const char* title, const std::vector<adapt::Open>& list) {
  json()[key] = Json::array();
  if (list.empty()) return;
  page().emplace_back(Heading{title, 3});
  Grid grid{{{"Side"}, {"Cavity", true}, {"Circuit"}, {"Gives or takes", true}, {"Why", true}}, {}};
  for (const adapt::Open& each : list) {
    grid.rows.push_back({{std::string(side_word(each.of_left)), each.cavities, each.circuit, each.does, each.why}, ""});
    json()[key].push_back({{"side", side_word(each.of_left)},
                           {"cavities", each.cavities},
                           {"circuit", each.circuit},
                           {"does", each.does},
                           {"why", each.why}});
    if (each.of_left)
      line({key, each.cavities, "", each.does, "", "", "", "", "", "", each.why});
    else
      line({key, "", "", "", each.cavities, "", each.does, "", "", "", each.why});
  }
  page().emplace_back(without_empty_columns(grid));
}

// What nobody knows, what leads nowhere, what may fire.
void Teller::left_alone() {
  Grid grid{{{"Side"}, {"Cavity", true}, {"Why", true}}, {}};
  json()["not-matched"] = Json::array();
  for (const bool of_left : {true, false}) {
    const Side& side = of_left ? left_.side : right_.side;
    const auto add = [&](const std::string& cavity, const std::string& why) {
      grid.rows.push_back({{std::string(side_word(of_left)), cavity, why}, ""});
      json()["not-matched"].push_back({{"side", side_word(of_left)}, {"cavity", cavity}, {"why", why}});
      line({"not-matched", of_left ? cavity : "", "", "", of_left ? "" : cavity, "", "", "", "", "", why});
    };
    for (const std::string& plug : side.firing) add(plug, "firing, or may be: for the maker's manual alone");
    for (const adapt::Left& each : side.hidden) add(each.cavity, each.why);
    if (!side.free.empty()) add(fmt::format("{}", fmt::join(side.free, ", ")), "empty, sealed or open");
  }
  if (grid.rows.empty()) return;
  page().emplace_back(Heading{"Left alone", 3});
  page().emplace_back(std::move(grid));
}

void Teller::material() {
  json()["material"] = Json::array();
  if (list_.material.empty()) return;
  page().emplace_back(Heading{"What it takes", 3});
  Grid grid{{{"Number"}, {"What", true}}, {}};
  for (const adapt::Material& each : list_.material) {
    grid.rows.push_back({{std::to_string(each.count), each.what}, ""});
    json()["material"].push_back({{"what", each.what}, {"number", each.count}});
  }
  page().emplace_back(std::move(grid));
}

Adapt Teller::tell(const std::string& title) {
  page().emplace_back(Heading{title, 2});
  line({"kind", "left", "left-colour", "left-does", "right", "right-colour", "right-does", "matched-by", "mm2", "takes",
        "note"});
  json()["families"] = {families_[0]->text(families_[0]->id), families_[1]->text(families_[1]->id)};
  cautions();
  verdict();
  pairs();
  choices();
  refused();
  open("unmet", "Needs that nothing meets", list_.unmet);
  open("unused", "Meets nothing, and need not", list_.unused);
  left_alone();
  material();
  adapt_.complete = list_.is_complete;
  return std::move(adapt_);
}

}  // namespace

Adapt adapt_sides(const Family& left, const Family& right, const AdaptChoice& choice) {
  const Scope left_scope(left, {}), right_scope(right, {});
  const Chosen one = choose(left_scope, choice.left), other = choose(right_scope, choice.right);
  const auto bare = [](const std::string& text) {
    std::string names;
    for (const std::string& word : split(text, '+'))
      names += (names.empty() ? "" : " + ") + word.substr(0, word.find(':'));
    return names;
  };
  const std::string title = fmt::format("Adapter from {} {} to {} {}", left.text(left.id), bare(choice.left),
                                        right.text(right.id), bare(choice.right));
  return Teller(left, right, one, other).tell(title);
}

}  // namespace loomproof::bench
