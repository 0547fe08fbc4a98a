// Whether text is UTF-8 (RFC 3629). The text must be followed by a zero byte, as std::string and FlatBuffers have it.
#pragma once
#include <string_view>

namespace loomproof::pack {

bool is_utf8(std::string_view text);

}  // namespace loomproof::pack
