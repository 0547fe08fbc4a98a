// One fault in one era, as a hand would make it in the text: a row of a loom or component is parted in two, and the
// part that holds in one era says something else. Everything is drawn from a seed.
#pragma once
#include <functional>
#include <optional>
#include <random>

#include "editable_yaml.h"
#include "family/words.h"
#include "fixture_harness.h"

namespace loomproof::testing {

// A clean corpus of one family, and what it compiles to.
struct Subject {
  FixtureFiles files;
  std::string family_id;
  std::unique_ptr<Compiled> compiled;
  const Family& family() const { return compiled->families.front().family; }
  const Spans& spans() const { return compiled->families.front().spans; }
  std::string text(Str str) const { return std::string(family().text(str)); }
  std::string file(const Span& span) const { return compiled->sources.file(span.file).path(); }
};

struct Edit {
  std::string kind;   // "wire: recoloured"
  std::string what;   // the row before and after, for people
  std::string file;   // that was edited; relative to the corpus
  std::string after;  // its text
};

class EraEdits {
 public:
  EraEdits(const Subject& subject, uint32_t seed) : s_(subject), random_(seed) {}
  Edit next();

 private:
  using Change = std::function<bool(Yaml& row)>;  // false: nothing to change here
  struct Kind {
    const char* name;
    std::optional<Edit> (EraEdits::*make)(const char* name);
  };

  size_t below(size_t limit) { return std::uniform_int_distribution<size_t>(0, limit - 1)(random_); }
  template <typename T>
  const T& any(const std::vector<T>& list) {
    return list[below(list.size())];
  }
  std::string other_circuit(Index circuit);
  std::string any_colour();
  std::string other_end(Index part, Index point);
  std::optional<std::string> era_of(const CellSet& cells);
  std::vector<std::string> eras_of(const CellSet& cells) const;
  bool is_of_one_era(Index part) const;
  std::optional<Edit> edit_row(const char* kind, Index part, const Span& row, Cells cells, const Change& change,
                               bool drop = false);
  std::optional<Edit> wire(const char* kind, const std::function<bool(const Wire&, Yaml&)>& change, bool drop = false);
  std::optional<Edit> pin(const char* kind, const std::function<bool(const Pin&, Yaml&)>& change, bool drop = false);

  std::optional<Edit> recolour(const char* kind);
  std::optional<Edit> reshade(const char* kind);
  std::optional<Edit> resize(const char* kind);
  std::optional<Edit> drop_wire(const char* kind);
  std::optional<Edit> move_end(const char* kind);
  std::optional<Edit> other_circuit_of_wire(const char* kind);
  std::optional<Edit> swap_circuits(const char* kind);
  std::optional<Edit> add_wire(const char* kind);
  std::optional<Edit> role(const char* kind);
  std::optional<Edit> rating(const char* kind);
  std::optional<Edit> volts(const char* kind);
  std::optional<Edit> needed(const char* kind);
  std::optional<Edit> drop_pin(const char* kind);
  std::optional<Edit> other_circuit_of_pin(const char* kind);
  std::optional<Edit> rehouse(const char* kind);
  std::optional<Edit> relocate(const char* kind);
  std::optional<Edit> inside_rating(const char* kind);
  std::optional<Edit> drop_inside(const char* kind);
  std::optional<Edit> state(const char* kind);

  const Subject& s_;
  std::mt19937 random_;
};

// A corpus in memory with one family; throws where it is not clean.
Subject make_subject(const FixtureFiles& files, const std::string& family);

}  // namespace loomproof::testing
