// What explains many changes at once, and whose verdict they change. Internal.
#pragma once
#include "review/review.h"

namespace loomproof::review {

// Changes in one connector that are one: its drawing read mirrored, turned, its rows exchanged, shifted by one, or
// counted from its other end (a round face from the other side of its key). At least three ends, and at least four of
// five of those that moved within the connector.
std::vector<Cause> find_causes(const Family& head, const std::vector<Change>& changes);

// Circuits named alike but for a number, of which some changed and some did not, or otherwise.
std::vector<std::string> find_siblings(const Family& head, const std::vector<Change>& changes);

// Factory builds and known combinations that both have and that are judged otherwise.
std::vector<VerdictChange> find_verdicts(const Family& base, const Family& head,
                                         const std::vector<std::pair<uint32_t, uint32_t>>& pairs);

}  // namespace loomproof::review
