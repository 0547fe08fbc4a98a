// Wire colours as tables have them, in English and German, as codes of IEC 60757. What may mean two things is never
// guessed: it comes back with what it may be.
#pragma once
#include <map>
#include <string>
#include <string_view>
#include <vector>

#include "family/family.h"

namespace loomproof::upkeep {

// What a person said of abbreviations in this table: "bl" -> "BU". Keys folded.
using ColourKey = std::map<std::string, std::string>;

struct ColourRead {
  std::string base, tracer;         // codes; no base: not understood
  Shade shade{};                    // of the base
  std::string problem;              // why it is not understood, in one line
  std::vector<std::string> may_be;  // what it may mean: colours as the corpus writes them

  bool understood() const { return problem.empty(); }
  std::string code() const { return tracer.empty() ? base : base + "/" + tracer; }
};

// Letters small, umlauts and sharp s written out, composed or not: "Grün" -> "gruen". Everything else stays.
std::string folded(std::string_view text);

// "GN/WH", "green/white", "gn-ws", "dunkelblau", "red with violet tracer". Empty text and "none" are no
// colour, and understood.
ColourRead read_colour(std::string_view text, const ColourKey& key = {});

// The code that a word or abbreviation stands for, without any doubt; empty where there is none.
std::string colour_of_word(std::string_view word);

}  // namespace loomproof::upkeep
