#include "reports/file_names.h"

#include <fmt/format.h>

namespace loomproof::reports {
namespace {

constexpr size_t longest_stem = longest_name - std::string_view(".loompack").size();

// FNV-1a (64 bit)
std::string fingerprint(std::string_view text) {
  uint64_t hash = 0xcbf29ce484222325u;
  for (unsigned char c : text) hash = (hash ^ c) * 0x100000001b3u;
  return fmt::format("{:016x}", hash);
}

std::string with_tail(const std::string& stem, const std::string& tail) {
  return stem.substr(0, longest_stem - tail.size() - 1) + "-" + tail;
}

}  // namespace

std::string file_word(std::string_view id) {
  std::string word;
  bool anything = false;
  for (char c : id) {
    const bool upper = c >= 'A' && c <= 'Z';
    const bool plain = (c >= 'a' && c <= 'z') || (c >= '0' && c <= '9');
    word += upper ? static_cast<char>(c - 'A' + 'a') : plain ? c : '-';
    anything |= upper || plain;
  }
  return anything ? word : "unnamed";
}

std::string folder_name(std::string_view family_id) {
  const std::string word = file_word(family_id);
  const bool reserved = word == "packs";  // the folder of the packs
  if (word == family_id && !reserved && word.size() <= longest_stem) return word;
  return with_tail(word, fingerprint(family_id));
}

std::string FileNames::claim(const std::string& wanted) {
  std::string name = wanted.size() <= longest_stem ? wanted : with_tail(wanted, fingerprint(wanted));
  for (int number = 2; !taken_.insert(name).second; ++number) name = with_tail(wanted, std::to_string(number));
  return name;
}

}  // namespace loomproof::reports
