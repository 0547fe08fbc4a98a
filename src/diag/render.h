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

std::string render_text(const std::vector<Finding>& findings, const Sources& sources, const TextStyle& style);
std::string render_json(const std::vector<Finding>& findings, const Sources& sources);
std::string render_sarif(const std::vector<Finding>& findings, const Sources& sources,
                         std::string_view program_version);

// Terminal control characters and bad UTF-8 made visible; used for everything that comes from a corpus.
std::string printable(std::string_view text);

}  // namespace loomproof
