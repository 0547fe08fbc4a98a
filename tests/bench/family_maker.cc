// What the family is made of: zones, bundles, groups of circuits. family_rows.cc makes their rows, family_files.cc
// writes it all down.
#include "family_maker.h"

#include <fmt/format.h>

#include <algorithm>
#include <array>

namespace loomproof::bench {

namespace {

constexpr std::array zone_words = {"CHASSIS", "CAB", "ENGINE", "DASH", "TAIL", "ROOF", "BODY", "FRAME"};
constexpr std::array first_syllables = {"Quon", "Velt", "Brisk", "Ormun", "Tessel", "Hadrin", "Pellm", "Skarn"};
constexpr std::array last_syllables = {"beck", "holm", "wick", "stane", "mere", "garth", "fold", "rigg"};

std::string lower(std::string text) {
  for (char& c : text)
    if (c >= 'A' && c <= 'Z') c = static_cast<char>(c - 'A' + 'a');
  return text;
}

}  // namespace

FamilyMaker::FamilyMaker(const Shape& shape, uint32_t number) : shape_(shape), random_(shape.seed * 1000 + number) {
  title_ = std::string(first_syllables[number % first_syllables.size()]) +
           last_syllables[number / first_syllables.size() % last_syllables.size()];
  id_ = fmt::format("{}-{}", lower(title_), number + 1);
}

void FamilyMaker::make(CorpusFiles& files) {
  others_.push_back({"trunk", "TRUNK-LOOM", {}, {}, {}, {}, {}, {}, 0});
  others_.push_back({"supply", "SUPPLY-LOOM", {}, {}, {}, {}, {}, {}, 0});
  others_.push_back({"firing", "FIRING-LOOM", {}, {}, {}, {}, {}, {}, 0});
  begin_zones();
  supply_loom();
  for (size_t zone = 0; zone < zones_.size(); ++zone)
    for (size_t unit = 0; unit < zones_[zone].units.size(); ++unit)
      for (uint32_t i = 0; i < shape_.bundles; ++i) bundle(zone, unit, i);
  firing_loom();

  const std::string folder = "families/" + id_ + "/";
  files["housings/" + id_ + ".yaml"] = housings_file();
  files[folder + "family.yaml"] = family_file();
  files[folder + "circuits.yaml"] =
      "# yaml-language-server: $schema=../../../schema/circuits.schema.json\n# What the wires are for.\nsource: " +
      id_ + "-manual\n" + (shape_.options > 0 ? "supply: {12V: 12, 24V: 24}\n" : "supply: 24\n") + "circuits:\n" +
      circuits_;
  for (const Zone& zone : zones_) {
    files[folder + "looms/" + zone.loom.id + ".yaml"] = loom_file(zone.loom, "Everything in this part of the vehicle.");
    files[folder + "components/" + zone.loom.id + "-fuses.yaml"] = fuse_file(zone);
    for (const Unit& unit : zone.units) {
      files[folder + "components/" + unit.id + ".yaml"] = unit_file(unit, false);
      if (unit.replaced_in) files[folder + "components/" + unit.id + "-later.yaml"] = unit_file(unit, true);
    }
  }
  for (const Loom& loom : others_)
    files[folder + "looms/" + loom.id + ".yaml"] = loom_file(loom, "Between the others.");
  for (const auto& [id, text] : small_) files[folder + "components/" + id + ".yaml"] = text;
  device_files(folder, files);
  change_files(folder, files);
}

void FamilyMaker::begin_zones() {
  for (uint32_t i = 0; i < shape_.zones; ++i) {
    Zone zone;
    zone.word = zone_words[i % zone_words.size()];
    if (i >= zone_words.size()) zone.word += std::to_string(i / zone_words.size() + 1);
    zone.loom.id = lower(zone.word);
    zone.loom.place = zone.word + "-LOOM";
    for (uint32_t u = 0; u < shape_.units; ++u) {
      Unit unit{fmt::format("{}-unit-{}", zone.loom.id, u + 1), fmt::format("{}-UNIT-{}", zone.word, u + 1), {}, 0};
      if (i == 0 && u == 0 && shape_.eras > 1) {
        unit.replaced_in = some_era();
        change(unit.replaced_in, "new output stage in the control unit",
               {fmt::format("{{place: {}, replaced: {{was: {}, now: {}-later}}}}", unit.place, unit.id, unit.id)});
      }
      place(unit.place, fmt::format("Control unit {} of the {}", u + 1, zone.loom.id), "");
      zone.units.push_back(unit);
    }
    place(zone.loom.place, "Loom of the " + zone.loom.id, "");
    place(zone.word + "-FUSES", "Fuse box of the " + zone.loom.id, "");
    circuit("GND-" + zone.word, "Earth of the " + zone.loom.id, "class: earth, function: earth, terminal: 31");
    zones_.push_back(std::move(zone));
  }
  for (const Loom& loom : others_) place(loom.place, "Loom: " + loom.id, "");
}

// The battery, and from it one thick wire to each fuse box.
void FamilyMaker::supply_loom() {
  Loom& loom = others_[1];
  place("BATTERY", "Battery", "");
  circuit("BAT", "Battery supply", "class: feed, function: permanent supply, terminal: 30, volts: system, max-a: 600");
  circuit("GND-BAT", "Battery earth", "class: earth, function: earth, terminal: 31");
  std::string head = socket("stud", 1);
  connector(loom, "B1", head, "");
  connector(loom, "B2", head, "");
  plug("SUPPLY-LOOM.B1", "BATTERY.X1", "");
  plug("SUPPLY-LOOM.B2", "BATTERY.X2", "");
  small_.push_back(
      {"battery", fmt::format("component: battery\ntitle: Battery\nplace: BATTERY\nsource: {0}-manual\nconnectors:\n"
                              "  X1: {{housing: {1}, pins: {{1: {{circuit: BAT, role: gives-feed, volts: system}}}}}}\n"
                              "  X2: {{housing: {1}, pins: {{1: {{circuit: GND-BAT, role: gives-earth}}}}}}\n",
                              id_, header("stud", 1))});
  loom.splices += "  S1: {where: 100 mm from B1, branch: main}\n";
  loom.earths += "  E1: {where: left frame rail by the battery, ring: M10, to: chassis, circuit: GND-BAT}\n";
  wire_row(loom, "BAT", "B1.1", "S1", "RD", "50", "");
  wire_row(loom, "GND-BAT", "B2.1", "E1", "BN", "50", "");
  for (size_t i = 0; i < zones_.size(); ++i) {
    std::string designator = fmt::format("P{}", i + 1);
    connector(loom, designator, head, "");
    plug("SUPPLY-LOOM." + designator, zones_[i].word + "-FUSES.X1", "");
    wire_row(loom, "BAT", "S1", designator + ".1", "RD", "16", "length-mm: 1800");
  }
}

void FamilyMaker::firing_loom() {
  Loom& loom = others_[2];
  std::string unit_side = socket("firing", 2), unit_head = header("firing", 2);
  place("BELT-UNIT", "Belt-tensioner unit", "");
  place("BELT-TENSIONER", "Belt tensioner, driver", "");
  circuit("BELT-HI", "Belt tensioner, one side", "class: firing, function: belt tensioner");
  circuit("BELT-LO", "Belt tensioner, other side", "class: firing, function: belt tensioner");
  for (const char* designator : {"Y1", "Y2"}) connector(loom, designator, unit_side, "");
  plug("FIRING-LOOM.Y1", "BELT-UNIT.X2", "");
  plug("FIRING-LOOM.Y2", "BELT-TENSIONER.X1", "");
  wire_row(loom, "BELT-HI", "Y1.1", "Y2.1", "YE", "0.75", "");
  wire_row(loom, "BELT-LO", "Y1.2", "Y2.2", "YE/BK", "0.75", "");
  Zone& zone = zones_.front();
  connector(zone.loom, "Y9", socket("yellow", 2), "");
  plug(zone.loom.place + ".Y9", "BELT-UNIT.X1", "");
  feed_load(0, "Y9.1", {});
  earth_load(0, "Y9.2", {});
  small_.push_back(
      {"belt-unit",
       fmt::format(
           "component: belt-unit\ntitle: Belt-tensioner unit\nplace: BELT-UNIT\nsource: {0}-manual\nconnectors:\n"
           "  X1:\n    housing: {1}\n    pins:\n      1: {{circuit: {3}, role: takes-feed, volts: system, max-a: 3}}\n"
           "      2: {{circuit: {4}, role: takes-earth}}\n"
           "  X2:\n    housing: {2}\n    pins:\n      1: {{circuit: BELT-HI, role: gives-firing}}\n"
           "      2: {{circuit: BELT-LO, role: gives-firing}}\n",
           id_, header("yellow", 2), unit_head, zone.feed.circuit, zone.earth.circuit)});
  small_.push_back(
      {"belt-tensioner",
       fmt::format(
           "component: belt-tensioner\ntitle: Belt tensioner\nplace: BELT-TENSIONER\nsource: {}-manual\nconnectors:\n"
           "  X1: {{housing: {}, pins: {{1: {{circuit: BELT-HI, role: takes-firing}}, 2: {{circuit: BELT-LO, role: "
           "takes-firing}}}}}}\ninside:\n  - {{id: Q1, join: [X1.1, X1.2], as: squib}}\n",
           id_, unit_head)});
}

// --- bundles ------------------------------------------------------------------------------------

void FamilyMaker::bundle(size_t from, size_t unit_index, uint32_t number) {
  Zone& zone = zones_[from];
  Bundle bundle;
  bundle.from = bundle.to = from;
  bundle.unit = &zone.units[unit_index];
  bundle.look = below(100);
  uint32_t serial = static_cast<uint32_t>(unit_index) * shape_.bundles + number + 1;
  const uint32_t ways = shape_.ways;
  bundle.unit_plug = fmt::format("C{}", serial);
  bundle.unit_connector = fmt::format("X{}", number + 1);
  connector(zone.loom, bundle.unit_plug, socket("unit", ways), "rest: empty");
  plug(zone.loom.place + "." + bundle.unit_plug, bundle.unit->place + "." + bundle.unit_connector, "");
  if (number % 2 == 1) {
    bundle.to = (from + 1 + below(shape_.zones - 1)) % shape_.zones;
    Loom& trunk = others_[0];
    std::string key = fmt::format("{}-{}", from + 1, serial);
    bundle.near = bundle.near_later = "Q" + key;
    bundle.a = bundle.a_later = "A" + key;
    bundle.b = "B" + key;
    bundle.far = "R" + key;
    std::string in = socket("inline", ways), out = header("inline", ways);
    if (from == 0 && serial == 2 && shape_.eras > 1) {
      bundle.replugged_in = some_era();
      bundle.near_later += "L", bundle.a_later += "L";
      connector(zone.loom, bundle.near, in, "rest: empty, " + up_to(bundle.replugged_in));
      connector(zone.loom, bundle.near_later, in, "rest: empty, " + starting(bundle.replugged_in));
      connector(trunk, bundle.a, out, "rest: empty, " + up_to(bundle.replugged_in));
      connector(trunk, bundle.a_later, out, "rest: empty, " + starting(bundle.replugged_in));
      plug(zone.loom.place + "." + bundle.near, "TRUNK-LOOM." + bundle.a, up_to(bundle.replugged_in));
      plug(zone.loom.place + "." + bundle.near_later, "TRUNK-LOOM." + bundle.a_later, starting(bundle.replugged_in));
    } else {
      connector(zone.loom, bundle.near, in, "rest: empty");
      connector(trunk, bundle.a, out, "rest: empty");
      plug(zone.loom.place + "." + bundle.near, "TRUNK-LOOM." + bundle.a, "");
    }
    connector(trunk, bundle.b, in, "rest: empty");
    connector(zones_[bundle.to].loom, bundle.far, out, "rest: empty");
    plug("TRUNK-LOOM." + bundle.b, zones_[bundle.to].loom.place + "." + bundle.far, "");
  }
  feed_load(from, bundle.unit_plug + ".1", {});
  pin(bundle, 1, zone.feed.circuit, "takes-feed, volts: system, max-a: 5", {});
  earth_load(from, bundle.unit_plug + ".2", {});
  pin(bundle, 2, zone.earth.circuit, "takes-earth", {});
  bundle.spare_ways[0] = ways - 3;
  bundle.spare_ways[1] = ways - 2;
  for (uint32_t cavity = 3; cavity < ways - 3;) cavity += group(bundle, cavity, ways - 3 - cavity);
  spares(bundle, serial);
  bundle.unit->connectors += fmt::format("  {}:\n    housing: {}\n    rest: open\n    pins:\n{}", bundle.unit_connector,
                                         header("unit", ways), bundle.pins);
  if (!bundle.replugged_in) return;
  std::string near_moves, a_moves;
  for (uint32_t cavity = 3; cavity < ways - 3; ++cavity) {
    near_moves += fmt::format("{}{}.{}: {}.{}", cavity > 3 ? ", " : "", bundle.near, cavity, bundle.near_later, cavity);
    a_moves += fmt::format("{}{}.{}: {}.{}", cavity > 3 ? ", " : "", bundle.a, cavity, bundle.a_later, cavity);
  }
  near_moves += fmt::format(", {}.{}: {}.{}", bundle.near, ways, bundle.near_later, ways);
  change(bundle.replugged_in, "water got into the plug; another takes its place",
         {fmt::format("{{loom: {}, replugged: {{{}}}}}", zone.loom.id, near_moves),
          fmt::format("{{loom: trunk, replugged: {{{}}}}}", a_moves)});
}

// The next group of circuits from `cavity` on; gives the cavities it took.
uint32_t FamilyMaker::group(Bundle& bundle, uint32_t cavity, uint32_t left) {
  uint32_t kind = below(100);
  if (left >= 4 && kind < 12) return sensor_pair(bundle, cavity);
  if (left >= 3 && kind < 45) return sensor(bundle, cavity, pick_variation(bundle, false, false));
  if (left >= 2 && kind < 52) return bus_module(bundle, cavity);
  if (kind < 58 && !bundle.remote() && bundle.to == bundle.from) return relay(bundle, cavity);
  if (kind < 75) return valve(bundle, cavity, pick_variation(bundle, true, false));
  if (kind < 88) return lamp(bundle, cavity, pick_variation(bundle, false, true));
  return contact(bundle, cavity, pick_variation(bundle, false, true));
}

FamilyMaker::Variation FamilyMaker::pick_variation(const Bundle& bundle, bool needs_feed, bool needs_earth) {
  using Kind = Variation::Kind;
  Variation variation;
  const Zone& to = zones_[bundle.to];
  // The first load of a splice is always there, so that no splice is ever left with one wire.
  bool must_stay = (needs_feed && to.feed.loads % 6 == 0) || (needs_earth && to.earth.loads % 8 == 0);
  uint32_t dice = below(100);
  if (bundle.replugged_in || dice >= 24) return variation;
  if (dice < 12 && shape_.eras > 1) {
    variation.era = some_era();
    variation.kind = dice < 4    ? Kind::introduced
                     : dice < 8  ? Kind::recoloured
                     : dice < 10 ? Kind::moved
                                 : Kind::swapped;
    if (variation.kind == Kind::moved && (!bundle.spare_ways[0] || bundle.unit->replaced_in))
      variation.kind = Kind::recoloured;
    if (variation.kind == Kind::swapped && !bundle.remote()) variation.kind = Kind::recoloured;
  } else if (dice >= 12 && dice < 18 && shape_.options > 0) {
    variation.kind = Kind::resized;
  } else if (dice >= 18 && shape_.options > 1) {
    variation.kind = Kind::optional;
  }
  if (must_stay && variation.comes()) return {};
  return variation;
}

uint32_t FamilyMaker::sensor(Bundle& bundle, uint32_t cavity, Variation variation) {
  std::string about = topic();
  Device at = device(bundle.to, "sensor-3", "Sensor with supply", 3, variation);
  circuit(about + "-REF", "Sensor supply " + about, "class: reference, function: sensor supply, volts: 5, max-a: 0.05");
  circuit(about + "-SIG", "Sensor signal " + about, "class: signal, function: sensor signal, volts: 5");
  circuit(about + "-RTN", "Sensor return " + about, "class: return, function: signal return, max-a: 0.05");
  bool swaps = variation.kind == Variation::Kind::swapped;
  Run ref{about + "-REF", at.plug + ".1", cavity, cavity, cavity, cavity, variation, {}};
  Run signal{about + "-SIG", at.plug + ".2", cavity + 1, cavity + 1, cavity + 1, cavity + 1, variation, {}};
  if (swaps) std::swap(ref.inline_later, signal.inline_later);
  Variation rest = variation.kind == Variation::Kind::moved || swaps ? Variation{} : variation;
  Run back{about + "-RTN", at.plug + ".3", cavity + 2, cavity + 2, cavity + 2, cavity + 2, rest, {}};
  if (variation.kind == Variation::Kind::moved) {
    ref.cavity_later = bundle.spare_ways[0];
    bundle.spare_ways[0] = bundle.spare_ways[1];
    bundle.spare_ways[1] = 0;
    signal.variation = {};
  }
  run(bundle, ref);
  run(bundle, signal);
  run(bundle, back);
  pin(bundle, cavity, ref.circuit, "gives-reference, volts: 5, max-a: 0.05", ref.variation);
  if (ref.cavity_later != cavity) {  // its pin stands twice, each with its eras
    bundle.pins.erase(bundle.pins.rfind("}\n"));
    bundle.pins += fmt::format(", {}}}\n      {}: {{circuit: {}, role: gives-reference, volts: 5, max-a: 0.05, {}}}\n",
                               up_to(variation.era), ref.cavity_later, ref.circuit, starting(variation.era));
    change(variation.era, "the sensor supply moves away from the drives",
           {fmt::format("{{loom: {}, moved: {{circuit: {}, from: {}.{}, to: {}.{}}}}}", zones_[bundle.from].loom.id,
                        ref.circuit, bundle.unit_plug, cavity, bundle.unit_plug, ref.cavity_later),
            fmt::format("{{component: {}, moved: {{circuit: {}, from: {}.{}, to: {}.{}}}}}", bundle.unit->id,
                        ref.circuit, bundle.unit_connector, cavity, bundle.unit_connector, ref.cavity_later)});
  }
  pin(bundle, cavity + 1, signal.circuit, "takes-signal, volts: 5", variation);
  pin(bundle, cavity + 2, back.circuit, "gives-return", variation);
  if (swaps) {
    const std::string& near = bundle.near;
    change(variation.era, "two wires were exchanged at the plug between the looms",
           {fmt::format("{{loom: {}, swapped: {{circuits: [{}, {}], at: [{}.{}, {}.{}]}}}}",
                        zones_[bundle.from].loom.id, ref.circuit, signal.circuit, near, cavity, near, cavity + 1),
            fmt::format("{{loom: trunk, swapped: {{circuits: [{}, {}], at: [{}.{}, {}.{}]}}}}", ref.circuit,
                        signal.circuit, bundle.a, cavity, bundle.a, cavity + 1)});
  }
  return 3;
}

// Two sensors on one supply and one return: double crimps at the unit, or splices behind the trunk.
uint32_t FamilyMaker::sensor_pair(Bundle& bundle, uint32_t cavity) {
  std::string about = topic();
  Device one = device(bundle.to, "sensor-3", "Sensor with supply", 3, {});
  Device two = device(bundle.to, "sensor-3", "Sensor with supply", 3, {});
  circuit(about + "-REF", "Supply of both sensors " + about,
          "class: reference, function: sensor supply, volts: 5, max-a: 0.1");
  circuit(about + "-SIG1", "First signal " + about, "class: signal, function: sensor signal, volts: 5");
  circuit(about + "-SIG2", "Second signal " + about, "class: signal, function: sensor signal, volts: 5");
  circuit(about + "-RTN", "Return of both sensors " + about, "class: return, function: signal return, max-a: 0.1");
  auto shared = [&](const std::string& name, uint32_t at, const char* pin_number) {
    if (bundle.remote()) {
      Loom& loom = zones_[bundle.to].loom;
      std::string splice = fmt::format("S{}", ++loom.splice_count);
      loom.splices +=
          fmt::format("  {}: {{where: {} mm from {}, branch: b1}}\n", splice, 50 + 10 * below(40), bundle.far);
      run(bundle, {name, splice, at, at, at, at, {}, {}});
      uint32_t look = bundle.look++;
      wire(loom, name, {splice, one.plug + pin_number, {}, {}, 0}, look, {}, "");
      wire(loom, name, {splice, two.plug + pin_number, {}, {}, 0}, look, {}, "");
    } else {
      uint32_t look = bundle.look++;
      Loom& loom = zones_[bundle.from].loom;
      std::string end = fmt::format("{}.{}", bundle.unit_plug, at);
      wire(loom, name, {end, one.plug + pin_number, {}, {}, 0}, look, {}, "double: true");
      wire(loom, name, {end, two.plug + pin_number, {}, {}, 0}, look, {}, "double: true");
    }
  };
  shared(about + "-REF", cavity, ".1");
  run(bundle, {about + "-SIG1", one.plug + ".2", cavity + 1, cavity + 1, cavity + 1, cavity + 1, {}, {}});
  run(bundle, {about + "-SIG2", two.plug + ".2", cavity + 2, cavity + 2, cavity + 2, cavity + 2, {}, {}});
  shared(about + "-RTN", cavity + 3, ".3");
  pin(bundle, cavity, about + "-REF", "gives-reference, volts: 5, max-a: 0.1", {});
  pin(bundle, cavity + 1, about + "-SIG1", "takes-signal, volts: 5", {});
  pin(bundle, cavity + 2, about + "-SIG2", "takes-signal, volts: 5", {});
  pin(bundle, cavity + 3, about + "-RTN", "gives-return", {});
  return 4;
}

// One cavity of the unit to one load that has its feed, or its earth, nearby.
uint32_t FamilyMaker::valve(Bundle& bundle, uint32_t cavity, Variation variation) {
  if (variation.kind == Variation::Kind::moved || variation.kind == Variation::Kind::swapped) variation = {};
  std::string about = topic() + "-LOW";
  Device at = device(bundle.to, "valve", "Valve", 2, variation);
  circuit(about, "Valve drive " + about,
          "class: drive, function: valve, volts: system, max-a: 2, if-stays-on: endangers");
  feed_load(bundle.to, at.plug + ".1", variation);
  run(bundle, {about, at.plug + ".2", cavity, cavity, cavity, cavity, variation, {}});
  pin(bundle, cavity, about, "pulls-low, volts: system, max-a: 2", variation);
  return 1;
}

uint32_t FamilyMaker::lamp(Bundle& bundle, uint32_t cavity, Variation variation) {
  if (variation.kind == Variation::Kind::moved || variation.kind == Variation::Kind::swapped) variation = {};
  std::string about = topic() + "-HIGH";
  Device at = device(bundle.to, "lamp", "Lamp", 2, variation);
  circuit(about, "Lamp drive " + about, "class: drive, function: lamp, volts: system, max-a: 2");
  run(bundle, {about, at.plug + ".1", cavity, cavity, cavity, cavity, variation, {}});
  earth_load(bundle.to, at.plug + ".2", variation);
  pin(bundle, cavity, about, "pulls-high, volts: system, max-a: 2", variation);
  return 1;
}

uint32_t FamilyMaker::contact(Bundle& bundle, uint32_t cavity, Variation variation) {
  if (variation.kind == Variation::Kind::moved || variation.kind == Variation::Kind::swapped) variation = {};
  std::string about = topic() + "-SW";
  Device at = device(bundle.to, "switch", "Switch", 2, variation);
  circuit(about, "Switched input " + about, "class: signal, function: switch, volts: system");
  run(bundle, {about, at.plug + ".1", cavity, cavity, cavity, cavity, variation, {}});
  earth_load(bundle.to, at.plug + ".2", variation);
  pin(bundle, cavity, about, "senses-low, volts: system, coded: {low: closed, open: released}", variation);
  return 1;
}

uint32_t FamilyMaker::bus_module(Bundle& bundle, uint32_t cavity) {
  std::string about = topic();
  Device at = device(bundle.to, "module", "Module on the bus", 4, {});
  circuit(about + "-H", "Bus high " + about, "class: bus, function: bus");
  circuit(about + "-L", "Bus low " + about, "class: bus, function: bus");
  feed_load(bundle.to, at.plug + ".1", {});
  earth_load(bundle.to, at.plug + ".2", {});
  run(bundle, {about + "-H", at.plug + ".3", cavity, cavity, cavity, cavity, {}, {}});
  run(bundle, {about + "-L", at.plug + ".4", cavity + 1, cavity + 1, cavity + 1, cavity + 1, {}, {}});
  pin(bundle, cavity, about + "-H", fmt::format("bus, protocol: CAN, line: H, pair: {{with: {}}}", cavity + 1), {});
  pin(bundle, cavity + 1, about + "-L", fmt::format("bus, protocol: CAN, line: L, pair: {{with: {}}}", cavity), {});
  return 2;
}

// A relay in the fuse box of the zone; the next fuse lies behind its contact.
uint32_t FamilyMaker::relay(Bundle& bundle, uint32_t cavity) {
  Zone& zone = zones_[bundle.from];
  std::string about = topic() + "-RLY", loom_plug = fmt::format("K{}", ++zone.relays);
  std::string at = fmt::format("X{}", 100 + zone.relays), id = fmt::format("K{}", zone.relays), node = "N" + id;
  circuit(about, "Relay coil " + about, "class: drive, function: relay control, volts: system, max-a: 0.5");
  connector(zone.loom, loom_plug, socket("stud", 1), "");
  plug(zone.loom.place + "." + loom_plug, zone.word + "-FUSES." + at, "");
  zone.fuse_connectors +=
      fmt::format("  {}: {{housing: {}, pins: {{1: {{circuit: {}, role: takes-low, volts: system, max-a: 0.5}}}}}}\n",
                  at, header("stud", 1), about);
  zone.fuse_nodes += joined("", (zone.fuse_nodes.empty() ? "" : ", ") + node);
  if (shape_.options > 0) {
    zone.fuse_inside += fmt::format(
        "  - {{id: {}, join: [X1.1, {}.1], as: coil, volts: system, ohm: 85,  with: {{supply: 12V}}}}\n"
        "  - {{id: {}, join: [X1.1, {}.1], as: coil, volts: system, ohm: 340, with: {{supply: 24V}}}}\n",
        id, at, id, at);
    change_of_option(0, "relay coils wound for the supply",
                     {fmt::format("{{component: {}-fuses, inside-changed: {{id: {}, of: ohm, was: 85, now: 340}}}}",
                                  zone.loom.id, id)});
  } else {
    zone.fuse_inside += fmt::format("  - {{id: {}, join: [X1.1, {}.1], as: coil, volts: system, ohm: 340}}\n", id, at);
  }
  zone.fuse_inside +=
      fmt::format("  - {{id: {}c, join: [X1.1, {}], as: contact, rests: open, closed-by: {}}}\n", id, node, id);
  zone.behind = node;
  run(bundle, {about, loom_plug + ".1", cavity, cavity, cavity, cavity, {}, {}});
  pin(bundle, cavity, about, "pulls-low, volts: system, max-a: 0.5", {});
  return 1;
}

// A wire that waits for a use, and cavities in the states that are no wire.
void FamilyMaker::spares(Bundle& bundle, uint32_t number) {
  Loom& loom = zones_[bundle.from].loom;
  const uint32_t last = shape_.ways;
  if (bundle.remote()) {
    std::string name = fmt::format("SPARE-{}-{}", bundle.from + 1, number);
    circuit(name, "Spare " + name, "class: signal");
    wire(loom, name,
         {fmt::format("{}.{}", bundle.unit_plug, last), fmt::format("{}.{}", bundle.near, last),
          fmt::format("{}.{}", bundle.unit_plug, last), fmt::format("{}.{}", bundle.near_later, last),
          bundle.replugged_in},
         bundle.look++, {}, "spare: pre-wired for a later module");
    if (bundle.replugged_in) {  // the trunk has no wire for it
      return;
    }
  }
  std::string at = fmt::format("{}.{}", bundle.unit_plug, last - 1);
  switch (number % 4) {
    case 0:
      loom.cavities += fmt::format("  {}: {{state: sealed}}\n", at);
      break;
    case 1:
      loom.cavities += fmt::format("  {}: {{state: unknown, note: nobody has opened this plug}}\n", at);
      break;
    case 2:
      loom.cavities += fmt::format(
          "  {}: {{state: disputed, says: [{{source: {}-manual, circuit: {}}}, {{source: {}-bench, state: empty}}]}}\n",
          at, id_, zones_[bundle.from].feed.circuit, id_);
      break;
    default:
      loom.cavities += fmt::format("  {}: {{state: empty, source: {}-bench}}\n", at, id_);
  }
}

}  // namespace loomproof::bench
