#include "generate.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <filesystem>
#include <fstream>
#include <stdexcept>

#include "family_maker.h"

namespace loomproof::bench {

namespace {

std::string head(const char* kind, const char* up) {
  return fmt::format(
      "# yaml-language-server: $schema={}schema/{}.schema.json\n# Part of a synthetic corpus, made for measuring.\n",
      up, kind);
}

// Every pair of pin roles, all of them fine: what the compiler wants to be whole.
std::string joins() {
  static constexpr const char* roles[] = {
      "gives-feed", "gives-earth",     "gives-return", "gives-reference", "gives-signal", "pulls-low",    "pulls-high",
      "bus",        "shield",          "gives-firing", "takes-feed",      "takes-earth",  "takes-return", "takes-low",
      "takes-high", "takes-reference", "takes-signal", "takes-firing",    "senses-low",   "senses-high",  "passes",
      "open",       "unknown"};
  std::string text = head("joins", "../../") + "source: made-up\njoins:\n";
  for (size_t a = 0; a < std::size(roles); ++a)
    for (size_t b = a; b < std::size(roles); ++b)
      text += fmt::format("  - {{meets: [{}, {}], outcome: fine, suffers: nobody, because: made up}}\n", roles[a],
                          roles[b]);
  return text;
}

// The shared files are as small as a corpus allows; codes and designations are IEC 60757 and DIN 72552, from memory.
void add_shared_files(CorpusFiles& files) {
  files["corpus.yaml"] = head("corpus", "../") + "format: 1\ntitle: Synthetic corpus\n";
  files["cautions.yaml"] =
      head("cautions", "../") +
      "source: made-up\ncautions:\n  authority:\n    when: [always]\n    text: The maker's manual comes first.\n";
  std::string colours = head("colours", "../../") + "source: made-up\ncolours:\n";
  int order = 0;
  for (const char* colour : {"BK: black", "BN: brown", "RD: red", "OG: orange", "YE: yellow", "GN: green", "BU: blue",
                             "VT: violet", "GY: grey", "WH: white", "PK: pink", "TQ: turquoise"}) {
    std::string both = colour;
    colours += fmt::format("  {}: {{order: {}, name: {}}}\n", both.substr(0, 2), ++order, both.substr(4));
  }
  files["vocabulary/colours.yaml"] = colours;
  files["vocabulary/terminals.yaml"] =
      head("terminals", "../../") +
      "source: made-up\nterminals:\n  15: {group: supply, meaning: switched positive}\n"
      "  30: {group: supply, meaning: battery positive}\n  31: {group: supply, meaning: earth}\n";
  std::string functions = head("functions", "../../") + "source: made-up\nfunctions:\n";
  for (const char* function : {"permanent supply", "ignition supply", "earth", "sensor supply", "sensor signal",
                               "signal return", "valve", "lamp", "switch", "bus", "relay control", "belt tensioner"})
    functions += fmt::format("  {}: {{meaning: {}}}\n", function, function);
  files["vocabulary/functions.yaml"] = functions;
  std::string conductors = head("conductors", "../../") + "source: made-up\nconductors:\n";
  for (const char* mm2 : {"0.5", "0.75", "1", "1.5", "2.5", "4", "16", "50"})
    conductors += fmt::format("  - {{mm2: {}}}\n", mm2);
  files["vocabulary/conductors.yaml"] = conductors;
  files["rules/joins.yaml"] = joins();
  files["vocabulary/fuses.yaml"] =
      head("fuses", "../../") +
      "source: made-up\nfuses:\n  - {type: F, amps: 10, colour: red}\n  - {type: F, amps: 15, colour: blue}\n";
}

}  // namespace

Shape shape_of_megabytes(double megabytes, uint64_t seed) {
  Shape shape;
  shape.seed = seed;
  constexpr double family_megabytes = 0.72;  // of the shape as it stands in the header
  shape.families = std::max(1u, static_cast<uint32_t>(std::lround(megabytes / family_megabytes)));
  if (megabytes < family_megabytes) shape.zones = 4;
  return shape;
}

CorpusFiles generate(const Shape& shape) {
  if (shape.zones < 2 || shape.ways < 16 || shape.eras < 1 || shape.eras > 26)
    throw std::invalid_argument("no corpus can be made of this shape");
  CorpusFiles files;
  add_shared_files(files);
  std::string sources =
      head("sources", "../") + "sources:\n  made-up:\n    kind: invented\n    title: Made up for measuring\n";
  for (uint32_t i = 0; i < shape.families; ++i) {
    FamilyMaker family(shape, i);
    family.make(files);
    sources += family.sources();
  }
  files["sources.yaml"] = sources;
  return files;
}

uint64_t total_bytes(const CorpusFiles& files) {
  uint64_t bytes = 0;
  for (const auto& [path, text] : files) bytes += text.size();
  return bytes;
}

void write_to_folder(const CorpusFiles& files, const std::string& folder) {
  for (const auto& [path, text] : files) {
    std::filesystem::path target = std::filesystem::path(folder) / path;
    std::filesystem::create_directories(target.parent_path());
    std::ofstream out(target, std::ios::binary);
    out << text;
    if (!out.flush()) throw std::runtime_error("cannot write " + target.string());
  }
}

}  // namespace loomproof::bench
