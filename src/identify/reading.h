// What can be asked of a loom on the bench, and what was read. Points, plugs and answers are names, so that variants of
// different parts share them: "C1" a plug, "C1.12" a cavity, "E1" an earth point, "L-HEAT" a lead.
#pragma once
#include <cstdint>
#include <set>
#include <string>
#include <string_view>
#include <tuple>
#include <vector>

namespace loomproof::identify {

// In the order in which they are preferred where nothing else decides: what needs no cavity numbers comes first.
enum class Look : uint8_t {
  plug,      // "present", "absent", "cut-off"
  housing,   // the id of a housing, or "other"
  label,     // the number on the part, or "none"
  wires,     // a count: of wires at a plug
  thick,     // of those of 2 mm² or more
  empty,     // of cavities that hold nothing
  coloured,  // of wires of the base colour `of`
  state,     // "wired", "empty", "sealed"
  colour,    // "GN/WH"; of any of the wires there
  mm2,       // "0.75"
  crimped,   // how many wires share the cavity
  beeps      // "yes", "no"
};
inline constexpr uint32_t look_count = static_cast<uint32_t>(Look::beeps) + 1;

struct Question {
  Look look{};
  std::string a, b;  // the plug; the cavity; the two ends, a before b; empty for a label
  std::string of;    // a base colour
  friend bool operator==(const Question&, const Question&) = default;
  friend bool operator<(const Question& x, const Question& y) {
    return std::tie(x.look, x.a, x.b, x.of) < std::tie(y.look, y.a, y.b, y.of);
  }
};

struct Reading {
  Question question;
  std::string answer;
  std::set<std::string> plugged;  // plugs in which something was plugged in
};

// How often things go wrong. The defaults are common practice, no source.
struct Rates {
  double break_ = 0.01;    // a wire is broken: by wire, for all its readings
  double slip = 0.02;      // a continuity reading comes out wrong
  double misread = 0.02;   // a look comes out wrong
  double faded = 0.05;     // a wire's colour is taken for another, however often it is looked at
  double lost = 0.05;      // a plug is missing, cut off or of another kind
  double label = 0.05;     // a label is wrong
  double altered = 0.002;  // somebody was at a cavity: by cavity, or pair of nets
  double foreign = 0.05;   // none of those recorded
  double mixed = 0.01;     // joined from branches of two
  double view = 0.03;      // a plug was read mirrored; another such share turned
};

// What readings cost, in glances at a cavity of the plug in hand. The defaults are common practice, no source.
struct Costs {
  double glance = 1;      // at a plug, housing, label, cavity or colour
  double count = 2;       // of wires or cavities; of wires that share one
  double gauge = 4;       // a cross-section
  double probe = 3;       // continuity between two points
  double other_plug = 3;  // taking another plug in hand, each
  double unplug = 4;      // something that is plugged in and has to come off, each
};

// "C1" of "C1.12"; empty for what is no cavity.
inline std::string_view plug_of(std::string_view end) {
  const size_t dot = end.find('.');
  return dot == end.npos ? std::string_view() : end.substr(0, dot);
}
inline std::string_view number_of(std::string_view end) {
  return end.substr(end.find('.') + 1);
}

// Whether the answer depends on which cavity is number 1.
inline bool needs_view(Look look) {
  return look >= Look::state;
}

}  // namespace loomproof::identify
