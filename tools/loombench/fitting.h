// What `fit` is asked: which parts stand in which places, and what may stand in the others.
#pragma once
#include <string>
#include <vector>

#include "found/edits.h"
#include "judge/fill.h"
#include "known/known.h"
#include "scope.h"

namespace loomproof::bench {

struct FitChoice {
  std::vector<std::string> parts;  // "PLACE:era=c,supply=24V", "PLACE:part-id", "PLACE:none"
  std::string others;              // "era=c,supply=24V": what stands in the places that are not named
  std::vector<std::string> have;   // as `parts`: what is on the shelf for them
  std::vector<std::string> found;  // "PLACE: cut C1.12": what was done to a part since, as found/edits.h has it
};

// The family with the parts as they were found beside those that are recorded, and what was done to them in words.
struct AsFound {
  Family family;
  std::vector<std::pair<Index, Index>> parts;  // place, part as found
  std::vector<known::Stand> stands;            // of the same places: the variant as recorded, in the family as it came
  std::vector<std::string> words;              // "CHASSIS-LOOM: the wires at C1.12 are cut"
};
// Throws UsageError where an edit cannot be true of the part, or the part of its place is not decided by `choice`.
AsFound as_found(const Family& family, const FitChoice& choice);

// By place, what may stand there. Throws UsageError with one line for an unknown place, part, era, option or value, a
// part in another's place, a place named twice, and cells in which nothing was built for a place.
std::vector<std::vector<judge::VariantId>> candidates(judge::Shelf& shelf, const FitChoice& choice);
// Puts the parts as found in their places, and nothing else there.
void put_found(judge::Shelf& shelf, const AsFound& found, std::vector<std::vector<judge::VariantId>>& candidates);

// The place of that id; throws UsageError with the nearest where there is none.
Index place_named(const Family& family, std::string_view wanted);
// Throws UsageError: a fault of an edit, with the nearest name.
[[noreturn]] void refuse(const found::Fault& fault);

// The cells of "era=c,supply=24V"; other words go to `rest`.
CellSet cells_of_spec(const Family& family, std::string_view spec, std::vector<std::string_view>& rest);

// The loom of a place that "era=c,supply=24V" means; `option` is whose argument that is.
struct LoomMeant {
  Index part = none;
  uint32_t cell = 0;  // one of `cells`, in which it is the same
  CellSet cells;
};
// Throws UsageError where that means none, several that differ, or a component.
LoomMeant loom_meant(const Family& family, Index place, std::string_view option, const std::string& spec);

}  // namespace loomproof::bench
