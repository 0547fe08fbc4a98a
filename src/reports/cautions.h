// The safety texts that go with a page. They come from the corpus; only the line that marks a firing circuit is the
// program's own, so that no corpus can leave it out. Internal to the reports.
#pragma once
#include <string>
#include <string_view>
#include <vector>

#include "reports/family_view.h"

namespace loomproof::reports {

enum class Danger {
  ordinary,
  firing,           // the connector carries a firing circuit, in this table or in another
  possibly_firing,  // cavities nobody knows, in a housing that carries a firing circuit elsewhere
};

// The line that marks a connector of the two dangerous kinds.
std::string_view firing_mark(Danger danger);
// All that applies, in plain text.
std::vector<std::string> caution_texts(const FamilyView& view, Danger danger);
// What applies where nothing but an eye goes near a plug.
std::vector<std::string> cautions_to_look(const FamilyView& view, Danger danger);
// What stands above a table: for firing circuits all that applies, else where to read it.
std::string cautions_above(const FamilyView& view, Danger danger);
// The same for a page on which some rows are marked.
std::string cautions_above_marked_rows(const FamilyView& view);
// What stands below a table that may lead a probe to metal. Nothing for a firing circuit: it is all above.
std::string cautions_below(const FamilyView& view, Danger danger);
// What holds for every page.
std::string cautions_always(const FamilyView& view);

}  // namespace loomproof::reports
