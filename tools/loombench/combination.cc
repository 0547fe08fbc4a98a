// loombench show FAMILY combinations: what is known to come of parts that somebody may put together.
#include <fmt/format.h>

#include <algorithm>

#include "answer.h"
#include "describe.h"
#include "family/words.h"
#include "known/known.h"

namespace loomproof::bench {
namespace {

using Json = nlohmann::ordered_json;
using judge::Shelf;

// "era=c,exhaust-brake=none,supply=24V"
std::string cell_spec(const Family& family, uint32_t cell) {
  std::string spec = fmt::format("era={}", family.text(family.eras[family.coordinate(cell, 0)].id));
  for (uint32_t option = 0; option < family.options.size(); ++option) {
    const Option& row = family.options[option];
    const Index value = row.values.first + family.coordinate(cell, option + 1);
    spec += fmt::format(",{}={}", family.text(row.id), family.text(family.option_values[value].id));
  }
  return spec;
}

// The words after `loombench fit` that put it together.
std::vector<std::string> fit_arguments(const Shelf& shelf, const Combination& combination,
                                       const known::Stands& stands) {
  const Family& family = shelf.family();
  std::vector<std::string> words{std::string(family.text(family.id))};
  const CellSet& others = family.set(combination.others);
  if (!others.empty()) words.insert(words.end(), {"--others", cell_spec(family, others.lowest())});
  for (Index place = 0; place < stands.size(); ++place) {
    const auto named = rows(family.combination_parts, combination.parts);
    const bool is_named = std::any_of(named.begin(), named.end(), [&](const auto& row) { return row.place == place; });
    if (!others.empty() && !is_named) continue;
    const std::string_view id = family.text(family.places[place].id);
    if (stands[place].variant == none) {
      words.push_back(fmt::format("{}:none", id));
      continue;
    }
    const judge::Variant& variant = shelf[stands[place].variant];
    words.push_back(
        fmt::format("{}:{},{}", id, family.text(family.parts[variant.part].id), cell_spec(family, variant.cell)));
  }
  for (const CombinationEdit& edit : rows(family.combination_edits, combination.edits))
    words.insert(words.end(),
                 {"--found", fmt::format("{}: {}", family.text(family.places[edit.place].id), family.text(edit.text))});
  return words;
}

// As a shell takes it.
std::string command_line(const std::vector<std::string>& words) {
  std::string line = "loombench fit";
  for (const std::string& word : words)
    line += word.find(' ') == std::string::npos ? " " + word : fmt::format(" '{}'", word);
  return line;
}

std::string suffers_text(const Family& family, const Combination& combination) {
  std::string text;
  for (Index place : rows(family.place_refs, combination.suffers))
    text += fmt::format("{}{}", text.empty() ? "" : ", ", family.text(family.places[place].id));
  return text;
}

Json json_of(Shelf& shelf, const Combination& combination) {
  const Family& family = shelf.family();
  std::vector<known::Fault> faults;
  const known::Stands stands = known::put_together(shelf, combination, faults);
  Json one{{"id", family.text(combination.id)},
           {"title", family.text(combination.title)},
           {"verdict", {{"best", judge::word(combination.best)}, {"worst", judge::word(combination.worst)}}},
           {"outcome", word(combination.outcome)},
           {"because", family.text(combination.because)},
           {"source", source_text(family, combination.cite)}};
  for (Index place : rows(family.place_refs, combination.suffers))
    one["suffers"].push_back(family.text(family.places[place].id));
  if (faults.empty()) one["fit"] = fit_arguments(shelf, combination, stands);
  return one;
}

void add_parts(Facts& facts, const Family& family, const Combination& combination) {
  for (const CombinationPart& row : rows(family.combination_parts, combination.parts)) {
    const std::string_view place = family.text(family.places[row.place].id);
    std::string what = "nothing";
    if (row.is_left_off == 0) {
      const std::string cells = cells_text(family, family.set(row.cells) & family.set(family.built));
      const std::string built = cells == "all" ? "" : "as built in " + cells;
      what = row.part == none ? built : std::string(family.text(family.parts[row.part].id));
      if (row.part != none && !built.empty()) what += ", " + built;
    }
    facts.add("Part", fmt::format("{}: {}", place, what));
  }
  if (const CellSet& others = family.set(combination.others); !others.empty())
    facts.add("Others", "as built in " + cells_text(family, others));
  for (const CombinationEdit& edit : rows(family.combination_edits, combination.edits))
    facts.add("As found", fmt::format("{}: {}", family.text(family.places[edit.place].id), family.text(edit.text)));
}

Index combination_named(const Family& family, std::string_view id) {
  std::vector<std::string_view> known;
  for (Index index = 0; index < family.combinations.size(); ++index) {
    known.push_back(family.text(family.combinations[index].id));
    if (known.back() == id) return index;
  }
  unknown(fmt::format("known combination of {}", family.text(family.id)), id, known);
}

}  // namespace

Answer show_combinations(const Family& family) {
  const FamilyIndex index(family);
  Shelf shelf(index);
  Answer answer;
  answer.page.emplace_back(Heading{fmt::format("{}: known combinations", family.text(family.title))});
  answer.json = {{"family", family.text(family.id)}, {"combinations", Json::array()}};
  Grid grid{{{"Id"}, {"What", true}, {"Verdict", true}}, {}};
  for (const Combination& each : family.combinations) {
    grid.rows.push_back({{std::string(family.text(each.id)), std::string(family.text(each.title)),
                          known::verdict_words(each.best, each.worst)},
                         ""});
    answer.json["combinations"].push_back(json_of(shelf, each));
  }
  if (grid.rows.empty())
    answer.page.emplace_back(Facts{{{"Known", "none"}}});
  else
    answer.page.emplace_back(grid);
  return answer;
}

Answer show_combination(const Family& family, std::string_view id) {
  const Combination& combination = family.combinations[combination_named(family, id)];
  const FamilyIndex index(family);
  Shelf shelf(index);
  Answer answer;
  answer.page.emplace_back(Heading{fmt::format("{}: {}", family.text(family.id), family.text(combination.title))});
  add_cautions(answer, family, {"always", "power", "firing"});
  Facts facts;
  add_parts(facts, family, combination);
  facts.add("Verdict", known::verdict_words(combination.best, combination.worst));
  facts.add("At worst", std::string(word(combination.outcome)));
  facts.add("Suffers", suffers_text(family, combination));
  facts.add("Because", std::string(family.text(combination.because)));
  facts.add("Source", source_text(family, combination.cite));
  answer.json.update(json_of(shelf, combination));
  if (answer.json.contains("fit"))
    facts.add("Judge it", command_line(answer.json["fit"].get<std::vector<std::string>>()));
  answer.page.emplace_back(facts);
  return answer;
}

}  // namespace loomproof::bench
