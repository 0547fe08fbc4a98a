// A place holds one part in each built vehicle, unless it may be empty or nobody has recorded it.
#include "checks/all.h"

namespace loomproof::checks {

void place_filled(const Judged& in, Report& report) {
  const Family& family = in.family;
  for (Index place = 0; place < family.places.size(); ++place) {
    report.judged(Rule::place_filled_twice);
    report.judged(Rule::place_empty);
    CellSet filled;
    const std::span<const Index> parts = in.index.parts_in(place);
    for (Index part : parts) {
      const CellSet& cells = family.set(family.parts[part].cells);
      for (Index other : parts) {
        if (other == part) break;
        CellSet both = cells & family.set(family.parts[other].cells) & in.built;
        if (!both.empty())
          report
              .add<Rule::place_filled_twice>(in.spans.parts[part], in.place_id(place), in.part_id(other),
                                             in.part_id(part), in.cells_words(both))
              .label(in.spans.parts[other], "the other part");
      }
      filled |= cells;
    }
    const Place& row = family.places[place];
    CellSet hole = (family.set(row.cells) & in.built) - filled;
    if (!hole.empty() && !row.optional && !row.undocumented)
      report.add<Rule::place_empty>(in.spans.places[place], in.place_id(place), in.cells_words(hole))
          .help("limit the place with `eras` or `with`, or say `optional: true` or `undocumented: true`");
  }
}

}  // namespace loomproof::checks
