// How a set of cells is named. A name is a list of boxes; a box gives a set of values for each axis. What counts is
// what a name denotes: the cells of the universe that lie in one of its boxes. Cells outside the universe are free, so
// a box may span them, but only values that the set itself has are ever written.
#include <fmt/format.h>

#include <algorithm>
#include <bitset>
#include <map>

#include "family/words.h"

namespace loomproof {
namespace {

using Values = std::bitset<max_cells>;  // of one axis
using Box = std::vector<Values>;        // one set of values an axis

class Namer {
 public:
  Namer(const Family& family, const CellSet& cells, const CellSet& universe)
      : planes_(family.axis_count()), steps_(family.axis_count()) {
    const uint32_t count = family.cell_count();
    for (uint32_t axis = 0; axis < planes_.size(); ++axis) {
      const uint32_t size = family.axis_size(axis);
      planes_[axis].resize(size);
      steps_[axis] = size > 1 ? family.with_coordinate(0, axis, 1) : 0;
      for (uint32_t cell = 0; cell < count; ++cell) planes_[axis][family.coordinate(cell, axis)].insert(cell);
    }
    const CellSet known = universe & CellSet::first(count);
    wanted_ = cells & known;
    unwanted_ = known - cells;
    whole_ = span(known);
  }

  // Boxes that together denote the wanted cells, in a settled order; none for the empty set.
  std::vector<Box> boxes() {
    std::vector<Box> found;
    for (const CellSet& piece : pieces(wanted_)) found.push_back(span(piece));
    return found;
  }
  // The box holds all that the universe has on the axis, so that the axis need not be named.
  bool free(const Box& box, uint32_t axis) const { return box[axis] == whole_[axis]; }

 private:
  using Pieces = std::vector<CellSet>;

  uint32_t axis_count() const { return static_cast<uint32_t>(planes_.size()); }
  uint32_t axis_size(uint32_t axis) const { return static_cast<uint32_t>(planes_[axis].size()); }

  // The smallest box around a set.
  Box span(const CellSet& cells) const {
    Box box(axis_count());
    for (uint32_t axis = 0; axis < axis_count(); ++axis)
      for (uint32_t value = 0; value < axis_size(axis); ++value)
        if (planes_[axis][value].meets(cells)) box[axis].set(value);
    return box;
  }

  // The box around the piece holds, of the universe, nothing that is not wanted.
  bool is_box(const CellSet& piece) const {
    CellSet caught = unwanted_;
    for (uint32_t axis = 0; axis < axis_count(); ++axis) {
      CellSet spanned;
      for (const CellSet& plane : planes_[axis])
        if (plane.meets(piece)) spanned |= plane;
      caught &= spanned;
    }
    return caught.empty();
  }

  // Parts a set into pieces that are boxes: along the axis that needs the fewest, the first of equals.
  const Pieces& pieces(const CellSet& cells) {
    if (const auto known = known_.find(cells); known != known_.end()) return known->second;
    Pieces best;
    if (!cells.empty() && is_box(cells)) best = {cells};
    for (bool merge : {true, false}) {  // merging can leave every axis whole; then the values are parted one by one
      for (uint32_t axis = 0; axis < axis_count() && !cells.empty() && best.size() != 1; ++axis) {
        Pieces parted = pieces_along(axis, cells, merge);
        if (!parted.empty() && (best.empty() || parted.size() < best.size())) best = std::move(parted);
      }
      if (!best.empty()) break;
    }
    return known_.emplace(cells, std::move(best)).first->second;
  }

  Pieces pieces_along(uint32_t axis, const CellSet& cells, bool merge) {
    Pieces parted;
    const Pieces slices = slice(cells, axis, merge);
    if (slices.size() < 2) return parted;
    for (const CellSet& one : slices) {
      const Pieces& inner = pieces(one);
      parted.insert(parted.end(), inner.begin(), inner.end());
    }
    return parted;
  }

  // One slice a value of the axis; where asked, values whose slices say the same about the other axes go together.
  Pieces slice(const CellSet& cells, uint32_t axis, bool merge) const {
    Pieces groups;
    for (const CellSet& plane : planes_[axis]) {
      const CellSet one = cells & plane;
      if (one.empty()) continue;
      bool joined = false;
      for (size_t i = 0; merge && !joined && i < groups.size(); ++i) {
        if (!alike(groups[i] | one, axis)) continue;
        groups[i] |= one;
        joined = true;
      }
      if (!joined) groups.push_back(one);
    }
    return groups;
  }

  // Whatever the group says about the other axes for one of its values on this axis may be said for all of them.
  bool alike(const CellSet& group, uint32_t axis) const {
    CellSet shadow;  // the group moved to value 0
    std::vector<uint32_t> values;
    for (uint32_t value = 0; value < axis_size(axis); ++value) {
      const CellSet slice = group & planes_[axis][value];
      if (!slice.empty()) values.push_back(value);
      for (uint32_t cell : slice.cells()) shadow.insert(cell - value * steps_[axis]);
    }
    for (uint32_t cell : shadow.cells())
      for (uint32_t value : values)
        if (unwanted_.has(cell + value * steps_[axis])) return false;
    return true;
  }

  std::vector<std::vector<CellSet>> planes_;  // by axis and value: the cells that have it
  std::vector<uint32_t> steps_;               // by axis: from one value to the next
  CellSet wanted_, unwanted_;                 // together the universe
  Box whole_;
  std::map<CellSet, Pieces> known_;
};

std::string_view value_id(const Family& family, uint32_t axis, uint32_t value) {
  if (axis == 0) return family.text(family.eras[value].id);
  return family.text(family.option_values[family.options[axis - 1].values.first + value].id);
}

std::vector<uint32_t> list(const Values& values, uint32_t size) {
  std::vector<uint32_t> found;
  for (uint32_t value = 0; value < size; ++value)
    if (values.test(value)) found.push_back(value);
  return found;
}

using Spell = std::string (*)(std::string_view id);

std::string as_is(std::string_view id) {
  return std::string(id);
}

// An id within a file name: dots and underscores are kept for what joins ids.
std::string file_word(std::string_view id) {
  std::string slug;
  for (char c : id) {
    const bool upper = c >= 'A' && c <= 'Z';
    const bool plain = (c >= 'a' && c <= 'z') || (c >= '0' && c <= '9');
    slug += upper ? static_cast<char>(c - 'A' + 'a') : plain ? c : '-';
  }
  return slug;
}

// Neighbours in the declared order become a range, "a..c"; the rest is a list.
std::string ranges(const Family& family, uint32_t axis, const std::vector<uint32_t>& values, Spell spell,
                   std::string_view to, std::string_view separator) {
  std::string text;
  for (size_t first = 0; first < values.size();) {
    size_t last = first;
    while (last + 1 < values.size() && values[last + 1] == values[last] + 1) ++last;
    if (!text.empty()) text += separator;
    text += spell(value_id(family, axis, values[first]));
    if (last > first) text.append(to).append(spell(value_id(family, axis, values[last])));
    first = last + 1;
  }
  return text;
}

std::string joined(const Family& family, uint32_t axis, const std::vector<uint32_t>& values, Spell spell,
                   std::string_view separator) {
  std::string text;
  for (uint32_t value : values) {
    if (!text.empty()) text += separator;
    text += spell(value_id(family, axis, value));
  }
  return text;
}

std::string axis_text(const Family& family, uint32_t axis, const std::vector<uint32_t>& values) {
  if (axis == 0) return (values.size() == 1 ? "era " : "eras ") + ranges(family, axis, values, as_is, "..", ", ");
  return fmt::format("{} {}", family.text(family.options[axis - 1].id), joined(family, axis, values, as_is, " or "));
}

std::string axis_slug(const Family& family, uint32_t axis, const std::vector<uint32_t>& values) {
  if (axis == 0) return ranges(family, axis, values, file_word, "-", ".");
  return fmt::format("{}-{}", file_word(family.text(family.options[axis - 1].id)),
                     joined(family, axis, values, file_word, "."));
}

// FNV-1a (64 bit): keeps apart the names of sets that are too long for a file name.
uint64_t fingerprint(std::string_view text) {
  uint64_t hash = 0xcbf29ce484222325u;
  for (unsigned char c : text) hash = (hash ^ c) * 0x100000001b3u;
  return hash;
}

template <typename AxisName>
std::string name_boxes(const Family& family, const CellSet& cells, const CellSet& universe,
                       std::string_view between_axes, std::string_view between_boxes, AxisName axis_name) {
  Namer namer(family, cells, universe);
  std::string text;
  const std::vector<Box> boxes = namer.boxes();
  for (const Box& box : boxes) {
    std::string one;
    for (uint32_t axis = 0; axis < box.size(); ++axis) {
      if (namer.free(box, axis)) continue;
      if (!one.empty()) one += between_axes;
      one += axis_name(family, axis, list(box[axis], family.axis_size(axis)));
    }
    if (!text.empty()) text += between_boxes;
    text += one.empty() ? "all" : one;
  }
  return boxes.empty() ? "none" : text;
}

}  // namespace

std::string cells_text(const Family& family, const CellSet& cells, const CellSet& universe) {
  return name_boxes(family, cells, universe, ", ", "; ", axis_text);
}

std::string cell_text(const Family& family, uint32_t cell) {
  std::string text;
  for (uint32_t axis = 0; axis < family.axis_count(); ++axis) {
    if (!text.empty()) text += ", ";
    text += axis_text(family, axis, {family.coordinate(cell, axis)});
  }
  return text;
}

std::string cells_slug(const Family& family, const CellSet& cells, const CellSet& universe) {
  constexpr size_t longest = 96;  // leaves room for the rest of a file name within 255 bytes
  std::string slug = name_boxes(family, cells, universe, "_", "__", axis_slug);
  if (slug.size() <= longest) return slug;
  return fmt::format("{}_{:016x}", slug.substr(0, longest - 17), fingerprint(slug));
}

}  // namespace loomproof
