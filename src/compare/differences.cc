#include "compare/differences.h"

#include "compare/classify.h"

namespace loomproof {
namespace {

using namespace compare;

void compare_parts(const Side& left, const Side& right, std::vector<Difference>& found) {
  std::set<Index> circuits;
  left.collect(circuits, right);
  right.collect(circuits, left);
  std::vector<Difference> of_part;
  const std::vector<Strand> before = left.strands(circuits);
  const Analysis analysis = analyse(left.family(), before, right.strands(circuits));
  of_part = classify_strands(left, right, before, analysis);

  std::set<ThingKey> things;
  left.collect(things, right);
  right.collect(things, left);
  const PointMap moves = pin_moves(before, analysis.left);
  for (const ThingDifference& thing : thing_differences(left, right, moves, things))
    of_part.push_back(classify_thing(left, thing));
  sort_differences(of_part);
  found.insert(found.end(), of_part.begin(), of_part.end());
}

}  // namespace

std::vector<Difference> differences(const FamilyIndex& index, uint32_t left_cell, uint32_t right_cell) {
  std::vector<Difference> found;
  for (Index place = 0; place < index.family().places.size(); ++place) {
    compare_place(index, place, left_cell, right_cell, found);
    const Index part = index.part_in(place, left_cell);
    if (part == none || part != index.part_in(place, right_cell)) continue;
    compare_parts(Side(index, part, left_cell), Side(index, part, right_cell), found);
  }
  return found;
}

std::vector<Difference> differences(const FamilyIndex& index, Index left_part, uint32_t left_cell, Index right_part,
                                    uint32_t right_cell) {
  std::vector<Difference> found;
  const Side left(index, left_part, left_cell);
  compare_parts(left, Side(index, right_part, right_cell, left), found);
  return found;
}

std::vector<Difference> differences(const Family& family, uint32_t left_cell, uint32_t right_cell) {
  return differences(FamilyIndex(family), left_cell, right_cell);
}

std::vector<Difference> differences(const Family& family, Index left_part, uint32_t left_cell, Index right_part,
                                    uint32_t right_cell) {
  return differences(FamilyIndex(family), left_part, left_cell, right_part, right_cell);
}

}  // namespace loomproof
