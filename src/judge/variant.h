// What a part brings to an assembly, as it is in one cell: its nets, what leads from one to another, its ports (pins
// and leads) and what nobody knows of it. Made once a variant; assemblies are put together from these.
#pragma once
#include <map>
#include <vector>

#include "nets/cavities.h"
#include "nets/index.h"
#include "nets/variants.h"

namespace loomproof::judge {

// A pin or a lead with what it gives or needs.
struct Port {
  Index point = none, circuit = none;
  Index pin = none, lead = none;  // its row: one of the two
  Index net = none;               // of the variant
  Role role{};
  When when{};
  Quantity volts = not_given, amps = not_given;  // mV, mA; `system` resolved by the part's own supply
  bool needed = true;
  bool through_load = false;
};

// What joins two nets of a part, or parts them: fuse, contact, diode, or a load.
struct Bridge {
  Index inside = none;
  Index a = none, b = none;  // nets of the variant; of a diode: anode, cathode
  Index device = none;       // of a contact: what moves it, in `devices`
  uint32_t conducts = 0;     // of a contact: the positions of the device in which it conducts, as bits
};

// What moves contacts: a switch with positions, a single contact by hand, temperature or pressure, or a coil.
struct Device {
  Str id = 0;                  // of the switch, contact or coil
  Index coil = none;           // into bridges; none: moved from outside
  std::vector<Str> positions;  // of a switch; a contact or coil has two: open or off, closed or on
  uint32_t all() const { return (1u << (positions.empty() ? 2 : positions.size())) - 1; }
};

struct Socket {  // a connector that is there
  Index connector = none, row = none;
};

struct EarthPoint {  // or the case of a component
  Index point = none, net = none;
  EarthNode node{};
};

// A cavity of which nobody knows what is in it, or two sources disagree.
struct Hidden {
  Index connector = none;
  Str number = 0;
  Index point = none;  // none where no row names it
  Index net = none;    // of the variant; none where nothing known touches it
};

struct Variant {
  Index part = none;
  uint32_t cell = 0;          // the lowest of `cells`
  CellSet cells;              // in which the part is the very same
  std::vector<Index> net_of;  // by point of the part, from its first; none: nothing there
  uint32_t nets = 0;
  std::vector<std::pair<Index, Index>> circuits;  // net, circuit; ascending
  std::vector<Port> ports;
  std::vector<Bridge> bridges;
  std::vector<Device> devices;
  std::vector<EarthPoint> earths;
  bool may_be_battery = false;
  std::vector<Index> joints;  // nets of splices, earth points and leads: a wire nobody knows may end there
  std::vector<Index> bare;    // those of them that no wire is known at
  std::vector<Socket> sockets;
  std::vector<Hidden> hidden;
};

Variant make_variant(const FamilyIndex& index, Index part, const CellSet& cells);

// Whether the part is another one with another supply, though its rows read alike: its volts are `system`.
bool is_made_for_supply(const Family& family, Index part);
// The supply in a cell, mV: what `volts: system` means there.
Quantity supply_in(const Family& family, uint32_t cell);

}  // namespace loomproof::judge
