// loombench identify: which of the recorded variants a part on the bench is most like, and what to read next.
#pragma once
#include "answer.h"
#include "evidence.h"
#include "identify/next.h"

namespace loomproof::bench {

// From which share on one stands out.
inline constexpr double leads_from = 0.95;

struct Identified {
  Answer answer;
  bool leads = false;  // for every place on the bench one variant, or a group that cannot be told apart, stands out
};
Identified identify_parts(const FamilyIndex& index, JobFile& file);
// The whole procedure as a decision sheet, for every place on the bench.
Answer plan_sheet(const FamilyIndex& index, JobFile& file);

// A card for buying: what to see on each variant, in a breaker's yard or on a seller's photographs.
Answer buying_card(const FamilyIndex& index, JobFile& file);

// The heading and cautions of a page about a job.
void begin_page(Answer& answer, const Family& family, const JobFile& file, std::string_view what);

// "chassis, as built in eras c..d".
std::string variant_words(const Family& family, const identify::PlaceVariant& variant);
// "splits A from B": the variants that a reading tells apart.
std::string parts_words(const identify::Identification& identification, const identify::Next& next);
// Several variants as one: "chassis, as built in era c, supply 12V".
std::string group_words(const identify::Identification& identification, const std::vector<size_t>& variants);
std::string share_text(double weight);  // "93 %", "< 1 %"
void add_probe_cautions(Answer& answer, const Family& family);

}  // namespace loomproof::bench
