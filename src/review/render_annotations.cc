// Workflow commands as forges document them for their runners.
#include <fmt/format.h>

#include "diag/render.h"
#include "review/render.h"
#include "review/told.h"

namespace loomproof::review {
namespace {

// What would end a message: a line end, and the sign that escapes.
std::string escaped_message(std::string_view text) {
  std::string out;
  for (const char c : text) {
    if (c == '%')
      out += "%25";
    else if (c == '\r')
      out += "%0D";
    else if (c == '\n')
      out += "%0A";
    else
      out += c;
  }
  return out;
}

// In a property also what ends that.
std::string escaped_property(std::string_view text) {
  std::string out;
  for (const char c : escaped_message(text)) {
    if (c == ':')
      out += "%3A";
    else if (c == ',')
      out += "%2C";
    else
      out += c;
  }
  return out;
}

std::string_view command_of(const Review& review, const Told& line) {
  if (line.telling == Telling::family && review.families[line.family].status == Status::not_compared) return "error";
  if (line.telling != Telling::finding) return "notice";
  const std::string& severity = review.findings[line.row].severity;
  return severity == "note" ? std::string_view("notice") : std::string_view(severity);
}

// Relative to where the command was run, which at a forge is the top folder.
std::string place_of(const Where& where) {
  std::string_view path = where.is_base ? where.in_head : where.path;
  if (path.empty()) return "";
  if (path.starts_with("./")) path.remove_prefix(2);
  const std::string file = fmt::format("file={},", escaped_property(path));
  return where.is_base ? file : fmt::format("{}line={},col={},", file, where.line, where.column);
}

}  // namespace

std::string render_annotations(const Review& review) {
  std::string out;
  for (const Told& line : told(review)) {
    if (!is_news(review, line)) continue;
    const std::string& title = line.telling == Telling::finding ? review.findings[line.row].rule : line.name;
    out += fmt::format("::{} {}title={}::{}\n", command_of(review, line), line.where ? place_of(*line.where) : "",
                       escaped_property(printable(title)), escaped_message(printable(line.words)));
  }
  return out;
}

}  // namespace loomproof::review
