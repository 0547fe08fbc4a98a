// Any bytes: refused in one line, or a pack that can be read through and written again. Seeds: the folder of packs that
// the compiler writes, or any *.loompack. Run as `pack_fuzz -max_len=65536 FOLDER`.
#include <cstdint>
#include <cstdlib>
#include <string>

#include "pack_seal.h"
#include "pack_walk.h"

namespace {

void check(const std::string& bytes) {
  const loomproof::pack::Opened opened = loomproof::pack::Pack::open(bytes);
  if (opened.pack.has_value() != opened.refusal.empty()) std::abort();
  if (opened.refusal.find('\n') != std::string::npos) std::abort();
  if (!opened.pack) return;
  loomproof::testing::walk(*opened.pack);
  if (opened.pack->minor() > loomproof::pack::format_minor) return;
  const loomproof::Family family = load(*opened.pack);
  // A reader does not look for texts that are there twice; a writer does.
  if (const std::string fault = loomproof::pack::fault_of(family);
      !fault.empty() && fault.find("there already") == std::string::npos)
    std::abort();
}

}  // namespace

extern "C" int LLVMFuzzerTestOneInput(const uint8_t* data, size_t size) {
  std::string bytes(reinterpret_cast<const char*>(data), size);
  check(bytes);
  if (!loomproof::testing::sealable(bytes)) return 0;
  loomproof::testing::seal(bytes);
  check(bytes);
  return 0;
}
