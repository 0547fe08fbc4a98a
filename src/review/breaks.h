// What breaks those who read packs: whoever wrote an id down, in a job file or a command, and finds nothing under it
// now, or something else. Internal.
#pragma once
#include <vector>

#include "review/rename.h"
#include "review/review.h"

namespace loomproof::review {

// Ids that are gone, renamed, or given to something else: more than half of what an id meant it means no longer, or
// another id does its work. One break for one fact: what goes with its owner (the connectors of a part, the values of
// an option, the parts of a place) is not told again, nor is a component once a place. By kind, then by id.
//
// `base` has the names of the head already, as apply_renames() left it. Sources are no ids that anybody asks for.
std::vector<Break> find_breaks(const Family& base, const Family& head, const std::vector<Rename>& renames);

}  // namespace loomproof::review
