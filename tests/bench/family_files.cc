// The files of a synthetic family, from what FamilyMaker gathered.
#include <fmt/format.h>

#include "family_maker.h"

namespace loomproof::bench {

namespace {

std::string head(const char* kind, const char* up, const std::string& about) {
  return fmt::format("# yaml-language-server: $schema={}schema/{}.schema.json\n# {}\n", up, kind, about);
}

std::string era_id(uint32_t era) {
  return std::string(1, static_cast<char>('a' + era));
}

}  // namespace

std::string FamilyMaker::sources() const {
  std::string text;
  for (const char* kind : {"manual", "parts-list", "bench"})
    text += fmt::format("  {}-{}:\n    kind: invented\n    title: {}, {} (invented)\n    section: pages 1 to 400\n",
                        id_, kind, title_, kind);
  return text;
}

std::string FamilyMaker::family_file() const {
  std::string text = head("family", "../../../", "An invented vehicle, made for measuring.");
  text += fmt::format("family: {}\ntitle: {} truck (invented)\nsource: {}-manual\neras:\n", id_, title_, id_);
  for (uint32_t era = 0; era < shape_.eras; ++era)
    text += fmt::format("  - {{id: {}, title: Series {}, built: {}-01/{}-12}}\n", era_id(era),
                        static_cast<char>('A' + era), 1960 + 2 * era, 1961 + 2 * era);
  if (shape_.options > 0) text += "options:\n  supply: {title: Supply, values: [12V, 24V]}\n";
  if (shape_.options > 1) text += "  exhaust-brake: {title: Exhaust brake, values: [none, fitted]}\n";
  for (uint32_t i = 2; i < shape_.options; ++i)
    text += fmt::format("  trim-{}: {{title: Trim {}, values: [plain, full]}}\n", i - 1, i - 1);
  text += "places:\n" + places_ + "plugs:\n" + plugs_ + "builds:\n";
  bool last_with_24_only = shape_.eras > 1 && shape_.options > 0;
  text += "  - {eras: " + (last_with_24_only ? "a.." + era_id(shape_.eras - 2) : "a..") + "}\n";
  if (last_with_24_only) text += "  - {eras: " + era_id(shape_.eras - 1) + ", with: {supply: 24V}}\n";
  return text;
}

std::string FamilyMaker::loom_file(const Loom& loom, const std::string& about) const {
  std::string text = head("loom", "../../../../", about);
  text += fmt::format("loom: {}\ntitle: Loom of the {}\nplace: {}\nsource: {}-manual\nnumbers:\n", loom.id, loom.id,
                      loom.place, id_);
  text += fmt::format("  - {{text: {}-A, on: tag, source: {}-parts-list}}\n", loom.place, id_);
  text += "connectors:\n" + loom.connectors;
  if (!loom.splices.empty()) text += "splices:\n" + loom.splices;
  if (!loom.earths.empty()) text += "earths:\n" + loom.earths;
  text += "branches:\n";
  for (size_t i = 0; i < loom.designators.size(); i += 12) {
    text += fmt::format("  b{}: [", i / 12 + 1);
    for (size_t j = i; j < std::min(i + 12, loom.designators.size()); ++j)
      text += (j > i ? ", " : "") + loom.designators[j];
    text += "]\n";
  }
  text += "wires:\n" + loom.wires;
  if (!loom.cavities.empty()) text += "cavities:\n" + loom.cavities;
  return text;
}

// A unit that takes the place of another has the same plugs.
std::string FamilyMaker::unit_file(const Unit& unit, bool later) const {
  std::string text = head("component", "../../../../", "A control unit: what each of its pins gives or takes.");
  text += fmt::format("component: {}{}\ntitle: Control unit{}\nplace: {}\nsource: {}-manual\n", unit.id,
                      later ? "-later" : "", later ? ", new output stage" : "", unit.place, id_);
  if (unit.replaced_in) text += (later ? starting(unit.replaced_in) : up_to(unit.replaced_in)) + "\n";
  text +=
      fmt::format("numbers: [{{text: {}-{}, on: label, source: {}-parts-list}}]\n", unit.place, later ? "B" : "A", id_);
  return text + "connectors:\n" + unit.connectors +
         (later ? "inside: [{id: R1, join: [X1.1, X1.2], as: resistor, ohm: 220}]\n" : "");
}

std::string FamilyMaker::fuse_file(const Zone& zone) const {
  std::string text = head("component", "../../../../", "Fuses and relays.");
  text += fmt::format(
      "component: {}-fuses\ntitle: Fuse box of the {}\nplace: {}-FUSES\nsource: {}-manual\nconnectors:\n"
      "  X1: {{housing: {}-stud-header, pins: {{1: {{circuit: BAT, role: passes, max-a: 60}}}}}}\n",
      zone.loom.id, zone.loom.id, zone.word, id_, id_);
  text += zone.fuse_connectors;
  text += fmt::format("  X{}:\n    housing: {}-fuses-header\n    rest: open\n    pins:\n{}", zone.fuse_plugs, id_,
                      zone.fuse_pins);
  if (!zone.fuse_nodes.empty()) text += "nodes: [" + zone.fuse_nodes + "]\n";
  return text + "inside:\n" + zone.fuse_inside;
}

std::string FamilyMaker::housings_file() const {
  std::string text = head("housings", "../../", "The plugs of one family.");
  text += fmt::format("source: {}-parts-list\nhousings:\n", id_);
  for (const auto& [stem, ways] : housings_)
    for (bool is_socket : {true, false}) {
      std::string rows;
      for (uint32_t way = 1; way <= ways; ++way)
        rows += way % 10 == 1 ? fmt::format("      - \"{}", way) : fmt::format(" {}", way),
            rows += way % 10 == 0 || way == ways ? "\"\n" : "";
      text += fmt::format(
          "  {}-{}-{}:\n    title: {}-way plug, {} half\n    contacts: {}\n    seen-from: {}\n    ways: {}\n    "
          "rows:\n{}",
          id_, stem, is_socket ? "socket" : "header", ways, is_socket ? "socket" : "pin",
          is_socket ? "receptacle" : "pin", is_socket ? "wire-side" : "mating-side", ways, rows);
      if (is_socket) text += fmt::format("    takes: 0.35..{}\n", stem == "stud" ? "70" : "6");
      text += fmt::format("    mates: [{}-{}-{}]\n    colour: {}\n", id_, stem, is_socket ? "header" : "socket",
                          stem == "firing" ? "yellow" : "black");
      if (stem == "firing" && is_socket) text += "    closes-when-unplugged: [[1, 2]]\n";
    }
  return text;
}

void FamilyMaker::device_files(const std::string& folder, CorpusFiles& files) const {
  for (const auto& [id, entry] : devices_) {
    std::string text =
        head("component", "../../../../", "The same part in many places: which circuit it has is the loom's matter.");
    text += fmt::format("component: {}\ntitle: Device of kind {}\nplace: [", id, id);
    for (size_t i = 0; i < entry.second.size(); ++i) text += (i ? ", " : "") + entry.second[i];
    text += fmt::format("]\nsource: {}-manual\nconnectors:\n  X1:\n    housing: {}\n    pins:\n", id_, entry.first);
    auto is = [&](const char* kind) { return id.compare(0, std::string(kind).size(), kind) == 0; };
    if (is("sensor"))
      text +=
          "      1: {role: takes-reference, volts: 5, max-a: 0.02}\n      2: {role: gives-signal, volts: 5}\n      3: "
          "{role: takes-return}\n";
    else if (is("valve"))
      text +=
          "      1: {role: takes-feed, volts: system, max-a: 2}\n      2: {role: takes-low, volts: system, max-a: 2}\n"
          "inside: [{id: Y1, join: [X1.1, X1.2], as: coil, volts: system, ohm: 20}]\n";
    else if (is("lamp"))
      text +=
          "      1: {role: takes-high, volts: system, max-a: 2}\n      2: {role: takes-earth}\n"
          "inside: [{id: H1, join: [X1.1, X1.2], as: lamp, volts: system}]\n";
    else if (is("switch"))
      text +=
          "      1: {role: passes}\n      2: {role: passes}\ninside: [{id: B1, join: [X1.1, X1.2], as: contact, rests: "
          "open, by: hand}]\n";
    else
      text +=
          "      1: {role: takes-feed, volts: system, max-a: 3}\n      2: {role: takes-earth}\n"
          "      3: {role: bus, protocol: CAN, line: H}\n      4: {role: bus, protocol: CAN, line: L}\n";
    files[folder + "components/" + id + ".yaml"] = text;
  }
}

void FamilyMaker::change_files(const std::string& folder, CorpusFiles& files) const {
  static const char* options[] = {"supply", "exhaust-brake"};
  static const char* values[][2] = {{"12V", "24V"}, {"none", "fitted"}};
  for (const auto& [between, rows] : changes_) {
    auto [axis, right] = between;
    std::string text = head("changes", "../../../../", "Declared differences between two neighbours.");
    std::string name;
    if (axis == 0) {
      name = era_id(right - 1) + "-" + era_id(right);
      text += "between: [{era: " + era_id(right - 1) + "}, {era: " + era_id(right) + "}]\n";
    } else {
      name = options[axis - 1];
      text += fmt::format("between: [{{option: {}, value: {}}}, {{option: {}, value: {}}}]\n", name,
                          values[axis - 1][0], name, values[axis - 1][1]);
    }
    files[folder + "changes/" + name + ".yaml"] = text + "source: " + id_ + "-bench\nchanges:\n" + rows;
  }
}

}  // namespace loomproof::bench
