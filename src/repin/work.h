// Loom work step by step on a draft: which step waits for which, what each does to the wires, and what a meter shows
// afterwards. Internal.
#pragma once
#include <array>
#include <map>
#include <string>
#include <vector>

#include "repin/job.h"

namespace loomproof::repin {

inline constexpr size_t no_wire = static_cast<size_t>(-1);

struct Task {
  StepKind kind{};
  bool cuts = false;
  Move move{nothing, nothing};  // of move and park
  bool was_parked = false;      // of move: its ends hang already
  uint32_t spot = nothing;      // of link, seal, unseal, renew, fasten
  uint32_t plug = nothing;      // of swap_housing
  size_t wire = no_wire;        // of remove: into have; of add: into want
  std::vector<size_t> after;    // tasks that have to come before
};

class Work {
 public:
  Work(const Job& job, const Solution& solution, found::PartDraft& draft);

  const std::vector<Task>& tasks() const { return tasks_; }
  std::vector<size_t> order() const;  // reversible work first, as far as tasks wait for each other
  // Carries a task out and tells what a meter shows.
  void carry_out(const Task& task, Step& step);
  // What is left to say of the draft when all tasks are done.
  void finish();

  // Wire ends (have, end) that a move takes along.
  std::vector<std::pair<size_t, int>> ends_of(const Move& move) const;
  bool stays_crimped_to_others(const Move& move) const;  // some wires at the spot it leaves stay there
  bool joins_others(const Move& move) const;             // some wires at the spot it comes to stay there
  uint32_t destination(size_t have, int end) const { return to_[have][end]; }  // nothing: the wire is removed
  size_t serves_as(size_t have) const { return want_of_[have]; }
  bool ends_there(uint32_t spot) const;  // some wanted wire does

 private:
  struct Touched {
    Index before = none, after = none, far = none;  // points; far: the other end of the wire
  };

  void add_tasks();
  void add_moves();
  void add_seals();
  void set_order();
  bool removal_cuts(size_t have) const;
  bool swap_cuts(uint32_t plug) const;  // the new housing takes other terminals
  bool leaves(const Task& task, uint32_t plug) const;
  Index point_of(uint32_t spot);
  Index connector_of(uint32_t plug);
  Index hang(const std::string& name) { return draft_.add_point({PointKind::inner, none, 0, name}); }
  void put_end(size_t have, int end, Index point, std::vector<Touched>& touched);
  void arrive(size_t have, int end, std::vector<Touched>& touched);
  void swap_housing(uint32_t plug, std::vector<Touched>& touched);
  void link(uint32_t spot, std::vector<Touched>& touched);
  void leave_known(uint32_t spot, State state);
  std::vector<Index> nets() const;
  std::string name_of(Index point) const;
  bool can_be_probed(Index point) const;
  void check(const std::vector<Index>& before, const std::vector<Touched>& touched, Step& step) const;

  const Job& job_;
  const Solution& solution_;
  found::PartDraft& draft_;
  std::vector<Task> tasks_;
  std::vector<size_t> want_of_;                     // by have; no_wire: removed
  std::vector<std::array<uint32_t, 2>> from_, to_;  // by have: spots of its ends
  std::vector<std::array<Index, 2>> at_;            // by have: points of its ends now
  std::map<uint32_t, Index> points_, connectors_;   // made here
  std::map<uint32_t, std::vector<std::pair<size_t, bool>>>
      laid_;  // by splice: wires of the draft, whether their `from`
  std::map<Index, uint32_t> plug_of_point_;
};

}  // namespace loomproof::repin
