// What a family compiles to for people and spreadsheets: pinout tables, differences, coverage, and a page that leads to
// them. Pure functions from family tables to text: no files, no clock, no locale; the same family gives the same bytes.
// Of a family that passed `check`; of any other they still end, and say no more than its tables do.
//
// Below the folder that everything is written to (paths use '/'; every name is of [a-z0-9._-] and at most 119 bytes):
//   index.md                                    every family
//   FAMILY/index.md                             one family: eras, options, and links to all that follows
//   FAMILY/pinouts/PLACE-CONNECTOR--CELLS.md    one a connector and variant, and the same as .csv
//   FAMILY/differences/eras.md                  a matrix of what differs (.csv) and the declared changes
//   (.changes.csv); FAMILY/differences/option-OPTION.md         likewise for each option whose values anybody compares
//   FAMILY/coverage.md                          what is known and what it rests on, and the same as .csv
//   FAMILY/sheets/PLACE--CELLS.svg              (not written here) a loom on paper, with all its variants
//   FAMILY/sheets/PLACE--between-eras.svg       (not written here) what differs in a place
//   FAMILY/page.html                            (not written here) all of it on one page, for a browser
//   packs/FAMILY.loompack                       (not written here)
#pragma once
#include <string>
#include <string_view>
#include <vector>

#include "family/family.h"

namespace loomproof {

struct ReportFile {
  std::string path, bytes;
};

// The folder of a family, also the name of its pack.
std::string family_folder(const Family& family);

// A sheet on paper that the family's page leads to; written by who makes it.
struct SheetLink {
  std::string what, title, path;  // "Looms"; "CHASSIS-LOOM in era c"; below the family's folder
};

// `page_name`: of the page for a browser; none where it is not written.
std::vector<ReportFile> family_reports(const Family& family, const std::vector<SheetLink>& sheets = {},
                                       std::string_view page_name = {});

struct FamilySummary {
  std::string folder, title, eras;  // eras: "a, b, c, d"
  size_t parts = 0, cells = 0, tables = 0;
  std::string page, pack;  // paths
  size_t pack_bytes = 0;
};
// tables: taken from what family_reports() gave; page and pack are left to the caller.
FamilySummary family_summary(const Family& family, const std::vector<ReportFile>& reports);

// index.md
ReportFile corpus_index(std::string_view title, const std::vector<FamilySummary>& families);

}  // namespace loomproof
