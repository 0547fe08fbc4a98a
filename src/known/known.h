// Known combinations: what a family says of parts that somebody may put together, put together and judged. One way for
// the compiler, which holds the statement against the judge, and for the bench, which says where parts in hand are one.
#pragma once
#include <optional>
#include <string>
#include <vector>

#include "found/edits.h"
#include "judge/assembly.h"
#include "judge/words.h"

namespace loomproof::known {

// What stands in one place.
struct Stand {
  judge::VariantId variant = none;  // none: nothing
  std::vector<found::Edit> edits;   // done to it since; in the order of the rows
};
using Stands = std::vector<Stand>;  // by place

enum class Flaw : uint32_t {
  no_variant,    // nothing that the words name was ever built
  not_one,       // they leave several variants
  nothing_here,  // an edit of a place that holds nothing
  bad_name,      // an edit names what is not there
  bad_edit       // an edit means nothing, or cannot be true of the part
};
// Why a combination cannot be put together.
struct Fault {
  Flaw flaw{};
  Index place = none;
  Index part_row = none, edit_row = none;  // where it is said: of the combination's parts or edits; none: `others`
  std::vector<judge::VariantId> variants;  // not_one: which
  found::Fault edit;                       // bad_name, bad_edit
};

// A combination put together. The shelf is of the family as it is recorded, without parts as found.
Stands put_together(judge::Shelf& shelf, const Combination& combination, std::vector<Fault>& faults);

// What the judge says of a combination.
struct Found {
  Verdict best{}, worst{};
  Outcome outcome{};                       // the worst of all reasons; fine where there is none
  std::vector<Index> suffers;              // the places that bear it, ascending
  std::optional<judge::ReasonText> first;  // the first reason
};
Found judge_stands(judge::Shelf& shelf, const Stands& stands);
// Whether that is what the combination states. Of those that suffer it need not name all.
bool is_as_stated(const Family& family, const Combination& combination, const Found& found);

// The combination that these parts are, with the same edits in any order; none where they are none that is known.
Index find(judge::Shelf& shelf, const Stands& stands);

// "fits, with loose ends"; "not proven: from fits to destroys a part"
std::string verdict_words(Verdict best, Verdict worst);

}  // namespace loomproof::known
