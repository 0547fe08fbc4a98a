#include "found/as_found.h"

#include <stdexcept>

#include "found/draft.h"

namespace loomproof::found {

Fault fault_of(const FamilyIndex& index, Index part, uint32_t cell, std::span<const Edit> edits) {
  return {Draft(index.family(), part, cell).apply(edits), {}, {}};
}

Index add_as_found(Family& family, Index part, uint32_t cell, std::span<const Edit> edits) {
  Draft draft(family, part, cell);
  if (const std::string fault = draft.apply(edits); !fault.empty()) throw std::logic_error(fault);
  return draft.append(family);
}

}  // namespace loomproof::found
