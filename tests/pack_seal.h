// Puts the right checksum on a pack that was tampered with, so that the checks behind the checksum are reached.
#pragma once
#include <flatbuffers/flatbuffers.h>
#include <xxhash.h>

#include <cstring>
#include <string>

#include "pack_generated.h"

namespace loomproof::testing {

// The bytes are a pack as far as the FlatBuffers verifier goes, and have a checksum.
inline bool sealable(const std::string& bytes) {
  flatbuffers::Verifier verifier(reinterpret_cast<const uint8_t*>(bytes.data()), bytes.size());
  return packed::VerifyPackBuffer(verifier) && packed::GetPack(bytes.data())->checksum() != nullptr;
}

// XXH3, 128 bits, canonical order, over the file with the checksum itself as zero: schema/pack.fbs.
inline void seal(std::string& bytes) {
  const auto* checksum = reinterpret_cast<const char*>(packed::GetPack(bytes.data())->checksum());
  char* const at = bytes.data() + (checksum - bytes.data());
  std::memset(at, 0, sizeof(packed::Checksum));
  XXH128_canonical_t canonical;
  XXH128_canonicalFromHash(&canonical, XXH3_128bits(bytes.data(), bytes.size()));
  std::memcpy(at, canonical.digest, sizeof(canonical.digest));
}

}  // namespace loomproof::testing
