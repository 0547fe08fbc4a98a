// Findings as text, JSON and SARIF 2.1.0. Pure functions: the same findings give the same bytes.
#pragma once
#include <string>
#include <vector>

#include "diag/report.h"

namespace loomproof {

struct TextStyle {
  bool colour = false;  // ANSI colours; the caller looks at the tty and at NO_COLOR
  int width = 80;       // columns; long source lines are cut around the span, marked with "…"
};

// One finding after another, a blank line between them.
std::string render_text(const std::vector<Finding>& findings, const Sources& sources, const TextStyle& style);

// A fix that was made.
struct AppliedFix {
  Rule rule{};
  std::string path;       // as findings show it
  LineColumn begin, end;  // before it was made
  std::string was, now;   // the bytes there
};

// {"findings": [{rule, severity, message, path, line, column, endLine, endColumn, label, related[], help[], fixes[]}],
//  "summary": {errors, warnings, notes, files}}. Lines and columns count from 1, columns in bytes; the end is one past
// the last byte. `path` and the four places are null for a finding about the corpus as a whole. related[]: the same
// places and `message`; fixes[]: the same places, `text` and `certain`. Where fixes were made (`applied` is given),
// "applied": [{rule, path, line, column, endLine, endColumn, was, now}] stands first.
std::string render_json(const std::vector<Finding>& findings, const Sources& sources,
                        const std::vector<AppliedFix>* applied = nullptr);

// What a SARIF log tells beside findings: notes of kinds that are no rules of the registry, and no fault.
struct RemarkKind {
  std::string_view id, summary;  // as of a rule
};
struct Remark {
  size_t kind = 0;  // into Remarks::kinds
  std::string message;
  std::string path;   // a file; empty: it stands in none
  uint32_t line = 0;  // 0: in no line of it
  std::string name;   // what it is about, from the outermost: "croft/CHASSIS-LOOM/RACK-POS"; may be empty
  double rank = 0;    // 0 to 100, the highest for what matters most
};
struct Remarks {
  std::vector<RemarkKind> kinds;
  std::vector<Remark> rows;
};

// SARIF 2.1.0 (OASIS standard, 27 March 2020): one run, every rule and kind listed, columns in UTF-16 code units.
std::string render_sarif(const std::vector<Finding>& findings, const Sources& sources, std::string_view program_version,
                         const Remarks& remarks = {});

// "3 errors, 1 note in 2 files"; "no findings".
std::string summary_line(const std::vector<Finding>& findings);

// Terminal control characters, characters that are not seen, and bad UTF-8 made visible (`\x1B`, `\u{202E}`); a tab
// becomes a space. Used for everything that comes from a corpus and goes to a terminal.
std::string printable(std::string_view text);

}  // namespace loomproof
