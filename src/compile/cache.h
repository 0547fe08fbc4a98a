// What earlier runs found of a family, by a key made of everything that it depends on: the bytes of its files and of
// those that all families share, the limits, and the program itself. Values are bytes of our own (family_result.h).
#pragma once
#include <map>
#include <optional>
#include <string>
#include <string_view>

#include "pack/digest.h"

namespace loomproof {

class Cache {
 public:
  virtual ~Cache() = default;
  // Nothing where it is not known, or where what stands there is not what was kept.
  virtual std::optional<std::string> find(const pack::Digest& key) const = 0;
  // Never fails: what cannot be kept is found again next time.
  virtual void keep(const pack::Digest& key, std::string_view bytes) = 0;
};

// For one run of the program.
class MemoryCache : public Cache {
 public:
  std::optional<std::string> find(const pack::Digest& key) const override;
  void keep(const pack::Digest& key, std::string_view bytes) override;

  static constexpr size_t most_entries = 1024;  // then it begins anew

 private:
  std::map<pack::Digest, std::string> kept_;
};

// In a folder: a file a key, written aside and renamed, with its key and a checksum in it. Several programs may use one
// folder at once. What another build of the program left there is thrown away; anything else there is left alone.
class FolderCache : public Cache {
 public:
  // Makes the folder, for its user alone. Throws EnvironmentError where there is none and none can be made.
  explicit FolderCache(const std::string& folder);
  std::optional<std::string> find(const pack::Digest& key) const override;
  void keep(const pack::Digest& key, std::string_view bytes) override;
  // Why something could not be kept; empty where all was.
  const std::string& problem() const { return problem_; }

  static constexpr size_t most_entries = 4096;  // the oldest go first

 private:
  void clean();  // once, before the first is kept

  std::string folder_, own_;  // own_: of this build, below folder_
  bool cleaned_ = false;
  std::string problem_;
};

}  // namespace loomproof
