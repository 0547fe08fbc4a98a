#include "emit/manifest.h"

#include <algorithm>

#include "reports/file_names.h"

namespace loomproof::emit {
namespace {

constexpr size_t checksum_digits = 32;
constexpr std::string_view heading =
    "# What `loomproof build` wrote into this folder, with the XXH3 checksum of each file. It removes nothing else.\n";

bool is_checksum(std::string_view text) {
  return text.size() == checksum_digits &&
         std::all_of(text.begin(), text.end(), [](char c) { return (c >= '0' && c <= '9') || (c >= 'a' && c <= 'f'); });
}

bool is_safe_name(std::string_view name) {
  if (name.empty() || name[0] == '.' || name.size() > reports::longest_name) return false;
  return std::all_of(name.begin(), name.end(), [](char c) {
    return (c >= 'a' && c <= 'z') || (c >= '0' && c <= '9') || c == '.' || c == '_' || c == '-';
  });
}

}  // namespace

Manifest Manifest::parse(std::string_view text) {
  Manifest manifest;
  while (!text.empty()) {
    const size_t end = std::min(text.find('\n'), text.size());
    const std::string_view line = text.substr(0, end);
    text.remove_prefix(std::min(end + 1, text.size()));
    if (line.size() <= checksum_digits + 2 || line.substr(checksum_digits, 2) != "  ") continue;
    const std::string_view path = line.substr(checksum_digits + 2), sum = line.substr(0, checksum_digits);
    if (is_checksum(sum) && is_safe_path(path)) manifest.add(path, sum);
  }
  return manifest;
}

std::string Manifest::text() const {
  std::string text(heading);
  for (const auto& [path, checksums] : files_)
    for (const std::string& sum : checksums) text.append(sum).append("  ").append(path).append("\n");
  return text;
}

bool Manifest::wrote(const std::string& path, const std::string& checksum) const {
  const auto found = files_.find(path);
  return found != files_.end() && found->second.contains(checksum);
}

bool is_safe_path(std::string_view path) {
  for (;;) {
    const size_t slash = path.find('/');
    if (!is_safe_name(path.substr(0, slash))) return false;
    if (slash == std::string_view::npos) return true;
    path.remove_prefix(slash + 1);
  }
}

}  // namespace loomproof::emit
