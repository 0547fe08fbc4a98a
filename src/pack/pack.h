// Packs: one compiled family as bytes (schema/pack.fbs). Writing, and reading without trust: no bytes, however
// malformed, crash a reader or make it read outside them. No file access here: the caller maps or reads the file.
//
// Versions: a pack of a newer major version is refused; one of a newer minor version is read, tables unknown here are
// passed over, and words unknown here become their stand-in (State, Rest, Role: unknown; Outcome: endangers;
// SourceKind: memory; Suffers: people; Verdict: endangers_people) or, where an enumeration has none, make the pack
// refused.
//
// Packs are little-endian; on a big-endian machine this does not compile.
#pragma once
#include <cstdint>
#include <memory>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "family/family.h"

namespace loomproof::pack {

inline constexpr uint32_t format_major = 1;
inline constexpr uint32_t format_minor = 3;
inline constexpr std::string_view file_extension = ".loompack";

// The bytes of a family's pack; the same family always gives the same bytes. A family whose tables do not hold together
// (fault_of() is not empty) is a bug of its producer: throws std::logic_error with that line.
std::string write(const Family& family);

// Why the tables of a family do not hold together, in one line; empty where they do: every index within its table,
// every word known, every text UTF-8, every row within the range of its owner, cells within the count.
std::string fault_of(const Family& family);

struct Opened;

// A pack that passed every check. It keeps a view of the bytes it was opened on, which must outlive it (bytes that are
// not aligned to 8 are copied). Cheap to copy; safe to use from several threads.
class Pack {
 public:
  static Opened open(std::string_view bytes);

  uint32_t major() const;
  uint32_t minor() const;
  std::string checksum() const;  // 32 hexadecimal digits
  std::string_view id() const;
  std::string_view title() const;
  size_t size() const { return bytes_.size(); }

  std::string_view text(Str str) const;
  Point point(Index point) const;
  // The point of a cavity by the id of the part, the designator and the number of the cavity; none where there is none.
  // Reads the bytes in place: no load() is needed.
  Index find_point(std::string_view part_id, std::string_view designator, std::string_view cavity) const;

 private:
  friend Family load(const Pack& pack);
  std::string_view bytes_;
  std::shared_ptr<const std::vector<uint64_t>> copy_;  // where the caller's bytes are not aligned
};

struct Opened {
  std::optional<Pack> pack;
  std::string refusal;  // one plain line without the file's name; empty where pack is there
};

// The family tables of a pack, word for word those that were written.
Family load(const Pack& pack);

}  // namespace loomproof::pack
