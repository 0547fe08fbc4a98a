// What a page is made of, section by section. Internal to the page.
#pragma once
#include <string>
#include <vector>

#include "layout/display.h"
#include "layout/sheet.h"
#include "page/markup.h"
#include "reports/pinout.h"

namespace loomproof::page {

// Places on the page that links lead to. The names of pinout tables are taken as they are; the others differ from
// those by a dot, which no such name has before its first "--".
class Anchors {
 public:
  Anchors(const reports::FamilyView& view, const reports::PinoutPages& pages);
  const std::string& of_part(Index part) const { return parts_[part]; }
  const std::string& of_connector(Index connector) const { return connectors_[connector]; }

 private:
  std::vector<std::string> parts_, connectors_;
};

struct Content {
  const reports::FamilyView& view;
  const reports::PinoutPages& pages;
  const Anchors& anchors;
  const layout::Measure& measure;
};

// The pinout tables of one part: positions in all() of PinoutPages, by connector.
struct PartPages {
  Index part = none;
  std::vector<std::vector<Index>> connectors;
};
std::vector<PartPages> pages_by_part(const Content& content);

void write_cautions(const Content& content, Markup& out);
void write_contents(const Content& content, Markup& out);
void write_builds(const Content& content, Markup& out);
void write_parts(const Content& content, Markup& out);
void write_differences(const Content& content, Markup& out);
void write_coverage(const Content& content, Markup& out);
void write_sources(const Content& content, Markup& out);

// One view of a face as a figure; `words` are its caption. Says so where it cannot be drawn.
void write_face(const Content& content, const layout::Face& face, View view, std::string_view words, Markup& out);
// "all that were built" where it is all.
std::string holds_in(const reports::FamilyView& view, const CellSet& cells);

}  // namespace loomproof::page
