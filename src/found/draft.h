// The rows of one part in one cell, taken out of the tables to be edited and put back as another part. Internal.
#pragma once
#include <string>
#include <vector>

#include "found/edits.h"

namespace loomproof::found {

class Draft {
 public:
  Draft(const Family& family, Index part, uint32_t cell);

  struct NewPoint {
    PointKind kind{};
    Index connector = none;  // of the recorded part
    Str number = 0;          // of a cavity
    std::string name;        // of any other
  };
  struct Stub {  // what an end that left a cavity leaves behind
    Index point = none;
    State state{};
  };

  // Carries the edits out. Empty, or why they cannot all be true.
  std::string apply(std::span<const Edit> edits);
  // Appends the part to the family that the draft was made of.
  Index append(Family& family) const;

 private:
  friend class Appender;

  std::string apply(const Edit& edit);
  std::string cut(const Edit& edit, State left_behind);
  std::string move(const Edit& edit);
  std::string tap(const Edit& edit);
  Index tap_on(size_t wire);
  std::string join(const Edit& edit);
  std::string resist(const Edit& edit);
  std::string earth_gone(const Edit& edit);
  std::string plug_gone(const Edit& edit);
  std::string strap_missing(const Edit& edit);

  // The wires as recorded at an end (only those that lead to `far` where it is given), by their numbers here.
  std::vector<size_t> recorded_at(const End& end, const End& far) const;
  Index point_of(const End& end);  // a new point where the cavity has none
  Index inner(std::string name);
  Index circuit_at(const End& end) const;
  Index circuit_for(const Edit& edit) const;
  void put_wire(const Edit& edit, Index circuit, Index from, Index to);
  std::string take(size_t wire, bool at_from, const Edit& edit);  // a wire end may be spoken of once
  std::string free_name(std::string_view stem) const;
  void settle();
  bool is_wired(Index point) const;

  const Family& family_;
  Index part_;
  uint32_t cell_;
  Index next_point_;  // of those made here, numbered behind the family's own
  std::vector<NewPoint> points_;
  std::vector<Wire> recorded_, wires_;  // as they were; as they are: wires_[i] was recorded_[i], more were added
  std::vector<char> gone_;              // by wire
  std::vector<char> from_taken_, to_taken_;
  std::vector<Index> taps_;  // by recorded wire: the splice of its branches
  std::vector<Inside> insides_;
  std::vector<std::string> inside_names_;                            // of insides added, behind those copied
  std::vector<Index> connectors_gone_, earths_gone_, insides_gone_;  // points of earths; rows of the others
  std::vector<Stub> stubs_;
};

}  // namespace loomproof::found
