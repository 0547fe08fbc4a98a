#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <iterator>
#include <set>

#include "diag/excerpt.h"
#include "diag/render.h"

namespace loomproof {
namespace {

constexpr size_t number_width = 6;  // columns of a line number
constexpr size_t gutter = number_width + 2;
constexpr size_t least_width = 20;  // of a source line, however narrow the terminal

// ANSI (ECMA-48) select graphic rendition.
enum class Paint { none, bold, red, yellow, blue, cyan, dim };

constexpr std::array<std::string_view, 7> paint_codes{"",           "\x1b[1m",  "\x1b[1;31m", "\x1b[1;33m",
                                                      "\x1b[1;34m", "\x1b[36m", "\x1b[2m"};

Paint paint_of(Severity severity) {
  switch (severity) {
    case Severity::error:
      return Paint::red;
    case Severity::warning:
      return Paint::yellow;
    case Severity::note:
      return Paint::blue;
  }
  return Paint::none;
}

class TextRenderer {
 public:
  TextRenderer(const Sources& sources, const TextStyle& style) : sources_(sources), style_(style) {}

  void add(const Finding& finding) {
    if (!out_.empty()) out_ += '\n';
    const Paint paint = paint_of(finding.severity);
    if (finding.span.known()) out_ += painted(Paint::bold, place(finding.span)) + ": ";
    out_ += painted(paint, fmt::format("{}[{}]", severity_word(finding.severity), rule_info(finding.rule).id));
    out_ += ": " + painted(Paint::bold, printable(finding.message)) + '\n';
    draw(finding.span, paint, finding.label);
    for (const Label& related : finding.related) add_related(related);
    for (const std::string& help : finding.help) add_hint("help", printable(help));
    for (const Fix& fix : finding.fixes) add_hint("edit", edit_words(finding, fix));
  }

  std::string take() { return std::move(out_); }

 private:
  std::string painted(Paint paint, std::string_view text) const {
    if (!style_.colour || paint == Paint::none) return std::string(text);
    return fmt::format("{}{}\x1b[0m", paint_codes[static_cast<size_t>(paint)], text);
  }

  std::string place(const Span& span) const {
    const SourceFile& file = sources_.file(span.file);
    const LineColumn at = file.at(span.begin);
    return fmt::format("{}:{}:{}", printable(file.path()), at.line, at.column);
  }

  void draw(const Span& span, Paint paint, std::string_view label) {
    // A file that was not read has no line to show.
    if (!span.known() || sources_.file(span.file).bytes().empty()) return;
    const auto wanted = static_cast<size_t>(std::max(style_.width, 0));
    const size_t width = wanted > gutter + least_width ? wanted - gutter : least_width;
    const auto lines = excerpt(sources_.file(span.file), span, width);
    for (size_t i = 0; i < lines.size(); ++i) {
      const ExcerptLine& line = lines[i];
      out_ += painted(Paint::dim, fmt::format("{:>{}}", line.number, number_width)) + "  " + line.text + '\n';
      std::string under(line.underline_width, '~');
      if (i + 1 == lines.size() && !label.empty()) under += ' ' + printable(label);
      out_ += std::string(gutter + line.underline_from, ' ') + painted(paint, under) + '\n';
    }
  }

  void add_related(const Label& related) {
    add_hint("also here", fmt::format("{}: {}", place(related.span), printable(related.text)));
    draw(related.span, Paint::cyan, "");
  }

  void add_hint(std::string_view what, std::string_view text) {
    out_ += "  " + painted(Paint::cyan, fmt::format("{}:", what)) + ' ';
    out_ += text;
    out_ += '\n';
  }

  std::string edit_words(const Finding& finding, const Fix& fix) const {
    const std::string text = printable(fix.text);
    const std::string where =
        fix.span == finding.span || !fix.span.known() ? "" : fmt::format(" at {}", place(fix.span));
    if (fix.text.empty()) return fmt::format("leave it out{}", where);
    if (fix.span.begin == fix.span.end) return fmt::format("put `{}` here{}", text, where);
    return fix.certain ? fmt::format("write `{}`{}", text, where) : fmt::format("did you mean `{}`?{}", text, where);
  }

  const Sources& sources_;
  TextStyle style_;
  std::string out_;
};

std::string counted(size_t count, std::string_view one) {
  return fmt::format("{} {}{}", count, one, count == 1 ? "" : "s");
}

}  // namespace

std::string render_text(const std::vector<Finding>& findings, const Sources& sources, const TextStyle& style) {
  TextRenderer renderer(sources, style);
  for (const Finding& finding : findings) renderer.add(finding);
  return renderer.take();
}

std::string summary_line(const std::vector<Finding>& findings) {
  if (findings.empty()) return "no findings";
  std::array<size_t, 3> counts{};
  std::set<FileId> files;
  for (const Finding& finding : findings) {
    ++counts[static_cast<size_t>(finding.severity)];
    if (finding.span.known()) files.insert(finding.span.file);
  }
  std::string line;
  for (const Severity severity : {Severity::error, Severity::warning, Severity::note}) {
    const size_t count = counts[static_cast<size_t>(severity)];
    if (count > 0) line += (line.empty() ? "" : ", ") + counted(count, severity_word(severity));
  }
  return files.empty() ? line : fmt::format("{} in {}", line, counted(files.size(), "file"));
}

}  // namespace loomproof
