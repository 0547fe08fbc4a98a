// One loose side of an adapter: the cavities of plugs that are pulled, with what lies behind each.
//
// A component is taken by itself. A loom is taken in its own vehicle as the factory built it, less the parts that its
// pulled plugs go to: what its cavities give or take is what hangs behind them there. A relay whose coil hung on a part
// that is pulled counts as one that can be worked, for the adapter gives it a driver again. Volts in mV and currents in
// mA, `volts: system` as the supply of the side's own cell; cross-sections in thousandths of mm². Texts are plain, from
// the corpus.
#pragma once
#include <string>
#include <vector>

#include "nets/index.h"

namespace loomproof::adapt {

// A pin or lead that a cavity leads to.
struct Port {
  std::string at;     // "LIFT-RELAY.X1.85"
  std::string title;  // of a lead: "permanent supply, back by 13"
  Role role{};
  When when{};
  Quantity volts = not_given, amps = not_given;
  bool needed = true;
  bool through_load = false;
  bool switched = false;       // contacts lie between
  bool fused = false;          // of what gives a feed: every way from it leads through a fuse
  bool met = false;            // of what takes: its own side gives it
  std::string protocol, line;  // of a bus
  friend bool operator==(const Port&, const Port&) = default;
};

struct End {
  std::string cavity;        // "X1.12"; "part.X1.12" where the side has several parts
  std::string colour;        // code; of a component's pin that of the wire which its own loom has there
  Quantity mm2 = not_given;  // likewise
  uint32_t marks = 0;        // of that wire: what the record has from memory or one source alone
  friend bool operator==(const End&, const End&) = default;
};

// The cavities of one circuit on one side: in its vehicle they are one, so that any of them serves.
struct Strand {
  std::string circuit;  // id; empty: the record names none
  std::string title;
  std::string terminal, function;  // DIN 72552 designation, function of the vocabulary; empty where none is given
  CircuitClass kind{};
  Quantity amps = not_given;  // the circuit's greatest current
  Outcome if_stays_on{};
  // Whether terminal and function name it: no other circuit of its family has both, or it is a feed or an earth, of
  // which one is as good as another.
  bool is_telling = false;
  uint32_t earthings = 0;  // of a shield: at how many ends it is earthed on this side
  std::vector<End> ends;
  std::vector<Port> ports;  // each once; none where the wires lead to nothing in the record
  friend bool operator==(const Strand&, const Strand&) = default;
};

struct Left {  // a cavity that is not matched, and why
  std::string cavity, why;
  friend bool operator==(const Left&, const Left&) = default;
};

struct Side {
  std::string family;               // id
  const Family* rows = nullptr;     // the role table, fuses and conductors; must outlive the side
  std::vector<Strand> strands;      // in the order of their first cavities
  std::vector<Left> hidden;         // unknown, disputed, or nobody knows what lies behind
  std::vector<std::string> free;    // empty, sealed or open: known to lead nowhere
  std::vector<std::string> firing;  // plugs that carry a firing circuit or may: nothing of them is matched
  friend bool operator==(const Side&, const Side&) = default;
};

// What is pulled: connectors of one part in one cell.
struct Pick {
  Index part = none;
  uint32_t cell = 0;
  std::vector<Index> connectors;  // that are there in the cell
};

// The side that such picks make together; the family must outlive it.
Side make_side(const FamilyIndex& index, const std::vector<Pick>& picks);

}  // namespace loomproof::adapt
