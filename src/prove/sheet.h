// The verification sheet: every check that proves one loom to be as recorded, circuit by circuit, in an order for few
// changes of plug; and what no check on it can prove.
//
// A net is what continuity joins: its ends are cavities, earth points and leads that a probe can touch. That its n ends
// are one net takes n - 1 checks, whatever lies between them: with fewer, two groups of ends are never held together,
// and a loom in which they are two nets would pass. That k nets are apart takes k - 1, each net against all the rest
// joined by a shorting comb: of two nets that are never held against the comb, a bridge between them would pass.
#pragma once
#include <string>
#include <vector>

#include "identify/questions.h"

namespace loomproof::prove {

enum class Against : uint8_t {
  comb,       // each net against all others, joined by a shorting comb
  neighbours  // cavity against neighbouring cavity, on the face of each plug
};

struct Net {
  std::vector<std::string> ends;  // that may be touched; C1.2 before C1.10
  std::set<Index> circuits;       // into Family::circuits
};

struct Check {
  std::string a, b;           // `b` empty: the comb
  size_t net = 0, other = 0;  // into nets; the same where both ends are of one
  bool with_comb() const { return b.empty(); }
  bool within_net() const { return net == other; }
};

struct PlugLook {  // what is to be seen at a plug
  std::string plug, housing;
  bool may_fire = false;  // seen from outside alone: it stays as it is, and nothing in it is counted
  uint32_t wires = 0;
  std::vector<std::string> empty, sealed;  // cavity numbers
};

struct Unproven {
  enum class Why : uint8_t {
    firing,    // never touched
    unknown,   // a cavity that nobody recorded
    disputed,  // a cavity of which two sources say different things
    parallel,  // a wire beside another path: it may be broken, and the meter shows a path all the same
    dead_end   // a wire with an end that no probe can touch
  };
  Why why{};
  std::string what;  // "C1.12", "S1 to C2.2"
};

struct Sheet {
  std::vector<Net> nets;
  std::vector<PlugLook> looks;        // by plug
  std::vector<Check> opens, bridges;  // in their order
  std::vector<std::string> comb;      // one end a net, in the order of nets; those of `neighbours` have none
  std::vector<std::pair<size_t, size_t>> not_covered;  // pairs of nets that no check parts; of `neighbours` alone
  std::vector<Unproven> unproven;
  size_t taken = 0;  // plugs, rings and leads that are taken in hand, one after the other, over all checks
};

// Throws std::invalid_argument where the part is no loom.
Sheet sheet_for(const FamilyIndex& index, const identify::Loom& loom, const identify::OffLimits& off_limits,
                Against against);

// The plug that an end is in hand with; itself where it is an earth point or a lead.
std::string hand_of(const std::string& end);
// C1.2 before C1.10.
bool natural_less(std::string_view a, std::string_view b);

}  // namespace loomproof::prove
