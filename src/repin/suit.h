// What a loom has to become so that it suits the parts beside it: a recorded variant of its place, or, where none is
// better, the loom in hand with each end where its partner has the same circuit. Chosen by what the judge says of the
// whole with the work done, then by the fewest operations.
#pragma once
#include <string>
#include <vector>

#include "judge/judgement.h"
#include "repin/plan.h"

namespace loomproof::repin {

// The loom with its ends put where the parts beside it have their circuits.
struct Suit {
  found::PartDraft draft;
  std::vector<std::string> open;  // what could not be settled, in words: "C8.3: PUMP-UNIT.X1.3 needs LIFT-RLY, …"
};

// `beside` by place: the part that stands there and its cell; part `none` where nothing does, and in the loom's own.
// Ends change places within their plug, unless two plugs each lack the other's end of one circuit: then a wire is
// added. Plugs that may carry a firing circuit stay as they are, and so does what faces a cavity that nobody knows.
Suit suit(const FamilyIndex& index, Side loom, const std::vector<Side>& beside);

struct Suited {
  Plan plan;
  Side recorded;  // what the loom becomes; part `none`: no recorded variant, the plan's own
  std::vector<std::string>
      open;  // what could not be settled, and wires thinner than where the parts beside it come from
  judge::Verdict best_before{}, worst_before{}, best{}, worst{};  // of the whole
  std::vector<std::string> reasons, unknown;  // what certainly is, and what may be against it afterwards, in words
};

Suited plan_to_suit(const FamilyIndex& index, Side from, const std::vector<Side>& beside,
                    const Settings& settings = {});

// Of cells in which a part is the same, the one that differs from another cell on the fewest axes: where a part comes
// from as far as anybody can tell.
uint32_t nearest_cell(const Family& family, const CellSet& cells, uint32_t to);

// Of the looms of an assembly the one whose re-pinning makes the most of the whole, with the fewest operations.
struct LeastWork {
  Index place = none;  // none: re-pinning one loom alone makes nothing better
  uint32_t operations = 0;
  judge::Verdict best{};  // of the whole afterwards
};
LeastWork least_work(const judge::Shelf& shelf, const judge::Assembly& assembly, const Settings& settings = {});

}  // namespace loomproof::repin
