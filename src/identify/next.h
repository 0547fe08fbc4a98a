// The next reading, and the whole procedure as a decision sheet, for one identification.
#pragma once
#include <optional>

#include "identify/planner.h"
#include "identify/verdict.h"

namespace loomproof::identify {

struct Next {
  Question question;
  double bits = 0, cost = 0;
  // Of the heaviest candidates that it parts: the answer and what has it, as places in Identification::variants().
  std::vector<std::pair<std::string, std::vector<size_t>>> parts;
};

// What tells most for its cost, given all readings; nothing where no question that is left tells anything. `last` is
// what was read last: its plugs are in hand.
std::optional<Next> next_reading(const Identification& identification, const Evidence& evidence,
                                 const Question* last = nullptr);

// The answers that each question can have, in the order of TrialTable's outcomes.
struct DecisionSheet {
  std::vector<Question> questions;                // by trial
  std::vector<std::vector<std::string>> answers;  // by trial, by outcome
  Procedure procedure;
};
// For the variants alone, by their priors, from the first reading on.
DecisionSheet decision_sheet(const Identification& identification);

// What sets one variant off from all that differ from it, to be seen without a meter: the fewest looks that are found,
// and the variants that no look tells from it.
struct Marks {
  std::vector<std::pair<Question, std::string>> looks;  // and what it shows
  std::vector<size_t> alike;                            // with itself, ascending
};
Marks marks_of(const Identification& identification, size_t variant);
// Whether eyes are enough, also on a photograph: no meter, no gauge, no terminal drawn.
bool is_seen(Look look);

// The plugs that a question needs in hand.
std::vector<std::string> plugs_of(const Question& question);

// By plug with cavity numbers in question: the fewest looks that settle which cavity is number 1, of the candidate; no
// looks where the housing cannot be taken otherwise or nothing tells it.
struct SettlingLooks {
  bool is_needed = false;                                  // the housing looks alike another way round
  std::vector<std::pair<std::string, std::string>> looks;  // cavity, what is there: "C1.12", "GN/WH"
  bool is_settled = false;                                 // by these looks, every other view is excluded
};
SettlingLooks settling_looks(const Family& family, const Sheet& sheet, const std::string& plug,
                             const OffLimits& off_limits);

}  // namespace loomproof::identify
