// One side of a comparison: what one part is in one cell, as facts with names that both sides share. Internal.
//
// When two different parts are compared, points and connectors of the second take the numbers of those of the same name
// in the first; where the first has none they keep their own. Within one part nothing needs translating.
#pragma once
#include <array>
#include <map>
#include <optional>
#include <set>
#include <string>
#include <string_view>
#include <vector>

#include "compare/difference.h"
#include "nets/index.h"

namespace loomproof::compare {

// The properties of a strand, by the key that the corpus gives them.
struct Property {
  std::string_view of;
  bool carried = false;  // declared with the wire or pin when it is added; the others then count as whatever they are
};
inline constexpr std::array<Property, 4> wire_properties{
    {{"colour", true}, {"mm2", true}, {"double", false}, {"spare", false}}};
inline constexpr std::array<Property, 14> pin_properties{{{"role", true},
                                                          {"volts", false},
                                                          {"max-a", false},
                                                          {"needed", false},
                                                          {"when", false},
                                                          {"through-load", false},
                                                          {"coded.low", false},
                                                          {"coded.high", false},
                                                          {"coded.open", false},
                                                          {"pair.with", false},
                                                          {"pair.polarity", false},
                                                          {"protocol", false},
                                                          {"line", false},
                                                          {"ends", false}}};
inline constexpr size_t colour_property = 0, mm2_property = 1;  // of wires
inline constexpr size_t role_property = 0, pair_property = 9;   // of pins

// A wire, or a pin, which is a strand with one end.
struct Strand {
  RowRef row;  // none for what a declared change adds
  bool is_pin = false;
  Index circuit = none;
  Index a = none, b = none;  // b: none for a pin
  std::array<uint64_t, pin_properties.size()> values{};
  bool pair_is_said = false;  // its partner was declared, as the right side names it
  bool wild = false;          // added by a declared change: properties that it does not carry equal anything

  size_t property_count() const { return is_pin ? pin_properties.size() : wire_properties.size(); }
  const Property& property(size_t i) const { return is_pin ? pin_properties[i] : wire_properties[i]; }
  bool ends_at(Index point) const { return a == point || (b == point && b != none); }
  Index other_end(Index point) const { return a == point ? b : a; }
};
// As the corpus writes it; "none" where it is not given.
std::string value_text(const Family& family, const Strand& strand, size_t property);

// Anything else that has traits: a connector, a splice, earth point or lead, an inside element, a position of a switch,
// the state of a cavity that holds no strand.
enum class ThingKind { connector, joint, inside, position, cavity };
struct ThingKey {
  ThingKind kind{};
  Index id = none;          // connector or point, as both sides number it
  Str name = 0, value = 0;  // of an inside element; of a switch and its position
  friend auto operator<=>(const ThingKey&, const ThingKey&) = default;
};
struct Trait {
  std::string_view of;
  ChangeKind kind{};
  std::string text;
};
struct Thing {
  RowRef row;
  std::vector<Trait> traits;
};

using PointMap = std::map<Index, Index>;

class Side {
 public:
  Side(const FamilyIndex& index, Index part, uint32_t cell) : index_(&index), part_(part), cell_(cell) {}
  // The second of two different parts.
  Side(const FamilyIndex& index, Index part, uint32_t cell, const Side& first);

  const Family& family() const { return index_->family(); }
  const FamilyIndex& index() const { return *index_; }
  const Part& part() const { return family().parts[part_]; }
  Index part_index() const { return part_; }
  uint32_t cell() const { return cell_; }
  bool holds(Cells cells) const { return family().holds(cells, cell_); }

  // Strands of the given circuits, in the order of their rows: wires, then pins.
  std::vector<Strand> strands(const std::set<Index>& circuits) const;
  // Circuits (none included) of the strands at a point.
  std::set<Index> circuits_at(Index point) const;
  bool has_strand(Index point) const { return !circuits_at(point).empty(); }
  bool has_strand_in(Index connector) const;

  bool has_connector(Index connector) const { return connector_row(connector) != none; }
  // A thing with all its traits; nothing where the part has none such in the cell. `moves` are pins that have moved:
  // what is inside follows them.
  std::optional<Thing> thing(const ThingKey& key, const PointMap& moves = {}) const;
  // The word for the state of a cavity: one of the five, or "open"; "none" where there is no such cavity.
  std::string state(Index point) const;

  // Adds the keys of things whose rows hold here and, with `other`, not there as well.
  void collect(std::set<ThingKey>& keys, const Side& other) const;
  // Adds the circuits of strands that hold here and, with `other`, not there as well.
  void collect(std::set<Index>& circuits, const Side& other) const;

  Index shared_point(Index own) const { return translate(to_shared_, own); }
  Index shared_connector(Index own) const { return translate(connector_to_shared_, own); }
  // What this part calls a point or connector of either part; none where it has none of that name.
  Index own_point(Index shared) const;
  Index own_connector(Index shared) const;

 private:
  static Index translate(const PointMap& map, Index index) {
    const auto found = map.find(index);
    return found == map.end() ? index : found->second;
  }
  Index connector_row(Index shared) const;
  bool tells_apart(Cells cells, const Side& other) const {
    return holds(cells) && !(part_ == other.part_ && other.holds(cells));
  }
  Strand strand_of_wire(Index wire) const;
  Strand strand_of_pin(Index pin) const;
  std::optional<Thing> connector_thing(Index shared) const;
  std::optional<Thing> joint_thing(Index shared) const;
  std::optional<Thing> inside_thing(Str id, const PointMap& moves) const;
  std::optional<Thing> position_thing(Str switch_id, Str value) const;
  std::optional<Thing> cavity_thing(Index shared) const;

  const FamilyIndex* index_;
  Index part_;
  uint32_t cell_;
  PointMap to_shared_, connector_to_shared_;
};

// A pin that only says that nothing is connected, or that nobody knows: a state of its cavity rather than a strand.
bool is_state(const Pin& pin);

}  // namespace loomproof::compare
