// loombench verify: the verification sheet of one loom, and what the readings of a job prove of it.
#pragma once
#include "answer.h"
#include "evidence.h"

namespace loomproof::bench {

struct VerifyChoice {
  std::string place, from;         // "era=c,supply=24V"
  std::vector<std::string> found;  // edits of the loom in hand
  bool neighbours = false;         // bridges between neighbouring cavities alone, without a comb
};
struct Verify {
  Answer answer;
  std::string csv;        // one line a check
  bool complete = false;  // by readings, the loom is as recorded
};
// `part`: the readings that were taken of it; null for the bare sheet. Throws UsageError where the choice means no
// loom, or an edit cannot be true of it.
Verify verify_loom(const Family& family, const VerifyChoice& choice, const BenchPart* part);

}  // namespace loomproof::bench
