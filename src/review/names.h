// What the ids of a family are used for, and what they mean: by the first a renamed id is known again, by the second
// one that was given to something else. Internal.
#pragma once
#include <map>
#include <string>
#include <string_view>
#include <vector>

#include "family/family.h"

namespace loomproof::review {

// Kinds of ids, in the order in which renamed ones are looked for: the uses of each may name those before it.
enum class NameKind : uint32_t {
  era,
  option,
  option_value,
  place,
  part,
  connector,
  circuit,
  housing,
  cavity,
  source,
  joint,  // a splice, an earth point, a lead
  inside,
  switch_,
  node,  // within a component, where no cavity is
  combination
};
inline constexpr uint32_t name_kind_count = 15;
std::string_view word(NameKind kind);

// Words of the revision; sorted, and may repeat.
using Uses = std::vector<std::string>;

// An id and where it holds: a part as "PUMP-LOOM/pump", an option, a housing; empty where ids are the family's. A
// part's own scope is its place, since a component that four places hold is four parts.
struct Named {
  std::string scope, name;
  friend bool operator<(const Named& a, const Named& b) {
    return a.scope != b.scope ? a.scope < b.scope : a.name < b.name;
  }
};
using Names = std::map<Named, Uses>;

// Every id of a kind with each of its uses, as finely as there are words for them.
Names uses_of(const Family& family, NameKind kind);
// The same with what the id stands for, each thing once: of a circuit the plugs that it leads to, not their cavities,
// of a connector its circuits, of a housing its cavities. Cells are passed over.
Names meanings_of(const Family& family, NameKind kind);

// The share of the uses of either that both have, of the one with more; 0 where either has none.
double likeness(const Uses& a, const Uses& b);
// The share of `was` that `is` has as well.
double share_kept(const Uses& was, const Uses& is);

std::string id_of_place(const Family& family, Index part);
std::string scope_of(const Family& family, Index part);  // "PUMP-LOOM/pump"

}  // namespace loomproof::review
