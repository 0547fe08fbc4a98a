#include "schema/walk.h"

#include <fmt/format.h>

#include <algorithm>
#include <unordered_map>

#include "diag/suggest.h"
#include "schema/wording.h"

namespace loomproof::schema {
namespace {

constexpr size_t most_keys = 16;   // so many known keys are listed where none is near
constexpr size_t most_words = 40;  // so many values of a list, where none is near
constexpr size_t few_words = 8;    // and so many where one is

const Property* find_property(const Shape& shape, std::string_view name) {
  const auto found =
      std::lower_bound(shape.properties.begin(), shape.properties.end(), name,
                       [](const Property& property, std::string_view key) { return property.name < key; });
  return found != shape.properties.end() && found->name == name ? &*found : nullptr;
}

Scalar scalar_of(yaml::Node node) {
  return {node.text(), node.quoted()};
}

// A map or list is pointed at where it opens; a block of lines would say nothing.
Span narrow(yaml::Node node) {
  return node.is_map() || node.is_sequence() ? node.opening() : node.span();
}

// Where something is missing inside a value: at its key, else at its opening.
Span name_of(yaml::Node node) {
  return node.has_key() ? node.key_span() : narrow(node);
}

// "a wire"; else by its key.
std::string called(yaml::Node node, const About& about) {
  if (!about.title.empty()) return std::string(about.title);
  return node.has_key() ? fmt::format("`{}`", shortened(node.key())) : "this map";
}

// Its bytes are its text: no quotes, no escapes, not folded from several lines.
bool is_as_written(Span span, std::string_view text) {
  return span.end - span.begin == text.size();
}

// Equal values give equal text, whatever their layout.
void append_canonical(yaml::Node node, std::string& out) {
  out += fmt::format("{}:{}:", static_cast<int>(node.kind()), node.text().size());
  out += node.text();
  out += fmt::format("({}", node.size());
  for (const yaml::Node child : node) {
    out += fmt::format(",{}:{}=", child.key().size(), child.key());
    append_canonical(child, out);
  }
  out += ')';
}

// How far a set of findings is from fitting: fewer findings first, then the kind of the first, then how far it got.
struct Distance {
  size_t findings = 0;
  int kind = 0;
  uint32_t reached = 0;
};

int kind_rank(Rule rule) {
  switch (rule) {
    case Rule::bad_form:
      return 0;
    case Rule::not_in_list:
      return 1;
    case Rule::wrong_type:
      return 3;
    default:
      return 2;
  }
}

Distance distance_of(const Report& report) {
  Distance distance{report.findings().size(), 3, ~0u};
  for (const Finding& finding : report.findings()) {
    if (finding.span.begin >= distance.reached) continue;
    distance.reached = finding.span.begin;
    distance.kind = kind_rank(finding.rule);
  }
  return distance;
}

bool nearer(const Distance& a, const Distance& b) {
  if (a.findings != b.findings) return a.findings < b.findings;
  if (a.kind != b.kind) return a.kind < b.kind;
  return a.reached > b.reached;
}

}  // namespace

Types types_of(yaml::Node node) {
  switch (node.kind()) {
    case yaml::Kind::null:
      return type_null;
    case yaml::Kind::map:
      return type_map;
    case yaml::Kind::sequence:
      return type_list;
    case yaml::Kind::scalar:
      return types_of(scalar_of(node));
  }
  return 0;
}

About Walk::about(const Shape& shape, const About& around) const {
  About own{shape.title, shape.description};
  // A reference beside a description stands as an allOf of one.
  if (shape.all_of.size() == 1 && shape.types == any_type) {
    const Shape& meant = shapes_[shape.all_of.front()];
    if (own.title.empty()) own.title = meant.title;
    if (own.description.empty()) own.description = meant.description;
  }
  if (own.title.empty()) own.title = around.title;
  if (own.description.empty()) own.description = around.description;
  return own;
}

void Walk::check(ShapeId id, yaml::Node node, const About& around) {
  const Shape& shape = shapes_[id];
  const About words = about(shape, around);
  report_.judged(Rule::wrong_type);
  if (node.kind() == yaml::Kind::null && node.refused()) return;
  if ((shape.accepts & types_of(node)) == 0 &&
      !(node.is_scalar() && (shape.accepts & scalar_types) != 0 && (!shape.words.empty() || !shape.any_of.empty()))) {
    report_wrong_type(shape, words, node);
    return;
  }
  if (node.is_map()) check_map(shape, words, node);
  if (node.is_sequence()) check_list(shape, words, node);
  if (node.is_scalar()) check_scalar(shape, words, scalar_of(node), node.span());
  for (const ShapeId inner : shape.all_of) check(inner, node, words);
  for (const auto& alternatives : shape.any_of) check_alternatives(shape, words, alternatives, node);
}

void Walk::report_wrong_type(const Shape& shape, const About& about, yaml::Node node) {
  auto finding = report_.add<Rule::wrong_type>(narrow(node), found_words(node), wanted_words(shapes_, shape));
  if (!about.title.empty()) finding.at(std::string(about.title));
  if (!about.description.empty()) finding.help(std::string(about.description));
  // A figure in quotes is text.
  const Span span = node.span();
  const bool only_quotes = node.quoted() && span.end - span.begin == node.text().size() + 2;
  if (only_quotes && (shape.accepts & types_of(Scalar{node.text(), false})) != 0)
    finding.fix(span, std::string(node.text()), true);
}

void Walk::check_map(const Shape& shape, const About& about, yaml::Node node) {
  report_.judged(Rule::missing_key);
  std::vector<bool> present(shape.properties.size());
  const auto mark = [&](const Property& property) {
    present[static_cast<size_t>(&property - shape.properties.data())] = true;
  };
  for (const yaml::Node entry : node) {
    if (const Property* const property = find_property(shape, entry.key())) {
      mark(*property);
      report_.judged(Rule::unknown_key);
      check(property->shape, entry);
      check_patterns(shape, entry);
    } else if (const Property* const meant = check_entry(shape, about, node, entry)) {
      mark(*meant);  // what was misspelt is not missing too
    }
  }
  check_count(node, about, shape.min_properties, shape.max_properties);
  if (node.refused()) return;  // what it lost is reported
  for (size_t i = 0; i < present.size(); ++i) {
    const Property& property = shape.properties[i];
    if (property.required && !present[i]) report_missing_key(about, node, property.name, property.shape);
  }
  for (const std::string& name : shape.required) {
    if (!node[name]) report_missing_key(about, node, name, no_shape);
  }
}

// True when the key matches one of the patterns.
bool Walk::check_patterns(const Shape& shape, yaml::Node entry) {
  bool matched = false;
  for (const auto& [pattern, inner] : shape.pattern_properties) {
    if (!re2::RE2::PartialMatch({entry.key().data(), entry.key().size()}, *pattern)) continue;
    matched = true;
    check(inner, entry);
  }
  return matched;
}

// An entry whose key is no named property. Returns the property that an unknown key seems to mean.
const Property* Walk::check_entry(const Shape& shape, const About& about, yaml::Node node, yaml::Node entry) {
  if (shape.property_names != no_shape) check_key(shape.property_names, entry);
  if (!shape.has_properties) return nullptr;
  report_.judged(Rule::unknown_key);
  if (check_patterns(shape, entry)) return nullptr;
  if (shape.closed) return report_unknown_key(shape, about, node, entry);
  if (shape.additional != no_shape) check(shape.additional, entry);
  return nullptr;
}

const Property* Walk::report_unknown_key(const Shape& shape, const About& about, yaml::Node map, yaml::Node entry) {
  auto finding = report_.add<Rule::unknown_key>(entry.key_span(), shortened(entry.key()), called(map, about));
  std::vector<std::string_view> free;  // what the map already holds is no suggestion
  for (const Property& property : shape.properties) {
    if (!map[property.name]) free.push_back(property.name);
  }
  const std::string_view near = nearest(entry.key(), free);
  if (!near.empty()) {
    const Property* const meant = find_property(shape, near);
    // What stands there has to be what that key wants: else it may be another key altogether.
    Report trial;
    const auto means_it = [&](yaml::Node other) { return surely_meant(other.key(), free) == near; };
    const bool sure =
        is_as_written(entry.key_span(), entry.key()) && std::count_if(map.begin(), map.end(), means_it) == 1;
    if (sure && means_it(entry)) Walk(shapes_, trial).check(meant->shape, entry);
    finding.fix(entry.key_span(), std::string(near), sure && means_it(entry) && trial.empty());
    const std::string_view description = this->about(shapes_[meant->shape], {}).description;
    if (!description.empty()) finding.help(fmt::format("`{}`: {}", near, description));
    return meant;
  }
  std::string known;
  for (size_t i = 0; i < free.size() && i < most_keys; ++i) known += fmt::format("{}`{}`", i == 0 ? "" : ", ", free[i]);
  if (!free.empty())
    finding.help(fmt::format("keys that can stand here: {}{}", known, free.size() > most_keys ? ", …" : ""));
  return nullptr;
}

void Walk::report_missing_key(const About& about, yaml::Node map, const std::string& name, ShapeId wanted) {
  auto finding = report_.add<Rule::missing_key>(name_of(map), called(map, about), name);
  if (wanted == no_shape) return;
  const About words = this->about(shapes_[wanted], {});
  if (!words.description.empty()) finding.help(fmt::format("`{}`: {}", name, words.description));
}

void Walk::check_list(const Shape& shape, const About& about, yaml::Node node) {
  if (shape.items != no_shape) {
    for (const yaml::Node item : node) check(shape.items, item);
  }
  if (shape.unique_items) check_unique(node);
  check_count(node, about, shape.min_items, shape.max_items);
}

void Walk::check_unique(yaml::Node node) {
  std::unordered_map<std::string, Span> seen;
  for (const yaml::Node item : node) {
    report_.judged(Rule::bad_form);
    std::string text;
    append_canonical(item, text);
    const auto [first, is_new] = seen.emplace(std::move(text), narrow(item));
    if (is_new) continue;
    const std::string shown = item.is_scalar() ? shortened(item.text()) : found_words(item);
    report_.add<Rule::bad_form>(narrow(item), shown, "stands twice in one list").label(first->second, "first here");
  }
}

void Walk::check_count(yaml::Node node, const About& about, uint64_t least, uint64_t most) {
  if (least == 0 && most == std::numeric_limits<uint64_t>::max()) return;
  report_.judged(Rule::bad_form);
  const uint64_t count = node.size();
  if ((count >= least || node.refused()) && count <= most) return;
  const std::string name =
      node.has_key() ? std::string(node.key()) : std::string(about.title.empty() ? "this" : about.title);
  const std::string entries = fmt::format("{} {}", count, count == 1 ? "entry" : "entries");
  auto finding = count < least ? report_.add<Rule::bad_form>(
                                     name_of(node), name, fmt::format("has {}, {} at least are wanted", entries, least))
                               : report_.add<Rule::bad_form>(
                                     name_of(node), name, fmt::format("has {}, {} at most are wanted", entries, most));
  if (!about.description.empty()) finding.help(std::string(about.description));
}

void Walk::check_scalar(const Shape& shape, const About& about, const Scalar& scalar, Span span) {
  if (!shape.words.empty()) {
    report_.judged(Rule::not_in_list);
    const bool listed =
        std::any_of(shape.words.begin(), shape.words.end(), [&](const Word& word) { return is_word(scalar, word); });
    if (!listed) return report_not_in_list(shape, about, scalar, span);
  }
  const bool formed = shape.pattern || shape.min_length > 0 || shape.max_length < ~uint64_t{0} ||
                      shape.minimum > -std::numeric_limits<double>::infinity() ||
                      shape.maximum < std::numeric_limits<double>::infinity();
  if (!formed) return;
  report_.judged(Rule::bad_form);
  const std::string fault = form_fault(shape, about.title, about.description, scalar);
  if (fault.empty()) return;
  auto finding = report_.add<Rule::bad_form>(span, shortened(scalar.text), fault);
  // A form's description is part of its message.
  const bool said = fault.find(about.description) != std::string::npos;
  if (!about.description.empty() && !said) finding.help(std::string(about.description));
}

void Walk::report_not_in_list(const Shape& shape, const About& about, const Scalar& scalar, Span span) {
  std::vector<std::string_view> texts;
  for (const Word& word : shape.words) texts.push_back(word.text);
  const std::string_view near = nearest(scalar.text, texts);
  const std::string list = list_words(shape.words, near.empty() ? most_words : few_words);
  auto finding = report_.add<Rule::not_in_list>(span, shortened(scalar.text), list);
  if (!near.empty())
    finding.fix(span, std::string(near), is_as_written(span, scalar.text) && surely_meant(scalar.text, texts) == near);
  if (!about.description.empty()) finding.help(std::string(about.description));
}

// A key is text whatever it looks like, and is judged as a value would be.
void Walk::check_key(ShapeId id, yaml::Node entry) {
  const Shape& shape = shapes_[id];
  check_scalar(shape, about(shape, {}), {entry.key(), true}, entry.key_span());
  for (const ShapeId inner : shape.all_of) check_key(inner, entry);
}

// Alternatives of another kind than the value are out of the question. Of the others the first that fits settles it;
// where none does, only the one that comes closest is reported.
void Walk::check_alternatives(const Shape& shape, const About& about, const std::vector<ShapeId>& alternatives,
                              yaml::Node node) {
  const Types kind = node.is_scalar() ? scalar_types : types_of(node);
  std::vector<ShapeId> candidates;
  for (const ShapeId id : alternatives) {
    if ((shapes_[id].accepts & kind) != 0) candidates.push_back(id);
  }
  if (candidates.size() == 1) return check(candidates.front(), node, about);

  Report closest;
  Distance least;
  for (size_t i = 0; i < candidates.size(); ++i) {
    Report trial;
    Walk(shapes_, trial).check(candidates[i], node, about);
    const Distance distance = distance_of(trial);
    if (i == 0 || nearer(distance, least)) {
      closest = std::move(trial);
      least = distance;
    }
    if (least.findings == 0) break;
  }
  // Of several plain alternatives that all turn the value down none is closer, unless its form or a near word says so.
  const bool undecided =
      node.is_scalar() && least.findings == 1 && least.kind > 0 && closest.findings()[0].fixes.empty();
  if (undecided) return report_wrong_type(shape, about, node);
  report_.merge(std::move(closest));
}

}  // namespace loomproof::schema
