#include "upkeep/example.h"

namespace loomproof::upkeep {

namespace {

constexpr const char* family_yaml = R"(# yaml-language-server: $schema=../../../schema/family.schema.json
# What all files of this family share: when it was built, which places a vehicle has, which plugs meet.
# It begins as a lamp behind a fuse, which is invented. Replace it bit by bit, with `loomproof check` open beside you.
family: FAMILY
title: FAMILY, an example to replace (invented)
source: FAMILY-notes
eras:                                             # spans of build dates; a second one goes below, with a later span
  - {id: a, title: First series, built: 2001-01/2004-12}
places:                                           # each holds one part, a loom or a component
  MAIN-LOOM: {title: Main loom}
  BATTERY:   {title: Battery}
  FUSE:      {title: Fuse holder, where: beside the battery}
  LAMP:      {title: Work lamp}
plugs:                                            # which connector of which place meets which: said here alone
  - [MAIN-LOOM.C1, BATTERY.X1]
  - [MAIN-LOOM.C2, FUSE.X1]
  - [MAIN-LOOM.C3, LAMP.X1]
builds:                                           # what the factory made: eras, and values of options if there are any
  - {eras: a}
)";

constexpr const char* circuits_yaml = R"(# yaml-language-server: $schema=../../../schema/circuits.schema.json
# What the wires are for. A fuse, a relay contact and a switch each have a circuit of their own on either side.
source: FAMILY-notes
supply: 12                                        # what `volts: system` means
circuits:
  BAT:  {title: Battery supply,         class: feed,  terminal: 30, volts: system, max-a: 15}
  FEED: {title: Supply behind the fuse, class: feed,  volts: system, max-a: 10}
  GND:  {title: Earth,                  class: earth, terminal: 31}
)";

constexpr const char* main_yaml = R"(# yaml-language-server: $schema=../../../../schema/loom.schema.json
# One row a wire: circuit, two ends, colour (IEC 60757, `GN/WH` is green with a white tracer), cross-section in mm2.
# A row may say `eras:`, `with:` and `source:` of its own; without them it holds wherever this loom does.
loom: main
title: Main loom
place: MAIN-LOOM
source: FAMILY-notes
connectors:                                       # rest: what the cavities are that no row names;
  C1: {housing: FAMILY-2-plug, where: battery}    # where a housing has some, say rest: empty or rest: unknown,
  C2: {housing: FAMILY-2-plug, where: beside the battery}    # and unknown means that nobody has looked
  C3: {housing: FAMILY-2-plug, where: behind the seat}
wires:
  - {circuit: BAT,  from: C1.1, to: C2.1, colour: RD,    mm2: 2.5}
  - {circuit: FEED, from: C2.2, to: C3.1, colour: RD/YE, mm2: 1.5}
  - {circuit: GND,  from: C1.2, to: C3.2, colour: BN,    mm2: 2.5}
)";

constexpr const char* battery_yaml = R"(# yaml-language-server: $schema=../../../../schema/component.schema.json
# A pin's role says what it gives (gives-feed, gives-earth, pulls-low …) or needs (takes-feed, takes-earth …).
component: battery
title: Battery
place: BATTERY
source: FAMILY-notes
connectors:
  X1:
    housing: FAMILY-2-header
    pins:
      1: {circuit: BAT, role: gives-feed, volts: system, max-a: 40}
      2: {circuit: GND, role: gives-earth}
)";

constexpr const char* fuse_yaml = R"(# yaml-language-server: $schema=../../../../schema/component.schema.json
# Pins that only lead on have no demand of their own: `passes`. What joins them stands under `inside`.
component: fuse
title: Fuse holder
place: FUSE
source: FAMILY-notes
connectors:
  X1:
    housing: FAMILY-2-header
    pins:
      1: {circuit: BAT,  role: passes}
      2: {circuit: FEED, role: passes}
inside:
  - {id: F1, join: [X1.1, X1.2], as: fuse, a: 10}
)";

constexpr const char* lamp_yaml = R"(# yaml-language-server: $schema=../../../../schema/component.schema.json
component: lamp
title: Work lamp
place: LAMP
source: FAMILY-notes
connectors:
  X1:
    housing: FAMILY-2-header
    pins:
      1: {circuit: FEED, role: takes-feed, volts: system, max-a: 5}
      2: {circuit: GND,  role: takes-earth, max-a: 5}
inside:
  - {id: H1, join: [X1.1, X1.2], as: lamp, volts: system}
)";

constexpr ExampleFile files[] = {
    {"family.yaml", family_yaml},        {"circuits.yaml", circuits_yaml},
    {"looms/main.yaml", main_yaml},      {"components/battery.yaml", battery_yaml},
    {"components/fuse.yaml", fuse_yaml}, {"components/lamp.yaml", lamp_yaml},
};

}  // namespace

const std::span<const ExampleFile> example_files = files;

const char* const example_housings = R"(# yaml-language-server: $schema=../../schema/housings.schema.json
# Connector bodies. Rows are the cavities as they are seen from the side that `seen-from` names, a full stop for a gap.
source: FAMILY-notes
housings:
  FAMILY-2-plug:
    title: 2-way plug
    contacts: receptacle
    seen-from: wire-side
    ways: 2
    rows: [1 2]
    takes: 0.5..2.5
    max-a: 20
    mates: [FAMILY-2-header]
  FAMILY-2-header:
    title: 2-way header
    contacts: pin
    seen-from: mating-side
    ways: 2
    rows: [1 2]
    max-a: 20
    mates: [FAMILY-2-plug]
)";

const char* const example_source =
    R"(  # Say where the facts come from: a manual with its page, a measurement with who took it, when and on what.
  FAMILY-notes:
    kind: invented
    title: The example that FAMILY began as (invented)
)";

const char* const example_sources_head = R"(# yaml-language-server: $schema=../schema/sources.schema.json
# Every source that the corpus cites, by id.
sources:
)";

const char* const example_corpus = R"(# yaml-language-server: $schema=../schema/corpus.schema.json
# The corpus: its format version and what it is. It was begun with the family FAMILY.
format: 1
title: A corpus of wiring looms
)";

}  // namespace loomproof::upkeep
