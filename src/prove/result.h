// A verification sheet with readings entered against it: what passes, what is open, what is bridged, and what nothing
// proves yet.
#pragma once
#include "identify/evidence.h"
#include "prove/sheet.h"

namespace loomproof::prove {

struct CombReading {
  std::string end;
  bool beeps = false;
};

struct NetResult {
  bool joined = false;        // all its ends are one net, by readings
  bool apart = false;         // from every other net of the sheet, by readings; of `neighbours` from those beside it
  bool open = false;          // a reading says so
  bool bridged = false;       // likewise
  bool contradicted = false;  // readings of it say both
  std::vector<std::vector<std::string>> pieces;  // of an open net: groups of ends that readings join, others alone
  std::vector<size_t> bridged_to;                // nets; empty where the comb said it
  bool passes() const { return joined && apart && !open && !bridged && !contradicted; }
};

struct Result {
  std::vector<NetResult> nets;                 // as Sheet::nets
  std::vector<size_t> against;                 // looks that differ from the record; places in Evidence::readings
  std::vector<std::string> looks_left;         // what is still to be seen: "C1: the housing", "C1.12: empty"
  size_t set_aside = 0;                        // continuity readings with something plugged in: they prove nothing
  std::vector<char> opens_done, bridges_done;  // by check of the sheet
  bool passes = false;                         // every net does, and nothing that was seen differs
  bool complete = false;  // that, every look was taken, and the sheet leaves nothing unproven: the loom is as recorded
};

Result result_of(const Sheet& sheet, const identify::Sheet& recorded, const identify::Evidence& evidence,
                 const std::vector<CombReading>& comb);

}  // namespace loomproof::prove
