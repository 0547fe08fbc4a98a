// Synthetic corpora for measuring: clean (`check` finds nothing), of any size, always the same for the same shape and
// seed. They have what a real corpus has: families with eras and options, looms that plug into each other, control
// units, fuse boxes, splices, earth points, double crimps, spares, all states of a cavity, a firing circuit, and
// differences between neighbours, each declared. All names are invented.
#pragma once
#include <cstdint>
#include <map>
#include <string>

namespace loomproof::bench {

struct Shape {
  uint64_t seed = 1;
  uint32_t families = 1;
  uint32_t zones = 6;    // looms that carry control units, beside the trunk that joins them; at least 2
  uint32_t units = 1;    // control units a zone
  uint32_t bundles = 5;  // plugs a control unit
  uint32_t ways = 40;    // cavities of such a plug; at least 16
  uint32_t eras = 4;     // 1 to 26
  uint32_t options = 2;  // each of two values; the first is the supply, the second an exhaust brake
};

// path relative to the corpus -> text
using CorpusFiles = std::map<std::string, std::string>;

// A corpus of about so many megabytes: 8 are 500 files.
Shape shape_of_megabytes(double megabytes, uint64_t seed = 1);

CorpusFiles generate(const Shape& shape);
uint64_t total_bytes(const CorpusFiles& files);

// Below `folder`, which is made. Throws std::filesystem::filesystem_error or std::runtime_error.
void write_to_folder(const CorpusFiles& files, const std::string& folder);

}  // namespace loomproof::bench
