// The only file that includes valijson: it costs seconds of compile time, and its exceptions are translated here.
#include "schema/lower.h"

#define VALIJSON_USE_EXCEPTIONS 1
#pragma GCC diagnostic push
#pragma GCC diagnostic ignored "-Wshadow"
#pragma GCC diagnostic ignored "-Wpedantic"
#include <valijson/adapters/nlohmann_json_adapter.hpp>
#include <valijson/constraint_builder.hpp>
#include <valijson/constraints/concrete_constraints.hpp>
#include <valijson/constraints/constraint_visitor.hpp>
#include <valijson/schema.hpp>
#include <valijson/schema_parser.hpp>
#pragma GCC diagnostic pop

#include <fmt/format.h>

#include <algorithm>
#include <unordered_map>

#include "schema/validator.h"

namespace loomproof::schema {
namespace {

namespace vc = valijson::constraints;

Word word_of(const valijson::adapters::Adapter& value) {
  if (value.isString()) return {value.getString(), type_text};
  if (value.isBool()) return {value.getBool() ? "true" : "false", type_boolean};
  if (value.isInteger()) return {fmt::format("{}", value.getInteger()), type_number};
  if (value.isNumber()) return {fmt::format("{}", value.getNumber()), type_number};
  return {"", type_null};
}

// valijson keeps the values of `enum` and `const` where nobody can read them; as constraints of our own they are plain.
class WordsConstraint : public vc::PolyConstraint {
 public:
  std::vector<Word> words;
  bool validate(const valijson::adapters::Adapter&, const std::vector<std::string>&,
                valijson::ValidationResults*) const override {
    return true;
  }

 private:
  vc::Constraint* cloneInto(void* place) const override { return new (place) WordsConstraint(*this); }
  size_t sizeOf() const override { return sizeof(WordsConstraint); }
};

class EnumBuilder : public valijson::ConstraintBuilder {
 public:
  vc::Constraint* make(const valijson::adapters::Adapter& values) const override {
    auto constraint = std::make_unique<WordsConstraint>();
    values.applyToArray([&](const valijson::adapters::Adapter& value) {
      constraint->words.push_back(word_of(value));
      return true;
    });
    return constraint.release();
  }
};

class ConstBuilder : public valijson::ConstraintBuilder {
 public:
  vc::Constraint* make(const valijson::adapters::Adapter& value) const override {
    auto constraint = std::make_unique<WordsConstraint>();
    constraint->words.push_back(word_of(value));
    return constraint.release();
  }
};

Types type_bit(vc::TypeConstraint::JsonType type) {
  switch (type) {
    case vc::TypeConstraint::kAny:
      return any_type;
    case vc::TypeConstraint::kArray:
      return type_list;
    case vc::TypeConstraint::kBoolean:
      return type_boolean;
    case vc::TypeConstraint::kInteger:
      return type_integer;
    case vc::TypeConstraint::kNull:
      return type_null;
    case vc::TypeConstraint::kNumber:
      return type_number | type_integer;
    case vc::TypeConstraint::kObject:
      return type_map;
    case vc::TypeConstraint::kString:
      return type_text;
  }
  return any_type;
}

// Walks valijson's graph of subschemas; a subschema met again (a `$ref`, perhaps a cycle) keeps its shape.
class Lowerer : public vc::ConstraintVisitor {
 public:
  explicit Lowerer(Shapes& shapes) : shapes_(shapes) {}

  ShapeId lower(const valijson::Subschema* subschema) {
    const auto [known, is_new] = known_.emplace(subschema, static_cast<ShapeId>(shapes_.shapes.size()));
    if (!is_new) return known->second;
    const ShapeId id = known->second;
    shapes_.shapes.emplace_back();
    Shape shape;
    if (subschema->hasTitle()) shape.title = subschema->getTitle();
    if (subschema->hasDescription()) shape.description = subschema->getDescription();
    shape.never = subschema->getAlwaysInvalid();
    Shape* const outer = current_;
    current_ = &shape;
    valijson::Subschema::ApplyFunction apply = [this](const vc::Constraint& constraint) {
      return constraint.accept(*this);
    };
    subschema->apply(apply);
    current_ = outer;
    shapes_.shapes[id] = std::move(shape);
    return id;
  }

  bool visit(const AllOfConstraint& all) override {
    const auto ids = lower_list(all);
    current_->all_of.insert(current_->all_of.end(), ids.begin(), ids.end());
    return true;
  }
  bool visit(const AnyOfConstraint& any) override {
    current_->any_of.push_back(lower_list(any));
    return true;
  }
  bool visit(const OneOfConstraint& one) override {
    current_->any_of.push_back(lower_list(one));
    return true;
  }
  bool visit(const PropertiesConstraint& properties) override {
    current_->has_properties = true;
    properties.applyToProperties([this](const auto& name, const valijson::Subschema* subschema) {
      const ShapeId id = lower(subschema);
      current_->properties.push_back({std::string(name), id, false});
      return true;
    });
    properties.applyToPatternProperties([this](const auto& pattern, const valijson::Subschema* subschema) {
      const ShapeId id = lower(subschema);
      current_->pattern_properties.emplace_back(compile_pattern(std::string(pattern)), id);
      return true;
    });
    const valijson::Subschema* const additional = properties.getAdditionalPropertiesSubschema();
    // Without `additionalProperties` valijson gives a schema that accepts everything; with `false` it gives none.
    current_->closed = additional == nullptr;
    if (additional != nullptr) {
      const ShapeId id = lower(additional);
      current_->additional = id;
    }
    return true;
  }
  bool visit(const RequiredConstraint& required) override {
    required.applyToRequiredProperties([this](const auto& name) {
      current_->required.emplace_back(name);
      return true;
    });
    return true;
  }
  bool visit(const PropertyNamesConstraint& names) override {
    const ShapeId id = lower(names.getSubschema());
    current_->property_names = id;
    return true;
  }
  bool visit(const SingularItemsConstraint& items) override {
    const ShapeId id = lower(items.getItemsSubschema());
    current_->items = id;
    return true;
  }
  bool visit(const TypeConstraint& type) override {
    Types types = 0;
    type.applyToNamedTypes([&](vc::TypeConstraint::JsonType named) {
      types = static_cast<Types>(types | type_bit(named));
      return true;
    });
    current_->types = types;
    return true;
  }
  bool visit(const PolyConstraint& poly) override {
    const auto& found = dynamic_cast<const WordsConstraint&>(poly).words;
    current_->words.insert(current_->words.end(), found.begin(), found.end());
    return true;
  }
  bool visit(const PatternConstraint& pattern) override {
    current_->pattern = compile_pattern(pattern.getPattern<std::allocator<char>>());
    return true;
  }
  bool visit(const MaximumConstraint& limit) override {
    current_->maximum = limit.getMaximum();
    current_->exclusive_maximum = limit.getExclusiveMaximum();
    return true;
  }
  bool visit(const MinimumConstraint& limit) override {
    current_->minimum = limit.getMinimum();
    current_->exclusive_minimum = limit.getExclusiveMinimum();
    return true;
  }
  bool visit(const MaxItemsConstraint& limit) override { return current_->max_items = limit.getMaxItems(), true; }
  bool visit(const MinItemsConstraint& limit) override { return current_->min_items = limit.getMinItems(), true; }
  bool visit(const MaxLengthConstraint& limit) override { return current_->max_length = limit.getMaxLength(), true; }
  bool visit(const MinLengthConstraint& limit) override { return current_->min_length = limit.getMinLength(), true; }
  bool visit(const MaxPropertiesConstraint& limit) override {
    return current_->max_properties = limit.getMaxProperties(), true;
  }
  bool visit(const MinPropertiesConstraint& limit) override {
    return current_->min_properties = limit.getMinProperties(), true;
  }
  bool visit(const UniqueItemsConstraint&) override { return current_->unique_items = true; }
  // Carried by WordsConstraint.
  bool visit(const ConstConstraint&) override { return true; }
  bool visit(const EnumConstraint&) override { return true; }
  // The check of keywords lets none of these through.
  bool visit(const ConditionalConstraint&) override { return unsupported(); }
  bool visit(const ContainsConstraint&) override { return unsupported(); }
  bool visit(const DependenciesConstraint&) override { return unsupported(); }
  bool visit(const FormatConstraint&) override { return unsupported(); }
  bool visit(const LinearItemsConstraint&) override { return unsupported(); }
  bool visit(const MultipleOfDoubleConstraint&) override { return unsupported(); }
  bool visit(const MultipleOfIntConstraint&) override { return unsupported(); }
  bool visit(const NotConstraint&) override { return unsupported(); }

 private:
  template <typename Combination>
  std::vector<ShapeId> lower_list(const Combination& combination) {
    std::vector<ShapeId> ids;
    combination.applyToSubschemas([&](unsigned, const valijson::Subschema* subschema) {
      ids.push_back(lower(subschema));
      return true;
    });
    return ids;
  }

  static bool unsupported() { throw SchemaError("a keyword that is not supported"); }

  static std::unique_ptr<re2::RE2> compile_pattern(const std::string& pattern) {
    re2::RE2::Options options;
    options.set_log_errors(false);
    auto compiled = std::make_unique<re2::RE2>(pattern, options);
    if (!compiled->ok()) throw SchemaError(fmt::format("pattern `{}`: {}", pattern, compiled->error()));
    return compiled;
  }

  Shapes& shapes_;
  Shape* current_ = nullptr;
  std::unordered_map<const valijson::Subschema*, ShapeId> known_;
};

// The named properties carry their own mark of being required, so that one pass over a map finds what is missing.
void mark_required(Shape& shape) {
  std::sort(shape.properties.begin(), shape.properties.end(),
            [](const Property& a, const Property& b) { return a.name < b.name; });
  std::sort(shape.required.begin(), shape.required.end());
  std::erase_if(shape.required, [&](const std::string& name) {
    const auto found = std::find_if(shape.properties.begin(), shape.properties.end(),
                                    [&](const Property& property) { return property.name == name; });
    if (found == shape.properties.end()) return false;
    found->required = true;
    return true;
  });
}

// Works out what each shape can accept at all. Fails on a shape that asks itself, which no value could settle.
class Acceptance {
 public:
  explicit Acceptance(Shapes& shapes) : shapes_(shapes), state_(shapes.shapes.size(), State::unseen) {}

  void run() {
    for (ShapeId id = 0; id < state_.size(); ++id) of(id);
  }

 private:
  enum class State : uint8_t { unseen, open, done };

  Types of(ShapeId id) {
    Shape& shape = shapes_.shapes[id];
    if (state_[id] == State::done) return shape.accepts;
    if (state_[id] == State::open) throw SchemaError("a `$ref` leads back to itself without going into the value");
    state_[id] = State::open;
    Types accepts = shape.never ? Types{0} : shape.types;
    if (!shape.words.empty()) accepts &= types_of(shape.words);
    for (const ShapeId inner : shape.all_of) accepts &= of(inner);
    for (const auto& alternatives : shape.any_of) {
      Types any = 0;
      for (const ShapeId inner : alternatives) any = static_cast<Types>(any | of(inner));
      accepts &= any;
    }
    shape.accepts = accepts;
    state_[id] = State::done;
    return accepts;
  }

  static Types types_of(const std::vector<Word>& words) {
    Types types = 0;
    for (const Word& word : words) {
      types = static_cast<Types>(types | word.type | (word.type == type_number ? type_integer : 0));
    }
    return types;
  }

  Shapes& shapes_;
  std::vector<State> state_;
};

}  // namespace

Shapes lower(const std::string& name, const nlohmann::json& linked) try {
  valijson::SchemaParser parser;
  parser.addConstraintBuilder("enum", new EnumBuilder);  // the parser deletes them
  parser.addConstraintBuilder("const", new ConstBuilder);
  valijson::Schema schema;
  parser.populateSchema(valijson::adapters::NlohmannJsonAdapter(linked), schema);

  Shapes shapes;
  shapes.root = Lowerer(shapes).lower(schema.root());
  for (Shape& shape : shapes.shapes) mark_required(shape);
  Acceptance(shapes).run();
  return shapes;
} catch (const SchemaError& error) {
  throw SchemaError(fmt::format("schema `{}`: {}", name, error.what()));
} catch (const std::exception& error) {
  throw SchemaError(fmt::format("schema `{}`: {}", name, error.what()));
}

}  // namespace loomproof::schema
