// Pinout pages: one table a connector and variant. Internal to the reports.
#pragma once
#include <string>
#include <vector>

#include "reports/pinout_rows.h"

namespace loomproof::reports {

struct PinoutPage {
  Index connector = none;
  Pinout pinout;
  std::string name;  // of its files, without extension
};

// Every connector of every part that was built; by place, and within a part by designator as people count.
class PinoutPages {
 public:
  explicit PinoutPages(const FamilyView& view);
  const std::vector<PinoutPage>& all() const { return pages_; }
  // Positions in all(), of one connector.
  std::span<const Index> of(Index connector) const { return of_connector_.of(connector); }

 private:
  std::vector<PinoutPage> pages_;
  Lists of_connector_;
};

// The connectors of a part, as people count.
std::vector<Index> connectors_of(const FamilyView& view, Index part);
// The parts, place by place.
std::vector<Index> parts_by_place(const Family& family);

std::string pinout_markdown(const FamilyView& view, const PinoutPages& pages, const PinoutPage& page);
std::string pinout_csv(const FamilyView& view, const PinoutPage& page);
// Whether a probe must keep away from it.
bool is_dangerous(const FamilyView& view, const PinoutPage& page);

}  // namespace loomproof::reports
