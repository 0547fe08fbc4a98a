// Facts and what they rest on; what is relaxed, and why. Internal to the reports.
#pragma once
#include <array>
#include <string>
#include <string_view>
#include <vector>

#include "reports/family_view.h"

namespace loomproof::reports {

inline constexpr size_t source_kinds = static_cast<size_t>(SourceKind::invented) + 1;

// How facts rest on sources. A fact counts in each line once.
struct FactCount {
  size_t facts = 0;
  size_t at_row = 0, from_file = 0, uncited = 0;               // where it is cited
  size_t one = 0, several = 0, independent = 0;                // how many sources; several: one may be a copy
  size_t memory_only = 0;                                      // nothing but memory
  std::array<size_t, source_kinds> row_kinds{}, file_kinds{};  // by its strongest source, by where it is cited
  void add(const FactCount& other);
};

struct FactLine {
  std::string_view what;  // "wires", "pins"
  FactCount count;
};
// One a kind of fact, without those that the family has none of. A component that several places hold counts once.
std::vector<FactLine> count_facts(const Family& family);

struct SourceUse {
  Index source = none;
  size_t at_row = 0, from_file = 0;
};
std::vector<SourceUse> count_sources(const Family& family);  // one a source, in their order

// A row that rests on one source or on memory.
struct WeakRow {
  Index part = none, circuit = none;
  std::string row, why;  // "C1.3 to C31.30"; "one source: croft-manual-ab"
  std::string holds_in;
};
// Of what most can go wrong with: feeds, earths, returns, references and firing circuits.
std::vector<WeakRow> weak_rows(const FamilyView& view);
// Of every row with marks of weaker evidence: what they say. Of the shared vocabulary without part and circuit.
std::vector<WeakRow> marked_rows(const FamilyView& view);

struct Relaxation {
  std::string_view what;  // "rest: unknown", "needed: false", "spare", "loose", "optional", "undocumented", "allow"
  std::string place, part, item, holds_in, detail;  // detail: the reason, or how many cavities
};
std::vector<Relaxation> relaxations(const FamilyView& view);

}  // namespace loomproof::reports
