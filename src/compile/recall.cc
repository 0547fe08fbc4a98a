#include <algorithm>

#include "compile/family_result.h"
#include "compile/parallel.h"

namespace loomproof {

namespace {

// What a file adds to the key of whatever depends on it: where it stands below the corpus, and its bytes.
struct FileKey {
  std::string_view path;
  bool was_read = false;
  pack::Digest digest{};
};

void append(std::string& key, const FileKey& file) {
  key += file.path;
  key += '\0';
  key += file.was_read ? '1' : '0';
  key.append(file.digest.begin(), file.digest.end());
}

}  // namespace

Recall::Recall(const std::vector<Pending>& pending, const CompileOptions& options, const Compiled& compiled)
    : pending_(pending), cache_(*options.cache) {
  const size_t prefix = compiled.shown_folder.size();
  std::vector<FileKey> keys(pending.size());
  std::vector<size_t> sizes;
  for (const Pending& file : pending) sizes.push_back(file.size);
  in_parallel(sizes, options, "comparing", [&](size_t i) {
    const SourceFile& file = compiled.sources.file(pending[i].shown);
    keys[i] = {std::string_view(file.path()).substr(prefix), pending[i].file != no_file, pack::digest_of(file.bytes())};
  });
  const yaml::Limits& limits = options.limits;
  std::string shared = fmt::format("{} {} {} {} ", limits.file_bytes, limits.depth, limits.nodes, limits.scalar_bytes);
  std::vector<FileId> shared_files;
  std::map<std::string, std::string> own;
  for (size_t i = 0; i < pending.size(); ++i) {
    const std::string& family = pending[i].place.family;
    append(family.empty() ? shared : own[family], keys[i]);
    if (family.empty())
      shared_files.push_back(pending[i].shown);
    else
      families_[family].files.push_back(pending[i].shown);
  }
  for (auto& [folder, entry] : families_) {
    entry.key = pack::digest_of(fmt::format("{} {}", shared.size(), shared) + own[folder]);
    entry.files.insert(entry.files.end(), shared_files.begin(), shared_files.end());
  }
}

std::vector<Pending> Recall::find(FamilyResults& results) const {
  for (const auto& [folder, entry] : families_) {
    const std::optional<std::string> bytes = cache_.find(entry.key);
    FamilyResult result;
    if (!bytes || !from_bytes(*bytes, entry.files, result)) continue;
    entry.was_found = true;
    results.emplace(folder, std::move(result));
  }
  std::vector<Pending> unread;
  for (const Pending& file : pending_)
    if (file.place.family.empty() || !families_.at(file.place.family).was_found) unread.push_back(file);
  return unread;
}

void Recall::keep(const FamilyResults& results) const {
  for (const auto& [folder, result] : results)
    if (const Entry& entry = families_.at(folder); !entry.was_found)
      cache_.keep(entry.key, to_bytes(result, entry.files));
}

}  // namespace loomproof
