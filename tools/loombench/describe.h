// The words for single facts of a family, shared by every view.
#pragma once
#include <string>
#include <vector>

#include "family/family.h"
#include "nets/cavities.h"
#include "nets/firing.h"
#include "nets/index.h"

namespace loomproof::bench {

// "CHASSIS-LOOM.C1.12": a point of the vehicle; by the part's id where the part has no place.
std::string point_in_vehicle(const Family& family, Index point);
// The same for a connector: "CHASSIS-LOOM.C1".
std::string connector_in_vehicle(const Family& family, Index connector);

// "croft-manual, bench-0412 (independent)"; empty where nothing is cited.
std::string source_text(const Family& family, CiteId cite);
// What the marks of a row say: "function from memory; colour from a single source".
std::string marks_text(uint32_t marks);

// "wired", "empty: known to hold nothing", "unknown: nobody has looked", "disputed: manual says wired, TACHO; …".
std::string state_text(const FamilyIndex& index, const Cavity& cavity);
// The same in one word, for tables; a pin that is connected to nothing inside is "open".
std::string state_word(const Cavity& cavity);

std::string circuit_id(const Family& family, Index circuit);        // empty for none
std::string circuit_function(const Family& family, Index circuit);  // from the vocabulary, or DIN 72552's designation
std::string colour_text(const Family& family, const Wire& wire);    // "GN/WH green with white tracer"
std::string mm2_text(Quantity mm2);                                 // "0.75 mm²"; empty if not given
std::string amps_text(Quantity amps);                               // "10 A"; empty if not given
// What a pin gives or needs: "takes-feed, system, up to 8 A".
std::string demand_text(const Pin& pin);
// "fuse F2, 20 A", "contact K1c, rests open, closed by K1", "coil K1, 85 ohm".
std::string inside_text(const Family& family, const Inside& inside);
// Whether current passes from one end to the other without a load: strap, link, fuse, contact.
bool conducts(InsideKind kind);

}  // namespace loomproof::bench
