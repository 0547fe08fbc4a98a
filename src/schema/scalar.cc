#include "schema/scalar.h"

#include <charconv>

namespace loomproof::schema {
namespace {

bool is_digit(char c) {
  return c >= '0' && c <= '9';
}

size_t skip_digits(std::string_view text, size_t at) {
  while (at < text.size() && is_digit(text[at])) ++at;
  return at;
}

// Past the whole-number part; 0 when there is none.
size_t skip_whole(std::string_view text) {
  size_t at = text.starts_with('-') ? 1 : 0;
  if (at >= text.size() || !is_digit(text[at])) return 0;
  return text[at] == '0' ? at + 1 : skip_digits(text, at);
}

bool has_number_syntax(std::string_view text) {
  size_t at = skip_whole(text);
  if (at == 0) return false;
  if (at < text.size() && text[at] == '.') {
    const size_t end = skip_digits(text, at + 1);
    if (end == at + 1) return false;
    at = end;
  }
  if (at < text.size() && (text[at] == 'e' || text[at] == 'E')) {
    ++at;
    if (at < text.size() && (text[at] == '+' || text[at] == '-')) ++at;
    const size_t end = skip_digits(text, at);
    if (end == at) return false;
    at = end;
  }
  return at == text.size();
}

bool parse(std::string_view text, double& value) {
  const auto [end, error] = std::from_chars(text.data(), text.data() + text.size(), value);
  return error == std::errc() && end == text.data() + text.size();
}

}  // namespace

bool is_number(std::string_view text) {
  double value = 0;
  return has_number_syntax(text) && parse(text, value);
}

bool is_integer(std::string_view text) {
  const size_t end = skip_whole(text);
  return end != 0 && end == text.size() && is_number(text);
}

double number_of(std::string_view text) {
  double value = 0;
  parse(text, value);
  return value;
}

Types types_of(const Scalar& scalar) {
  Types types = type_text;
  if (scalar.quoted || scalar.text.empty()) return types;
  if (scalar.text == "true" || scalar.text == "false") types |= type_boolean;
  const char first = scalar.text.front();
  if (!is_digit(first) && first != '-') return types;
  if (is_number(scalar.text)) types |= type_number;
  if (is_integer(scalar.text)) types |= type_integer;
  return types;
}

bool is_word(const Scalar& scalar, const Word& word) {
  switch (word.type) {
    case type_number:
      return !scalar.quoted && is_number(scalar.text) && number_of(scalar.text) == number_of(word.text);
    case type_boolean:
      return !scalar.quoted && scalar.text == word.text;
    case type_text:
      return scalar.text == word.text;
    default:
      return false;
  }
}

}  // namespace loomproof::schema
