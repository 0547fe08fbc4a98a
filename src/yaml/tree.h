// One corpus file as a tree whose every key and value knows the bytes it stands on. Plain data only: anchors, aliases,
// merge keys, tags and several documents are refused. Nodes live in one arena; scalars are views into the file.
#pragma once
#include <cstdint>
#include <deque>
#include <string>
#include <string_view>
#include <vector>

#include "diag/report.h"
#include "source/source.h"

namespace loomproof::yaml {

enum class Kind : uint8_t { null, scalar, sequence, map };

struct Limits {
  uint64_t file_bytes = 16u << 20;
  uint32_t depth = 32;
  uint32_t nodes = 4'000'000;
  uint32_t scalar_bytes = 64u << 10;
};

class Tree;

// A handle: two words, copied freely, good while its Tree lives.
class Node {
 public:
  Node() = default;
  explicit operator bool() const { return tree_ != nullptr; }  // false: there is no such node
  Kind kind() const;
  bool is_map() const { return *this && kind() == Kind::map; }
  bool is_sequence() const { return *this && kind() == Kind::sequence; }
  bool is_scalar() const { return *this && kind() == Kind::scalar; }
  bool quoted() const;            // written in quotes (or as a block): always text
  std::string_view text() const;  // of a scalar; empty otherwise
  Span span() const;              // the value; for an empty value a point just after its key
  Span key_span() const;          // of a map entry: its key; otherwise span()
  std::string_view key() const;   // of a map entry
  size_t size() const;            // entries of a map or sequence
  Node operator[](std::string_view key) const;  // of a map; no node if absent
  bool operator==(const Node&) const = default;

  class iterator;
  iterator begin() const;
  iterator end() const;

 private:
  friend class Tree;
  friend struct Builder;
  Node(const Tree* tree, uint32_t index) : tree_(tree), index_(index) {}
  const Tree* tree_ = nullptr;
  uint32_t index_ = 0;
};

// The tree of one file. Empty (root() is false) when the file was refused; the report then says why.
class Tree {
 public:
  // Reads `file`; every fault goes to the report. Goes on after faults that leave the rest readable (a duplicate key,
  // an anchor), so that one run shows them all.
  static Tree read(const SourceFile& file, FileId id, Report& report, const Limits& limits = {});
  Node root() const;
  size_t node_count() const;
  size_t memory_bytes() const;
  // The JSON-like listing behind --show tree: one node a line with its bytes.
  std::string dump() const;
  // …storage is private to src/yaml
 private:
  friend class Node;
  friend struct Builder;
};

}  // namespace loomproof::yaml
