// What may be asked of a part, and what of it tells the recorded variants apart.
#pragma once
#include <vector>

#include "identify/sheet.h"

namespace loomproof::identify {

// Where nobody is to be led: cavities that carry a firing circuit in any recorded variant of the place, all on one net
// with them, and every cavity of a plug that may carry one, the unknown ones with it.
class OffLimits {
 public:
  OffLimits(const FamilyIndex& index, Index place);
  bool holds(const Question& question) const;
  bool holds_end(std::string_view end) const;  // a cavity, earth point or lead
  bool holds_plug(std::string_view designator) const { return plugs_.contains(designator); }

 private:
  std::set<std::string, std::less<>> plugs_, ends_;
};

// Every question that may be asked and that two variants answer differently; sorted.
std::vector<Question> telling_questions(const std::vector<const Sheet*>& recorded, const OffLimits& off_limits);

// Variants that no such question separates, as places in `recorded`; only groups of more than one.
std::vector<std::vector<size_t>> inseparable(const std::vector<const Sheet*>& recorded,
                                             const std::vector<Question>& questions);

}  // namespace loomproof::identify
