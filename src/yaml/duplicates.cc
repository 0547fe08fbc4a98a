#include "yaml/duplicates.h"

#include <algorithm>
#include <unordered_map>

namespace loomproof::yaml {
namespace {

constexpr size_t few_entries = 16;  // up to here comparing all keys beats hashing them

Span key_span(const Storage& storage, uint32_t index) {
  const Cell& cell = storage.cells[index];
  return {storage.file, cell.key_begin, cell.key_end};
}

// Calls `repeated(first, again)` for every entry whose key stood before.
template <typename Repeated>
void compare_all(const Storage& storage, const Cell& map, const Repeated& repeated) {
  uint32_t entries[few_entries];
  std::string_view keys[few_entries];
  size_t count = 0;
  for (uint32_t i = map.first; i != no_node; i = storage.cells[i].next) {
    const std::string_view key = storage.key(i);
    const auto* const same = std::find(keys, keys + count, key);
    if (same != keys + count) {
      repeated(entries[same - keys], i);
    } else {
      entries[count] = i, keys[count++] = key;
    }
  }
}

template <typename Repeated>
void compare_hashed(const Storage& storage, const Cell& map, const Repeated& repeated) {
  std::unordered_map<std::string_view, uint32_t> seen;
  seen.reserve(map.count);
  for (uint32_t i = map.first; i != no_node; i = storage.cells[i].next) {
    const auto [same, is_new] = seen.emplace(storage.key(i), i);
    if (!is_new) repeated(same->second, i);
  }
}

// `dropped` is in the order of the entries, and the first entry is never among them.
void unlink(Storage& storage, Cell& map, const std::vector<uint32_t>& dropped) {
  auto& cells = storage.cells;
  auto next_dropped = dropped.begin();
  uint32_t before = map.first;
  for (uint32_t i = cells[before].next; i != no_node; i = cells[i].next) {
    if (next_dropped != dropped.end() && *next_dropped == i) {
      cells[before].next = cells[i].next;
      --map.count;
      ++next_dropped;
    } else {
      before = i;
    }
  }
}

}  // namespace

void drop_duplicates(Storage& storage, uint32_t map, Report& report) {
  report.judged(Rule::duplicate_key);
  Cell& cell = storage.cells[map];
  if (cell.count < 2) return;
  std::vector<uint32_t> dropped;
  const auto repeated = [&](uint32_t first, uint32_t again) {
    report.add<Rule::duplicate_key>(key_span(storage, again), storage.key(again))
        .label(key_span(storage, first), "first here");
    dropped.push_back(again);
  };
  if (cell.count <= few_entries) {
    compare_all(storage, cell, repeated);
  } else {
    compare_hashed(storage, cell, repeated);
  }
  if (!dropped.empty()) unlink(storage, cell, dropped);
}

}  // namespace loomproof::yaml
