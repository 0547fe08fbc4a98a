// Sheets on paper: a connector, a place with all its connectors, what differs in a place.
#include "sheet.h"

#include <fmt/format.h>
#include <sys/stat.h>
#include <unistd.h>

#include <algorithm>
#include <cstdio>
#include <cstdlib>

#include "answer.h"
#include "draw/draw.h"
#include "layout/sheets.h"
#include "nets/variants.h"
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

bool is_svg(std::string_view out) {
  return ends_with(out, ".svg");
}

// What was found for several sets of cells, where one was wanted.
[[noreturn]] void refuse_variants(std::string_view what, const std::vector<std::string>& names) {
  std::string all;
  for (const std::string& name : names) all += fmt::format("{}{}", all.empty() ? "" : "; ", name);
  throw UsageError(fmt::format("{} has {} variants there, choose by --era and --with: {}", what, names.size(), all));
}

layout::Sheet connector_sheet(const Scope& scope, const Target& target, const SheetChoice& choice,
                              const std::string& source) {
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
  std::vector<std::string> names;
  for (Index connector : connectors)
    for (reports::Pinout& pinout : reports::pinouts_of(view, connector)) {
      if (!pinout.cells.meets(there)) continue;
      names.push_back(view.cells_words(pinout.cells));
      found.emplace_back(connector, std::move(pinout));
    }
  if (found.size() != 1) refuse_variants(choice.what, names);
  const auto& [connector, pinout] = found[0];
  return choice.plug_check ? layout::plug_check_sheet(view, connector, pinout, source)
                           : layout::pinout_sheet(view, connector, pinout, source);
}

layout::Sheet whole_sheet(const Scope& scope, const Target& target, const SheetChoice& choice,
                          const std::string& source) {
  const Family& family = scope.family();
  const reports::FamilyView view(family);
  std::vector<Variant> found;
  std::vector<std::string> names;
  for (Index part = 0; part < family.parts.size(); ++part) {
    const Part& row = family.parts[part];
    if (target.place != none ? row.place != target.place : family.text(row.id) != target.part_id) continue;
    for (Variant& variant : variants(family, part)) {
      if (!variant.cells.meets(scope.cells())) continue;
      names.push_back(view.cells_words(variant.cells));
      found.push_back(std::move(variant));
    }
  }
  if (found.empty()) throw UsageError(fmt::format("{} holds nothing there", choice.what));
  if (found.size() != 1) refuse_variants(choice.what, names);
  return choice.plug_check ? layout::plug_check_sheet(view, found[0].part, found[0].cells, source)
                           : layout::part_sheet(view, found[0].part, found[0].cells, source);
}

uint32_t axis_named(const Family& family, const std::string& name) {
  if (name == "eras") return 0;
  std::vector<std::string_view> known{"eras"};
  for (uint32_t option = 0; option < family.options.size(); ++option) {
    known.push_back(family.text(family.options[option].id));
    if (known.back() == name) return option + 1;
  }
  unknown("option", name, known);
}

layout::Sheet chart(const Scope& scope, const Target& target, const SheetChoice& choice, const std::string& source) {
  if (target.place == none)
    throw UsageError(fmt::format("what differs is told of a place, as in CHASSIS-LOOM, not of \"{}\"", choice.what));
  const uint32_t axis = axis_named(scope.family(), choice.between);
  const layout::Sheet sheet = layout::difference_chart(reports::FamilyView(scope.family()), target.place, axis, source);
  if (sheet.blocks.empty())
    throw UsageError(fmt::format("nothing differs between {} in {}", choice.between, choice.what));
  return sheet;
}

}  // namespace

void check_sheet_choice(std::string_view paper, std::string_view out) {
  if (!layout::paper_named(paper)) throw UsageError(fmt::format("no paper \"{}\"; there is A4, A3, Letter", paper));
  if (!is_svg(out) && !ends_with(out, ".pdf"))
    throw UsageError(fmt::format("a sheet's name ends in .svg or .pdf, not as \"{}\"", out));
}

void write_sheet(const layout::Sheet& sheet, std::string_view paper, const std::string& out) {
  check_sheet_choice(paper, out);
  std::string bytes;
  try {
    const auto measure = draw::make_measure();
    const layout::Display display = layout::place(sheet, *layout::paper_named(paper), *measure);
    bytes = is_svg(out) ? layout::to_svg(display) : draw::to_pdf(display);
  } catch (const draw::FontMissing& fault) {
    throw EnvironmentError(fault.what());
  }
  write_whole(out, bytes);
}

void make_sheet(const Scope& scope, const SheetChoice& choice, std::string_view checksum) {
  check_sheet_choice(choice.paper, choice.out);
  const Target target = parse_target(scope.family(), choice.what);
  if (!target.cavity.empty())
    throw UsageError(fmt::format("a sheet is of a place or a connector, as in PLACE.C1, not of \"{}\"", choice.what));
  const std::string source = fmt::format("pack {}", checksum);
  if (!choice.between.empty()) {
    if (choice.plug_check) throw UsageError("--between and --plug-check are two sheets: take one");
    if (!target.designator.empty())
      throw UsageError(fmt::format("what differs is told of a place, as in CHASSIS-LOOM, not of \"{}\"", choice.what));
    write_sheet(chart(scope, target, choice, source), choice.paper, choice.out);
  } else {
    write_sheet(target.designator.empty() ? whole_sheet(scope, target, choice, source)
                                          : connector_sheet(scope, target, choice, source),
                choice.paper, choice.out);
  }
}

}  // namespace loomproof::bench
