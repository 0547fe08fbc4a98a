// One table an enumeration, in the order of its enumerators: word() reads it forwards, parse_word() backwards.
#include "family/words.h"

#include <fmt/format.h>

#include <array>

namespace loomproof {
namespace {

template <typename Enum>
struct Words;

#define LOOMPROOF_WORDS(Enum, ...)                                            \
  template <>                                                                 \
  struct Words<Enum> {                                                        \
    static constexpr auto all = std::to_array<std::string_view>(__VA_ARGS__); \
    static_assert(all.size() == word_count<Enum>);                            \
  }

LOOMPROOF_WORDS(SourceKind, {"standard", "manual", "measurement", "handbook", "practice", "memory", "invented"});
LOOMPROOF_WORDS(CircuitClass, {"feed", "earth", "return", "reference", "signal", "drive", "bus", "shield", "firing"});
LOOMPROOF_WORDS(Outcome, {"", "fine", "dead", "misreads", "stays-on", "opens-fuse", "destroys", "endangers"});
LOOMPROOF_WORDS(Verdict, {"fits", "fits-with-loose-ends", "does-not-work", "destroys-a-part", "endangers-people"});
LOOMPROOF_WORDS(Contact, {"pin", "receptacle", "none"});
LOOMPROOF_WORDS(View, {"wire-side", "mating-side"});
LOOMPROOF_WORDS(PartKind, {"loom", "component"});
LOOMPROOF_WORDS(State, {"wired", "empty", "sealed", "disputed", "unknown"});
LOOMPROOF_WORDS(Rest, {"", "empty", "unknown", "open"});
LOOMPROOF_WORDS(PointKind, {"cavity", "splice", "earth", "lead", "inner"});
LOOMPROOF_WORDS(EarthNode, {"", "battery", "engine", "chassis", "cab"});
LOOMPROOF_WORDS(Shade, {"", "light", "dark"});
LOOMPROOF_WORDS(Role, {"",
                       "gives-feed",
                       "gives-earth",
                       "gives-return",
                       "gives-reference",
                       "gives-signal",
                       "pulls-low",
                       "pulls-high",
                       "bus",
                       "shield",
                       "gives-firing",
                       "takes-feed",
                       "takes-earth",
                       "takes-return",
                       "takes-reference",
                       "takes-signal",
                       "takes-low",
                       "takes-high",
                       "takes-firing",
                       "senses-low",
                       "senses-high",
                       "passes",
                       "open",
                       "unknown"});
LOOMPROOF_WORDS(When, {"always", "stopped", "running"});
LOOMPROOF_WORDS(InsideKind, {"strap", "fuse", "link", "contact", "coil", "motor", "lamp", "heater", "resistor", "diode",
                             "squib", "capacitor"});
LOOMPROOF_WORDS(ClosedBy, {"", "coil", "hand", "temperature", "pressure"});
LOOMPROOF_WORDS(ChangeKind, {"moved", "swapped", "replugged", "added", "removed", "recoloured", "resized", "rehoused",
                             "respliced", "re-roled", "re-rated", "relocated", "replaced", "inside-changed",
                             "now-known", "no-longer-known", "restated"});
LOOMPROOF_WORDS(Suffers, {"nobody", "first", "second", "both", "wire", "people"});
LOOMPROOF_WORDS(JoinWhen, {"always", "other-terminal", "volts-differ", "volts-above", "volts-below", "current-above",
                           "unfused", "other-circuit", "other-line", "earthed-twice"});
#undef LOOMPROOF_WORDS

template <typename Enum>
std::string_view word_of(Enum value) {
  const auto index = static_cast<size_t>(value);
  return index < Words<Enum>::all.size() ? Words<Enum>::all[index] : std::string_view();
}

}  // namespace

template <typename Enum>
bool parse_word(std::string_view text, Enum& value) {
  if (text.empty()) return false;
  for (size_t i = 0; i < Words<Enum>::all.size(); ++i) {
    if (Words<Enum>::all[i] != text) continue;
    value = static_cast<Enum>(i);
    return true;
  }
  return false;
}

#define LOOMPROOF_DEFINE(Enum)        \
  std::string_view word(Enum value) { \
    return word_of(value);            \
  }                                   \
  template bool parse_word<Enum>(std::string_view text, Enum & value)

LOOMPROOF_DEFINE(SourceKind);
LOOMPROOF_DEFINE(CircuitClass);
LOOMPROOF_DEFINE(Outcome);
LOOMPROOF_DEFINE(Verdict);
LOOMPROOF_DEFINE(Contact);
LOOMPROOF_DEFINE(View);
LOOMPROOF_DEFINE(PartKind);
LOOMPROOF_DEFINE(State);
LOOMPROOF_DEFINE(Rest);
LOOMPROOF_DEFINE(PointKind);
LOOMPROOF_DEFINE(EarthNode);
LOOMPROOF_DEFINE(Shade);
LOOMPROOF_DEFINE(Role);
LOOMPROOF_DEFINE(When);
LOOMPROOF_DEFINE(InsideKind);
LOOMPROOF_DEFINE(ClosedBy);
LOOMPROOF_DEFINE(ChangeKind);
LOOMPROOF_DEFINE(Suffers);
LOOMPROOF_DEFINE(JoinWhen);
#undef LOOMPROOF_DEFINE

std::string point_name(const Family& family, Index point) {
  if (point == none) return {};
  const Point& row = family.points[point];
  if (row.kind != PointKind::cavity || row.connector == none) return std::string(family.text(row.name));
  return fmt::format("{}.{}", family.text(family.connectors[row.connector].designator), family.text(row.name));
}

std::string colour_code(const Family& family, const Wire& wire) {
  if (wire.base == none) return {};
  std::string code;
  if (wire.shade != Shade::unset) code.append(word(wire.shade)).append(" ");
  code.append(family.text(family.colours[wire.base].code));
  if (wire.tracer != none) code.append("/").append(family.text(family.colours[wire.tracer].code));
  return code;
}

std::string colour_name(const Family& family, const Wire& wire) {
  if (wire.base == none) return {};
  std::string name;
  if (wire.shade != Shade::unset) name.append(word(wire.shade)).append(" ");
  name.append(family.text(family.colours[wire.base].name));
  if (wire.tracer != none)
    name.append(" with ").append(family.text(family.colours[wire.tracer].name)).append(" tracer");
  return name;
}

std::string milli(Quantity quantity) {
  if (quantity == not_given) return {};
  const int64_t value = quantity;
  const int64_t size = value < 0 ? -value : value;
  std::string text = fmt::format("{}{}", value < 0 ? "-" : "", size / 1000);
  if (size % 1000 == 0) return text;
  text += fmt::format(".{:03}", size % 1000);
  text.erase(text.find_last_not_of('0') + 1);
  return text;
}

std::string volts_text(Quantity volts) {
  if (volts == not_given) return {};
  if (volts == system_volts) return "system";
  return milli(volts) + " V";
}

std::string month_text(Quantity month) {
  if (month == not_given || month < 0) return {};
  return fmt::format("{:04}-{:02}", month / 12, month % 12 + 1);
}

}  // namespace loomproof
