// The job file on disk. A change is written beside the file, brought to the disk and put in its place in one step, so
// that a power cut leaves the file as it was or as it becomes. Throws EnvironmentError with one line that names the
// path.
#pragma once
#include <string>
#include <string_view>

namespace loomproof::job {

std::string load(const std::string& path);
// Puts the row of a reading behind the last. The file is read anew, so that what was written by hand meanwhile stays.
void append(const std::string& path, std::string_view row);
// Takes back the last reading that counts: marks its row as mistaken. False where there is none.
bool take_back_last(const std::string& path);

}  // namespace loomproof::job
