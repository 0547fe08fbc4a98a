#include "fitting.h"

#include <fmt/format.h>

#include <algorithm>

#include "diag/suggest.h"
#include "family/words.h"
#include "found/as_found.h"
#include "nets/variants.h"

namespace loomproof::bench {
namespace {

using judge::Shelf;
using judge::VariantId;

std::vector<std::string_view> split_at_commas(std::string_view text) {
  std::vector<std::string_view> words;
  while (true) {
    const size_t comma = text.find(',');
    words.push_back(text.substr(0, comma));
    if (comma == std::string_view::npos) return words;
    text.remove_prefix(comma + 1);
  }
}

// The position of an era or of an option's value on its axis.
uint32_t value_on(const Family& family, uint32_t axis, std::string_view wanted) {
  std::vector<std::string_view> known;
  if (axis == 0) {
    for (const Era& era : family.eras) known.push_back(family.text(era.id));
  } else {
    for (const OptionValue& value : rows(family.option_values, family.options[axis - 1].values))
      known.push_back(family.text(value.id));
  }
  const auto at = std::find(known.begin(), known.end(), wanted);
  if (at == known.end())
    unknown(axis == 0 ? "era" : fmt::format("{}", family.text(family.options[axis - 1].id)), wanted, known);
  return static_cast<uint32_t>(at - known.begin());
}

uint32_t axis_named(const Family& family, std::string_view wanted) {
  std::vector<std::string_view> known{"era"};
  for (const Option& option : family.options) known.push_back(family.text(option.id));
  const auto at = std::find(known.begin(), known.end(), wanted);
  if (at == known.end()) unknown("option", wanted, known);
  return static_cast<uint32_t>(at - known.begin());
}

// Throws where no part of that id goes into the place.
void check_part(const Family& family, Index place, std::string_view wanted) {
  std::vector<std::string_view> here, everywhere;
  for (const Part& part : family.parts) {
    everywhere.push_back(family.text(part.id));
    if (part.place == place) here.push_back(family.text(part.id));
  }
  if (std::find(here.begin(), here.end(), wanted) != here.end()) return;
  const auto elsewhere = std::find(everywhere.begin(), everywhere.end(), wanted);
  if (elsewhere == everywhere.end())
    unknown(fmt::format("part of {}", family.text(family.places[place].id)), wanted, here);
  const Part& part = family.parts[static_cast<size_t>(elsewhere - everywhere.begin())];
  throw UsageError(fmt::format("{} goes into {}, not into {}", wanted, family.text(family.places[part.place].id),
                               family.text(family.places[place].id)));
}

struct Named {
  Index place = none;
  bool is_empty = false;  // "none"
  std::vector<VariantId> variants;
};

Named parse_named(Shelf& shelf, const std::string& text) {
  const Family& family = shelf.family();
  const size_t colon = text.find(':');
  if (colon == std::string::npos)
    throw UsageError(fmt::format("\"{}\" is no PLACE:WHAT, as in CHASSIS-LOOM:era=c,supply=24V", text));
  Named named;
  named.place = place_named(family, std::string_view(text).substr(0, colon));
  std::vector<std::string_view> rest;
  const CellSet cells = cells_of_spec(family, std::string_view(text).substr(colon + 1), rest);
  if (rest.size() == 1 && rest[0] == "none") {
    named.is_empty = true;
    return named;
  }
  if (rest.size() > 1) throw UsageError(fmt::format("\"{}\" names two parts for one place", text));
  if (!rest.empty()) check_part(family, named.place, rest[0]);
  for (VariantId id : shelf.of_place(named.place)) {
    const judge::Variant& variant = shelf[id];
    const bool is_named = rest.empty() || family.text(family.parts[variant.part].id) == rest[0];
    if (is_named && variant.cells.meets(cells)) named.variants.push_back(id);
  }
  if (named.variants.empty())
    throw UsageError(fmt::format("nothing was built for {} with \"{}\"", family.text(family.places[named.place].id),
                                 std::string_view(text).substr(colon + 1)));
  return named;
}

}  // namespace

Index place_named(const Family& family, std::string_view wanted) {
  std::vector<std::string_view> known;
  for (const Place& place : family.places) known.push_back(family.text(place.id));
  const auto at = std::find(known.begin(), known.end(), wanted);
  if (at == known.end()) unknown("place", wanted, known);
  return static_cast<Index>(at - known.begin());
}

void refuse(const found::Fault& fault) {
  const std::vector<std::string_view> known(fault.known.begin(), fault.known.end());
  const std::string_view near = nearest(fault.wanted, known);
  throw UsageError(near.empty() ? fault.line : fmt::format("{}; did you mean {}?", fault.line, near));
}

CellSet cells_of_spec(const Family& family, std::string_view spec, std::vector<std::string_view>& rest) {
  CellSet cells = CellSet::first(family.cell_count());
  for (std::string_view word : split_at_commas(spec)) {
    const size_t equals = word.find('=');
    if (equals == std::string_view::npos) {
      if (word.empty()) throw UsageError(fmt::format("an empty word in \"{}\"", spec));
      rest.push_back(word);
      continue;
    }
    const uint32_t axis = axis_named(family, word.substr(0, equals));
    const uint32_t value = value_on(family, axis, word.substr(equals + 1));
    for (uint32_t cell : cells.cells())
      if (family.coordinate(cell, axis) != value) cells.erase(cell);
  }
  return cells;
}

LoomMeant loom_meant(const Family& family, Index place, std::string_view option, const std::string& spec) {
  std::vector<std::string_view> rest;
  const CellSet cells = cells_of_spec(family, spec, rest);
  if (!rest.empty()) throw UsageError(fmt::format("{} takes eras and options, not \"{}\"", option, rest[0]));
  const std::string_view id = family.text(family.places[place].id);
  std::vector<std::string> choices;
  LoomMeant meant;
  for (Index part = 0; part < family.parts.size(); ++part) {
    if (family.parts[part].place != place) continue;
    for (const Variant& variant : variants(family, part)) {
      const CellSet here = variant.cells & cells;
      if (here.empty()) continue;
      if (family.parts[part].kind != PartKind::loom)
        throw UsageError(fmt::format("{} holds a component; this is for looms", id));
      choices.push_back(cells_text(family, here));
      meant = {part, here.lowest(), variant.cells};
    }
  }
  if (choices.empty()) throw UsageError(fmt::format("{}: nothing was built for {} with \"{}\"", option, id, spec));
  if (choices.size() > 1)
    throw UsageError(fmt::format("{} \"{}\" leaves {} looms of {}; say which: {}", option, spec, choices.size(), id,
                                 fmt::join(choices, " | ")));
  return meant;
}

std::vector<std::vector<VariantId>> candidates(Shelf& shelf, const FitChoice& choice) {
  const Family& family = shelf.family();
  std::vector<std::vector<VariantId>> found(family.places.size());
  std::vector<char> is_named(family.places.size(), 0), is_on_shelf(family.places.size(), 0);
  for (const std::string& text : choice.parts) {
    const Named named = parse_named(shelf, text);
    if (is_named[named.place])
      throw UsageError(fmt::format("{} is named twice", family.text(family.places[named.place].id)));
    is_named[named.place] = 1;
    found[named.place] = named.variants;
  }
  for (const std::string& text : choice.have) {
    const Named named = parse_named(shelf, text);
    is_on_shelf[named.place] = 1;
    if (!is_named[named.place])
      found[named.place].insert(found[named.place].end(), named.variants.begin(), named.variants.end());
  }
  std::vector<std::string_view> rest;
  const CellSet cells =
      choice.others.empty() ? CellSet::first(family.cell_count()) : cells_of_spec(family, choice.others, rest);
  if (!rest.empty()) throw UsageError(fmt::format("--others takes eras and options, not \"{}\"", rest[0]));
  const CellSet built = cells & family.set(family.built);
  if (built.empty()) throw UsageError(fmt::format("nothing was built with \"{}\"", choice.others));
  for (Index place = 0; place < family.places.size(); ++place) {
    if (is_named[place]) continue;
    if (is_on_shelf[place] || (!choice.have.empty() && choice.others.empty())) continue;  // the shelf has it, or not
    CellSet covered;
    for (VariantId id : shelf.of_place(place))
      if (shelf[id].cells.meets(built)) {
        found[place].push_back(id);
        covered |= shelf[id].cells;
      }
    if (!found[place].empty() && !covered.contains(built)) found[place].push_back(none);  // some were built without
  }
  return found;
}

namespace {

// "PLACE: cut C1.12" -> PLACE, "cut C1.12".
std::pair<Index, std::string_view> split_edit(const Family& family, std::string_view text) {
  const size_t colon = text.find(':');
  if (colon == std::string_view::npos)
    throw UsageError(fmt::format("\"{}\" is no PLACE: EDIT, as in \"CHASSIS-LOOM: cut C1.12\"", text));
  std::string_view edit = text.substr(colon + 1);
  while (!edit.empty() && edit.front() == ' ') edit.remove_prefix(1);
  return {place_named(family, text.substr(0, colon)), edit};
}

}  // namespace

AsFound as_found(const Family& family, const FitChoice& choice) {
  AsFound found{family, {}, {}, {}};
  if (choice.found.empty()) return found;
  const FamilyIndex index(family);
  Shelf shelf(index);
  const auto open = candidates(shelf, choice);
  std::vector<std::vector<found::Edit>> edits(family.places.size());
  for (const std::string& text : choice.found) {
    const auto [place, edit] = split_edit(family, text);
    const std::string_view id = family.text(family.places[place].id);
    if (open[place].size() != 1 || open[place][0] == none)
      throw UsageError(fmt::format("say which {} was found: there are {}", id, open[place].size()));
    const judge::Variant& variant = shelf[open[place][0]];
    found::Fault fault;
    edits[place].push_back(found::parse_edit(index, variant.part, variant.cell, edit, fault));
    if (fault.any()) refuse(fault);
    found.words.push_back(fmt::format("{}: {}", id, found::edit_words(family, edits[place].back())));
  }
  for (Index place = 0; place < edits.size(); ++place) {
    if (edits[place].empty()) continue;
    const judge::Variant& variant = shelf[open[place][0]];
    const found::Fault fault = found::fault_of(index, variant.part, variant.cell, edits[place]);
    if (fault.any()) refuse(fault);
    found.parts.emplace_back(place, found::add_as_found(found.family, variant.part, variant.cell, edits[place]));
    found.stands.push_back({open[place][0], edits[place]});
  }
  return found;
}

void put_found(Shelf& shelf, const AsFound& found, std::vector<std::vector<VariantId>>& candidates) {
  for (const auto& [place, part] : found.parts) {
    const uint32_t cell = shelf.family().set(shelf.family().parts[part].cells).lowest();
    candidates[place] = {shelf.variant(part, cell)};
  }
}

}  // namespace loomproof::bench
