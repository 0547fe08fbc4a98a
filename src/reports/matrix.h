// What differs in a place along one axis (eras, or the values of one option), as a matrix. Internal to the reports.
#pragma once
#include <string>
#include <vector>

#include "reports/entries.h"

namespace loomproof::reports {

enum class Step {
  same,       // as in the value before that was built
  changed,    // otherwise
  uncertain,  // otherwise, but one of the two is unknown or disputed: what is in the vehicle may be the same
};

struct MatrixRow {
  std::string item;                 // "part", "C1", "C1.12", "S3", "F2"
  std::string with;                 // the choice on the other axes for which it holds; "all"
  std::vector<std::string> values;  // one a value of the axis
  std::vector<Step> steps;          // likewise
  bool firing = false;
};

// What stands in `values` where a place holds nothing of the kind, and where nothing was built.
inline constexpr std::string_view not_there = "not there", not_built = "not built";

// One place in all cells. The view must outlive it.
class PlaceMatrix {
 public:
  PlaceMatrix(const FamilyView& view, Index place);

  // Only what differs. Choices on the other axes that say the same, as far as they were built, share a row.
  std::vector<MatrixRow> along(uint32_t axis) const;

 private:
  using EntryId = uint32_t;  // into entries_; 0: not there
  struct ItemState {
    std::string words;
    bool firing = false;  // in some cell
  };

  void number(const std::vector<Entries>& contents);
  bool is_one_everywhere(size_t item) const;
  MatrixRow row_of(size_t item, const std::vector<EntryId>& values) const;

  const FamilyView& view_;
  std::vector<ItemState> items_;                // in their order
  std::vector<Entry> entries_;                  // each text once
  std::vector<std::vector<EntryId>> contents_;  // by content, then by item
  std::vector<uint32_t> content_of_;            // by cell; none where it was not built
};

}  // namespace loomproof::reports
