// Keys that stand twice in one map. Private to src/yaml.
#pragma once
#include "yaml/storage.h"

namespace loomproof::yaml {

// Reports every entry of the map that repeats a key, with the first of that key, and takes it out of the map.
void drop_duplicates(Storage& storage, uint32_t map, Report& report);

}  // namespace loomproof::yaml
