// Which of the recorded variants a part is most like, by its readings: never which it is. That a part is a variant,
// only a completed verification sheet says.
#pragma once
#include <memory>
#include <vector>

#include "found/edits.h"
#include "identify/evidence.h"
#include "identify/questions.h"

namespace loomproof::identify {

enum class Kind : uint8_t { variant, edited, mixed, none };

struct Candidate {
  Kind kind{};
  size_t variant = 0;                  // of the place's; of `mixed` what most of it is
  std::vector<std::string> edits;      // of `edited`, as found/edits.h writes them
  size_t rest = 0;                     // of `mixed`: the variant that the other branches are of
  std::vector<std::string> branches;   // of `mixed`: which are of `rest`
  double prior = 0, weight = 0;        // over all candidates the weights sum up to one
  std::shared_ptr<const Sheet> sheet;  // null for `none`
};

struct PlaceVariant {
  Index part = none;
  CellSet cells;
};

class Identification {
 public:
  // All built variants of the place, each with the edits of `found` (found/edits.h) that can be true of it. Throws
  // std::invalid_argument where the place never held anything.
  Identification(const FamilyIndex& index, Index place, const Rates& rates, const std::vector<std::string>& found = {},
                 const Costs& costs = {});

  // Weighs every candidate by the readings. Readings off limits are left out.
  void weigh(const Evidence& evidence);

  const FamilyIndex& index() const { return index_; }
  const Family& family() const { return index_.family(); }
  Index place() const { return place_; }
  const std::vector<PlaceVariant>& variants() const { return variants_; }
  const std::vector<const Sheet*>& sheets() const { return recorded_; }
  const std::vector<Question>& questions() const { return questions_; }
  const OffLimits& off_limits() const { return off_limits_; }
  const Chances& chances() const { return chances_; }
  const Costs& costs() const { return costs_; }
  const std::vector<Candidate>& candidates() const { return candidates_; }    // heaviest first
  const std::vector<std::vector<size_t>>& groups() const { return groups_; }  // that no question separates
  // Of a variant as recorded and with edits, and of all that no question separates from it.
  double weight_of(size_t variant) const;
  std::vector<size_t> group_of(size_t variant) const;  // with itself, ascending
  double weight_of_group(size_t variant) const;

 private:
  void weigh_edits(const Evidence& evidence);
  void weigh_mixed(const Evidence& evidence);
  void normalise();
  double log_of(const Sheet& sheet, const Evidence& evidence) const;

  const FamilyIndex& index_;
  Index place_;
  std::vector<PlaceVariant> variants_;
  std::vector<std::vector<found::Edit>> found_;  // by variant
  std::vector<std::shared_ptr<const Sheet>> sheets_;
  std::vector<const Sheet*> recorded_;
  OffLimits off_limits_;
  Chances chances_;
  Costs costs_;
  std::vector<Question> questions_;
  std::vector<std::vector<size_t>> groups_;
  std::vector<double> prior_;
  std::vector<Candidate> candidates_;
  std::vector<double> logs_;  // by candidate, prior and likelihood
};

// Months of build in the eras of a set of cells, over the cells; even where an era says no dates.
std::vector<double> priors(const Family& family, const std::vector<PlaceVariant>& variants);

// The cells in which a vehicle of that month (as Era::from counts it) may have been built: its era, and the one before
// while that ran out.
CellSet cells_built_in(const Family& family, Quantity month);

// The readings that one candidate does not have so, and those that it has so; places in Evidence::readings.
struct ForAndAgainst {
  std::vector<size_t> agree, differ, open;  // open: its record does not say
};
ForAndAgainst held_against(const Sheet& sheet, const Evidence& evidence);

// Whether the sheet has the reading as it was taken; nothing where it does not say.
std::optional<bool> agrees(const Sheet& sheet, const Reading& reading);

}  // namespace loomproof::identify
