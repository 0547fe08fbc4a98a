// One corpus file as a tree whose every key and value knows the bytes it stands on. Plain data only: anchors, aliases,
// merge keys, tags and several documents are refused. Nodes live in one arena; scalars are views into the file.
#pragma once
#include <cstddef>
#include <cstdint>
#include <iterator>
#include <memory>
#include <string>
#include <string_view>
#include <vector>

#include "diag/report.h"
#include "source/source.h"

namespace loomproof::yaml {

enum class Kind : uint8_t { null, scalar, sequence, map };

struct Limits {
  uint64_t file_bytes = 16u << 20;
  uint32_t depth = 32;  // 400 at most: the YAML reader below has a limit of its own
  uint32_t nodes = 4'000'000;
  uint32_t scalar_bytes = 64u << 10;
};

class Tree;
struct Storage;
struct Cell;

// A handle: two words, copied freely, good while its Tree lives (a Tree may be moved). A node that is not there is of
// kind null, has no entries and no text, and its spans are not known.
class Node {
 public:
  Node() = default;
  explicit operator bool() const { return storage_ != nullptr; }  // false: there is no such node
  Kind kind() const;
  bool is_map() const { return *this && kind() == Kind::map; }
  bool is_sequence() const { return *this && kind() == Kind::sequence; }
  bool is_scalar() const { return *this && kind() == Kind::scalar; }
  bool quoted() const;  // written in quotes (or as a block): always text
  // Something of it was refused and is already reported: an alias (then of kind null), or a map that lost an entry.
  // Nothing more is to be said about what seems to be missing here.
  bool refused() const;
  std::string_view text() const;  // of a scalar; empty otherwise
  Span span() const;              // the value; for an empty value a point just after its key
  Span key_span() const;          // of a map entry: its key; otherwise span()
  // The narrowest text that stands for the value: the bracket or first key of a map, the bracket or dash of a list.
  Span opening() const;
  bool has_key() const;                         // an entry of a map
  std::string_view key() const;                 // of a map entry; empty otherwise
  size_t size() const;                          // entries of a map or sequence
  Node operator[](std::string_view key) const;  // of a map; no node if absent; looks through the entries in turn
  bool operator==(const Node&) const = default;

  class iterator;
  iterator begin() const;  // the entries of a map or sequence in the order of the text; nothing otherwise
  iterator end() const;

 private:
  friend class Tree;
  const Cell& cell() const;
  Node(const Storage* storage, uint32_t index) : storage_(storage), index_(index) {}
  const Storage* storage_ = nullptr;
  uint32_t index_ = 0;
};

class Node::iterator {
 public:
  using iterator_category = std::forward_iterator_tag;
  using value_type = Node;
  using difference_type = std::ptrdiff_t;
  using pointer = const Node*;
  using reference = Node;
  iterator() = default;
  explicit iterator(Node node) : node_(node) {}
  Node operator*() const { return node_; }
  iterator& operator++();
  iterator operator++(int) {
    iterator before = *this;
    ++*this;
    return before;
  }
  bool operator==(const iterator&) const = default;

 private:
  Node node_;  // no node at the end
};

inline Node::iterator Node::end() const {
  return {};
}

// The tree of one file. Empty (root() is false) when the file was refused; the report then says why.
class Tree {
 public:
  Tree();
  Tree(Tree&&) noexcept;
  Tree& operator=(Tree&&) noexcept;
  ~Tree();
  // Reads `file`, which has to outlive the tree; every fault goes to the report. Goes on after faults that leave the
  // rest readable (a duplicate key, an anchor), so that one run shows them all.
  static Tree read(const SourceFile& file, FileId id, Report& report, const Limits& limits = {});
  Node root() const;
  size_t node_count() const;
  size_t memory_bytes() const;  // of the nodes and of texts that differ from their bytes; the file itself not counted
  // The listing behind --show tree: one node a line with its bytes.
  std::string dump() const;

 private:
  std::unique_ptr<Storage> storage_;
};

}  // namespace loomproof::yaml
