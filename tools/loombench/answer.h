// What a command prints, in both of its forms: a page for people, JSON for programs.
#pragma once
#include <nlohmann/json.hpp>
#include <string>

#include "fitting.h"
#include "packs.h"
#include "page.h"
#include "scope.h"

namespace loomproof::bench {

struct Answer {
  Page page;
  nlohmann::ordered_json json;
};

enum class Format { text, json, markdown };
std::string render(const Answer& answer, Format format, size_t width);

bool has_firing_circuits(const Family& family);
// Puts the cautions for such work on the page and into the JSON: those whose `when` holds one of the words. Never none.
void add_cautions(Answer& answer, const Family& family, const std::vector<std::string_view>& when);

// What packs hold. A pack that is refused is listed with its reason.
Answer list_packs(const std::vector<PackFile>& packs);

// A connector: its cavities in each range of cells in which they differ.
Answer show_connector(const Scope& scope, const Target& target);
// One cavity, with everything that is known of it.
Answer show_cavity(const Scope& scope, const Target& target);
// A circuit from end to end through every part.
Answer show_circuit(const Scope& scope, std::string_view circuit);

// The combinations whose outcome is known; one of them, with what stands where. Throws UsageError where there is no
// such.
Answer show_combinations(const Family& family);
Answer show_combination(const Family& family, std::string_view id);

struct Fit {
  Answer answer;
  bool fits = false;  // proven, with or without loose ends
};
// Whether parts work together; `keep` fillings of the places that are open are told, the best at length.
Fit fit_parts(const Family& family, const FitChoice& choice, size_t keep);

struct RepinChoice {
  std::string place, from, to;      // "era=c,supply=24V"; `to` empty: to suit the parts beside it
  std::vector<std::string> beside;  // "PUMP-UNIT:unit-24-c"
  std::string others;               // what stands in the other places
  std::vector<std::string> found;   // edits of the loom in hand
  bool any_colour = false;
};
struct Repin {
  Answer answer;
  std::string csv;      // the steps
  bool proven = false;  // there is a plan, and nothing unknown is in it
};
// How to turn one variant of a loom into another of the same place, or into what suits the parts beside it.
Repin repin_loom(const Family& family, const RepinChoice& choice);

struct AdaptChoice {
  std::string left, right;  // "PLACE.C1:era=c,supply=24V", several with + between
};
struct Adapt {
  Answer answer;
  std::string csv;        // one line a pin
  bool complete = false;  // every need is met, and nothing is ambiguous, unknown or firing
};
// What each pin of two loose sides meets on the other; the two families may be one.
Adapt adapt_sides(const Family& left, const Family& right, const AdaptChoice& choice);

}  // namespace loomproof::bench
