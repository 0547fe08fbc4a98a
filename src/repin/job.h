// Both sides of a re-pinning job with names that they share: spots, plugs, the wires that are there and those that are
// wanted. Internal.
#pragma once
#include <map>
#include <string>
#include <vector>

#include "found/draft.h"
#include "repin/plan.h"
#include "repin/solve.h"

namespace loomproof::repin {

struct Plug {
  std::string designator;
  Index left = none, right = none;          // connectors
  Index left_row = none, right_row = none;  // none: not there
  bool swapped = false, may_fire = false;
};
struct Place {  // what a Spot of the problem is
  PointKind kind{};
  std::string name;
  uint32_t plug = nothing;
  Str number = 0;
  Index left = none, right = none;                              // points
  Index left_cavity = none, right_cavity = none;                // of the housings
  State left_state = State::empty, right_state = State::empty;  // of cavities
  bool left_there = false, right_there = false;                 // a joint: has a row; a cavity: its plug is there
};
struct Piece {
  std::vector<size_t> rows;  // wires of the draft; two where a branch was taken off between them
  Wire wire;                 // their common properties
};

class Job {
 public:
  Job(const FamilyIndex& index, Side from, Side to, const Settings& settings, found::PartDraft& draft);

  const Family& family() const { return family_; }
  Side from() const { return from_; }
  Side to() const { return to_; }
  Problem problem() const;
  bool is_good_for(size_t have, size_t want) const;          // by colour and cross-section
  bool serves(size_t have, size_t want, bool turned) const;  // and its ends reach
  // Whether the terminal at one spot fits the other: 0 no, 1 it should (equal limits in another housing), 2 surely.
  int terminal_fits(uint32_t from, uint32_t to) const;
  std::string name(uint32_t spot) const { return places[spot].name; }
  const HousingCavity* cavity(uint32_t spot) const;  // of the target where it has the plug; null for no cavity

  std::vector<Plug> plugs;
  std::vector<Place> places;
  std::vector<Line> have, want;    // by spot
  std::vector<Piece> pieces;       // by have
  std::vector<Wire> wanted;        // by want
  std::vector<uint32_t> renewed;   // spots of bad contacts
  std::vector<Index> resistances;  // the rows that stand for them

 private:
  void add_plugs();
  void add_places();
  void add_have();
  void add_want();
  void join_branches();
  void leave_equal_nets();
  bool is_good_at(uint32_t spot) const;
  void note_as_wanted(uint32_t spot);
  uint32_t spot_of(Index point, bool left);
  bool reaches(uint32_t from, uint32_t to) const;
  uint32_t spot_of(uint32_t plug, Str number, const std::string& name);

  const FamilyIndex& index_;
  const Family& family_;
  Side from_, to_;
  const Settings& settings_;
  found::PartDraft& draft_;
  std::map<std::string, uint32_t> spots_;
};

}  // namespace loomproof::repin
