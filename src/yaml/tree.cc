#include "yaml/tree.h"

#include <fmt/format.h>

#include <algorithm>

#include "yaml/builder.h"
#include "yaml/storage.h"

namespace loomproof::yaml {
namespace {

std::string_view without_quotes(std::string_view text, bool quoted) {
  return quoted && text.size() >= 2 ? text.substr(1, text.size() - 2) : text;
}

constexpr std::string_view kind_words[] = {"null", "scalar", "sequence", "map"};

}  // namespace

std::string_view Storage::text(const Cell& cell) const {
  if (cell.kind != Kind::scalar) return {};
  if (cell.has(Cell::value_stored)) return texts[cell.first];
  return without_quotes(bytes.substr(cell.begin, cell.end - cell.begin), cell.has(Cell::value_quoted));
}

std::string_view Storage::key(uint32_t index) const {
  const Cell& cell = cells[index];
  if (cell.has(Cell::key_stored)) {
    const auto found = std::lower_bound(key_texts.begin(), key_texts.end(), std::pair{index, 0u});
    return texts[found->second];
  }
  return without_quotes(bytes.substr(cell.key_begin, cell.key_end - cell.key_begin), cell.has(Cell::key_quoted));
}

Kind Node::kind() const {
  return storage_->cells[index_].kind;
}
bool Node::quoted() const {
  return storage_->cells[index_].has(Cell::value_quoted);
}
bool Node::refused() const {
  return storage_->cells[index_].has(Cell::refused);
}
// What is not there has no text, no key and no entries, so that an optional value reads like an empty one.
std::string_view Node::text() const {
  if (!*this) return {};
  return storage_->text(storage_->cells[index_]);
}
size_t Node::size() const {
  if (!*this) return 0;
  return storage_->cells[index_].count;
}
std::string_view Node::key() const {
  if (!*this) return {};
  return storage_->key(index_);
}

Span Node::span() const {
  const Cell& cell = storage_->cells[index_];
  return {storage_->file, cell.begin, cell.end};
}

Span Node::key_span() const {
  const Cell& cell = storage_->cells[index_];
  if (!cell.has(Cell::has_key)) return span();
  return {storage_->file, cell.key_begin, cell.key_end};
}

bool Node::has_key() const {
  return storage_->cells[index_].has(Cell::has_key);
}

Span Node::opening() const {
  const Cell& cell = storage_->cells[index_];
  if (cell.kind != Kind::map && cell.kind != Kind::sequence) return span();
  const bool in_brackets = storage_->bytes[cell.begin] == '{' || storage_->bytes[cell.begin] == '[';
  if (cell.kind == Kind::map && !in_brackets && cell.count > 0) return (*begin()).key_span();
  return {storage_->file, cell.begin, cell.begin + 1};
}

Node Node::operator[](std::string_view wanted) const {
  if (!is_map()) return {};
  for (const Node child : *this) {
    if (child.key() == wanted) return child;
  }
  return {};
}

Node::iterator Node::begin() const {
  if (!*this) return {};
  const Cell& cell = storage_->cells[index_];
  return cell.count == 0 ? iterator() : iterator(Node(storage_, cell.first));
}

Node::iterator& Node::iterator::operator++() {
  const uint32_t next = node_.storage_->cells[node_.index_].next;
  node_ = next == no_node ? Node() : Node(node_.storage_, next);
  return *this;
}

Tree::Tree() = default;
Tree::Tree(Tree&&) noexcept = default;
Tree& Tree::operator=(Tree&&) noexcept = default;
Tree::~Tree() = default;

Tree Tree::read(const SourceFile& file, FileId id, Report& report, const Limits& limits) {
  Tree tree;
  tree.storage_ = build(file, id, report, limits);
  return tree;
}

Node Tree::root() const {
  return storage_ ? Node(storage_.get(), 0) : Node();
}

size_t Tree::node_count() const {
  return storage_ ? storage_->cells.size() : 0;
}

size_t Tree::memory_bytes() const {
  if (!storage_) return 0;
  size_t bytes = storage_->cells.capacity() * sizeof(Cell);
  bytes += storage_->key_texts.capacity() * sizeof(storage_->key_texts[0]);
  for (const std::string& text : storage_->texts) bytes += sizeof(text) + text.capacity();
  return bytes;
}

namespace {

// Depth is bounded by Limits::depth.
void dump_node(Node node, int depth, std::string& out) {
  out.append(static_cast<size_t>(depth) * 2, ' ');
  if (node.key_span() != node.span()) {
    out += fmt::format("{:?} {}..{}: ", node.key(), node.key_span().begin, node.key_span().end);
  }
  out += fmt::format("{} {}..{}", kind_words[static_cast<size_t>(node.kind())], node.span().begin, node.span().end);
  if (node.is_scalar()) out += fmt::format("{} {:?}", node.quoted() ? " quoted" : "", node.text());
  out += '\n';
  for (const Node child : node) dump_node(child, depth + 1, out);
}

}  // namespace

std::string Tree::dump() const {
  std::string out;
  if (storage_) dump_node(root(), 0, out);
  return out;
}

}  // namespace loomproof::yaml
