// What changes between two revisions of a corpus, by meaning and not by text. Two sets of compiled families in, a
// report out; no file is read here and nothing is judged that the compiler has judged already.
//
// Families are matched by id, cells by their choice on the axes that both revisions have, parts by id and place. Ids
// that only changed their name are told once and then count as the same. What a hand or a meter could find is told as
// compare/difference.h has it; everything else that a pack holds is told as a change of the record.
//
// Deterministic: the same families give the same report, whatever order their rows stand in.
#pragma once
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "compare/difference.h"

namespace loomproof::review {

// What a mistake here would hurt, the worst first: the order in which a reviewer should look.
enum class Risk : uint32_t {
  firing,   // a circuit of an airbag or belt tensioner, or a connector that carries one
  verdict,  // a factory build or a known combination is judged otherwise
  feed,
  earth,
  return_,        // a sensor's return
  reference,      // a sensor's supply
  weaker_source,  // a fact rests on less than it did
  empty_reason,   // a declared difference whose reason says nothing
  other
};
inline constexpr uint32_t risk_count = 9;
std::string_view word(Risk risk);

enum class Nature : uint32_t {
  metal,       // a hand or a meter could find it
  knowledge,   // now known, no longer known, restated
  evidence,    // who says so
  record,      // anything else that a pack holds
  consequence  // nobody wrote it: far ends of circuits meet something else; shared rows come into the pack with their
               // use
};
std::string_view word(Nature nature);

struct Where {
  bool is_base = false;  // in the base, because the head has no such row any more
  std::string path;      // relative to the corpus
  uint32_t line = 0, column = 0;
  std::string in_head;  // where is_base: the path of that file in the head; empty where the head has none
};

// An end that went to another cavity of the same connector, by cavity numbers.
struct End {
  std::string designator, from, to;
};

struct Change {
  Nature nature{};
  Risk risk = Risk::other;
  std::string kind;     // "moved", "swapped" …, or of a record "added", "removed", "changed"
  std::string place;    // the loom's or component's place, several as "GLOW-1, GLOW-2"; empty where it is in none
  std::string part;     // its id; empty where it is in none
  std::string circuit;  // the first that it is about; empty where it is about none
  std::string words;    // "RACK-POS moved from C1.12 to C1.28"
  std::string cells;    // "all", or the cells in the words of the head
  std::string remark;   // "rests on memory, was manual"; empty where there is nothing to mind
  uint32_t rows = 1;    // of the corpus that say so
  std::vector<RowRef> base, head;  // in the tables of each revision
  std::vector<End> ends;
  std::optional<Where> where;  // filled by whoever has the text
};

// One thing that explains many changes: "7 changes in C1 of CHASSIS-LOOM are one mirrored reading".
struct Cause {
  std::string words;
  std::vector<size_t> changes;  // into FamilyReview::changes
};

// What breaks those who read packs, whatever the metal does.
enum class BreakKind : uint32_t { gone, reused, renamed, format };
std::string_view word(BreakKind kind);
struct Break {
  BreakKind kind{};
  std::string words;  // "circuit RACK-REF renamed RACK-SUPPLY", "place STEP-LAMP is gone"
};

struct VerdictChange {
  std::string what;          // "combination unit-12-on-24", "build era c, supply 24V"
  std::string was, becomes;  // "fits", "not proven: …", "not there"
  std::string because;       // the first reason in the head; empty where there is none
};

enum class Status : uint32_t { unchanged, changed, added, removed, not_compared };
std::string_view word(Status status);

struct FamilyReview {
  std::string id, was;  // `was`: its id in the base where that is another
  Status status{};
  std::string why;                   // it is not compared
  bool packs_identical = false;      // byte for byte; else, where unchanged, but for the order of rows
  std::vector<std::string> renamed;  // all; those that break readers are among `breaks` too
  std::vector<Break> breaks;
  std::vector<VerdictChange> verdicts;
  std::vector<Cause> causes;
  std::vector<std::string> siblings;  // "3 of the 4 GLOW circuits changed, GLOW-4 did not"
  std::vector<Change> changes;        // the riskiest first
};

// A finding of the head that the base does not have.
struct Finding {
  std::string rule, severity, message;
  std::optional<Where> where;
};

// One side of one family.
struct FamilyInput {
  std::string id;
  const Family* family = nullptr;  // nullptr: it does not compile
  std::string pack;                // its bytes
  std::string format;              // of the pack that its readers have, "1.3"; empty where that is not known
};

struct Review {
  std::string base, head;              // what the two are called
  std::vector<FamilyReview> families;  // by id
  std::vector<Break> breaks;           // of all packs: their format
  std::vector<Finding> findings;       // new ones
  size_t old_findings = 0;             // that both have
  size_t mended_findings = 0;          // that only the base has
  bool has_changes() const;
  bool is_complete() const;  // every family was compared
};
Review review(const std::vector<FamilyInput>& base, const std::vector<FamilyInput>& head);

}  // namespace loomproof::review
