#include "pack/digest.h"

#include <fmt/format.h>
#include <xxhash.h>

#include <memory>
#include <new>

namespace loomproof::pack {
namespace {

Digest canonical(XXH128_hash_t hash) {
  XXH128_canonical_t bytes;
  XXH128_canonicalFromHash(&bytes, hash);
  Digest digest;
  for (size_t i = 0; i < digest.size(); ++i) digest[i] = bytes.digest[i];
  return digest;
}

}  // namespace

Digest digest_of(std::string_view bytes, size_t at) {
  const std::unique_ptr<XXH3_state_t, decltype(&XXH3_freeState)> state(XXH3_createState(), &XXH3_freeState);
  if (!state) throw std::bad_alloc();
  const Digest blank{};
  XXH3_128bits_reset(state.get());
  XXH3_128bits_update(state.get(), bytes.data(), at);
  XXH3_128bits_update(state.get(), blank.data(), blank.size());
  XXH3_128bits_update(state.get(), bytes.data() + at + blank.size(), bytes.size() - at - blank.size());
  return canonical(XXH3_128bits_digest(state.get()));
}

Digest digest_of(std::string_view bytes) {
  return canonical(XXH3_128bits(bytes.data(), bytes.size()));
}

std::string hex(const Digest& digest) {
  std::string text;
  for (uint8_t byte : digest) text += fmt::format("{:02x}", byte);
  return text;
}

}  // namespace loomproof::pack
