// loombench find: an unknown plug by its looks, over all packs.
#include <fmt/format.h>

#include <algorithm>

#include "answer.h"
#include "compare/words.h"
#include "family/words.h"
#include "find.h"
#include "identify/plugs.h"
#include "pack/pack.h"

namespace loomproof::bench {
namespace {

using identify::PlugMatch;
using Json = nlohmann::ordered_json;

std::string listed(const std::vector<std::string>& words) {
  return fmt::format("{}", fmt::join(words, " "));
}

struct Found {
  const Family* family;
  PlugMatch match;
};

}  // namespace

Find find_plug(const std::vector<PackFile>& packs, const FindChoice& choice) {
  Find find;
  std::vector<Family> families;
  for (const PackFile& file : packs)
    if (file.opened.pack) families.push_back(load(*file.opened.pack));
  std::vector<Found> all;
  for (const Family& family : families)
    for (PlugMatch& match : identify::plugs_like(FamilyIndex(family), choice.looks))
      all.push_back({&family, std::move(match)});
  std::stable_sort(all.begin(), all.end(), [](const Found& a, const Found& b) {
    if (a.match.missing.size() != b.match.missing.size()) return a.match.missing.size() < b.match.missing.size();
    if (a.match.found.size() != b.match.found.size()) return a.match.found.size() > b.match.found.size();
    return a.match.wires < b.match.wires;
  });
  find.count = all.size();
  Answer& answer = find.answer;
  answer.page.emplace_back(Heading{"Which plug is this?"});
  Facts facts;
  facts.add("Found",
            fmt::format("{} recorded {} so, in {} {}", all.size(), all.size() == 1 ? "plug looks" : "plugs look",
                        families.size(), families.size() == 1 ? "family" : "families"));
  for (const PackFile& file : packs)
    if (!file.opened.pack) facts.add("Refused", file.path + ": not looked into; `loombench list` says why");
  const bool fires = std::any_of(all.begin(), all.end(), [](const Found& one) { return one.match.may_fire; });
  if (fires)
    facts.add("STOP",
              "one of these may carry a firing circuit (airbag, belt tensioner): no tester at this plug until it is "
              "known not to be that one");
  facts.add("Mind",
            "plugs of one kind are used for many things: only what is in it and where it leads tells which it is");
  answer.page.emplace_back(std::move(facts));
  answer.json["found"] = all.size(), answer.json["plugs"] = Json::array();
  Grid grid{{{"Plug"}, {"Of", true}, {"Housing"}, {"Ways"}, {"Rows"}, {"Wires"}, {"Colours", true}}, {}};
  for (const Found& one : all) {
    const Family& family = *one.family;
    const Connector& connector = family.connectors[one.match.connector];
    const Part& part = family.parts[connector.part];
    const std::string plug =
        fmt::format("{}.{}", family.text(family.places[part.place].id), family.text(connector.designator));
    const std::string of =
        fmt::format("{} {}, {}", family.text(family.id), family.text(part.id), cells_text(family, one.match.cells));
    std::string colours;
    const auto add = [&](std::string_view what, const std::vector<std::string>& list) {
      if (!list.empty()) colours += fmt::format("{}{} {}", colours.empty() ? "" : "; ", what, listed(list));
    };
    add("has", one.match.found), add("near", one.match.near), add("not", one.match.missing);
    if (one.match.may_fire) colours += std::string(colours.empty() ? "" : "; ") + "MAY FIRE";
    const std::string_view housing = family.text(family.housings[one.match.housing].id);
    answer.json["plugs"].push_back({{"family", family.text(family.id)},
                                    {"plug", plug},
                                    {"part", family.text(part.id)},
                                    {"cells", cells_text(family, one.match.cells)},
                                    {"housing", housing},
                                    {"ways", one.match.ways},
                                    {"rows", one.match.rows},
                                    {"wires", one.match.wires},
                                    {"found", one.match.found},
                                    {"near", one.match.near},
                                    {"missing", one.match.missing},
                                    {"may-fire", one.match.may_fire}});
    if (grid.rows.size() < choice.keep)
      grid.rows.push_back(
          {{plug, of, std::string(housing), std::to_string(one.match.ways),
            one.match.rows == 0 ? "round" : std::to_string(one.match.rows), std::to_string(one.match.wires), colours},
           {}});
  }
  if (!grid.rows.empty()) answer.page.emplace_back(without_empty_columns(grid));
  if (all.size() > choice.keep) {
    Facts more;
    more.add("More", fmt::format("{} others; --keep shows them", all.size() - choice.keep));
    answer.page.emplace_back(std::move(more));
  }
  return find;
}

}  // namespace loomproof::bench
