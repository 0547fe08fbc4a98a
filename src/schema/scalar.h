// What a scalar written in YAML can be taken for. Private to src/schema.
#pragma once
#include <string_view>

#include "schema/shape.h"

namespace loomproof::schema {

// A value or a key, freed from the tree: keys are judged by the same checks.
struct Scalar {
  std::string_view text;
  bool quoted = false;  // always text
};

// JSON's syntax of numbers (RFC 8259, section 6), within the range of a double.
bool is_number(std::string_view text);
bool is_integer(std::string_view text);  // a number without fraction and exponent
double number_of(std::string_view text);

// Every type that the scalar can be taken for; always text among them.
Types types_of(const Scalar& scalar);

bool is_word(const Scalar& scalar, const Word& word);

}  // namespace loomproof::schema
