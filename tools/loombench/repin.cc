// loombench repin FAMILY PLACE: how to turn one variant of a loom into another, step by step.
#include <fmt/format.h>

#include <algorithm>
#include <iterator>

#include "answer.h"
#include "compare/words.h"
#include "family/words.h"
#include "fitting.h"
#include "found/as_found.h"
#include "judge/fill.h"
#include "nets/variants.h"
#include "repin/suit.h"
#include "reports/escape.h"

namespace loomproof::bench {
namespace {

using Json = nlohmann::ordered_json;
using loomproof::repin::Check;
using loomproof::repin::Item;
using loomproof::repin::Plan;
using loomproof::repin::Side;
using loomproof::repin::Step;

std::string check_text(const Check& check) {
  return fmt::format("{} to {}: {}", check.a, check.b, check.path ? "continuity" : "open");
}

std::string checks_text(const Step& step) {
  std::string text;
  for (const Check& check : step.checks) text += (text.empty() ? "" : "; ") + check_text(check);
  if (!step.look.empty()) text += (text.empty() ? "by eye: " : "; by eye: ") + step.look;
  return text;
}

std::string how_text(const Step& step) {
  std::string text;
  for (const std::string& line : step.how) text += (text.empty() ? "" : " ") + line + ".";
  return text;
}

Json json_of(const Step& step) {
  Json checks = Json::array();
  for (const Check& check : step.checks) checks.push_back({{"from", check.a}, {"to", check.b}, {"path", check.path}});
  Json one = {
      {"kind", word(step.kind)}, {"what", step.words}, {"how", step.how}, {"cuts", step.cuts}, {"checks", checks}};
  if (!step.look.empty()) one["by eye"] = step.look;
  return one;
}

// What a loom has to suit, and what the judge says of the whole.
struct Suiting {
  std::string beside, before, after;
  std::vector<std::string> reasons, open, unknown;
  bool is_proven = false;  // that the whole fits with the work done
};

class Teller {
 public:
  Teller(const Family& family, const Plan& plan, const Suiting* suiting = nullptr)
      : family_(family), plan_(plan), suiting_(suiting) {}
  Repin tell(const std::string& title, const std::string& from, const std::string& to,
             const std::vector<std::string>& found);

 private:
  Page& page() { return repin_.answer.page; }
  Json& json() { return repin_.answer.json; }
  void verdict();
  void suits();
  void looks();
  void steps();
  void stays();
  void lists();
  void csv();

  const Family& family_;
  const Plan& plan_;
  const Suiting* suiting_;
  Repin repin_;
};

void Teller::verdict() {
  Facts facts;
  if (!plan_.refusal.empty()) {
    facts.add("refused", plan_.refusal);
    json()["refused"] = plan_.refusal;
    page().emplace_back(std::move(facts));
    return;
  }
  std::string count = fmt::format("{}", plan_.operations);
  if (plan_.least < plan_.operations)
    count += fmt::format("; no way takes fewer than {}", plan_.least);
  else
    count += ", the fewest that there are";
  facts.add("operations", plan_.steps.empty() ? "none: there is nothing to do" : count);
  const bool hidden = !plan_.look_first.empty();
  const bool whole = suiting_ == nullptr || suiting_->is_proven;
  facts.add("proven", plan_.proven && whole ? "yes, from the record"
                      : plan_.proven        ? "the work is, from the record; that the whole then fits is NOT PROVEN"
                      : hidden              ? "NOT PROVEN: look at the cavities below before anything else"
                               : "NOT PROVEN: the loom would still differ from what it is to become, see below");
  json()["proven"] = plan_.proven;
  json()["operations"] = plan_.operations;
  json()["least"] = plan_.least;
  page().emplace_back(std::move(facts));
}

void Teller::suits() {
  if (suiting_ == nullptr) return;
  json()["suits"] = {{"beside", suiting_->beside}, {"before", suiting_->before},
                     {"after", suiting_->after},   {"reasons left", suiting_->reasons},
                     {"open", suiting_->open},     {"not known", suiting_->unknown}};
  const auto list = [&](std::string_view heading, const std::vector<std::string>& lines) {
    if (lines.empty()) return;
    page().emplace_back(Heading{std::string(heading), 3});
    Grid grid{{{"What", true}}, {}};
    for (const std::string& line : lines) grid.rows.push_back({{line}, {}});
    page().emplace_back(std::move(grid));
  };
  list("Still against it with the work done", suiting_->reasons);
  list("To be settled by hand", suiting_->open);
  list("Not known", suiting_->unknown);
}

void Teller::looks() {
  json()["look first"] = Json::array();
  if (plan_.look_first.empty()) return;
  page().emplace_back(Heading{"Look at these cavities first", 3});
  Grid grid{{{"Cavity"}, {"Why", true}}, {}};
  for (const auto& look : plan_.look_first) {
    grid.rows.push_back({{look.cavity, look.why + (look.used ? "; a step works there" : "")}, {}});
    json()["look first"].push_back({{"cavity", look.cavity}, {"why", look.why}, {"a step leads there", look.used}});
  }
  page().emplace_back(std::move(grid));
}

void Teller::steps() {
  json()["steps"] = Json::array();
  if (plan_.steps.empty()) return;
  page().emplace_back(Heading{"Steps, reversible ones first", 3});
  Grid grid{{{"No"}, {"Step", true}, {"Then, both ends unplugged", true}}, {}};
  for (size_t i = 0; i < plan_.steps.size(); ++i) {
    const Step& step = plan_.steps[i];
    grid.rows.push_back(
        {{std::to_string(i + 1), step.words + (step.cuts ? " [cuts]" : ""), checks_text(step)}, how_text(step)});
    json()["steps"].push_back(json_of(step));
  }
  page().emplace_back(std::move(grid));
}

void Teller::stays() {
  json()["stays"] = Json::array();
  if (plan_.stays.empty()) return;
  page().emplace_back(Heading{"What stays as it is, where the loom to be has it otherwise", 3});
  Steps list;
  for (const Difference& difference : plan_.stays) {
    list.rows.push_back({0, true, difference_words(plan_.worked, difference)});
    json()["stays"].push_back(difference_words(plan_.worked, difference));
  }
  page().emplace_back(std::move(list));
}

void Teller::lists() {
  Grid grid{{{"For"}, {"Number"}, {"What", true}}, {}};
  Json material = Json::object();
  const auto add = [&](const char* title, const std::vector<Item>& items) {
    material[title] = Json::array();
    for (const Item& item : items) {
      grid.rows.push_back({{title, std::to_string(item.count), item.what}, {}});
      material[title].push_back({{"what", item.what}, {"number", item.count}});
    }
  };
  add("plugs", plan_.plugs), add("terminals", plan_.terminals), add("seals", plan_.seals), add("wire", plan_.wires);
  add("splices", plan_.joints), add("insulation", plan_.insulation), add("tools", plan_.tools);
  json()["material"] = material;
  if (grid.rows.empty()) return;
  page().emplace_back(Heading{"What it takes", 3});
  page().emplace_back(std::move(grid));
}

void Teller::csv() {
  const auto line = [&](const std::vector<std::string>& fields) {
    for (size_t i = 0; i < fields.size(); ++i) repin_.csv += (i ? "," : "") + csv_field(fields[i]);
    repin_.csv += "\r\n";
  };
  line({"no", "kind", "cuts", "step", "how", "check"});
  if (!plan_.refusal.empty()) line({"", "refused", "", plan_.refusal, "", ""});
  for (const auto& look : plan_.look_first) line({"", "look-first", "", look.cavity, look.why, ""});
  for (size_t i = 0; i < plan_.steps.size(); ++i) {
    const Step& step = plan_.steps[i];
    line({std::to_string(i + 1), std::string(word(step.kind)), step.cuts ? "yes" : "no", step.words, how_text(step),
          checks_text(step)});
  }
}

Repin Teller::tell(const std::string& title, const std::string& from, const std::string& to,
                   const std::vector<std::string>& found) {
  page().emplace_back(Heading{title, 2});
  json() = {{"family", family_.text(family_.id)}, {"from", from}, {"to", to}, {"found", found}};
  std::vector<std::string_view> when{"always", "probe", "load", "sheath", "high-voltage"};
  if (has_firing_circuits(family_)) when.insert(when.end(), {"battery", "firing"});
  add_cautions(repin_.answer, family_, when);
  Facts facts;
  facts.add("from", from);
  for (const std::string& edit : found) facts.add("found", edit);
  if (!found.empty()) facts.add("", "what is not said of it is as recorded");
  if (suiting_ != nullptr) {
    facts.add("to suit", suiting_->beside);
    facts.add("becomes", to);
    facts.add("judged as it is", suiting_->before);
    facts.add("with the work done", suiting_->after);
  } else {
    facts.add("to", to);
  }
  page().emplace_back(std::move(facts));
  verdict();
  suits();
  if (plan_.refusal.empty()) looks(), steps(), stays(), lists();
  csv();
  repin_.proven = plan_.refusal.empty() && plan_.proven;
  return std::move(repin_);
}

}  // namespace

namespace {

// What stands beside the loom, by place. Where several parts could, those that fit each other best.
std::vector<Side> parts_beside(const FamilyIndex& index, Side loom, const RepinChoice& choice) {
  const Family& family = index.family();
  judge::Shelf shelf(index);
  FitChoice fit;
  fit.parts = choice.beside;
  fit.others = choice.others;
  auto open = candidates(shelf, fit);
  open[family.parts[loom.part].place] = {none};
  judge::Judge judge(shelf);
  const judge::Search search = judge::fill(judge, shelf, open, 1);
  std::vector<Side> beside;
  for (Index at = 0; at < family.places.size(); ++at) {
    const judge::VariantId id = search.fillings.empty() ? none : search.fillings[0].assembly.at[at];
    if (id == none) {
      beside.emplace_back();
      continue;
    }
    const judge::Variant& variant = shelf[id];
    std::vector<std::string_view> rest;
    const CellSet asked = variant.cells & cells_of_spec(family, choice.others, rest);
    beside.push_back(
        {variant.part, loomproof::repin::nearest_cell(family, asked.empty() ? variant.cells : asked, loom.cell)});
  }
  return beside;
}

Repin suit_loom(const FamilyIndex& index, Side from, const std::string& title, const std::string& from_text,
                const std::vector<std::string>& found, const RepinChoice& choice) {
  const Family& family = index.family();
  const auto made =
      loomproof::repin::plan_to_suit(index, from, parts_beside(index, from, choice), {!choice.any_colour});
  const auto verdict = [](judge::Verdict best, judge::Verdict worst) {
    return best == worst ? std::string(judge::word(best))
                         : fmt::format("not proven: from \"{}\" to \"{}\"", judge::word(best), judge::word(worst));
  };
  std::string to = "no recorded loom: itself, with its ends where their partners have the same circuit";
  if (made.recorded.part != none)
    to = fmt::format("{}, {}", family.text(family.parts[made.recorded.part].id), cell_text(family, made.recorded.cell));
  Suiting suiting{"build " + choice.others,
                  verdict(made.best_before, made.worst_before),
                  verdict(made.best, made.worst),
                  made.reasons,
                  made.open,
                  made.unknown};
  for (const std::string& part : choice.beside) suiting.beside += "; " + part;
  suiting.is_proven = made.worst <= judge::Verdict::fits_with_loose_ends && made.open.empty();
  Repin repin = Teller(family, made.plan, &suiting).tell(title, from_text, to, found);
  repin.proven = repin.proven && suiting.is_proven;
  return repin;
}

}  // namespace

Repin repin_loom(const Family& recorded, const RepinChoice& choice) {
  if (choice.to.empty() == choice.others.empty())
    throw UsageError("say what the loom is to become: --to another of its place, or --others a build to suit");
  if (!choice.to.empty() && !choice.beside.empty()) throw UsageError("--beside goes with --others, not with --to");
  const Index place = place_named(recorded, choice.place);
  const LoomMeant meant = loom_meant(recorded, place, "--from", choice.from);
  Side from{meant.part, meant.cell};
  Side to;
  if (!choice.to.empty()) {
    const LoomMeant target = loom_meant(recorded, place, "--to", choice.to);
    to = {target.part, target.cell};
  }
  Family family = recorded;
  std::vector<std::string> found;
  std::vector<found::Edit> edits;
  {
    const FamilyIndex index(recorded);
    for (const std::string& text : choice.found) {
      found::Fault fault;
      edits.push_back(found::parse_edit(index, from.part, from.cell, text, fault));
      if (fault.any()) refuse(fault);
      found.push_back(found::edit_words(recorded, edits.back()));
    }
    if (const found::Fault fault = found::fault_of(index, from.part, from.cell, edits); fault.any()) refuse(fault);
  }
  const auto text_of = [&](Side side) {
    return fmt::format("{}, {}", recorded.text(recorded.parts[side.part].id), cell_text(recorded, side.cell));
  };
  const std::string from_text = text_of(from), to_text = to.part == none ? "" : text_of(to);
  if (!edits.empty()) from.part = found::add_as_found(family, from.part, from.cell, edits);
  const FamilyIndex index(family);
  const std::string title =
      fmt::format("Re-pinning {} {}", family.text(family.id), family.text(family.places[place].id));
  if (to.part == none) return suit_loom(index, from, title, from_text, found, choice);
  const Plan plan = loomproof::repin::plan(index, from, to, {!choice.any_colour});
  return Teller(family, plan).tell(title, from_text, to_text, found);
}

}  // namespace loomproof::bench
