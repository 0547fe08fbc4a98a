// Questions, readings and what is on record, in plain words; one clause, no full stop.
#pragma once
#include <string>

#include "identify/sheet.h"

namespace loomproof::identify {

std::string question_words(const Question& question);  // "the colour at C1.12", "continuity from C1.12 to C30.4"
std::string reading_words(const Reading& reading);     // "C1.12 is GN/WH", "C1.12 to C30.4 is open"
// What a candidate has there: "GN/WH", "sealed", "continuity", "2 to 4"; "not known" where nobody can say.
std::string recorded_words(const Sheet& sheet, const Question& question, const std::set<std::string>& plugged = {});
std::string place_of(const Question& question);  // the plug, cavity or ends: "C1.12", "C1.12 to C30.4"

}  // namespace loomproof::identify
