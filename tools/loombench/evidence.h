// The readings of a job in the words of one family: names checked, with a finding at the text of each that is wrong.
#pragma once
#include <map>

#include "identify/verdict.h"
#include "jobs.h"
#include "prove/result.h"

namespace loomproof::bench {

struct BenchPart {  // one place on the bench
  Index place = none;
  std::vector<std::string> found, plugged;
  identify::Evidence evidence;
  std::vector<prove::CombReading> comb;
  std::vector<size_t> rows;  // by reading of the evidence, its place in the job's readings
  size_t taken_back = 0;
};

// In the order of the job. Throws JobFaults where a name is wrong, or a reading is off limits.
std::vector<BenchPart> bench_parts(const FamilyIndex& index, JobFile& file);
identify::Rates rates_of(const job::Job& job);
identify::Costs costs_of(const job::Job& job);
// Months since year 0 of "2001-03".
Quantity month_of(const std::string& text);

}  // namespace loomproof::bench
