// What two strands do to each other when they are joined: judged port by port with the role table of both families, the
// worse of the two where they differ.
#pragma once
#include <string>
#include <vector>

#include "adapt/side.h"

namespace loomproof::adapt {

enum class Way : uint32_t {
  direct,      // a wire
  relay,       // a driver and a load that it cannot switch itself: wrong pole, other volts or too much current
  part,        // other volts: what comes between is not for this tool to invent
  no_use,      // neither gives what the other still needs
  not_proven,  // the role table cannot say
  clash        // joined, something is dead, misreads, stays on, burns or worse
};

// Where one of the two leads to nothing in the record, a wire harms nothing and nobody can say what it is good for:
// that is a condition.
struct Meeting {
  Way way = Way::no_use;
  Outcome outcome{};            // of what stands against a plain wire; fine for direct
  std::string because;          // in the words of the role table
  const Port* first = nullptr;  // the two it is about: of the left and of the right strand
  const Port* second = nullptr;
  std::vector<std::string> conditions;  // of direct: what the record does not tell and must hold
};

// The ports must outlive the meeting. meet(b, a) is meet(a, b) with first and second exchanged.
Meeting meet(const Side& left, const Strand& a, const Side& right, const Strand& b);

// What a strand still needs of others, and what it gives: the words "takes-feed, 24 V, 6 A", and of a lead its title.
bool needs(const Port& port);  // takes something that its own side does not give, and must have it
bool gives(const Port& port);
std::string port_words(const Port& port);
// The ports that matter to others, by their words, each once: what is given, and what is still needed.
std::vector<std::string> strand_words(const Strand& strand);

// The current that the loads of a strand draw, mA, where each is recorded: not_given otherwise.
Quantity load_of(const Strand& strand);

}  // namespace loomproof::adapt
