// An unknown plug told by its looks: all recorded plugs that look so, best first.
#pragma once
#include <string>
#include <vector>

#include "identify/sheet.h"

namespace loomproof::identify {

struct PlugLooks {  // what was seen; empty or nought: not looked at
  uint32_t ways = 0, rows = 0;
  std::string housing;  // an id
  std::string key;      // words of the key or coding, of the housing's title or colour; all have to be there
  std::vector<std::string> colours;  // of the wires in it, in any order: "RD", "GN/WH"
};

struct PlugMatch {
  Index connector = none;
  CellSet cells;  // in which it looks so
  Index housing = none;
  uint32_t ways = 0, rows = 0;
  uint32_t wires = 0;
  std::vector<std::string> found, near, missing;  // of the colours asked for; near: taken for one of its own when faded
  bool may_fire = false;                          // it may carry a firing circuit: nobody is to probe it
};

// Those whose ways, rows, housing and key agree; by how many of the colours they have, then by how few other wires.
std::vector<PlugMatch> plugs_like(const FamilyIndex& index, const PlugLooks& looks);

// How many rows its cavities stand in, as drawn; nought for a round one, or where positions are not recorded.
uint32_t rows_of(const Family& family, Index housing);

}  // namespace loomproof::identify
