// Questions that several rules ask about circuits and what meets what. Private to src/checks.
#pragma once
#include <vector>

#include "checks/check.h"
#include "nets/firing.h"

namespace loomproof::checks {

// A lead or an earth point as its row has it: it may say a circuit of its own.
struct Joint {
  Index circuit = none;
  Span span;
};
std::vector<Joint> joints_at(const Judged& in, Index point, uint32_t cell);
// Circuits that the rows right at a point name in a cell; ascending, each once.
std::vector<Index> circuits_at(const Judged& in, Index point, uint32_t cell);
// Circuits of the whole net that the point's part makes there: what a wire label alone does not show.
std::vector<Index> circuits_of_part_net(const Judged& in, Index point, uint32_t cell);
// Whether an earlier rule has found one of these circuits broken in the cell.
bool is_told(const Judged& in, const std::vector<Index>& circuits, uint32_t cell);
// "RACK-POS", "RACK-POS and GND-PWR", "nothing"
std::string circuit_words(const Judged& in, const std::vector<Index>& circuits);
// The text that names a circuit at a point: the pin's or wire's circuit.
Span circuit_span_at(const Judged& in, Index point, uint32_t cell);
bool is_firing(Role role);
// A point at which no firing circuit may end: an earth point, a lead to something else, or a pin that neither fires nor
// passes a firing circuit on.
bool no_end_of_firing(const Judged& in, Index point, uint32_t cell);
// A cavity that is wired, or has a pin that is connected inside; unknown and disputed are neither this nor that.
enum class Reached { yes, no, unknown };
Reached reached(const Judged& in, Index point, uint32_t cell);

}  // namespace loomproof::checks
