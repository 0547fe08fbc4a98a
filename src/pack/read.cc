#include <fmt/format.h>

#include <algorithm>
#include <tuple>

#include "family/words.h"
#include "pack/check.h"
#include "pack/digest.h"
#include "pack/pack.h"
#include "pack/packed.h"
#include "pack/utf8.h"

namespace loomproof::pack {
namespace {

const packed::Pack& root(std::string_view bytes) {
  return *packed::GetPack(bytes.data());
}

template <typename Vector>
RowBytes row_bytes(const Vector* vector) {
  return vector ? RowBytes{vector->Data(), vector->size()} : RowBytes{};
}

Tables tables_of(const packed::Pack& pack) {
  Tables tables;
#define TABLE(name, Row) tables[Table::name] = row_bytes(pack.name());
#include "family/tables.def"
#undef TABLE
  tables.strings = pack.strings() ? pack.strings()->size() : 0;
  tables.cell_sets = pack.cell_sets() && pack.words_per_set() ? pack.cell_sets()->size() / pack.words_per_set() : 0;
  tables.id = pack.id();
  tables.title = pack.title();
  tables.built = pack.built();
  tables.cite = pack.cite();
  return tables;
}

std::string_view string_at(const packed::Pack& pack, Str str) {
  const flatbuffers::String* string = pack.strings()->Get(str);
  return {string->c_str(), string->size()};
}

size_t checksum_at(std::string_view bytes) {
  return static_cast<size_t>(reinterpret_cast<const char*>(root(bytes).checksum()) - bytes.data());
}

Digest checksum_of(std::string_view bytes) {
  Digest digest;
  std::memcpy(digest.data(), bytes.data() + checksum_at(bytes), digest.size());
  return digest;
}

std::string strings_fault(std::string_view bytes) {
  const packed::Pack& pack = root(bytes);
  if (!pack.strings() || pack.strings()->size() == 0 || !string_at(pack, 0).empty())
    return "strings row 0: it is not the empty text";
  size_t total = 0;  // texts may share bytes in the file; more text than file is there to fill the memory
  for (uint32_t i = 0; i < pack.strings()->size(); ++i) {
    const std::string_view text = string_at(pack, i);
    if (!is_utf8(text)) return fmt::format("strings row {}: it is not UTF-8", i);
    total += text.size();
  }
  return total <= bytes.size() ? "" : "strings: they hold more text than the file";
}

std::string sets_fault(const packed::Pack& pack, uint32_t cells) {
  const uint32_t words_per_set = (cells + 31) / 32;
  if (pack.words_per_set() != words_per_set || pack.cell_sets()->size() % words_per_set != 0)
    return fmt::format("cell_sets: {} cells take {} words a set", cells, words_per_set);
  if (cells % 32 == 0) return {};
  for (uint32_t last = words_per_set - 1; last < pack.cell_sets()->size(); last += words_per_set)
    if (pack.cell_sets()->Get(last) >> (cells % 32) != 0)
      return fmt::format("cell_sets row {}: it holds cells that are none", last / words_per_set);
  return {};
}

// What a cavity is found by.
struct Key {
  std::string_view part, designator, cavity;
  friend bool operator==(const Key&, const Key&) = default;
  friend bool operator<(const Key& a, const Key& b) {
    return std::tie(a.part, a.designator, a.cavity) < std::tie(b.part, b.designator, b.cavity);
  }
};

Key key_of(const packed::Pack& pack, Index point) {
  const packed::Point* row = pack.points()->Get(point);
  return {string_at(pack, pack.parts()->Get(row->part())->id()),
          string_at(pack, pack.connectors()->Get(row->connector())->designator()), string_at(pack, row->name())};
}

// The lookup table lists each cavity once, in order.
std::string lookup_fault(const packed::Pack& pack, const Tables& tables) {
  const auto points = tables.view<Point>(Table::points);
  uint32_t cavities = 0;
  for (uint32_t point = 0; point < points.size(); ++point) cavities += points[point].kind == PointKind::cavity;
  const auto* order = pack.cavity_points();
  const uint32_t listed = order ? order->size() : 0;
  if (listed != cavities) return fmt::format("cavity_points: {} rows for {} cavities", listed, cavities);
  for (uint32_t i = 0; i < listed; ++i) {
    const Index point = order->Get(i);
    if (point >= points.size() || points[point].kind != PointKind::cavity)
      return fmt::format("cavity_points row {}: {} is no cavity", i, point);
    if (i == 0) continue;
    const Index before = order->Get(i - 1);
    const Key key = key_of(pack, point), key_before = key_of(pack, before);
    if (!(key_before < key || (key_before == key && before < point)))
      return fmt::format("cavity_points row {}: it is out of order", i);
  }
  return {};
}

// Why bytes that should be aligned are no pack of this program; empty where they are one.
std::string refusal_of(std::string_view bytes) {
  if (bytes.size() < 4 + sizeof(uint32_t) + 4) return "not a pack: it is too short";
  if (bytes.size() >= FLATBUFFERS_MAX_BUFFER_SIZE) return "not a pack: it is larger than any pack can be";
  if (!packed::PackBufferHasIdentifier(bytes.data())) return "not a pack: it does not begin like one";
  const auto* data = reinterpret_cast<const uint8_t*>(bytes.data());
  // The version first, and of it alone: a newer major version may differ in everything else.
  flatbuffers::Verifier head_verifier(data, bytes.size());
  if (!head_verifier.VerifyBuffer<packed::Head>(packed::PackIdentifier())) return "damaged: its layout does not hold";
  const auto* head = flatbuffers::GetRoot<packed::Head>(data);
  if (head->major() > format_major)
    return fmt::format("written in pack format {}.{}, newer than this program reads ({}.{}): use a newer program",
                       head->major(), head->minor(), format_major, format_minor);
  if (head->major() < format_major)
    return fmt::format("written in pack format {}.{}, which this program no longer reads", head->major(),
                       head->minor());
  flatbuffers::Verifier verifier(data, bytes.size());
  if (!packed::VerifyPackBuffer(verifier)) return "damaged: its layout does not hold";
  const packed::Pack& pack = root(bytes);
  if (!pack.checksum()) return "damaged: it has no checksum";
  if (digest_of(bytes, checksum_at(bytes)) != checksum_of(bytes)) return "damaged: its checksum does not match";

  const Tables tables = tables_of(pack);
  std::string fault = strings_fault(bytes);
  if (fault.empty()) fault = fault_of(tables, pack.minor() > format_minor);
  if (fault.empty()) fault = sets_fault(pack, cell_count(tables));
  if (fault.empty()) fault = lookup_fault(pack, tables);
  return fault.empty() ? fault : "faulty: " + fault;
}

// Rows of a role that this program does not know yet are left out: as rows of its stand-in they would say of every
// unknown pin what holds of that one role.
void drop_unknown_roles(std::vector<Join>& joins) {
  const auto is_known = [](Role role) { return static_cast<uint32_t>(role) < word_count<Role>; };
  joins.erase(std::remove_if(joins.begin(), joins.end(),
                             [&](const Join& join) { return !is_known(join.a) || !is_known(join.b); }),
              joins.end());
}

// Words that this program does not know yet become what stands for them.
template <typename Row>
void replace_unknown(Table table, std::vector<Row>& rows) {
  for (const Field& field : fields(table)) {
    if (field.kind != FieldKind::marks && field.stand_in == none) continue;
    for (Row& row : rows) {
      auto* at = reinterpret_cast<unsigned char*>(&row) + field.offset * sizeof(uint32_t);
      uint32_t value;
      std::memcpy(&value, at, sizeof(value));
      if (value < field.limit) continue;
      value = field.kind == FieldKind::marks ? value & (field.limit - 1) : field.stand_in;
      std::memcpy(at, &value, sizeof(value));
    }
  }
}

}  // namespace

Opened Pack::open(std::string_view bytes) {
  Opened opened;
  Pack pack;
  pack.bytes_ = bytes;
  if (reinterpret_cast<uintptr_t>(bytes.data()) % alignof(uint64_t) != 0) {
    auto copy = std::make_shared<std::vector<uint64_t>>((bytes.size() + 7) / 8);
    std::memcpy(copy->data(), bytes.data(), bytes.size());
    pack.bytes_ = {reinterpret_cast<const char*>(copy->data()), bytes.size()};
    pack.copy_ = std::move(copy);
  }
  opened.refusal = refusal_of(pack.bytes_);
  if (opened.refusal.empty()) opened.pack = std::move(pack);
  return opened;
}

uint32_t Pack::major() const {
  return root(bytes_).major();
}
uint32_t Pack::minor() const {
  return root(bytes_).minor();
}
std::string Pack::checksum() const {
  return hex(checksum_of(bytes_));
}
std::string_view Pack::id() const {
  return text(root(bytes_).id());
}
std::string_view Pack::title() const {
  return text(root(bytes_).title());
}
std::string_view Pack::text(Str str) const {
  return string_at(root(bytes_), str);
}

Point Pack::point(Index point) const {
  return RowView<Point>{row_bytes(root(bytes_).points())}[point];
}

Index Pack::find_point(std::string_view part_id, std::string_view designator, std::string_view cavity) const {
  const packed::Pack& pack = root(bytes_);
  if (!pack.cavity_points()) return none;
  const Key wanted{part_id, designator, cavity};
  uint32_t low = 0, high = pack.cavity_points()->size();
  while (low < high) {  // the first that is not below
    const uint32_t middle = low + (high - low) / 2;
    if (key_of(pack, pack.cavity_points()->Get(middle)) < wanted)
      low = middle + 1;
    else
      high = middle;
  }
  if (low == pack.cavity_points()->size()) return none;
  const Index point = pack.cavity_points()->Get(low);
  return key_of(pack, point) == wanted ? point : none;
}

Family load(const Pack& pack) {
  const packed::Pack& bytes = root(pack.bytes_);
  const Tables tables = tables_of(bytes);
  Family family;
  family.id = bytes.id();
  family.title = bytes.title();
  family.built = bytes.built();
  family.supply = bytes.supply();
  family.cite = bytes.cite();
  family.strings.clear();
  for (Str str = 0; str < tables.strings; ++str) family.strings.emplace_back(string_at(bytes, str));
  family.cell_sets.resize(tables.cell_sets);
  const uint32_t words_per_set = bytes.words_per_set();
  for (uint32_t set = 0; set < tables.cell_sets; ++set)
    for (uint32_t word = 0; word < words_per_set; ++word) {
      const uint64_t half = bytes.cell_sets()->Get(set * words_per_set + word);
      CellSet& cells = family.cell_sets[set];
      cells.set_word(word / 2, cells.words()[word / 2] | half << (word % 2 * 32));
    }
  const bool newer = bytes.minor() > format_minor;
  each_table(family, [&](Table table, auto& rows) {
    const RowBytes& source = tables[table];
    rows.resize(source.count);
    if (source.count != 0) std::memcpy(rows.data(), source.bytes, rows.size() * sizeof(rows[0]));
    if (!newer) return;
    if constexpr (std::is_same_v<std::decay_t<decltype(rows)>, std::vector<Join>>) drop_unknown_roles(rows);
    replace_unknown(table, rows);
  });
  return family;
}

}  // namespace loomproof::pack
