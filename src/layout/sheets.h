// What the sheets of a family say: a connector, a loom or component with all its connectors, and what differs in a
// place. Plain text from the family's tables; `source` names the pack that it was taken from.
#pragma once
#include <set>
#include <string_view>
#include <vector>

#include "layout/sheet.h"
#include "reports/pinout_rows.h"

namespace loomproof::layout {

// The sheet of a connector in cells in which it is the same.
Sheet pinout_sheet(const reports::FamilyView& view, Index connector, const reports::Pinout& pinout,
                   std::string_view source);

// All connectors of a part in some of its built cells, its splices, earth points and leads; a connector that differs
// between the cells once for each of its variants.
Sheet part_sheet(const reports::FamilyView& view, Index part, const CellSet& cells, std::string_view source);

// To check plugs by eye before any meter: both faces, what each cavity should hold, boxes to tick and room for what is
// seen. What may fire is looked at from outside only, and has no boxes at its cavities.
Sheet plug_check_sheet(const reports::FamilyView& view, Index connector, const reports::Pinout& pinout,
                       std::string_view source);
Sheet plug_check_sheet(const reports::FamilyView& view, Index part, const CellSet& cells, std::string_view source);

// What differs in a place along one axis (0: eras; n: option n-1), why, and which cavities moved. Without blocks where
// nothing differs.
Sheet difference_chart(const reports::FamilyView& view, Index place, uint32_t axis, std::string_view source);

// Of such a chart the matrix, and for each two values the changes declared between them with the faces of what moved.
std::vector<Block> differences(const reports::FamilyView& view, Index place, uint32_t axis);

// The splices, earth points and leads of a part in some of its built cells: those tables that have rows. Adds the
// sources of their rows.
std::vector<SheetTable> joints(const reports::FamilyView& view, Index part, const CellSet& cells,
                               std::set<Index>& sources);

// The face of a connector in the cells of a pinout; without cavities where the housing is not known.
Face face_of(const reports::FamilyView& view, Index connector, const reports::Pinout& pinout);
// The rows of a pinout as a table.
SheetTable pinout_table(const Family& family, const reports::Pinout& pinout);

}  // namespace loomproof::layout
