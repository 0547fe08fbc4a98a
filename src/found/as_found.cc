#include "found/as_found.h"

#include <stdexcept>

#include "found/draft.h"

namespace loomproof::found {

Fault fault_of(const FamilyIndex& index, Index part, uint32_t cell, std::span<const Edit> edits) {
  PartDraft draft(index.family(), part, cell);
  return {EditRun(index.family(), draft).apply(edits), {}, {}};
}

Index add_as_found(Family& family, Index part, uint32_t cell, std::span<const Edit> edits) {
  PartDraft draft(family, part, cell);
  if (const std::string fault = EditRun(family, draft).apply(edits); !fault.empty()) throw std::logic_error(fault);
  return append(family, draft);
}

}  // namespace loomproof::found
