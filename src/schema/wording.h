// The words in which a shape's demands are said. Private to src/schema.
#pragma once
#include <string>
#include <vector>

#include "schema/scalar.h"
#include "schema/shape.h"
#include "yaml/tree.h"

namespace loomproof::schema {

// "a, b or c"
std::string joined(const std::vector<std::string>& words);
// Text of a corpus cut to a length that fits a message.
std::string shortened(std::string_view text);
// What stands there: "nothing", "a map", "`12`".
std::string found_words(yaml::Node node);
// What is wanted: "a map or a list", "a number or `system`".
std::string wanted_words(const Shapes& shapes, const Shape& shape);
// The values of an enum, at most so many of them.
std::string list_words(const std::vector<Word>& words, size_t most);
// What is wrong with the form of a scalar: "is not a colour: …", "is above 240"; empty if nothing is.
std::string form_fault(const Shape& shape, std::string_view title, std::string_view description, const Scalar& scalar);

}  // namespace loomproof::schema
