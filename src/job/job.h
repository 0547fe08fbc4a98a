// The job file: what lies on the bench, and the readings in the order in which they were taken. Kept by hand and by
// loombench. What is read here is text with its place in the file; what the names mean, the family says.
#pragma once
#include <array>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "diag/report.h"

namespace loomproof::job {

struct Text {
  std::string text;
  Span span;
  bool given() const { return span.known(); }
};

// What a reading asks. The last two say nothing about the loom itself.
enum class Ask : uint8_t {
  plug,     // present, absent, cut-off
  housing,  // the id of a housing, or other
  count,    // of what `of` says: wires, thick, empty, or a base colour
  label,    // the number on the part, or none
  state,    // wired, empty, sealed
  colour,   // GN/WH
  mm2,
  wires,       // how many share the cavity
  beeps,       // yes, no
  comb,        // likewise: one end against all other nets of the verification sheet, joined
  cavity_one,  // sure
  meter        // proved, failed
};

struct Reading {
  Span span;
  Ask ask{};
  Text place;              // not given: the only one on the bench
  std::vector<Text> ends;  // the plug; the cavity; the two ends; none for a label and the meter
  Text of;                 // of a count
  Text answer;
  std::vector<Text> plugged;
  std::string on, remark;
  std::string ohm;           // of the meter's leads
  bool counts = true;        // false: taken back
  bool has_answer() const {  // false: the question was asked and stays open
    return answer.text != "unsure" && answer.text != "cannot-reach";
  }
};

struct Bench {
  Text place;
  std::vector<Text> found, plugged;
};

enum class Rate : uint8_t { break_, slip, misread, faded, lost, label, altered, foreign, mixed, view };
inline constexpr uint32_t rate_count = static_cast<uint32_t>(Rate::view) + 1;

// What readings cost, in glances at a cavity of the plug in hand.
enum class Cost : uint8_t { glance, count, gauge, probe, other_plug, unplug };
inline constexpr uint32_t cost_count = static_cast<uint32_t>(Cost::unplug) + 1;

struct Job {
  Text family;
  std::string title;
  Text built;  // "2001-03"
  std::vector<Text> known;
  std::vector<Bench> bench;  // never empty
  std::array<std::optional<double>, rate_count> rates;
  std::array<std::optional<double>, cost_count> costs;
  std::vector<Reading> readings;
};

// Reads a job from the text of its file, which has to outlive nothing. Every fault goes to the report; nothing where
// the text has errors.
std::optional<Job> read(const SourceFile& file, FileId id, Report& report);

// The row of a reading as it stands in the file, without the dash: "{cavity: C1.12, colour: GN/WH, on: 2026-03-01}".
std::string row_text(const Reading& reading);

// The text of a job with one more row behind its last reading; all else stays byte for byte. Throws std::logic_error
// where the text is no job, or the row no reading.
std::string with_row(std::string_view text, std::string_view row);
// The same text with the last reading that counts (of the loom, not of the meter) marked as mistaken; unchanged where
// there is none. Throws likewise.
std::string without_last(std::string_view text);

}  // namespace loomproof::job
