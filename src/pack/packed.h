// The generated accessors of schema/pack.fbs, held against the records of family.h. Included by src/pack alone.
#pragma once
#include <flatbuffers/flatbuffers.h>

#include <bit>
#include <type_traits>
#include <utility>

#include "family/fields.h"
#include "pack_generated.h"

namespace loomproof::packed {

static_assert(std::endian::native == std::endian::little, "rows are copied as they stand in the file");

template <typename VectorPointer>
struct Unwrapped;
template <typename T>
struct Unwrapped<const flatbuffers::Vector<T>*> {
  using Vector = flatbuffers::Vector<T>;
  using Row = std::remove_cv_t<std::remove_pointer_t<T>>;
};

// One type a table: `Vector` as FlatBuffers has it, and the `Row` in it.
template <Table table>
struct Packed;
#define TABLE(name, RowOf)                                                                       \
  template <>                                                                                    \
  struct Packed<Table::name> : Unwrapped<decltype(std::declval<const Pack&>().name())> {         \
    static_assert(sizeof(Row) == sizeof(loomproof::RowOf) && alignof(Row) == alignof(uint32_t)); \
  };
#include "family/tables.def"
#undef TABLE

}  // namespace loomproof::packed
