// The rows of what a family is made of: devices, feeds and earths, wires, pins, places, and the changes that declare
// them.
#include <fmt/format.h>

#include <array>

#include "family_maker.h"

namespace loomproof::bench {

namespace {

constexpr std::array colours = {"BK", "BN", "OG", "YE", "GN", "BU", "VT", "GY", "WH", "PK", "TQ", "RD"};
constexpr std::array sizes = {"0.5", "0.75", "1", "1.5"};
constexpr std::array spots = {"left frame rail behind the cab",
                              "engine, front right",
                              "bulkhead, engine side",
                              "under the dash on the passenger's side",
                              "right frame rail before the tank",
                              "cross member behind the gearbox",
                              "on the bracket beside the battery"};
constexpr std::array subjects = {"BOOST", "OIL",  "FUEL", "RACK", "AXLE", "BRAKE", "CLUTCH", "SHIFT", "LIFT", "HEAT",
                                 "FAN",   "DOOR", "STEP", "HORN", "WASH", "TANK",  "FILTER", "VALVE", "PUMP", "SPEED"};

std::string with_comma(const std::string& extra) {
  return extra.empty() ? "" : ", " + extra;
}

}  // namespace

// --- devices, feeds, earths ---------------------------------------------------------------------

FamilyMaker::Device FamilyMaker::device(size_t zone_index, const char* kind, const char* title, uint32_t ways,
                                        const Variation& variation) {
  Zone& zone = zones_[zone_index];
  Device made{fmt::format("D{}", ++zone.devices), tags(variation)};
  std::string id = fmt::format("{}-{}", zone.word, zone.devices);
  std::string stem = fmt::format("device-{}{}", ways, static_cast<char>('a' + below(2)));
  std::string plug_housing = socket(stem, ways), device_housing = header(stem, ways);
  std::string component = fmt::format("{}-{}", kind, stem.back());
  auto& entry = devices_[component];
  entry.first = device_housing;
  entry.second.push_back(id);
  std::string spot = spots[below(spots.size())];
  bool moves = variation.kind == Variation::Kind::none && shape_.eras > 1 && chance(4);
  if (moves) {
    uint32_t era = some_era();
    std::string then = spots[below(spots.size())];
    if (then == spot) then += ", above";
    place(id, fmt::format("{} {} of the {}", title, zone.devices, zone.loom.id),
          fmt::format("where: [{{where: \"{}\", {}}}, {{where: \"{}\", {}}}]", spot, up_to(era), then, starting(era)));
    change(era, "it stood in the spray of the wheel",
           {fmt::format("{{place: {}, relocated: {{was: \"{}\", now: \"{}\"}}}}", id, spot, then)});
  } else {
    place(id, fmt::format("{} {} of the {}", title, zone.devices, zone.loom.id),
          joined(fmt::format("where: \"{}\"", spot), made.tags));
  }
  connector(zone.loom, made.plug, plug_housing, made.tags);
  plug(zone.loom.place + "." + made.plug, id + ".X1", made.tags);
  declare_coming(variation, "a device more",
                 {fmt::format("{{place: {}, replaced: {{was: none, now: {}}}}}", id, component)});
  return made;
}

const FamilyMaker::Shared& FamilyMaker::feed(size_t zone_index) {
  Zone& zone = zones_[zone_index];
  if (zone.feed.loads++ % 6 != 0) return zone.feed;
  uint32_t output = zone.feeds % 24 + 1;
  std::string loom_plug = fmt::format("F{}", zone.feeds / 24 + 1), at = fmt::format("X{}", zone.feeds / 24 + 2);
  if (output == 1) {
    connector(zone.loom, loom_plug, socket("fuses", 24), "rest: empty");
    plug(zone.loom.place + "." + loom_plug, zone.word + "-FUSES." + at, "");
    if (zone.fuse_plugs > 1)
      zone.fuse_connectors += fmt::format("  X{}:\n    housing: {}\n    rest: open\n    pins:\n{}", zone.fuse_plugs,
                                          header("fuses", 24), zone.fuse_pins);
    zone.fuse_pins.clear();
    ++zone.fuse_plugs;
  }
  ++zone.feeds;
  zone.feed.circuit = fmt::format("FEED-{}-{}", zone.word, zone.feeds);
  zone.feed.splice = fmt::format("S{}", ++zone.loom.splice_count);
  circuit(zone.feed.circuit, "Supply behind fuse " + std::to_string(zone.feeds) + " of the " + zone.loom.id,
          "class: feed, function: ignition supply, terminal: 15, volts: system, max-a: 10");
  zone.fuse_pins += fmt::format("      {:<3} {{circuit: {}, role: passes, max-a: 15}}\n", std::to_string(output) + ":",
                                zone.feed.circuit);
  zone.loom.splices +=
      fmt::format("  {}: {{where: {} mm from {}, branch: b1}}\n", zone.feed.splice, 50 + 10 * below(40), loom_plug);
  std::string join = fmt::format("{{id: F{}, join: [{}, {}.{}], as: fuse, ", zone.feeds, zone.behind, at, output);
  if (shape_.eras > 1 && chance(10)) {
    uint32_t era = some_era();
    zone.fuse_inside += fmt::format("  - {}a: 10, {}}}\n  - {}a: 15, {}}}\n", join, up_to(era), join, starting(era));
    change(era, "the fuse blew with a trailer coupled",
           {fmt::format("{{component: {}-fuses, inside-changed: {{id: F{}, of: a, was: 10, now: 15}}}}", zone.loom.id,
                        zone.feeds)});
  } else {
    zone.fuse_inside += "  - " + join + "a: 10}\n";
  }
  zone.behind = "X1.1";
  std::string colour_text = output == 1 ? "RD" : std::string("RD/") + colours[output % 11];
  wire_row(zone.loom, zone.feed.circuit, fmt::format("{}.{}", loom_plug, output), zone.feed.splice,
           zone.loom.colour_of(zone.feed.circuit, colour_text),
           output <= 11   ? "2.5"
           : output <= 22 ? "1.5"
                          : "4",
           "");
  return zone.feed;
}

const FamilyMaker::Shared& FamilyMaker::earth(size_t zone_index) {
  Zone& zone = zones_[zone_index];
  if (zone.earth.loads++ % 8 != 0) return zone.earth;
  zone.earth.circuit = "GND-" + zone.word;
  zone.earth.splice = fmt::format("S{}", ++zone.loom.splice_count);
  std::string point = fmt::format("E{}", ++zone.earths);
  zone.loom.splices +=
      fmt::format("  {}: {{where: {} mm from {}, branch: b1}}\n", zone.earth.splice, 50 + 10 * below(40), point);
  zone.loom.earths += fmt::format("  {}: {{where: \"{}\", ring: M8, to: chassis, circuit: {}}}\n", point,
                                  spots[below(spots.size())], zone.earth.circuit);
  wire_row(zone.loom, zone.earth.circuit, zone.earth.splice, point, "BN", "4", "");
  return zone.earth;
}

void FamilyMaker::feed_load(size_t zone, const std::string& end, const Variation& variation) {
  const Shared& from = feed(zone);
  Variation own = variation.comes() ? variation : Variation{};
  wire(zones_[zone].loom, from.circuit, {from.splice, end, {}, {}, 0}, ~0u, own, "");
}

void FamilyMaker::earth_load(size_t zone, const std::string& end, const Variation& variation) {
  const Shared& to = earth(zone);
  Variation own = variation.comes() ? variation : Variation{};
  wire(zones_[zone].loom, to.circuit, {end, to.splice, {}, {}, 0}, ~1u, own, "");
}

// --- wires --------------------------------------------------------------------------------------

void FamilyMaker::run(Bundle& bundle, const Run& r) {
  uint32_t look = bundle.look++;
  Loom& near = zones_[bundle.from].loom;
  std::string first = fmt::format("{}.{}", bundle.unit_plug, r.cavity);
  std::string first_later = fmt::format("{}.{}", bundle.unit_plug, r.cavity_later);
  std::string extra = chance(30) ? fmt::format("length-mm: {}", 200 + 10 * below(400)) : "";
  if (chance(5))
    extra = joined(extra, fmt::format("source: {{of: [{}-manual, {}-bench], independent: true}}", id_, id_));
  if (chance(2)) extra = joined(extra, "marks: {colour: single}");
  if (!bundle.remote()) {
    wire(near, r.circuit, {first, r.end, first_later, r.end, r.variation.era}, look, r.variation, extra);
  } else {
    auto at = [](const std::string& plug_id, uint32_t cavity) { return fmt::format("{}.{}", plug_id, cavity); };
    uint32_t later = bundle.replugged_in ? bundle.replugged_in : r.variation.era;
    wire(near, r.circuit,
         {first, at(bundle.near, r.inline_cavity), first_later, at(bundle.near_later, r.inline_later), later}, look,
         r.variation, extra);
    wire(others_[0], r.circuit,
         {at(bundle.a, r.inline_cavity), at(bundle.b, r.cavity), at(bundle.a_later, r.inline_later),
          at(bundle.b, r.cavity), later},
         look, r.variation, "");
    wire(zones_[bundle.to].loom, r.circuit, {at(bundle.far, r.cavity), r.end, {}, {}, 0}, look, r.variation, "");
  }
  if (r.variation.kind == Variation::Kind::recoloured) ++bundle.look;  // it took the next colour as well
}

void FamilyMaker::wire(Loom& loom, const std::string& name, const WireEnds& ends, uint32_t look,
                       const Variation& variation, const std::string& extra) {
  using Kind = Variation::Kind;
  const char* size = sizes[look % sizes.size()];
  const std::string first = loom.colour_of(name, look == ~0u ? "RD" : look == ~1u ? "BN" : colour(look));
  if (look >= ~1u) size = "1";
  if (ends.later && (ends.from != ends.from_later || ends.to != ends.to_later)) {
    wire_row(loom, name, ends.from, ends.to, first, size, joined(up_to(ends.later), extra));
    wire_row(loom, name, ends.from_later, ends.to_later, first, size, joined(starting(ends.later), extra));
    return;
  }
  if (variation.kind == Kind::recoloured) {
    std::string second = colour(look + 1);
    wire_row(loom, name, ends.from, ends.to, first, size, joined(up_to(variation.era), extra));
    wire_row(loom, name, ends.from, ends.to, second, size, joined(starting(variation.era), extra));
    change(variation.era, "the eye could not tell it from its neighbour",
           {fmt::format("{{loom: {}, recoloured: {{circuit: {}, at: {}, was: {}, now: {}}}}}", loom.id, name, ends.from,
                        first, second)});
    return;
  }
  if (variation.kind == Kind::resized) {
    wire_row(loom, name, ends.from, ends.to, first, "2.5", joined("with: {supply: 12V}", extra));
    wire_row(loom, name, ends.from, ends.to, first, size, joined("with: {supply: 24V}", extra));
    change_of_option(0, "half the current needs less copper",
                     {fmt::format("{{loom: {}, resized: {{circuit: {}, at: {}, was: 2.5, now: {}}}}}", loom.id, name,
                                  ends.from, size)});
    return;
  }
  wire_row(loom, name, ends.from, ends.to, first, size, joined(tags(variation), extra));
  declare_coming(variation, "its wires",
                 {fmt::format("{{loom: {}, added: {{circuit: {}, from: {}, to: {}, colour: {}, mm2: {}}}}}", loom.id,
                              name, ends.from, ends.to, first, size)});
}

void FamilyMaker::wire_row(Loom& loom, const std::string& name, const std::string& from, const std::string& to,
                           const std::string& colour_text, const char* mm2, const std::string& extra) {
  loom.wires += fmt::format("  - {{circuit: {:<20} from: {:<9} to: {:<9} colour: {:<6} mm2: {}{}}}\n", name + ",",
                            from + ",", to + ",", colour_text + ",", mm2, with_comma(extra));
}

void FamilyMaker::pin(Bundle& bundle, uint32_t cavity, const std::string& name, const std::string& role,
                      const Variation& variation) {
  bundle.pins += fmt::format("      {:<3} {{circuit: {:<20} role: {}{}}}\n", std::to_string(cavity) + ":", name + ",",
                             role, variation.comes() ? ", needed: false" : "");
}

// --- the rows of family and circuits -------------------------------------------------------------

void FamilyMaker::circuit(const std::string& id, const std::string& title, const std::string& fields) {
  circuits_ += fmt::format("  {:<20} {{title: \"{}\", {}}}\n", id + ":", title, fields);
}

void FamilyMaker::connector(Loom& loom, const std::string& designator, const std::string& housing,
                            const std::string& extra) {
  loom.connectors += fmt::format("  {:<8} {{housing: {}, where: \"{}\"{}}}\n", designator + ":", housing,
                                 spots[below(spots.size())], with_comma(extra));
  if (loom.designators.empty() || loom.designators.back() != designator) loom.designators.push_back(designator);
}

void FamilyMaker::place(const std::string& id, const std::string& title, const std::string& extra) {
  places_ += fmt::format("  {:<16} {{title: \"{}\"{}}}\n", id + ":", title, with_comma(extra));
}

void FamilyMaker::plug(const std::string& a, const std::string& b, const std::string& tag_text) {
  plugs_ += tag_text.empty() ? fmt::format("  - [{}, {}]\n", a, b)
                             : fmt::format("  - {{meet: [{}, {}], {}}}\n", a, b, tag_text);
}

std::string FamilyMaker::socket(const std::string& stem, uint32_t ways) {
  housings_[stem] = ways;
  return fmt::format("{}-{}-socket", id_, stem);
}

std::string FamilyMaker::header(const std::string& stem, uint32_t ways) {
  housings_[stem] = ways;
  return fmt::format("{}-{}-header", id_, stem);
}

// --- changes ------------------------------------------------------------------------------------

void FamilyMaker::change(uint32_t era, const std::string& because, std::vector<std::string> rows) {
  std::string& text = changes_[{0, era}];
  text += "  - because: " + because + "\n    changed:\n";
  for (const std::string& row : rows) text += "      - " + row + "\n";
}

void FamilyMaker::change_of_option(uint32_t option, const std::string& because, std::vector<std::string> rows) {
  std::string& text = changes_[{option + 1, 1}];
  text += "  - because: " + because + "\n    changed:\n";
  for (const std::string& row : rows) text += "      - " + row + "\n";
}

void FamilyMaker::declare_coming(const Variation& variation, const std::string& because,
                                 std::vector<std::string> rows) {
  if (variation.kind == Variation::Kind::introduced) change(variation.era, because, std::move(rows));
  if (variation.kind == Variation::Kind::optional) change_of_option(1, because, std::move(rows));
}

// --- words --------------------------------------------------------------------------------------

std::string FamilyMaker::tags(const Variation& variation) const {
  if (variation.kind == Variation::Kind::introduced) return starting(variation.era);
  if (variation.kind == Variation::Kind::optional) return "with: {exhaust-brake: fitted}";
  return {};
}

std::string FamilyMaker::up_to(uint32_t era) const {
  if (era == 1) return "eras: a";
  return fmt::format("eras: a..{}", static_cast<char>('a' + era - 1));
}

std::string FamilyMaker::starting(uint32_t era) const {
  return fmt::format("eras: {}..", static_cast<char>('a' + era));
}

// Base and tracer, all different for 120 numbers on end; red and plain brown are left to feeds and earths.
std::string FamilyMaker::colour(uint32_t look) const {
  uint32_t base = look % 11, tracer = look / 11 % 11;
  return base == tracer ? std::string(colours[base]) + "/RD" : std::string(colours[base]) + "/" + colours[tracer];
}

std::string FamilyMaker::topic() {
  return fmt::format("{}-{}", subjects[below(subjects.size())], ++topics_);
}

}  // namespace loomproof::bench
