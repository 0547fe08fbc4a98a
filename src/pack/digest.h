// XXH3, 128 bits. The checksum of a pack is taken over the whole file with the checksum's own bytes taken as zero.
#pragma once
#include <array>
#include <cstddef>
#include <cstdint>
#include <string>
#include <string_view>

namespace loomproof::pack {

using Digest = std::array<uint8_t, 16>;

// `at`: where the 16 bytes of the checksum stand within the bytes.
Digest digest_of(std::string_view bytes, size_t at);
Digest digest_of(std::string_view bytes);  // of all of them
std::string hex(const Digest& digest);

}  // namespace loomproof::pack
