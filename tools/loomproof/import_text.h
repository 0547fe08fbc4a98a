// What an import did, and did not do, as text and as JSON.
#pragma once
#include <string>

#include "compile/compile.h"
#include "upkeep/take_in.h"

namespace loomproof::tool {

struct ImportTold {
  const std::string& table;   // the path of the table
  const std::string& corpus;  // the folder
  const std::string& family;
  const Compiled& compiled;  // for the places of conflicts
  const upkeep::PinoutTable& read;
  const upkeep::TakenIn& taken;
  std::string part;      // "loom pump"
  std::string diff;      // empty: no change
  size_t left_out = 0;   // rows that cannot be taken in
  bool stopped = false;  // by those
  bool written = false;
};

// Rows of the table with at least one problem.
size_t rows_not_understood(const upkeep::PinoutTable& read, const upkeep::TakenIn& taken);

std::string import_text(const ImportTold& told);
std::string import_json(const ImportTold& told);

}  // namespace loomproof::tool
