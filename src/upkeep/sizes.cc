#include "upkeep/sizes.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <numbers>
#include <optional>

#include "diag/render.h"
#include "family/words.h"
#include "upkeep/colour_words.h"

namespace loomproof::upkeep {

namespace {

constexpr double farthest_ratio = 1.1;

std::string without_spaces(std::string_view text) {
  std::string out = folded(text);
  out.erase(std::remove(out.begin(), out.end(), ' '), out.end());
  return out;
}

bool is_digit_char(char c) {
  return c >= '0' && c <= '9';
}

// "0000" -> -3, "2/0" -> -1, "20" -> 20
std::optional<int> gauge_of(std::string_view text) {
  if (text.size() == 3 && text.ends_with("/0") && text[0] >= '1' && text[0] <= '4') return 1 - (text[0] - '0');
  if (text.empty() || text.size() > 4 || !std::all_of(text.begin(), text.end(), is_digit_char)) return std::nullopt;
  if (text.find_first_not_of('0') == text.npos) return 1 - static_cast<int>(text.size());
  if (text[0] == '0' || text.size() > 2) return std::nullopt;
  const int gauge = std::stoi(std::string(text));
  if (gauge > 40) return std::nullopt;
  return gauge;
}

}  // namespace

double awg_mm2(int gauge) {
  const double diameter = 0.127 * std::pow(92.0, (36.0 - gauge) / 39.0);
  return std::numbers::pi / 4 * diameter * diameter;
}

Quantity nominal_size(double mm2, const std::vector<Quantity>& nominal) {
  Quantity best = not_given;
  double least = farthest_ratio;
  for (const Quantity each : nominal) {
    const double size = each / 1000.0, ratio = size > mm2 ? size / mm2 : mm2 / size;
    if (ratio < least) least = ratio, best = each;
  }
  return best;
}

QuantityRead read_awg(std::string_view text, const std::vector<Quantity>& nominal) {
  QuantityRead read;
  std::string small = without_spaces(text);
  if (small.starts_with("awg")) small.erase(0, 3);
  if (small.ends_with("awg")) small.erase(small.size() - 3);
  if (text.empty()) return read;
  const std::optional<int> gauge = gauge_of(small);
  if (!gauge) {
    read.problem = fmt::format("`{}` is no wire gauge", printable(text));
    return read;
  }
  const double mm2 = awg_mm2(*gauge);
  read.value = nominal_size(mm2, nominal);
  if (read.value != not_given) {
    read.note =
        fmt::format("AWG {} is {:.3g} mm² (ASTM B258), taken as the nominal size {}", small, mm2, milli(read.value));
    return read;
  }
  read.problem =
      fmt::format("AWG {} is {:.3g} mm² (ASTM B258), and no nominal size lies within a tenth of that", small, mm2);
  const auto above = std::find_if(nominal.begin(), nominal.end(), [&](Quantity each) { return each / 1000.0 > mm2; });
  if (above != nominal.begin()) read.may_be.push_back(milli(*(above - 1)));
  if (above != nominal.end()) read.may_be.push_back(milli(*above));
  return read;
}

QuantityRead read_quantity(std::string_view text, const std::vector<std::string_view>& units) {
  QuantityRead read;
  std::string small = without_spaces(text);
  for (const std::string_view unit : units) {
    if (!small.ends_with(unit)) continue;
    small.erase(small.size() - unit.size());
    break;
  }
  if (text.empty()) return read;
  const size_t point = small.find_first_of(".,");
  const std::string whole = small.substr(0, point), part = point == small.npos ? "" : small.substr(point + 1);
  const auto digits = [](const std::string& of) { return std::all_of(of.begin(), of.end(), is_digit_char); };
  if ((whole.empty() && part.empty()) || !digits(whole) || !digits(part) || whole.size() > 6) {
    read.problem =
        fmt::format("`{}` is no number{}", printable(text), units.empty() ? "" : fmt::format(" of {}", units.front()));
    return read;
  }
  if (part.find_first_not_of('0', std::min<size_t>(3, part.size())) != part.npos) {
    read.problem = fmt::format("`{}` has more than three decimals", printable(text));
    return read;
  }
  std::string thousandths = part.substr(0, 3);
  thousandths.resize(3, '0');
  read.value = static_cast<Quantity>(std::stol((whole.empty() ? "0" : whole) + thousandths));
  return read;
}

QuantityRead read_mm2(std::string_view text, const std::vector<Quantity>& nominal) {
  if (without_spaces(text).find("awg") != std::string::npos) return read_awg(text, nominal);
  // ² is no letter, and so stays as it is when folded.
  QuantityRead read = read_quantity(text, {"mm²", "mm2", "mm^2", "qmm", "sqmm"});
  if (read.understood() && read.value != not_given && (read.value < 50 || read.value > 240'000)) {
    read.problem = fmt::format("{} mm² is out of range (0.05 to 240)", milli(read.value));
    read.value = not_given;
  }
  return read;
}

}  // namespace loomproof::upkeep
