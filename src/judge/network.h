// What is electrically joined in an assembly, and in which permitted states of its switches and relays.
//
// Four joinings, each within the next: `hard` (wires, straps, mated cavities, shorting bars of open plugs), `earthed`
// (hard, and the earth points of battery, engine, chassis and cab each as one), `firm` (earthed, and fuses), `loose`
// (firm, and every contact and diode, whatever their state). What is not in one loose net is never joined; what is in
// one firm net always is; between the two a path is looked for whose contacts can all conduct at once. Where looking
// takes too long, two count as joined and a need as unmet: both are on the careful side.
#pragma once
#include <cstdint>
#include <vector>

#include "judge/assembly.h"

namespace loomproof::judge {

// What must hold for contacts to conduct: of each device named, one of these positions.
struct Setting {
  Index place = none, device = none;
  uint32_t allowed = 0;
};
using Settings = std::vector<Setting>;  // each device once, in the order they were met

class Network {
 public:
  using Net = uint32_t;
  struct PortRef {
    Index place = none, port = none;
  };
  enum class Flow { any, to_earth, to_feed };  // the way a path is walked: which way diodes let it

  explicit Network(Shelf& shelf) : shelf_(shelf) {}
  void build(const Assembly& assembly);

  const Assembly& assembly() const { return assembly_; }
  const Shelf& shelf() const { return shelf_; }
  const Variant& variant(Index place) const { return shelf_[assembly_.at[place]]; }
  const Port& port(PortRef ref) const { return variant(ref.place).ports[ref.port]; }
  const std::vector<Meeting>& meetings() const { return meetings_; }
  bool is_insulated(Index point) const;
  // Of a socket: the meetings it is in; more than one is a plug that can meet several partners.
  uint32_t meetings_of(Index connector) const;

  // Nets are named by a vertex; two vertices are in one net where these are equal. `net` is of the variant in `place`.
  Net hard(Index place, Index net) const { return hard_.root(base_[place] + net); }
  Net earthed(Index place, Index net) const { return earthed_.root(base_[place] + net); }
  Net firm(Index place, Index net) const { return firm_.root(base_[place] + net); }
  Net loose(Index place, Index net) const { return loose_.root(base_[place] + net); }
  Net loose_of(Net firm) const { return loose_.root(firm); }
  uint32_t vertices() const { return vertices_; }  // no net of a part is named by a higher number
  // The roles of all ports in a net, as bits.
  uint32_t roles_of_firm(Net firm) const { return firm_roles_[firm]; }
  uint32_t roles_of_loose(Net loose) const { return loose_roles_[loose]; }
  const std::vector<PortRef>& ports() const { return ports_; }
  // Whether contacts and metal may join the two with no fuse between.
  bool may_meet_unfused(Index place_a, Index net_a, Index place_b, Index net_b) const {
    return unfused_.root(base_[place_a] + net_a) == unfused_.root(base_[place_b] + net_b);
  }
  // At how many ends a hard net is earthed: earth points, cases and pins that give earth.
  uint32_t earthings(Index place, Index net) const { return earthings_[hard(place, net)]; }

  // Whether a path of conducting contacts leads from a firm net to one that holds a role of `roles`, with the settings
  // it needs added to `settings`. `through_loads`: loads carry it too.
  bool reaches(Net from, uint32_t roles, Flow flow, bool through_loads, Settings& settings) const;
  // The same to one firm net.
  bool connects(Net from, Net to, Flow flow, Settings& settings) const;
  // The same where what nobody knows is whatever it takes: a net that it may be on holds any role, and feeds any coil.
  bool may_reach(Net from, uint32_t roles, Flow flow, bool through_loads) const;
  bool may_connect(Net from, Net to, Flow flow, Settings& settings) const;

 private:
  class Joins {  // union-find over vertices
   public:
    void reset(uint32_t count);
    Net root(Net vertex) const {
      while (parent_[vertex] != vertex) vertex = parent_[vertex] = parent_[parent_[vertex]];
      return vertex;
    }
    void join(Net a, Net b) {
      a = root(a), b = root(b);
      if (a != b) parent_[a < b ? b : a] = a < b ? a : b;
    }

   private:
    mutable std::vector<Net> parent_;
  };
  struct Link {  // a bridge seen from one firm net
    Net from = 0, to = 0;
    Index place = none, bridge = none;
    bool forward = true;  // from the bridge's a to its b
  };
  struct Goal {
    uint32_t roles = 0;
    Net net = none;
    Flow flow{};
    bool through_loads = false;
    bool hopes = false;  // what nobody knows helps
  };

  void join_parts();
  void join_plugs();
  void join_earths();
  void join_bridges();
  void close_open_plugs();
  void find_unsure();
  bool walk(Net at, const Goal& goal, Settings& settings, std::vector<char>& seen, int& steps) const;
  bool pass(const Link& link, const Goal& goal, Settings& settings, int& steps) const;
  bool energised(Index place, Index coil, bool hopes, Settings& settings, int& steps) const;
  bool is_always_on(Index place, Index coil) const;
  std::pair<size_t, size_t> links_of(Net firm) const;

  Shelf& shelf_;
  Assembly assembly_;
  std::vector<Meeting> meetings_;
  std::vector<Net> base_;  // by place: its first vertex
  uint32_t vertices_ = 0;
  Joins hard_, earthed_, unfused_, firm_, loose_;
  std::vector<PortRef> ports_;
  std::vector<uint32_t> firm_roles_, loose_roles_;
  std::vector<uint32_t> earthings_;  // by hard net
  std::vector<char> unsure_;         // by firm net: something nobody knows may be on it
  bool is_anything_unsure_ = false;
  std::vector<Link> links_;                               // by `from`
  mutable std::vector<std::pair<Index, Index>> proving_;  // coils that are being asked for: none holds itself in
};

inline uint32_t bit(Role role) {
  return 1u << static_cast<uint32_t>(role);
}

}  // namespace loomproof::judge
