// Rows put into the text of a loom or component file where they belong: a wire behind the last one that
// begins at its connector, cavities and pins in the order of their numbers. Comments and everything else stay; the
// result is tidy.
#pragma once
#include <string>
#include <string_view>

#include "upkeep/take_in.h"
#include "yaml/tree.h"

namespace loomproof::upkeep {

// `root`: the tree of exactly this text. Empty where the text is laid out in a way that rows cannot be put into; then
// `problem` says what has to be changed by hand, and where.
std::string with_rows(std::string_view text, yaml::Node root, const TakenIn& taken, std::string& problem, Span& where);

// A loom's text with one more connector, of whose cavities nobody knows anything yet. As above.
std::string with_connector(std::string_view text, yaml::Node root, const std::string& designator,
                           const std::string& housing, std::string& problem, Span& where);

}  // namespace loomproof::upkeep
