// The rules that judge resolved families. One file a rule; all.cc lists them and is the only place that does.
//
// A rule sees the tables, their index, the nets of every build and the text behind each row. It reports each fault
// once, however many cells show it, and stays silent about what another rule has said: rules run in the order of
// all.cc, and what an earlier one finds broken is noted in `Faults`.
#pragma once
#include <map>
#include <set>
#include <span>
#include <string_view>
#include <utility>
#include <vector>

#include "diag/report.h"
#include "expand/expand.h"
#include "family/words.h"
#include "nets/cavities.h"
#include "nets/classes.h"
#include "nets/nets.h"

namespace loomproof {

// What an earlier rule has reported, so that its consequences are not reported again.
struct Faults {
  std::set<std::pair<uint32_t, Index>> circuits;  // cell, circuit that is broken there
  std::set<Index> wires;                          // whose own row is reported
  std::set<Index> parts;                          // whose rows contradict each other or are not complete

  void broken(const CellSet& cells, Index circuit) {
    for (uint32_t cell : cells.cells()) circuits.insert({cell, circuit});
  }
};

struct Judged {
  const Family& family;
  const Spans& spans;
  const FamilyIndex& index;
  PointStates states;
  std::vector<CellClass> classes;
  std::vector<BuildNets> builds;  // one a class
  CellSet built;
  mutable Faults faults;

  std::string cells_words(const CellSet& cells) const {
    return (built - cells).empty() ? "every build" : cells_text(family, cells, built);
  }
  std::string_view id(Str str) const { return family.text(str); }
  std::string_view circuit_id(Index circuit) const { return family.text(family.circuits[circuit].id); }
  std::string_view part_id(Index part) const { return family.text(family.parts[part].id); }
  std::string_view place_id(Index place) const { return family.text(family.places[place].id); }
  // "C1.12 of chassis"
  std::string point_words(Index point) const;
  // "C7 of chassis"
  std::string connector_words(Index connector) const;
  // The text of a wire's end at `point`, else of its row.
  Span wire_end_span(Index wire, Index point) const;
  // Labels the wires and pins at `point` in other cells than these: where a row was lost, it is likely one of them.
  void label_elsewhere(Index point, const CellSet& cells, FindingBuilder& finding) const;
};

using Check = void (*)(const Judged&, Report&);
struct CheckEntry {
  std::string_view name;  // of the rule it stands for, for --timings
  Check run;
};
std::span<const CheckEntry> all_checks();
void run_checks(const Family& family, const Spans& spans, Report& report);

// The same fault in many cells, told once: remembers the cells of each key.
template <typename Key>
class ByCells {
 public:
  void add(const Key& key, const CellSet& cells) { found_[key] |= cells; }
  template <typename Tell>
  void tell(Tell&& each) const {
    for (const auto& [key, cells] : found_) each(key, cells);
  }

 private:
  std::map<Key, CellSet> found_;
};

}  // namespace loomproof
