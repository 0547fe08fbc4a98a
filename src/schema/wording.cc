#include "schema/wording.h"

#include <fmt/format.h>

#include <algorithm>

#include "source/utf8.h"

namespace loomproof::schema {
namespace {

constexpr size_t longest_text = 60;  // characters of corpus text in a message
constexpr size_t words_said = 4;     // so many words stand in a message in place of "a word of the list"

uint64_t character_count(std::string_view text) {
  return static_cast<uint64_t>(
      std::count_if(text.begin(), text.end(), [](char c) { return (static_cast<unsigned char>(c) & 0xC0) != 0x80; }));
}

std::string counted(uint64_t count, std::string_view one) {
  return fmt::format("{} {}{}", count, one, count == 1 ? "" : "s");
}

void add_once(std::vector<std::string>& phrases, std::string phrase) {
  if (std::find(phrases.begin(), phrases.end(), phrase) == phrases.end()) phrases.push_back(std::move(phrase));
}

void add_phrases(const Shapes& shapes, const Shape& shape, std::vector<std::string>& phrases) {
  if (!shape.words.empty()) {
    if (shape.words.size() > words_said) return add_once(phrases, "a word of its list");
    for (const Word& word : shape.words) {
      add_once(phrases, word.type == type_null ? "nothing" : fmt::format("`{}`", word.text));
    }
    return;
  }
  if (shape.types == any_type && !(shape.any_of.empty() && shape.all_of.empty())) {
    for (const auto& alternatives : shape.any_of) {
      for (const ShapeId id : alternatives) add_phrases(shapes, shapes[id], phrases);
    }
    for (const ShapeId id : shape.all_of) add_phrases(shapes, shapes[id], phrases);
    return;
  }
  const Types accepts = shape.accepts;
  if (accepts & type_text) add_once(phrases, "text");
  if (accepts & type_number) {
    add_once(phrases, "a number");
  } else if (accepts & type_integer) {
    add_once(phrases, "a whole number");
  }
  if (accepts & type_boolean) add_once(phrases, "true or false");
  if (accepts & type_map) add_once(phrases, "a map");
  if (accepts & type_list) add_once(phrases, "a list");
  if (accepts & type_null) add_once(phrases, "nothing");
}

std::string bound_fault(const Shape& shape, const Scalar& scalar) {
  const double value = number_of(scalar.text);
  if (value < shape.minimum) return fmt::format("is below {}", shape.minimum);
  if (value > shape.maximum) return fmt::format("is above {}", shape.maximum);
  if (shape.exclusive_minimum && value == shape.minimum) return fmt::format("is not above {}", shape.minimum);
  if (shape.exclusive_maximum && value == shape.maximum) return fmt::format("is not below {}", shape.maximum);
  return {};
}

std::string length_fault(const Shape& shape, std::string_view text) {
  const uint64_t length = character_count(text);
  if (length > shape.max_length) {
    return fmt::format("has {}, {} at most are wanted", counted(length, "character"), shape.max_length);
  }
  if (length >= shape.min_length) return {};
  if (length == 0) return "holds no text";
  return fmt::format("has {}, {} at least are wanted", counted(length, "character"), shape.min_length);
}

}  // namespace

std::string joined(const std::vector<std::string>& words) {
  std::string out;
  for (size_t i = 0; i < words.size(); ++i) {
    if (i > 0) out += i + 1 == words.size() ? " or " : ", ";
    out += words[i];
  }
  return out;
}

std::string shortened(std::string_view text) {
  if (character_count(text) <= longest_text) return std::string(text);
  size_t end = 0;
  for (size_t i = 0; i < longest_text; ++i) end += std::max(1u, utf8_at(text, end).length);
  return std::string(text.substr(0, end)) + "…";
}

std::string found_words(yaml::Node node) {
  switch (node.kind()) {
    case yaml::Kind::null:
      return "nothing";
    case yaml::Kind::map:
      return "a map";
    case yaml::Kind::sequence:
      return "a list";
    case yaml::Kind::scalar:
      break;
  }
  return fmt::format("{}`{}`", node.quoted() ? "text " : "", shortened(node.text()));
}

std::string wanted_words(const Shapes& shapes, const Shape& shape) {
  std::vector<std::string> phrases;
  add_phrases(shapes, shape, phrases);
  return phrases.empty() ? "nothing" : joined(phrases);
}

std::string list_words(const std::vector<Word>& words, size_t most) {
  std::string out;
  for (size_t i = 0; i < words.size(); ++i) {
    if (i == most) return out + fmt::format(", and {} more", words.size() - i);
    if (i > 0) out += ", ";
    out += words[i].type == type_null ? "nothing" : words[i].text;
  }
  return out;
}

std::string form_fault(const Shape& shape, std::string_view title, std::string_view description, const Scalar& scalar) {
  const bool bounded = shape.minimum > -std::numeric_limits<double>::infinity() ||
                       shape.maximum < std::numeric_limits<double>::infinity();
  if (bounded && !scalar.quoted && is_number(scalar.text)) {
    if (std::string fault = bound_fault(shape, scalar); !fault.empty()) return fault;
  }
  const bool limited = shape.min_length > 0 || shape.max_length < std::numeric_limits<uint64_t>::max();
  if (limited) {
    if (std::string fault = length_fault(shape, scalar.text); !fault.empty()) return fault;
  }
  if (shape.pattern && !re2::RE2::PartialMatch({scalar.text.data(), scalar.text.size()}, *shape.pattern)) {
    const std::string_view what = title.empty() ? "of the form that is wanted here" : title;
    return description.empty() ? fmt::format("is not {}", what) : fmt::format("is not {}: {}", what, description);
  }
  return {};
}

}  // namespace loomproof::schema
