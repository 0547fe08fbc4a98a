// The compiled families of the corpus, for tests.
#pragma once
#include <catch2/catch.hpp>
#include <fstream>
#include <iterator>
#include <string>

#include "pack/pack.h"

namespace loomproof::testing {

inline Family packed(const std::string& name) {
  std::ifstream file(LOOMPROOF_SOURCE_DIR "/generated/packs/" + name + ".loompack", std::ios::binary);
  const std::string bytes{std::istreambuf_iterator<char>(file), {}};
  const pack::Opened opened = pack::Pack::open(bytes);
  REQUIRE(opened.pack);
  return load(*opened.pack);
}

}  // namespace loomproof::testing
