#include "review/risk.h"

#include <fmt/format.h>

#include <algorithm>
#include <cctype>

#include "family/words.h"

namespace loomproof::review {
namespace {

// The kind of the best source; `memory` where a citation names none. The order of SourceKind is that of their weight,
// but that invented data are no worse founded than memory: they are not founded at all, and stay last.
SourceKind best_kind(const Family& family, CiteId cite) {
  SourceKind best = SourceKind::invented;
  if (cite >= family.cites.size()) return best;
  for (Index row : rows(family.source_refs, family.cites[cite].sources))
    best = std::min(best, family.sources[row].kind);
  return best;
}

uint32_t independent_sources(const Family& family, CiteId cite) {
  if (cite >= family.cites.size()) return 0;
  return family.cites[cite].independent ? family.cites[cite].sources.count : 1;
}

}  // namespace

Risk risk_of(CircuitClass kind) {
  switch (kind) {
    case CircuitClass::firing:
      return Risk::firing;
    case CircuitClass::feed:
      return Risk::feed;
    case CircuitClass::earth:
      return Risk::earth;
    case CircuitClass::return_:
      return Risk::return_;
    case CircuitClass::reference:
      return Risk::reference;
    default:
      return Risk::other;
  }
}

Risk worse(Risk a, Risk b) {
  return std::min(a, b);
}

std::string weaker(const Family& base, CiteId was, const Family& head, CiteId is) {
  const SourceKind kind_was = best_kind(base, was), kind_is = best_kind(head, is);
  if (kind_is > kind_was) return fmt::format("rests on {}, was {}", word(kind_is), word(kind_was));
  const uint32_t count_was = independent_sources(base, was), count_is = independent_sources(head, is);
  if (count_is < count_was)
    return fmt::format("rests on {}, was {} independent of each other",
                       count_is == 1 ? "one source" : fmt::format("{} sources", count_is), count_was);
  return {};
}

std::string weaker_marks(uint32_t was, uint32_t is) {
  // Two bits a field: single, then memory, which is the weaker.
  static constexpr std::string_view field_names[] = {"function", "colour", "mm2", "ohm", "max-a"};
  std::string text;
  for (size_t i = 0; i < std::size(field_names); ++i) {
    const uint32_t a = was >> (2 * i) & 3, b = is >> (2 * i) & 3;
    if (b <= a) continue;
    text += fmt::format("{}{} is now marked {}", text.empty() ? "" : ", ", field_names[i], b & 2 ? "memory" : "single");
  }
  return text;
}

bool is_empty_talk(std::string_view reason) {
  // Words that say that something differs, or where to look, but not why.
  static constexpr std::string_view hollow[] = {
      "a",       "above",     "all",    "an",      "and",     "another",    "are",       "as",        "at",
      "be",      "because",   "before", "below",   "by",      "change",     "changed",   "changes",   "colour",
      "correct", "corrected", "differ", "differs", "diff",    "difference", "different", "due",       "era",
      "eras",    "etc",       "fix",    "fixed",   "fixme",   "for",        "from",      "in",        "is",
      "it",      "manual",    "misc",   "moved",   "na",      "new",        "no",        "none",      "not",
      "of",      "old",       "on",     "one",     "only",    "option",     "other",     "otherwise", "per",
      "pin",     "pins",      "pinout", "reason",  "revised", "same",       "see",       "series",    "so",
      "some",    "tbd",       "that",   "the",     "there",   "these",      "this",      "to",        "todo",
      "unclear", "unknown",   "update", "updated", "various", "was",        "were",      "wire",      "wires",
      "wiring",  "with",      "xxx"};
  std::string piece;
  size_t telling = 0;
  const auto finish = [&] {
    const bool is_hollow =
        piece.size() < 2 || std::find(std::begin(hollow), std::end(hollow), piece) != std::end(hollow);
    if (!is_hollow) ++telling;
    piece.clear();
  };
  for (const char c : reason) {
    const auto byte = static_cast<unsigned char>(c);
    if (std::isalnum(byte) || byte >= 0x80) {
      piece += static_cast<char>(byte < 0x80 && byte >= 'A' && byte <= 'Z' ? byte + 32 : byte);
    } else if (c != '/') {  // "n/a"
      finish();
    }
  }
  finish();
  return telling == 0;
}

}  // namespace loomproof::review
