// All bytes to an open file, however often the system takes only some of them.
#pragma once
#include <string_view>

namespace loomproof {

// False, with errno, where it takes no more.
bool write_all(int fd, std::string_view bytes);

}  // namespace loomproof
