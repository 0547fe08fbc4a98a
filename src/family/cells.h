// Cells and sets of them. A cell is one era with one choice of options; a set of cells is a bit set. Every row of a
// family holds in a set of cells, and everything below works on these sets.
#pragma once
#include <array>
#include <bit>
#include <compare>
#include <cstdint>
#include <vector>

namespace loomproof {

inline constexpr uint32_t max_cells = 512;  // eras times option values of one family

class CellSet {
 public:
  constexpr CellSet() = default;
  static constexpr CellSet first(uint32_t count) {  // the cells 0 … count-1
    CellSet set;
    for (uint32_t cell = 0; cell < count; ++cell) set.insert(cell);
    return set;
  }
  static constexpr CellSet of(uint32_t cell) {
    CellSet set;
    set.insert(cell);
    return set;
  }
  constexpr void insert(uint32_t cell) { words_[cell / 64] |= uint64_t{1} << (cell % 64); }
  constexpr void erase(uint32_t cell) { words_[cell / 64] &= ~(uint64_t{1} << (cell % 64)); }
  constexpr bool has(uint32_t cell) const { return (words_[cell / 64] >> (cell % 64)) & 1; }
  constexpr bool empty() const {
    for (uint64_t word : words_)
      if (word) return false;
    return true;
  }
  constexpr uint32_t count() const {
    uint32_t count = 0;
    for (uint64_t word : words_) count += static_cast<uint32_t>(std::popcount(word));
    return count;
  }
  constexpr CellSet& operator&=(const CellSet& other) {
    for (size_t i = 0; i < words_.size(); ++i) words_[i] &= other.words_[i];
    return *this;
  }
  constexpr CellSet& operator|=(const CellSet& other) {
    for (size_t i = 0; i < words_.size(); ++i) words_[i] |= other.words_[i];
    return *this;
  }
  constexpr CellSet& operator-=(const CellSet& other) {
    for (size_t i = 0; i < words_.size(); ++i) words_[i] &= ~other.words_[i];
    return *this;
  }
  friend constexpr CellSet operator&(CellSet a, const CellSet& b) { return a &= b; }
  friend constexpr CellSet operator|(CellSet a, const CellSet& b) { return a |= b; }
  friend constexpr CellSet operator-(CellSet a, const CellSet& b) { return a -= b; }
  constexpr bool contains(const CellSet& other) const { return (other - *this).empty(); }
  constexpr bool meets(const CellSet& other) const { return !(*this & other).empty(); }
  friend constexpr bool operator==(const CellSet&, const CellSet&) = default;
  friend constexpr std::strong_ordering operator<=>(const CellSet& a, const CellSet& b) {  // libc++ 14: none for arrays
    for (size_t i = 0; i < a.words_.size(); ++i)
      if (const auto order = a.words_[i] <=> b.words_[i]; order != 0) return order;
    return std::strong_ordering::equal;
  }

  std::vector<uint32_t> cells() const {  // ascending
    std::vector<uint32_t> all;
    for (uint32_t w = 0; w < words_.size(); ++w)
      for (uint64_t word = words_[w]; word; word &= word - 1)
        all.push_back(w * 64 + static_cast<uint32_t>(std::countr_zero(word)));
    return all;
  }
  uint32_t lowest() const {  // of a set that is not empty
    for (uint32_t w = 0; w < words_.size(); ++w)
      if (words_[w]) return w * 64 + static_cast<uint32_t>(std::countr_zero(words_[w]));
    return max_cells;
  }
  constexpr const std::array<uint64_t, max_cells / 64>& words() const { return words_; }
  constexpr void set_word(size_t index, uint64_t word) { words_[index] = word; }

 private:
  std::array<uint64_t, max_cells / 64> words_{};
};

}  // namespace loomproof
