#include <fmt/format.h>

#include <algorithm>
#include <set>
#include <stdexcept>
#include <tuple>

#include "pack/check.h"
#include "pack/digest.h"
#include "pack/pack.h"
#include "pack/packed.h"
#include "pack/utf8.h"

namespace loomproof::pack {
namespace {

using flatbuffers::FlatBufferBuilder;
using flatbuffers::Offset;

Tables tables_of(const Family& family) {
  Tables tables;
  each_table(family, [&](Table table, const auto& rows) {
    tables[table] = {reinterpret_cast<const unsigned char*>(rows.data()), static_cast<uint32_t>(rows.size())};
  });
  tables.strings = static_cast<uint32_t>(family.strings.size());
  tables.cell_sets = static_cast<uint32_t>(family.cell_sets.size());
  tables.id = family.id;
  tables.title = family.title;
  tables.built = family.built;
  tables.cite = family.cite;
  return tables;
}

std::string strings_fault(const Family& family) {
  if (family.strings.empty() || !family.strings.front().empty()) return "strings row 0: it is not the empty text";
  std::set<std::string_view> seen;
  for (size_t i = 0; i < family.strings.size(); ++i) {
    if (!is_utf8(family.strings[i])) return fmt::format("strings row {}: it is not UTF-8", i);
    if (!seen.insert(family.strings[i]).second) return fmt::format("strings row {}: the text is there already", i);
  }
  return {};
}

std::string sets_fault(const Family& family) {
  const CellSet all = CellSet::first(family.cell_count());
  for (size_t i = 0; i < family.cell_sets.size(); ++i)
    if (!all.contains(family.cell_sets[i])) return fmt::format("cell_sets row {}: it holds cells that are none", i);
  return {};
}

// Every cavity, sorted by the texts that find it; of equal ones the earlier first.
std::vector<uint32_t> cavity_points(const Family& family) {
  std::vector<uint32_t> order;
  for (Index point = 0; point < family.points.size(); ++point)
    if (family.points[point].kind == PointKind::cavity) order.push_back(point);
  const auto key = [&](Index point) {
    const Point& row = family.points[point];
    return std::tuple(family.text(family.parts[row.part].id), family.text(family.connectors[row.connector].designator),
                      family.text(row.name), point);
  };
  std::sort(order.begin(), order.end(), [&](Index a, Index b) { return key(a) < key(b); });
  return order;
}

template <Table table, typename Row>
uint32_t put_rows(FlatBufferBuilder& builder, const std::vector<Row>& rows) {
  using PackedRow = typename packed::Packed<table>::Row;
  if (rows.empty()) return 0;  // a table without rows is left out
  if constexpr (std::is_integral_v<PackedRow>)
    return builder.CreateVector(rows).o;
  else
    return builder.CreateVectorOfStructs(reinterpret_cast<const PackedRow*>(rows.data()), rows.size()).o;
}

std::vector<uint32_t> cell_words(const Family& family, uint32_t words_per_set) {
  std::vector<uint32_t> words;
  words.reserve(family.cell_sets.size() * words_per_set);
  for (const CellSet& set : family.cell_sets)
    for (uint32_t word = 0; word < words_per_set; ++word)
      words.push_back(static_cast<uint32_t>(set.words()[word / 2] >> (word % 2 * 32)));
  return words;
}

void put_pack(FlatBufferBuilder& builder, const Family& family) {
  std::array<uint32_t, table_count> offsets{};
#define TABLE(name, Row) offsets[static_cast<uint32_t>(Table::name)] = put_rows<Table::name>(builder, family.name);
#include "family/tables.def"
#undef TABLE
  const uint32_t words_per_set = (family.cell_count() + 31) / 32;
  const auto cavities = builder.CreateVector(cavity_points(family));
  const auto sets = builder.CreateVector(cell_words(family, words_per_set));
  const auto strings = builder.CreateVectorOfStrings(family.strings);

  const packed::Checksum blank;
  packed::PackBuilder pack(builder);
  pack.add_major(format_major);
  pack.add_minor(format_minor);
  pack.add_checksum(&blank);
  pack.add_id(family.id);
  pack.add_title(family.title);
  pack.add_built(family.built);
  pack.add_supply(family.supply);
  pack.add_cite(family.cite);
  pack.add_strings(strings);
  pack.add_words_per_set(words_per_set);
  pack.add_cell_sets(sets);
#define TABLE(name, Row)                                                                \
  if (const uint32_t offset = offsets[static_cast<uint32_t>(Table::name)]; offset != 0) \
    pack.add_##name(Offset<packed::Packed<Table::name>::Vector>(offset));
#include "family/tables.def"
#undef TABLE
  pack.add_cavity_points(cavities);
  packed::FinishPackBuffer(builder, pack.Finish());
}

}  // namespace

std::string fault_of(const Family& family) {
  std::string fault = strings_fault(family);
  if (fault.empty()) fault = fault_of(tables_of(family), false);
  if (fault.empty()) fault = sets_fault(family);
  return fault;
}

std::string write(const Family& family) {
  if (const std::string fault = fault_of(family); !fault.empty())
    throw std::logic_error("the family cannot be packed: " + fault);
  FlatBufferBuilder builder(1 << 16);
  builder.ForceDefaults(true);  // a field is there whatever its value, so that packs differ only in what they say
  put_pack(builder, family);
  std::string bytes(reinterpret_cast<const char*>(builder.GetBufferPointer()), builder.GetSize());
  const auto* checksum = reinterpret_cast<const char*>(packed::GetPack(bytes.data())->checksum());
  const size_t at = static_cast<size_t>(checksum - bytes.data());
  const Digest digest = digest_of(bytes, at);
  bytes.replace(at, digest.size(), reinterpret_cast<const char*>(digest.data()), digest.size());
  return bytes;
}

}  // namespace loomproof::pack
