// The smallest mend of a reason: what to change so that it is gone and nothing worse comes of it. Every mend is judged
// before it is offered.
#pragma once
#include <optional>
#include <string>

#include "judge/judgement.h"

namespace loomproof::judge {

enum class MendKind : uint32_t { cap, insulate, other_variant };

struct Mend {
  MendKind kind{};
  Index place = none;
  Index point = none;        // insulate: the cavity, on the loom's side of its plug
  Index connector = none;    // cap
  VariantId variant = none;  // other_variant
  Verdict best{};            // of the whole, with it carried out
};

// Whether a reason has to do with a firing circuit (airbag, belt tensioner): nobody is led to work on one.
bool is_firing(const Network& network, const Reason& reason);

// Nothing where none of these helps, nor for a firing circuit. The judge's network is that of some mended assembly
// afterwards.
std::optional<Mend> find_mend(Judge& judge, Shelf& shelf, const Assembly& assembly, const Judgement& judgement,
                              const Reason& reason);
std::string mend_text(const Shelf& shelf, const Assembly& assembly, const Mend& mend);

// One look, without a meter, that tells two variants of a place apart: a label, a housing, the colours at a cavity.
// Empty where nothing that is recorded does.
std::string look_apart(const Shelf& shelf, VariantId is, VariantId is_not);

}  // namespace loomproof::judge
