// The rows of one part in one cell, taken out of the tables to be altered, and put back as another part. Used for looms
// as found and for loom work carried out; not meant for others.
#pragma once
#include <string>
#include <utility>
#include <vector>

#include "found/edits.h"

namespace loomproof::found {

// What is not listed here is as in the recorded part. Points, connectors and wires that are new are numbered behind
// those of the family.
struct PartDraft {
  struct NewPoint {
    PointKind kind{};
    Index connector = none;
    Str number = 0;    // of a cavity
    std::string name;  // of any other
  };
  struct Stub {  // what is known of a cavity from now on where no wire is at it
    Index point = none;
    State state{};
  };
  struct NewConnector {
    Str designator = 0;
    ConnectorRow row;
  };

  PartDraft(const Family& family, Index part, uint32_t cell);
  Index add_point(NewPoint point);
  bool is_wired(Index point) const;
  void remove_wire(size_t wire) { gone[wire] = true; }
  void add_wire(Wire wire) { wires.push_back(wire), gone.push_back(false); }

  Index part = none;
  uint32_t cell = 0;
  std::string suffix = " as found";  // of its id and title
  Index next_point = 0, next_connector = 0;
  std::vector<NewPoint> points;
  std::vector<NewConnector> connectors;
  std::vector<std::pair<Index, ConnectorRow>> rehoused;           // connectors of the part that have another row
  std::vector<Index> connectors_gone, joints_gone, insides_gone;  // connectors; points; rows
  std::vector<Wire> wires;                                        // first those recorded, in their order
  std::vector<char> gone;                                         // by wire
  std::vector<Inside> insides;                                    // likewise
  std::vector<std::string> inside_names;                          // of insides; empty: as recorded
  std::vector<Splice> splices;                                    // new rows
  std::vector<Earth> earths;
  std::vector<Lead> leads;
  std::vector<Stub> stubs;
};

// Appends the part to the family that the draft was made of.
Index append(Family& family, const PartDraft& draft);

// Carries edits out on a draft.
class EditRun {
 public:
  EditRun(const Family& family, PartDraft& draft);
  // Empty, or why the edits cannot all be true.
  std::string apply(std::span<const Edit> edits);

 private:
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

  // The wires as recorded at an end (only those that lead to `far` where it is given), by their numbers in the draft.
  std::vector<size_t> recorded_at(const End& end, const End& far) const;
  Index point_of(const End& end);  // a new point where the cavity has none
  Index circuit_at(const End& end) const;
  Index circuit_for(const Edit& edit) const;
  void put_wire(const Edit& edit, Index circuit, Index from, Index to);
  std::string take(size_t wire, bool at_from, const Edit& edit);  // a wire end may be spoken of once
  std::string free_name(std::string_view stem) const;
  void settle();

  const Family& family_;
  PartDraft& draft_;
  std::vector<Wire> recorded_;  // the wires as they were
  std::vector<char> from_taken_, to_taken_;
  std::vector<Index> taps_;  // by recorded wire: the splice of its branches
};

}  // namespace loomproof::found
