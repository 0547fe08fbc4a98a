// An adapter list: what each pin of two loose sides meets on the other, on what ground, and what it takes. Whatever is
// ambiguous, unknown or firing is listed and not matched. Plain texts; the left and right sides are as they were given.
#pragma once
#include <string>
#include <vector>

#include "adapt/match.h"

namespace loomproof::adapt {

struct Line {  // one wire of the adapter
  End left, right;
  bool left_again = false,
       right_again = false;  // that cavity has a wire already: the two are spliced or crimped together
  Quantity mm2 = not_given;  // to use: the thicker of both sides, or what the current asks for where that is more
};
struct Row {  // two strands that meet
  size_t left = 0, right = 0;
  Ground ground{};
  std::string by;                     // the ground in words: "circuit RACK-POS", "terminal 54, function stop lamps"
  std::string left_does, right_does;  // "takes-feed, 12 V, 6 A"
  Way way{};
  std::string because;                  // what stands against a plain wire, where something does
  std::vector<std::string> conditions;  // what the record does not tell and must hold
  std::vector<std::string> takes;       // "a fuse of 10 A …", "a relay …", "a splice …"
  uint32_t fuses = 0;                   // among these
  std::vector<Line> lines;
};
struct Open {  // a strand that meets nothing
  bool of_left = true;
  size_t strand = 0;
  std::string cavities, circuit, does, why;
};
struct Alternatives {
  std::string ground;
  std::vector<std::string> left, right;  // "C1.3 (FEED-PERM, gives-feed, 24 V)"
};
struct Refused {
  std::string left, right, by, because;
  Outcome outcome{};  // unset: nobody can say
};
struct Material {
  std::string what;
  uint32_t count = 0;
};

struct Adapter {
  std::vector<Row> rows;
  std::vector<Alternatives> choices;
  std::vector<Refused> refused;
  std::vector<Open> unmet;   // a need that nothing meets yet
  std::vector<Open> unused;  // gives something, or wants what it can do without, and meets nothing
  std::vector<Material> material;
  // Every need is met by a wire or a relay, and nothing is ambiguous, unknown, refused or firing.
  bool is_complete = false;
};

Adapter adapter(const Side& left, const Side& right);

// "C1.4, C1.5"
std::string cavities_words(const Strand& strand);
std::string circuit_words(const Strand& strand);  // "FEED-PERM", or "no circuit named"

}  // namespace loomproof::adapt
