// A pinout sheet on paper.
#include "sheet.h"

#include <fmt/format.h>
#include <sys/stat.h>
#include <unistd.h>

#include <algorithm>
#include <cstdio>
#include <cstdlib>

#include "answer.h"
#include "draw/draw.h"
#include "layout/sheet.h"
#include "source/files.h"

namespace loomproof::bench {
namespace {

bool ends_with(std::string_view text, std::string_view end) {
  return text.size() > end.size() && text.substr(text.size() - end.size()) == end;
}

// Aside first, so that the name never stands for half a sheet.
void write_whole(const std::string& path, const std::string& bytes) {
  std::string aside = path + ".XXXXXX";
  const int file = ::mkstemp(aside.data());
  if (file < 0) throw EnvironmentError(path + ": cannot write there");
  bool written = ::fchmod(file, 0644) == 0;
  for (size_t at = 0; written && at < bytes.size();) {
    const ssize_t now = ::write(file, bytes.data() + at, bytes.size() - at);
    written = now > 0;
    if (written) at += static_cast<size_t>(now);
  }
  written = ::close(file) == 0 && written;
  if (written && std::rename(aside.c_str(), path.c_str()) == 0) return;
  ::unlink(aside.c_str());
  throw EnvironmentError(path + ": cannot write it");
}

}  // namespace

void make_sheet(const Scope& scope, const SheetChoice& choice, std::string_view checksum) {
  const auto paper = layout::paper_named(choice.paper);
  if (!paper) throw UsageError(fmt::format("no paper \"{}\"; there is A4, A3, Letter", choice.paper));
  const bool svg = ends_with(choice.out, ".svg");
  if (!svg && !ends_with(choice.out, ".pdf"))
    throw UsageError(fmt::format("--out takes a name that ends in .svg or .pdf, not \"{}\"", choice.out));
  const Target target = parse_target(scope.family(), choice.what);
  if (target.designator.empty() || !target.cavity.empty())
    throw UsageError(fmt::format("a sheet is of a connector, as in PLACE.C1, not of \"{}\"", choice.what));
  CellSet there;
  std::vector<Index> connectors;
  for (uint32_t cell : scope.cells().cells()) {
    const Index connector = connector_in(scope, target, cell);
    if (connector == none) continue;
    there.insert(cell);
    if (std::find(connectors.begin(), connectors.end(), connector) == connectors.end()) connectors.push_back(connector);
  }
  if (connectors.empty()) throw UsageError(no_connector(scope, target));
  const reports::FamilyView view(scope.family());
  std::vector<std::pair<Index, reports::Pinout>> found;
  std::string names;
  for (Index connector : connectors)
    for (reports::Pinout& pinout : reports::pinouts_of(view, connector)) {
      if (!pinout.cells.meets(there)) continue;
      names += fmt::format("{}{}", names.empty() ? "" : "; ", view.cells_words(pinout.cells));
      found.emplace_back(connector, std::move(pinout));
    }
  if (found.size() != 1)
    throw UsageError(
        fmt::format("{} has {} variants there, choose by --era and --with: {}", choice.what, found.size(), names));
  const auto measure = draw::make_measure();
  const layout::Sheet sheet =
      layout::pinout_sheet(view, found[0].first, found[0].second, fmt::format("pack {}", checksum));
  const layout::Display display = layout::place(sheet, *paper, *measure);
  write_whole(choice.out, svg ? draw::to_svg(display) : draw::to_pdf(display));
}

}  // namespace loomproof::bench
