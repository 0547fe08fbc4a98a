// What the reports ask of a family again and again, found once. Internal to the reports.
#pragma once
#include <string>
#include <vector>

#include "nets/cavities.h"
#include "nets/index.h"
#include "nets/nets.h"

namespace loomproof::reports {

class FamilyView {
 public:
  explicit FamilyView(const Family& family);

  const Family& family() const { return family_; }
  const FamilyIndex& index() const { return index_; }
  const CellSet& built() const { return built_; }
  const std::vector<uint32_t>& cells() const { return cells_; }  // those built, ascending
  const Plugged& plugged(uint32_t built_cell) const { return plugged_[position_[built_cell]]; }
  // In one built cell; each once, in the order of `plugs`.
  std::vector<Index> partners(Index connector, uint32_t built_cell) const;

  // A firing circuit is at one of its cavities, or at its partner's, in any cell: never a probe near it.
  bool carries_firing(Index connector) const { return carries_firing_[connector]; }
  // Some connector that carries a firing circuit has this housing.
  bool fires_somewhere(Index housing) const { return housing_fires_[housing]; }
  bool any_firing() const { return any_firing_; }
  bool is_firing(Index circuit) const;
  bool fires_at(Index point) const;  // something right there is of a firing circuit, in any cell

  std::string text(Str str) const { return std::string(family_.text(str)); }
  std::string place_id(Index part) const;               // or the part's id where it has no place
  std::string connector_name(Index connector) const;    // "PUMP-UNIT X1"
  std::string cells_words(const CellSet& cells) const;  // among those built
  // " (era a)" where `cells` are fewer than `among`, else nothing.
  std::string only_in(const CellSet& cells, const CellSet& among) const;

 private:
  void find_firing();

  const Family& family_;
  FamilyIndex index_;
  CellSet built_;
  std::vector<uint32_t> cells_, position_;
  std::vector<Plugged> plugged_;
  std::vector<bool> carries_firing_, housing_fires_;
  bool any_firing_ = false;
};

// Ids as people count: C2 before C10.
bool natural_less(std::string_view a, std::string_view b);

}  // namespace loomproof::reports
