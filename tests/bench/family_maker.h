// One family of a synthetic corpus. A family is made of bundles: the wires of one plug of a control unit, each to a
// device of the same zone or, through the trunk loom, of another. Every bundle is electrically clean by itself, and
// each variation writes both its rows and the change that declares it.
#pragma once
#include <map>
#include <random>
#include <set>
#include <string>
#include <utility>
#include <vector>

#include "generate.h"

namespace loomproof::bench {

// Two runs of keys of a row as one; either may be empty.
inline std::string joined(const std::string& a, const std::string& b) {
  return a.empty() ? b : b.empty() ? a : a + ", " + b;
}

class FamilyMaker {
 public:
  FamilyMaker(const Shape& shape, uint32_t number);
  // Adds the files of the family, and its housings.
  void make(CorpusFiles& files);
  // Lines for sources.yaml.
  std::string sources() const;

 private:
  // How a circuit differs between eras or options.
  struct Variation {
    enum class Kind { none, introduced, optional, recoloured, resized, moved, swapped } kind = Kind::none;
    uint32_t era = 0;  // from this era on
    bool comes() const { return kind == Kind::introduced || kind == Kind::optional; }
  };
  struct Loom {
    std::string id, place, connectors, splices, earths, wires, cavities;
    std::vector<std::string> designators;
    uint32_t splice_count = 0;
    std::map<std::string, std::string> colours;  // of each circuit in it
    const std::string& colour_of(const std::string& circuit, const std::string& otherwise) {
      return colours.try_emplace(circuit, otherwise).first->second;
    }
  };
  // A splice that several loads share.
  struct Shared {
    std::string circuit, splice;
    uint32_t loads = 0;
  };
  struct Unit {
    std::string id, place, connectors;
    uint32_t replaced_in = 0;  // the era with another unit in the place; 0: none
  };
  struct Zone {
    std::string word;  // "CAB"
    Loom loom;
    std::vector<Unit> units;
    Shared feed, earth;
    uint32_t feeds = 0, earths = 0, relays = 0, devices = 0;
    std::string fuse_connectors, fuse_pins, fuse_inside, fuse_nodes, behind = "X1.1";
    uint32_t fuse_plugs = 1;
  };
  // Where the wires of a bundle run.
  struct Bundle {
    size_t from = 0, to = 0;  // zones
    Unit* unit = nullptr;
    std::string pins;                                  // of the unit's connector
    std::string unit_plug, unit_connector;             // C1 on the loom, X1 on the unit
    std::string near, near_later, a, a_later, b, far;  // plugs to and from the trunk; unused where from == to
    uint32_t replugged_in = 0;    // the era from which near_later and a_later take the place of near and a
    uint32_t look = 0;            // next colour
    uint32_t spare_ways[2] = {};  // cavities that wires move to
    bool remote() const { return from != to; }
  };
  struct Run {
    std::string circuit, end;
    uint32_t cavity = 0, cavity_later = 0, inline_cavity = 0, inline_later = 0;
    Variation variation;
    std::string extra;  // further keys of the row at the unit
  };
  struct Device {
    std::string plug;  // D12, on the loom of its zone
    std::string tags;
  };

  void begin_zones();
  void supply_loom();
  void firing_loom();
  void bundle(size_t zone, size_t unit, uint32_t number);
  uint32_t group(Bundle& bundle, uint32_t cavity, uint32_t left);
  uint32_t sensor(Bundle& bundle, uint32_t cavity, Variation variation);
  uint32_t sensor_pair(Bundle& bundle, uint32_t cavity);
  uint32_t valve(Bundle& bundle, uint32_t cavity, Variation variation);
  uint32_t lamp(Bundle& bundle, uint32_t cavity, Variation variation);
  uint32_t contact(Bundle& bundle, uint32_t cavity, Variation variation);
  uint32_t bus_module(Bundle& bundle, uint32_t cavity);
  uint32_t relay(Bundle& bundle, uint32_t cavity);
  void spares(Bundle& bundle, uint32_t number);

  Variation pick_variation(const Bundle& bundle, bool needs_feed, bool needs_earth);
  Device device(size_t zone, const char* kind, const char* title, uint32_t ways, const Variation& variation);
  const Shared& feed(size_t zone);
  const Shared& earth(size_t zone);
  void feed_load(size_t zone, const std::string& end, const Variation& variation);
  void earth_load(size_t zone, const std::string& end, const Variation& variation);
  void run(Bundle& bundle, const Run& run);
  // One row, or two where ends, colour or size change with an era or the supply.
  struct WireEnds {
    std::string from, to, from_later, to_later;
    uint32_t later = 0;  // the era from which from_later and to_later hold
  };
  void wire(Loom& loom, const std::string& circuit, const WireEnds& ends, uint32_t look, const Variation& variation,
            const std::string& extra);
  void wire_row(Loom& loom, const std::string& circuit, const std::string& from, const std::string& to,
                const std::string& colour, const char* mm2, const std::string& extra);
  void pin(Bundle& bundle, uint32_t cavity, const std::string& circuit, const std::string& role,
           const Variation& variation);
  void circuit(const std::string& id, const std::string& title, const std::string& fields);
  void connector(Loom& loom, const std::string& designator, const std::string& housing, const std::string& extra);
  void place(const std::string& id, const std::string& title, const std::string& extra);
  void plug(const std::string& a, const std::string& b, const std::string& tags);
  // The two halves of a mated pair, by the stem of their names.
  std::string socket(const std::string& stem, uint32_t ways);
  std::string header(const std::string& stem, uint32_t ways);
  void change(uint32_t era, const std::string& because, std::vector<std::string> rows);
  void change_of_option(uint32_t option, const std::string& because, std::vector<std::string> rows);
  void declare_coming(const Variation& variation, const std::string& because, std::vector<std::string> rows);

  std::string tags(const Variation& variation) const;
  std::string up_to(uint32_t era) const;     // "eras: a..b", all before `era`
  std::string starting(uint32_t era) const;  // "eras: c..", from `era` on
  std::string colour(uint32_t look) const;
  uint32_t below(uint32_t limit) { return static_cast<uint32_t>(random_() % limit); }
  bool chance(uint32_t percent) { return below(100) < percent; }
  uint32_t some_era() { return 1 + below(shape_.eras - 1); }
  std::string topic();

  std::string family_file() const;
  std::string loom_file(const Loom& loom, const std::string& about) const;
  std::string unit_file(const Unit& unit, bool later) const;
  std::string fuse_file(const Zone& zone) const;
  std::string housings_file() const;
  void device_files(const std::string& folder, CorpusFiles& files) const;
  void change_files(const std::string& folder, CorpusFiles& files) const;

  Shape shape_;
  std::string id_, title_;
  std::mt19937_64 random_;
  std::vector<Zone> zones_;
  std::vector<Loom> others_;                                // trunk, supply, firing
  std::vector<std::pair<std::string, std::string>> small_;  // components made in one piece: id, text
  std::string places_, plugs_, circuits_;
  std::map<std::string, std::pair<std::string, std::vector<std::string>>> devices_;  // kind -> header housing, places
  std::map<std::string, uint32_t> housings_;                                         // stem -> ways
  std::map<std::pair<uint32_t, uint32_t>, std::string> changes_;  // axis (0: eras), right side -> rows
  uint32_t topics_ = 0;
};

}  // namespace loomproof::bench
