// Quantities as tables have them: with a decimal point or comma, with or without their unit; cross-sections in mm² or
// by American wire gauge.
#pragma once
#include <string>
#include <string_view>
#include <vector>

#include "family/family.h"

namespace loomproof::upkeep {

struct QuantityRead {
  Quantity value = not_given;       // thousandths; not given where the text is empty or not understood
  std::string problem;              // why it is not understood, in one line
  std::string note;                 // what was done that is not plain to see
  std::vector<std::string> may_be;  // what it may mean

  bool understood() const { return problem.empty(); }
};

// Cross-section of a solid round conductor by its gauge, mm²: diameter 0.127 mm · 92^((36 - n) / 39), ASTM B258-02.
// 0, 00, 000 and 0000 are gauges 0, -1, -2 and -3.
double awg_mm2(int gauge);

// The nominal size nearest to a gauge, in ratio; none where even that is more than a tenth off. `nominal`: thousandths
// of mm², ascending.
Quantity nominal_size(double mm2, const std::vector<Quantity>& nominal);

// "0.75", "1,5 mm²", "0.5 qmm"; "AWG 20" and "20 AWG" as below.
QuantityRead read_mm2(std::string_view text, const std::vector<Quantity>& nominal);
// "20", "AWG 20", "2/0": the nominal size nearest to it, with a note; where there is none, a problem.
QuantityRead read_awg(std::string_view text, const std::vector<Quantity>& nominal);
// A number with at most three decimals and one of these units (folded, without blanks), or none.
QuantityRead read_quantity(std::string_view text, const std::vector<std::string_view>& units);

}  // namespace loomproof::upkeep
