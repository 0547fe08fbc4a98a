#include "yaml/tree.h"

#include <fmt/format.h>

#include <algorithm>

#include "yaml/build.h"
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

// A node that is not there reads as an empty one, so that a chain of look-ups needs one test at its end.
const Cell& Node::cell() const {
  static const Cell nothing;
  return storage_ == nullptr ? nothing : storage_->cells[index_];
}

Kind Node::kind() const {
  return cell().kind;
}
bool Node::quoted() const {
  return cell().has(Cell::value_quoted);
}
bool Node::refused() const {
  return cell().has(Cell::refused);
}
bool Node::has_key() const {
  return cell().has(Cell::has_key);
}
size_t Node::size() const {
  return cell().count;
}
std::string_view Node::text() const {
  return is_scalar() ? storage_->text(cell()) : std::string_view();
}
std::string_view Node::key() const {
  return has_key() ? storage_->key(index_) : std::string_view();
}

Span Node::span() const {
  return storage_ == nullptr ? Span{} : Span{storage_->file, cell().begin, cell().end};
}

Span Node::key_span() const {
  return has_key() ? Span{storage_->file, cell().key_begin, cell().key_end} : span();
}

Span Node::opening() const {
  if (!is_map() && !is_sequence()) return span();
  const Cell& own = cell();
  const bool in_brackets = storage_->bytes[own.begin] == '{' || storage_->bytes[own.begin] == '[';
  if (is_map() && !in_brackets && own.count > 0) return (*begin()).key_span();
  return {storage_->file, own.begin, own.begin + 1};
}

Node Node::operator[](std::string_view wanted) const {
  if (!is_map() || size() == 0) return {};
  const Cell* cells = storage_->cells.data();
  for (uint32_t child = cells[index_].first; child != no_node; child = cells[child].next)
    if (cells[child].may_have_key_of(wanted.size()) && storage_->key(child) == wanted) return Node(storage_, child);
  return {};
}

Node::iterator Node::begin() const {
  if (!*this) return {};
  return size() == 0 ? iterator() : iterator(Node(storage_, cell().first));
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
