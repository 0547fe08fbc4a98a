// What a question is about: a family with its index, and the cells that were asked for.
#pragma once
#include <stdexcept>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include "family/family.h"
#include "nets/index.h"

namespace loomproof::bench {

// A question that cannot be answered as put: one line, exit status 2.
struct UsageError : std::runtime_error {
  using std::runtime_error::runtime_error;
};

// Throws UsageError: `what` has no such name, with the nearest of those it has, or all of them where they are few.
[[noreturn]] void unknown(std::string_view what, std::string_view wanted, const std::vector<std::string_view>& known);

struct Choice {
  std::string era;                // empty: every era
  std::vector<std::string> with;  // "option=value"
};

class Scope {
 public:
  // Throws UsageError where an era, option or value is unknown, or nothing was built with them.
  Scope(const Family& family, const Choice& choice);

  const Family& family() const { return index_.family(); }
  const FamilyIndex& index() const { return index_; }
  const CellSet& built() const { return family().set(family().built); }
  const CellSet& cells() const { return cells_; }   // the built cells that were asked for
  std::string name(const CellSet& cells) const;     // among all built cells
  std::string heading(const CellSet& cells) const;  // "In eras a..b", "In all eras and options"
  // Whether a connector may carry a firing circuit: it or another with one of its housings does, in any cell.
  bool may_fire(Index connector) const { return may_fire_[connector]; }

 private:
  FamilyIndex index_;
  CellSet cells_;
  std::vector<bool> may_fire_;
};

// What is the same in several cells, once for all of them.
template <typename View>
struct Group {
  CellSet cells;
  View view;
};

// The view of each cell that `make` gives one for (it returns std::optional<View>), equal views together.
template <typename Make>
auto grouped(const CellSet& cells, Make make) {
  using View = typename decltype(make(0u))::value_type;
  std::vector<Group<View>> groups;
  for (uint32_t cell : cells.cells()) {
    auto view = make(cell);
    if (!view) continue;
    bool known = false;
    for (Group<View>& group : groups) {
      if (!(group.view == *view)) continue;
      group.cells.insert(cell);
      known = true;
      break;
    }
    if (!known) groups.push_back({CellSet::of(cell), std::move(*view)});
  }
  return groups;
}

// A connector or cavity as it is asked for: PLACE.C1, part.C1, PLACE.C1.12.
struct Target {
  Index place = none;   // of PLACE.…
  std::string part_id;  // of part.…
  std::string owner;    // the first word as it was written
  std::string designator;
  std::string cavity;  // empty: the whole connector
};

// Throws UsageError with the nearest name where the first word is no place and no part.
Target parse_target(const Family& family, std::string_view text);

// The connector of a target in a cell; none where it is not there.
Index connector_in(const Scope& scope, const Target& target, uint32_t cell);
// Whether what is asked for may carry a firing circuit in any of the cells asked for.
bool connector_may_fire(const Scope& scope, const Target& target);
// Why there is no such connector in any of the cells asked for, in one line.
std::string no_connector(const Scope& scope, const Target& target);

// The circuit of that id; throws UsageError with the nearest where there is none.
Index circuit_of(const Family& family, std::string_view id);

}  // namespace loomproof::bench
