// A pinout table in CSV as rows of the corpus would say it: names found, colours and sizes in the corpus's terms. What
// cannot be read without doubt is a problem at its place in the table, and its row is left out.
#pragma once
#include <optional>
#include <set>
#include <string>
#include <vector>

#include "upkeep/colour_words.h"
#include "upkeep/csv.h"
#include "upkeep/headings.h"

namespace loomproof::upkeep {

// What the rows of a table may name.
struct TableNames {
  struct Circuit {
    std::string id, title;
  };
  std::vector<Circuit> circuits;
  std::set<std::string> colours;      // codes
  std::set<std::string> sources;      // ids
  std::vector<Quantity> nominal_mm2;  // thousandths, ascending
};

struct TableOptions {
  PartKind kind = PartKind::loom;
  std::string family, part;  // ids that the table must not contradict
  std::string connector;     // where the table has no column for it; else its rows alone are read
  std::string source;        // of rows that name none
  std::string file_source;   // where that is empty: what the part's file rests on, as `source` columns have it
  std::string cells;         // the words for where it is to hold, which the table must not contradict; empty: not asked
  ColourKey colours;
  std::vector<std::string> ignored;  // headings of columns that are left aside
};

struct Citation {
  std::vector<std::string> of;  // ids
  bool independent = false;
  bool operator==(const Citation&) const = default;
};

// What one row says of one cavity.
struct PinSaid {
  TextPlace place;                // of the cavity
  std::string connector, cavity;  // "C1", "12"
  State state{};                  // never disputed
  bool open = false;              // of a component: empty, and a contact that is connected to nothing inside
  // of a wired one
  std::string circuit, to;  // ids; no `to`: the table does not say
  ColourRead colour;
  Quantity mm2 = not_given, volts = not_given, amps = not_given;
  int32_t length_mm = not_given;
  Role role{};
  bool double_crimp = false;
  std::string spare;  // why it may end dead
  uint32_t marks = 0;
  Citation citation;

  std::string end() const { return connector + "." + cavity; }
};

struct TableProblem {
  TextPlace place;
  std::string text;                 // with the heading of its column
  std::vector<std::string> may_be;  // what it may mean
  std::string help;
};

struct PinoutTable {
  char separator = ',';
  size_t rows = 0, other_connectors = 0;  // in the table; of other connectors than the one asked for
  Headings headings;
  std::vector<PinSaid> said;
  std::vector<TableProblem> problems;
  std::vector<std::string> notes;  // what was done that is not plain to see, each once
};

// The fault is one that leaves no table to speak of.
std::optional<CsvFault> read_pinout(std::string_view bytes, char separator, const TableNames& names,
                                    const TableOptions& options, PinoutTable& out);

// "BK or BU", "a, b or c"
std::string either_words(const std::vector<std::string>& items);

}  // namespace loomproof::upkeep
