// What a pinout table adds to a loom or component: held against the family's tables cell by cell. What the file says
// already stays, what it leaves open is added or filled in, and what it says otherwise is a conflict; nothing is ever
// put in the place of a fact.
#pragma once
#include <string>
#include <utility>
#include <vector>

#include "expand/expand.h"
#include "family/family.h"
#include "upkeep/pinout_table.h"

namespace loomproof::upkeep {

struct TakeInto {
  const Family& family;
  const Spans& spans;
  Index part = none;
  CellSet cells;     // where the table holds; not empty, within the part
  std::string tags;  // the same as keys of a row: "eras: c.., with: {supply: 24V}"; empty: wherever the part holds
};

enum class Fate : uint8_t { same, added, filled, conflict };
std::string_view word(Fate fate);

// What became of one row of the table; of a wire whose two ends are in the table, of the first of them.
struct RowFate {
  TextPlace place;
  Fate fate{};
  std::string end, words;  // "C1.12"; "RACK-POS to C30.4, GN/WH, 0.5 mm²", or what the file says otherwise
  Span there;              // of a conflict: what it is with; unknown where that is no one row
};

struct NewRow {
  enum class Where : uint8_t { wires, cavities, pins, pin_cavities } where{};
  std::string connector, cavity;  // "C1", "12"; of a wire its first end
  std::string text;               // "{circuit: A, from: C1.12, to: C30.4}"
};
struct FilledRow {
  Span row;
  std::vector<std::pair<std::string, std::string>> cells;  // keys that it lacks, or its `source` with one more
};

struct TakenIn {
  std::vector<RowFate> fates;          // in the order of the table
  std::vector<TableProblem> problems;  // names that the part does not have, rows that contradict each other
  std::vector<NewRow> rows;
  std::vector<FilledRow> filled;
  std::vector<std::string> now_known;  // cavities whose row `state: unknown` goes: "C1.5"
  std::vector<std::string> left_open;  // cavities of the table's connectors that neither it nor the file knows

  size_t count(Fate fate) const;
};

TakenIn take_in(const PinoutTable& table, const TakeInto& into);

}  // namespace loomproof::upkeep
