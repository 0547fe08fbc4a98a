// What a file says, in one cell, of what a row of a table says. Private to src/upkeep.
#pragma once
#include <map>
#include <string>
#include <utility>
#include <vector>

#include "nets/cavities.h"
#include "upkeep/take_in.h"

namespace loomproof::upkeep {

// An end of a wire, or the cavity of a row, as the part has it.
struct EndFound {
  Index connector = none, joint = none;  // of a cavity; the point of a splice, an earth point, a lead
  Str number = 0;
  bool is_cavity() const { return connector != none; }
};

// A row of the table whose names the part has; a wire once, whichever of its ends the table lists.
struct SaidRow {
  PinSaid said;
  EndFound at, to;
  bool leads = false, refused = false;  // leads: `to` is known; refused: it has a problem
};

// open: the file does not say.
enum class Against : uint8_t { open, agrees, differs };
struct Found {
  Against against = Against::open;
  std::string words;  // of a difference: what the file says
  Span there;
  Index wire = none, pin = none;    // of an agreement
  std::vector<Index> unknown_rows;  // of what is open: cavity rows that say so
};

class FileSays {
 public:
  // rows: all of the table, for wires of which it says that they are double crimps; they outlive this.
  FileSays(const TakeInto& into, const FamilyIndex& index, const std::vector<SaidRow>& rows);

  Found of(const SaidRow& row, uint32_t cell) const;

 private:
  bool is_loom() const { return family_.parts[into_.part].kind == PartKind::loom; }
  Found of_wire(const SaidRow& row, uint32_t cell, const Cavity& cavity) const;
  Found of_pin(const SaidRow& row, const Cavity& cavity) const;
  Found compare_wire(const SaidRow& row, Index wire) const;
  Found nothing_else(const PinSaid& said, const Cavity& cavity, const std::string& end) const;
  Found open_at(const Cavity& cavity, const std::string& end) const;
  Found other(const Cavity& cavity, const std::string& end) const;
  bool is_double(Index wire) const;
  Span row_of(const Cavity& cavity) const;

  const TakeInto& into_;
  const Family& family_;
  const FamilyIndex& index_;
  std::map<std::pair<std::string, std::string>, const SaidRow*> doubles_;  // by both ends, either way round
};

}  // namespace loomproof::upkeep
