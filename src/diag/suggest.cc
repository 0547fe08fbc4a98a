#include "diag/suggest.h"

#include <algorithm>
#include <cstdlib>

namespace loomproof {
namespace {

char lower(char c) {
  return c >= 'A' && c <= 'Z' ? static_cast<char>(c - 'A' + 'a') : c;
}

std::string lowered(std::string_view text) {
  std::string out(text);
  std::transform(out.begin(), out.end(), out.begin(), lower);
  return out;
}

// As if everybody wrote names alike.
std::string folded(std::string_view text) {
  std::string out = lowered(text);
  std::replace(out.begin(), out.end(), '_', '-');
  return out;
}

bool has_digit(std::string_view text) {
  return std::any_of(text.begin(), text.end(), [](char c) { return c >= '0' && c <= '9'; });
}

// One character has nothing in common with any other.
int tolerance(std::string_view wanted) {
  if (wanted.size() <= 1) return 0;
  return wanted.size() <= 4 ? 1 : static_cast<int>(wanted.size() / 3);
}

}  // namespace

// Optimal string alignment: three rows of the matrix, and no further once a whole row is beyond the limit.
int edit_distance(std::string_view a, std::string_view b, int limit) {
  const int rows = static_cast<int>(a.size());
  const int columns = static_cast<int>(b.size());
  if (std::abs(rows - columns) > limit) return limit + 1;
  std::vector<int> before(b.size() + 1), above(b.size() + 1), row(b.size() + 1);
  for (int j = 0; j <= columns; ++j) above[static_cast<size_t>(j)] = j;
  for (int i = 1; i <= rows; ++i) {
    const auto ai = static_cast<size_t>(i);
    row[0] = i;
    int least = i;
    for (size_t j = 1; j <= b.size(); ++j) {
      const int replace = above[j - 1] + (a[ai - 1] != b[j - 1]);
      row[j] = std::min({above[j] + 1, row[j - 1] + 1, replace});
      if (i > 1 && j > 1 && a[ai - 1] == b[j - 2] && a[ai - 2] == b[j - 1])
        row[j] = std::min(row[j], before[j - 2] + 1);
      least = std::min(least, row[j]);
    }
    // An exchange reaches two rows back, so one row beyond the limit is not yet enough.
    if (least > limit + 1) return limit + 1;
    before.swap(above);
    above.swap(row);
  }
  return std::min(above[b.size()], limit + 1);
}

std::string_view nearest(std::string_view wanted, std::span<const std::string_view> candidates) {
  const std::string plain = lowered(wanted);
  int least = tolerance(wanted) + 1;
  std::string_view best;
  for (const std::string_view candidate : candidates) {
    if (candidate.empty()) continue;
    const int distance = edit_distance(plain, lowered(candidate), least);
    if (distance < least || (distance == least && !best.empty() && candidate < best)) {
      least = distance;
      best = candidate;
    }
  }
  return best;
}

std::string_view surely_named(std::string_view wanted, std::span<const std::string_view> candidates) {
  const std::string plain = folded(wanted);
  std::string_view only;
  for (const std::string_view candidate : candidates) {
    if (folded(candidate) != plain || candidate == only) continue;
    if (!only.empty()) return {};
    only = candidate;
  }
  return only;
}

std::string_view surely_meant(std::string_view wanted, std::span<const std::string_view> candidates) {
  if (const std::string_view same = surely_named(wanted, candidates); !same.empty()) return same;
  constexpr size_t least_letters = 5;
  constexpr int too_near = 2;
  const std::string plain = folded(wanted);
  std::string_view only;
  for (const std::string_view candidate : candidates) {
    const int distance = edit_distance(plain, folded(candidate), too_near);
    if (distance > too_near || candidate == only) continue;
    if (distance != 1 || !only.empty()) return {};
    only = candidate;
  }
  const bool is_long = std::min(wanted.size(), only.size()) >= least_letters;
  return is_long && !has_digit(wanted) && !has_digit(only) ? only : std::string_view();
}

}  // namespace loomproof
