// Which strand of one side meets which of the other. What a strand is called decides, in this order: the circuit
// (within one family), terminal and function, function, terminal; among equal names a plain wire comes before a relay
// and a relay before a part. Two are paired only where each is the only best one that the other has. Whatever else
// could meet by name is a choice, and what could meet by its role and volts alone is one too: nothing is guessed.
//
// match(b, a) is match(a, b) with left and right exchanged.
#pragma once
#include <string_view>
#include <vector>

#include "adapt/meeting.h"

namespace loomproof::adapt {

enum class Ground : uint32_t {
  role,      // nothing but role and volts
  partial,   // terminal or function agree, but the other does not, or several circuits of a family are called so
  terminal,  // one of the two has no function
  function,  // one of the two, or both, have no terminal
  both,
  circuit  // of one family
};
Ground ground(const Side& left, const Strand& a, const Side& right, const Strand& b);

struct Pair {
  size_t left = 0, right = 0;  // strands
  Ground ground{};
  Meeting meeting;
};
// Strands among which somebody has to choose: any of the left with any of the right.
struct Choice {
  std::vector<size_t> left, right;
  Ground ground{};  // the strongest of them
};

struct Match {
  std::vector<Pair> pairs;  // direct, relay or part; by left strand
  std::vector<Choice> choices;
  std::vector<Pair> refused;  // one by name, and must not be joined, or nobody can say what happens
};
Match match(const Side& left, const Side& right);

}  // namespace loomproof::adapt
