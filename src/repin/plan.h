// From one variant of a loom to another of the same place: what to do, in which order, and how to prove each step.
//
// The operations are the fewest (solve.h says what is counted): wires keep their circuit; one serves for another of its
// circuit where colour (unless any will do) and cross-section allow it, a thicker one for a thinner, and where both of
// its new cavities take it. An end goes to another plug only on the same run of the loom, where the record names
// runs, and only if the wire is not known to be too short. Nets that are one on both sides by another splice stay as
// they are. Nothing is planned on firing circuits or in plugs that may carry one. What unknown or disputed cavities
// hold is never assumed: they are to be looked at first, and the plan is not proven.
#pragma once
#include <string>
#include <vector>

#include "compare/difference.h"
#include "found/draft.h"
#include "nets/index.h"

namespace loomproof::repin {

struct Side {
  Index part = none;
  uint32_t cell = 0;
};
struct Settings {
  bool keep_colour = true;  // false: a wire of any colour will do, and the record then shows it as it is
  uint64_t effort = 400000;
};

enum class StepKind : uint32_t {
  unseal,        // a seal comes out
  remove,        // a wire comes out of its cavities, is insulated and tied back
  move,          // the end (or ends crimped together) at one spot goes to another
  park,          // a terminal comes out for a while
  swap_housing,  // also one that comes or goes
  add,           // a new wire
  link,          // a splice is made or opened
  renew,         // a bad contact is made good
  fasten,        // an earth ring is bolted to its metal
  seal
};
std::string_view word(StepKind kind);

struct Check {  // of continuity, with both ends unplugged
  std::string a, b;
  bool path = false;  // expected
};
struct Step {
  StepKind kind{};
  std::string words;             // "Move RACK-POS, GN/WH, from C1.12 to C1.28"; no full stop
  std::vector<std::string> how;  // more sentences, without full stops
  bool cuts = false;             // something is cut or crimped that cannot be undone
  std::vector<Check> checks;     // what a meter shows afterwards
  std::string look;              // what the eye has to show where a meter cannot
};
struct Look {  // before anything else
  std::string cavity, why;
  bool used = false;  // a step leads there
};
struct Item {
  std::string what;
  uint32_t count = 0;
};
struct Plan {
  std::string refusal;  // why there is no plan; empty where there is one
  std::vector<Look> look_first;
  std::vector<Step> steps;
  uint32_t operations = 0, least = 0;  // least: no way takes fewer
  std::vector<Difference> stays;       // the target has it otherwise; points are those of the worked loom
  bool proven = false;                 // nothing unknown is in it, and what stays is no matter of who meets whom
  std::vector<Item> wires, terminals, joints, plugs, seals, insulation, tools;
  found::PartDraft done;  // the loom afterwards
  Family worked;          // the family with the loom afterwards as a part of its own
  Index worked_part = none;
};

// Both sides are looms of one place, each in a cell in which it is there. The differences of `stays` refer to `worked`.
Plan plan(const FamilyIndex& index, Side from, Side to, const Settings& settings = {});

}  // namespace loomproof::repin
