// How much a mistake in a change would hurt. Internal.
#pragma once
#include <string>
#include <string_view>

#include "family/family.h"
#include "review/review.h"

namespace loomproof::review {

Risk risk_of(CircuitClass kind);
Risk worse(Risk a, Risk b);

// What a fact rests on less than it did: "rests on memory, was manual"; empty where it does not.
std::string weaker(const Family& base, CiteId was, const Family& head, CiteId is);
// The same of marks on single fields: "colour is now marked memory".
std::string weaker_marks(uint32_t was, uint32_t is);

// A reason that gives none: "tbd", "changed in era c", "see manual".
bool is_empty_talk(std::string_view reason);

}  // namespace loomproof::review
