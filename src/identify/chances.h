// How likely an answer is where one candidate lies on the bench, by the error model: what the record says, seen through
// the things that go wrong.
//
// Looks: an answer is wrong by misreading, by fading (colours), by loss (plugs, housings) or because somebody was at
// the cavity; that persists, so that the same answer again adds nothing. Continuity: a wire is broken, or two nets are
// bridged, for all readings; each reading slips by itself.
#pragma once
#include <map>
#include <vector>

#include "identify/sheet.h"

namespace loomproof::identify {

class Chances {
 public:
  // `recorded` are the variants of the place: what they say is what answers there can be.
  Chances(const Family& family, const std::vector<const Sheet*>& recorded, const Rates& rates);

  const Rates& rates() const { return rates_; }
  // Of one answer to one look, or to one continuity reading by itself. Over all answers there are it sums up to one.
  double of(const Sheet& sheet, const Question& question, const std::string& answer,
            const std::set<std::string>& plugged = {}) const;
  // The logarithm of that of all continuity readings together, breaks and bridges counted once a wire and pair of nets.
  double log_of_beeps(const Sheet& sheet, const std::vector<Reading>& beeps) const;
  // Where it is none of those recorded: half as they would have it on the average, half anything.
  double of_none(const Question& question, const std::string& answer) const;
  // How many answers a question can have.
  uint32_t answers_to(const Question& question) const;

 private:
  double of_count(const Span32& span, const std::string& answer, double wrong) const;
  double of_colour(const std::set<std::string>& recorded, const std::string& answer) const;
  double one_colour(const std::string& recorded, const std::string& answer) const;

  Rates rates_;
  std::vector<const Sheet*> recorded_;
  std::set<std::string> housings_, labels_, colours_, sizes_;
};

// The chance of all answers on one net, whose wires break with `rate` each; every reading is between two of its ends.
double chance_of_net(const Sheet& sheet, uint32_t net, const std::vector<const Reading*>& readings, double rate,
                     double slip);

}  // namespace loomproof::identify
