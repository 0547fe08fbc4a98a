// One family in both revisions, compared. Internal.
#pragma once
#include <map>
#include <set>
#include <string>
#include <vector>

#include "compare/difference.h"
#include "nets/index.h"
#include "review/both.h"
#include "review/facts.h"
#include "review/review.h"

namespace loomproof::review {

// Fills `out.changes`. `base` has the names of the head already, as apply_renames() left it; `head` must outlive this.
class FamilyComparison {
 public:
  FamilyComparison(Family base, const Family& head, FamilyReview& out);
  void run();

 private:
  void compare_cells();         // eras and choices that only one revision has
  void compare_parts();         // what a hand or a meter could find
  void compare_facts();         // everything else that the tables say
  void compare_consequences();  // what follows at the far ends of the circuits
  void finish();                // words of cells, components of several places once, the riskiest first

  static std::vector<FactChange> take_shared(std::vector<FactChange>& facts);
  void tell_shared(const std::vector<FactChange>& shared);
  void drop_owned(std::vector<FactChange>& facts, const std::vector<FactChange>& shared) const;
  void find_firing(const Family& family);
  static std::string connector_name(const Family& family, Index connector);
  Index part_of_head(Index place, uint32_t cell) const;
  Index part_of_base(Index place, uint32_t cell) const;
  bool is_head(Index part) const { return part >= both_.offset[static_cast<size_t>(Table::parts)]; }
  uint32_t variant_of(Index part, uint32_t cell);
  void tell_replaced(Index place, Index was, Index is, const CellSet& cells);
  void tell_difference(const Difference& difference, const CellSet& cells);
  Change start(const Difference& difference) const;
  void add_end(Change& change, Index from, Index to) const;
  void note(Change change, const CellSet& cells);

  Family base_;
  const Family& head_;
  FamilyReview& out_;
  std::vector<CellPair> pairs_;
  Both both_;
  FamilyIndex index_;
  CellSet universe_;                                    // cells of the head that both have
  CellSet differing_;                                   // of those, the ones in which a hand or a meter finds something
  std::set<std::string> firing_;                        // by place and designator: carries a firing circuit in any cell
  std::vector<std::map<uint32_t, uint32_t>> class_of_;  // by part and cell: the lowest cell of its variant
  std::map<std::string, size_t> noted_;
  std::vector<CellSet> cells_;  // by change; empty: all
};

}  // namespace loomproof::review
