// What to ask next, and a whole procedure, over a plain table: candidates, and what each question shows on each. It
// knows nothing of looms.
//
// Few candidates are solved exactly (dynamic programming over their subsets). More are split by the most expected
// information for the cost, and of the best few splits the one from which all that follows costs least, played to the
// end; of very many, the best two in a row.
#pragma once
#include <cstddef>
#include <cstdint>
#include <vector>

namespace loomproof::identify {

inline constexpr uint16_t not_told = 0xffff;  // the candidate may show any outcome

struct Trial {
  double cost = 1;
  std::vector<uint16_t> outcome;  // by candidate, from 0
  uint32_t outcomes = 2;          // how many there are
  double wrong = 0;               // the chance of any other outcome than the candidate's
  std::vector<uint32_t> hands;    // what has to be in hand; what is not costs `TrialTable::other_hand` each
};

struct TrialTable {
  std::vector<double> weight;  // by candidate; any sum
  std::vector<Trial> trials;
  double other_hand = 0;
};

// How much a trial is expected to tell, in bits; what goes wrong counted.
double expected_bits(const TrialTable& table, const Trial& trial);

struct NextTrial {
  size_t trial = 0;
  double bits = 0, cost = 0;
};
inline constexpr size_t no_trial = static_cast<size_t>(-1);
// The next trial; `is_open` by trial. no_trial where none tells anything.
NextTrial next_trial(const TrialTable& table, const std::vector<char>& is_open, const std::vector<uint32_t>& in_hand);

// A procedure in which nothing goes wrong. Candidates that are together at a leaf are not separated by any trial.
struct Procedure {
  struct Node {
    size_t trial = no_trial;                            // of a leaf
    std::vector<uint32_t> candidates;                   // still possible
    std::vector<std::pair<uint16_t, size_t>> branches;  // outcome, node; by outcome
  };
  std::vector<Node> nodes;         // the first is the root
  double expected = 0, worst = 0;  // trials
  double expected_cost = 0;
  double bound = 0;  // no procedure has fewer expected trials: entropy of the leaves' groups over that of a trial
};
Procedure procedure(const TrialTable& table);

}  // namespace loomproof::identify
