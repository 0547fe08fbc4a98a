// What a pinout table says, cavity by cavity, as plain text; Markdown and CSV are made of it. Internal to the reports.
#pragma once
#include <string>
#include <vector>

#include "reports/cautions.h"
#include "reports/family_view.h"

namespace loomproof::reports {

// One wire at a cavity, or one pin, or a cavity that has neither. What a row leaves empty does not apply to it or is
// not recorded.
struct PinoutRow {
  State state{};
  bool firing = false;
  std::string cavity, moulded,
      in_manual;  // the number; what is moulded there, and what manuals call it, where that differs
  std::string circuit, title, circuit_class, terminal, function;
  std::string colour, colour_name, mm2, length_mm;   // of a wire
  std::string colour_mark, mm2_mark, function_mark;  // "from memory"
  std::string to;                                    // where the wire ends; through splices
  std::string role, volts, amps, inside;             // of a pin
  std::string note;
  CellSet same_in;  // the cells in which the connector has this very row
  CiteId cite = 0;
  bool cited = false;
};

struct Pinout {
  CellSet cells;  // built cells in which the connector is there and the same
  std::vector<PinoutRow> rows;
  std::vector<Index> ends;     // points where its wires end, splices too; ascending
  std::vector<Index> sources;  // ascending; who says what of disputed cavities among them
};

// One a variant of the connector, in their order.
std::vector<Pinout> pinouts_of(const FamilyView& view, Index connector);

// "Rack position (sensor signal)": title, terminal and function of a row's circuit.
std::string function_words(const PinoutRow& row);
// Whether a probe must keep away from it.
Danger danger_of(const FamilyView& view, Index connector, const Pinout& pinout);

}  // namespace loomproof::reports
