#include "pack/utf8.h"

#include <flatbuffers/util.h>

#include <cstdint>
#include <cstring>

namespace loomproof::pack {

bool is_utf8(std::string_view text) {
  const char* at = text.data();
  const char* const end = at + text.size();
  while (at < end) {
    uint64_t eight = 0;  // nearly all text is ASCII: eight bytes at a time, as long as none has its high bit
    if (end - at >= 8) std::memcpy(&eight, at, 8);
    if (end - at >= 8 && (eight & 0x8080808080808080u) == 0) {
      at += 8;
      continue;
    }
    if (flatbuffers::FromUTF8(&at) < 0) return false;
  }
  return at == end;
}

}  // namespace loomproof::pack
