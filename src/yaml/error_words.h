// What yaml-cpp says of a text that is not YAML, in plain words. Private to src/yaml.
#pragma once
#include <cstdint>
#include <string>
#include <string_view>

namespace loomproof::yaml {

std::string error_words(std::string_view message, std::string_view bytes, uint32_t offset);

}  // namespace loomproof::yaml
