// Writing the generated folder, and saying whether it is up to date. The only place above the tools that writes files.
//
// What it promises:
// - Nothing outside the folder is touched, and no symbolic link in it is followed.
// - A file is there whole, as it was or as it becomes. Everything is first written aside, so that a full disk or a
// folder
//   that cannot be written leaves all as it was.
// - A file that this program did not write is neither overwritten nor removed. What it wrote is listed in `.manifest`;
// of
//   that, what the plan no longer has is removed where it still is as it was written, and otherwise kept and reported.
// - A file that already has the right bytes is not touched.
// - One writer at a time; a second waits for the first.
// It does not force anything onto the disk: after a power cut, build again.
#pragma once
#include <chrono>
#include <string>
#include <vector>

#include "emit/plan.h"

namespace loomproof::emit {

inline constexpr std::chrono::milliseconds default_wait{30'000};

struct Written {
  size_t written = 0, unchanged = 0, removed = 0;
  std::vector<std::string> kept;  // no longer wanted, but changed since by somebody: left alone
};
// Throws EnvironmentError with one line where the folder cannot be written, holds a file of somebody else's in the
// place of one of the plan's, or is being written by another for longer than `wait`. Then nothing is left aside.
Written write(const Plan& plan, const std::string& folder, std::chrono::milliseconds wait = default_wait);

struct Outdated {
  std::vector<std::string> missing, differs, stale;  // paths below the folder, sorted; stale: listed, no longer wanted
  bool is_clean() const { return missing.empty() && differs.empty() && stale.empty(); }
};
// Writes nothing. A folder that is not there misses everything.
Outdated verify(const Plan& plan, const std::string& folder, std::chrono::milliseconds wait = default_wait);

}  // namespace loomproof::emit
