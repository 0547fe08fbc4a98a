// What a command prints, in both of its forms: a page for people, JSON for programs.
#pragma once
#include <nlohmann/json.hpp>
#include <string>

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

// Puts the cautions of firing circuits on the page and into the JSON.
void add_firing_cautions(Answer& answer, const Family& family);

// What packs hold. A pack that is refused is listed with its reason.
Answer list_packs(const std::vector<PackFile>& packs);

// A connector: its cavities in each range of cells in which they differ.
Answer show_connector(const Scope& scope, const Target& target);
// One cavity, with everything that is known of it.
Answer show_cavity(const Scope& scope, const Target& target);
// A circuit from end to end through every part.
Answer show_circuit(const Scope& scope, std::string_view circuit);

}  // namespace loomproof::bench
