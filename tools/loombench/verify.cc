#include "verify.h"

#include <fmt/format.h>

#include <algorithm>
#include <map>

#include "family/words.h"
#include "found/as_found.h"
#include "identify.h"
#include "identify/words.h"
#include "nets/variants.h"
#include "page_sheet.h"
#include "reports/escape.h"

namespace loomproof::bench {
namespace {

using prove::Unproven;
using Json = nlohmann::ordered_json;

std::string why_words(Unproven::Why why) {
  switch (why) {
    case Unproven::Why::firing:
      return "firing circuit, or a plug that may carry one: never touched; only the maker's procedure tests it";
    case Unproven::Why::unknown:
      return "nobody has recorded what it holds";
    case Unproven::Why::disputed:
      return "two sources say different things";
    case Unproven::Why::parallel:
      return "another path runs beside it: broken, it would beep all the same";
    case Unproven::Why::dead_end:
      return "one of its ends no probe can touch";
  }
  return {};
}

class SheetTeller {
 public:
  SheetTeller(const Family& family, const prove::Sheet& sheet, const identify::Sheet& recorded)
      : family_(family), sheet_(sheet), recorded_(recorded) {}

  void entered(const BenchPart& part, const prove::Result& result) { part_ = &part, result_ = &result; }

  Verify tell(std::string_view place, const std::string& name, bool neighbours) {
    neighbours_ = neighbours;
    begin(place, name);
    if (result_) results();
    looks();
    opens();
    bridges();
    unproven();
    made_.csv = std::move(csv_);
    made_.complete = result_ && result_->complete;
    return std::move(made_);
  }

 private:
  Page& page() { return made_.answer.page; }
  Json& json() { return made_.answer.json; }

  std::string circuits_of(size_t net) const {
    std::string words;
    for (Index circuit : sheet_.nets[net].circuits)
      words += (words.empty() ? "" : ", ") + std::string(family_.text(family_.circuits[circuit].id));
    return words.empty() ? "no circuit" : words;
  }
  // "C1.12 GN/WH"
  std::string end_words(const std::string& end) const {
    const identify::CavityFacts* const facts = recorded_.cavity(end);
    std::string colours;
    if (facts)
      for (const std::string& colour : facts->colours) colours += (colours.empty() ? "" : "+") + colour;
    return colours.empty() ? end : end + ' ' + colours;
  }
  // "C1: 3, 4, 12; E1" of ends in their order.
  static std::string by_hand(const std::vector<std::string>& ends) {
    std::string words, hand;
    for (const std::string& end : ends) {
      const std::string now = prove::hand_of(end);
      if (now == end) {
        words += (words.empty() ? "" : "; ") + end;
      } else if (now != hand) {
        words += fmt::format("{}{}: {}", words.empty() ? "" : "; ", now, identify::number_of(end));
      } else {
        words += fmt::format(", {}", identify::number_of(end));
      }
      hand = now;
    }
    return words;
  }

  void begin(std::string_view place, const std::string& name) {
    page().emplace_back(Heading{fmt::format("{}: verification sheet", family_.text(family_.title))});
    json()["family"] = family_.text(family_.id);
    add_probe_cautions(made_.answer, family_);
    page().emplace_back(Heading{fmt::format("{}: {}", place, name), 2});
    json()["place"] = place, json()["variant"] = name;
    size_t ends = 0;
    for (const prove::Net& net : sheet_.nets) ends += net.ends.size();
    Facts facts;
    facts.add("Nets", fmt::format("{}, with {} ends that a probe can touch", sheet_.nets.size(), ends));
    if (!sheet_.nets.empty())
      facts.add("Checks", fmt::format("{} for opens, {} for bridges{}; plugs, rings and leads taken in hand {} times",
                                      sheet_.opens.size(), sheet_.bridges.size(),
                                      neighbours_ ? " between neighbours" : " against the comb", sheet_.taken));
    const bool fires =
        std::any_of(sheet_.looks.begin(), sheet_.looks.end(), [](const auto& look) { return look.may_fire; });
    if (fires)
      facts.add("STOP",
                "plugs that may carry a firing circuit (airbag, belt tensioner) stay as they are: not unplugged, not "
                "opened, not touched with a tester");
    if (sheet_.nets.empty()) {
      facts.add("Checks", "none: nothing on this loom is to be touched with a meter");
    } else {
      facts.add("Before",
                fmt::format("everything {}unplugged at both ends, earth rings off the body, branches that join nets "
                            "elsewhere parted; the meter proved on a known short",
                            fires ? "else " : ""));
    }
    if (!sheet_.unproven.empty())
      facts.add("Mind", fmt::format("{} {} that no check here can prove, listed at the end", sheet_.unproven.size(),
                                    sheet_.unproven.size() == 1 ? "thing is left" : "things are left"));
    page().emplace_back(std::move(facts));
    json()["nets"] = sheet_.nets.size(), json()["ends"] = ends, json()["taken"] = sheet_.taken;
    name_ = name;
    csv_ = "kind,number,from,to,circuit,expect\r\n";
  }

  void results() {
    size_t passed = 0, open = 0, bridged = 0, contradicted = 0;
    for (const prove::NetResult& net : result_->nets) {
      passed += net.passes(), open += net.open, bridged += net.bridged, contradicted += net.contradicted;
    }
    const size_t differing = result_->against.size();
    std::string verdict;
    if (result_->complete) {
      verdict = fmt::format("is {}, as recorded: every circuit is proven", name_);
    } else if (open + bridged + contradicted + differing > 0) {
      verdict = fmt::format("is not as recorded, or a reading is wrong: {} open, {} bridged, {} read both ways, {} {}",
                            open, bridged, contradicted, differing, differing == 1 ? "look differs" : "looks differ");
    } else if (result_->passes) {
      verdict = "every net on this sheet is proven; not proven as a whole: see what is left";
    } else {
      verdict = fmt::format("open: {} of {} nets are proven so far", passed, result_->nets.size());
    }
    const auto left = [](const std::vector<char>& done) { return std::count(done.begin(), done.end(), 0); };
    Facts facts;
    facts.add("Verdict", verdict);
    facts.add("Left to do", fmt::format("{} checks for opens, {} for bridges, {} looks", left(result_->opens_done),
                                        left(result_->bridges_done), result_->looks_left.size()));
    if (result_->set_aside > 0)
      facts.add("Set aside", fmt::format("{} continuity {} taken with something plugged in: that proves no wire",
                                         result_->set_aside, result_->set_aside == 1 ? "reading" : "readings"));
    page().emplace_back(Heading{"By the readings so far", 3});
    page().emplace_back(std::move(facts));
    Json nets = Json::array();
    Grid grid{{{"Circuit", true}, {"Net", true}, {"Result", true}}, {}};
    std::vector<std::string> passing;
    for (size_t net = 0; net < sheet_.nets.size(); ++net) {
      const prove::NetResult& result = result_->nets[net];
      std::string words;
      const auto say = [&](const std::string& what) { words += (words.empty() ? "" : "; ") + what; };
      if (result.open) {
        std::string pieces;
        for (const std::vector<std::string>& piece : result.pieces)
          pieces += (pieces.empty() ? "" : " | ") + fmt::format("{}", fmt::join(piece, " "));
        say("OPEN: " + pieces);
      }
      if (result.bridged) {
        std::string to;
        for (size_t other : result.bridged_to) to += (to.empty() ? "" : ", ") + circuits_of(other);
        say("BRIDGED to " + (to.empty() ? "something on the comb: part the comb to find it" : to));
      }
      if (result.contradicted) say("read both ways: take those readings again");
      nets.push_back({{"circuits", circuits_of(net)},
                      {"ends", sheet_.nets[net].ends},
                      {"passes", result.passes()},
                      {"joined", result.joined},
                      {"apart", result.apart},
                      {"open", result.open},
                      {"bridged", result.bridged},
                      {"read-both-ways", result.contradicted}});
      if (result.passes()) {
        passing.push_back(fmt::format("{} ({})", circuits_of(net), sheet_.nets[net].ends.front()));
      } else if (!words.empty()) {
        grid.rows.push_back({{circuits_of(net), by_hand(sheet_.nets[net].ends), words}, {}});
      }
    }
    json()["result"] = {{"verdict", verdict}, {"complete", result_->complete}, {"nets", nets}};
    Json differ = Json::array();
    for (size_t i : result_->against) {
      const identify::Reading& reading = part_->evidence.readings[i];
      const std::string recorded = identify::recorded_words(recorded_, reading.question, reading.plugged);
      grid.rows.push_back({{"-", identify::place_of(reading.question),
                            fmt::format("SEEN: {}; on record: {}", identify::reading_words(reading), recorded)},
                           {}});
      differ.push_back({{"read", identify::reading_words(reading)}, {"record", recorded}});
    }
    json()["result"]["looks-that-differ"] = std::move(differ);
    if (!grid.rows.empty()) {
      page().emplace_back(Heading{"Not as recorded", 3});
      page().emplace_back(std::move(grid));
    }
    if (passing.empty()) return;
    page().emplace_back(Heading{"Passed", 3});
    Facts pass;
    pass.add(neighbours_ ? "Joined, and apart from neighbours" : "Joined, and apart from all others",
             fmt::format("{}", fmt::join(passing, ", ")));
    page().emplace_back(std::move(pass));
  }

  void looks() {
    page().emplace_back(Heading{"To be seen", 3});
    Grid grid{{{"Plug"}, {"Housing", true}, {"Wires"}, {"Empty", true}, {"Sealed", true}, {"Seen"}}, {}};
    Json all = Json::array();
    for (const prove::PlugLook& look : sheet_.looks) {
      grid.rows.push_back({{look.plug, look.housing, look.may_fire ? "may fire" : std::to_string(look.wires),
                            fmt::format("{}", fmt::join(look.empty, ", ")),
                            fmt::format("{}", fmt::join(look.sealed, ", ")), std::string(box)},
                           {}});
      all.push_back({{"plug", look.plug},
                     {"housing", look.housing},
                     {"may-fire", look.may_fire},
                     {"wires", look.wires},
                     {"empty", look.empty},
                     {"sealed", look.sealed}});
    }
    page().emplace_back(without_empty_columns(grid));
    json()["looks"] = std::move(all);
  }

  void opens() {
    Grid grid{{{"No"}, {"From"}, {"To"}, {"Circuit", true}, {"Beeps"}}, {}};
    Json all = Json::array();
    for (size_t i = 0; i < sheet_.opens.size(); ++i) {
      const prove::Check& check = sheet_.opens[i];
      const bool done = result_ && result_->opens_done[i];
      all.push_back({{"number", i + 1},
                     {"from", check.a},
                     {"to", check.b},
                     {"circuit", circuits_of(check.net)},
                     {"expect", "continuity"},
                     {"done", done}});
      csv_ += csv_line({"open", std::to_string(i + 1), check.a, check.b, circuits_of(check.net), "continuity"});
      if (!done)
        grid.rows.push_back(
            {{std::to_string(i + 1), end_words(check.a), end_words(check.b), circuits_of(check.net), std::string(box)},
             {}});
    }
    json()["opens"] = std::move(all);
    if (grid.rows.empty()) return;
    page().emplace_back(Heading{"Each net is one: the meter shows continuity", 3});
    page().emplace_back(std::move(grid));
  }

  void bridges() {
    Grid grid{{{"No"}, {"From"}, {"To"}, {"Circuit", true}, {"Open"}}, {}};
    Json all = Json::array();
    for (size_t i = 0; i < sheet_.bridges.size(); ++i) {
      const prove::Check& check = sheet_.bridges[i];
      const bool done = result_ && result_->bridges_done[i];
      const std::string circuits = check.with_comb()
                                       ? circuits_of(check.net)
                                       : fmt::format("{} | {}", circuits_of(check.net), circuits_of(check.other));
      const std::string to = check.with_comb() ? "comb" : check.b;
      all.push_back({{"number", i + 1},
                     {"from", check.a},
                     {"to", to},
                     {"circuit", circuits},
                     {"expect", "open"},
                     {"done", done}});
      csv_ += csv_line({"bridge", std::to_string(i + 1), check.a, to, circuits, "open"});
      if (!done)
        grid.rows.push_back({{std::to_string(i + 1), end_words(check.a), check.with_comb() ? to : end_words(check.b),
                              circuits, std::string(box)},
                             {}});
    }
    json()["bridges"] = std::move(all), json()["comb"] = sheet_.comb;
    if (grid.rows.empty()) return;
    page().emplace_back(Heading{
        neighbours_ ? "Neighbours are apart: the meter shows open" : "Each net is apart from all others: open", 3});
    Facts facts;
    if (!neighbours_) {
      facts.add("Comb", "join these ends with mating terminals and clip leads: " + by_hand(comb_in_order()));
      facts.add("Each check",
                "take the end off the comb, hold the meter between it and the comb, put it back; where it beeps, part "
                "the comb in halves until the other end is found");
    }
    if (!sheet_.not_covered.empty()) {
      facts.add("Not covered",
                fmt::format("{} of {} pairs of nets are neighbours nowhere, and no check here would find "
                            "a bridge between them; a comb would",
                            sheet_.not_covered.size(), sheet_.nets.size() * (sheet_.nets.size() - 1) / 2));
      Json pairs = Json::array();
      for (const auto& [a, b] : sheet_.not_covered) pairs.push_back({circuits_of(a), circuits_of(b)});
      json()["not-covered"] = std::move(pairs);
    }
    if (!facts.rows.empty()) page().emplace_back(std::move(facts));
    page().emplace_back(std::move(grid));
    if (!sheet_.not_covered.empty()) not_covered();
  }

  std::vector<std::string> comb_in_order() const {
    std::vector<std::string> ends = sheet_.comb;
    std::sort(ends.begin(), ends.end(), prove::natural_less);
    return ends;
  }

  // By net, how many others it was never held against; a feed or firing neighbour is what one would mind most.
  void not_covered() {
    std::vector<size_t> count(sheet_.nets.size(), 0);
    for (const auto& [a, b] : sheet_.not_covered) ++count[a], ++count[b];
    Grid grid{{{"Circuit", true}, {"First end"}, {"Not held against"}}, {}};
    for (size_t net = 0; net < count.size(); ++net)
      if (count[net] > 0)
        grid.rows.push_back({{circuits_of(net), sheet_.nets[net].ends.front(),
                              fmt::format("{} of {}", count[net], sheet_.nets.size() - 1)},
                             {}});
    page().emplace_back(Heading{"What the checks between neighbours do not cover", 3});
    page().emplace_back(std::move(grid));
  }

  void unproven() {
    Json all = Json::array();
    Facts facts;
    std::map<Unproven::Why, std::vector<std::string>> by_why;
    for (const Unproven& one : sheet_.unproven) {
      by_why[one.why].push_back(one.what);
      all.push_back({{"what", one.what}, {"why", why_words(one.why)}});
    }
    for (const auto& [why, what] : by_why) {
      facts.add(std::string(why_label(why)), fmt::format("{}: {}", fmt::join(what, ", "), why_words(why)));
    }
    json()["unproven"] = std::move(all);
    if (facts.rows.empty()) return;
    page().emplace_back(Heading{"What no check here proves", 3});
    page().emplace_back(std::move(facts));
  }

  static std::string_view why_label(Unproven::Why why) {
    constexpr std::string_view labels[] = {"Firing", "Unknown", "Disputed", "Parallel", "Dead end"};
    return labels[static_cast<size_t>(why)];
  }

  static std::string csv_line(const std::vector<std::string>& cells) {
    std::string line;
    for (const std::string& cell : cells) line += (line.empty() ? "" : ",") + csv_field(cell);
    return line + "\r\n";
  }

  const Family& family_;
  const prove::Sheet& sheet_;
  const identify::Sheet& recorded_;
  const BenchPart* part_ = nullptr;
  const prove::Result* result_ = nullptr;
  bool neighbours_ = false;
  std::string name_, csv_;
  Verify made_;
};

}  // namespace

Verify verify_loom(const Family& recorded, const VerifyChoice& choice, const BenchPart* part) {
  const Index place = place_named(recorded, choice.place);
  const LoomMeant meant = loom_meant(recorded, place, "--from", choice.from);
  Family family = recorded;
  identify::Loom loom{meant.part, meant.cell};
  std::string name = variant_words(recorded, {meant.part, meant.cells});
  const FamilyIndex index(recorded);
  if (!choice.found.empty()) {
    std::vector<found::Edit> edits;
    for (const std::string& text : choice.found) {
      found::Fault fault;
      edits.push_back(found::parse_edit(index, loom.part, loom.cell, text, fault));
      if (fault.any()) refuse(fault);
      if (fault = found::fault_of(index, loom.part, loom.cell, edits); fault.any()) refuse(fault);
    }
    loom.part = found::add_as_found(family, loom.part, loom.cell, edits);
    name += fmt::format(", with: {}", fmt::join(choice.found, "; "));
  }
  const FamilyIndex altered(family);
  const identify::OffLimits off_limits(altered, place);
  const prove::Sheet sheet = prove::sheet_for(altered, loom, off_limits,
                                              choice.neighbours ? prove::Against::neighbours : prove::Against::comb);
  const identify::Sheet seen(altered, loom);
  SheetTeller teller(family, sheet, seen);
  prove::Result result;
  if (part) {
    result = prove::result_of(sheet, seen, part->evidence, part->comb);
    teller.entered(*part, result);
  }
  return teller.tell(family.text(family.places[place].id), name, choice.neighbours);
}

}  // namespace loomproof::bench
