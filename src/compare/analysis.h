// What it takes to turn the strands of one side into those of the other. Internal; the heart of the comparison.
//
// 1. Strands that are equal on both sides cancel, then those of one circuit between the same ends that differ
// otherwise.
// 2. Where a net joins the same cavities, earth points and leads on both sides, its strands do not move: it is
// respliced.
// 3. Of the rest, a circuit that left one end for another is renamed there: all its strands at that end at once.
// 4. What is then still alone was removed or added.
// Applied in the order removals, renames, additions, alterations, the result gives exactly the other side.
#pragma once
#include <tuple>
#include <vector>

#include "compare/side.h"

namespace loomproof::compare {

inline constexpr size_t alone = static_cast<size_t>(-1);

struct Rename {
  Index circuit = none, from = none, to = none;
  std::vector<size_t> left, right;  // strands that move; the strands on the other side that they become
};
struct Alteration {  // of one property of one strand
  size_t left = alone, right = alone;
  size_t property = 0;
  Index at = none;  // the end, named as on the right, at which a declared change picks exactly the strands altered so
};

struct Analysis {
  std::vector<Strand> left, right;  // the left ones with their ends renamed
  std::vector<size_t> right_of;     // by left strand: what it becomes, or `alone`
  std::vector<Rename> renames;
  std::vector<Alteration> alterations;
  std::vector<size_t> removed, added;  // left strands; right strands
};

// `last` tells which left strands to leave over where equal ones are too many: they pair after all others.
Analysis analyse(const Family& family, std::vector<Strand> left, std::vector<Strand> right,
                 const std::vector<bool>& last = {});

// The nets that strands make among themselves.
class StrandNets {
 public:
  StrandNets(const Family& family, const std::vector<Strand>& strands);
  // What tells the net of a strand: its circuits, then the points that are no splice. Empty for a pin, and for a net of
  // splices alone.
  const std::vector<Index>& signature(size_t strand) const;
  // By strand: whether the other side has a net of its signature.
  std::vector<bool> also_in(const StrandNets& other) const;

 private:
  std::vector<Index> net_of_;                   // by strand; none for a pin
  std::vector<std::vector<Index>> signatures_;  // by net
};

// Where the pins of the left side went; what is inside follows them.
PointMap pin_moves(const std::vector<Strand>& before, const std::vector<Strand>& after);
// The partners of paired pins follow the pins that moved.
void follow_pairs(std::vector<Strand>& strands, const PointMap& moves);

// What a declared alteration picks strands by: its kind, whether it is about pins, the circuit if it names one, the
// end, the property, and its values before and after.
using Pick = std::tuple<ChangeKind, bool, Index, Index, size_t, uint64_t, uint64_t>;
Pick pick_of(const Strand& was, const Strand& becomes, size_t property, Index at);

// How a declared change says that a property is another.
ChangeKind alteration_kind(const Strand& was, const Strand& becomes, size_t property);
bool same_value(const Strand& left, const Strand& right, size_t property);

}  // namespace loomproof::compare
