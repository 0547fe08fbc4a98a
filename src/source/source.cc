#include "source/source.h"

#include <algorithm>
#include <cstring>

namespace loomproof {

SourceFile::SourceFile(std::string path, std::string bytes) : path_(std::move(path)), bytes_(std::move(bytes)) {}

const std::vector<uint32_t>& SourceFile::lines() const {
  std::call_once(once_, [this] {
    lines_.push_back(bytes_.starts_with("\xEF\xBB\xBF") ? 3 : 0);
    const char* const begin = bytes_.data();
    const char* const end = begin + bytes_.size();
    for (const char* p = begin; p < end;) {
      p = static_cast<const char*>(std::memchr(p, '\n', static_cast<size_t>(end - p)));
      if (p == nullptr) break;
      lines_.push_back(static_cast<uint32_t>(++p - begin));
    }
  });
  return lines_;
}

LineColumn SourceFile::at(uint32_t offset) const {
  const auto& starts = lines();
  offset = std::min(offset, static_cast<uint32_t>(bytes_.size()));
  offset = std::max(offset, starts.front());
  const auto next = std::upper_bound(starts.begin(), starts.end(), offset);
  const auto index = static_cast<uint32_t>(next - starts.begin()) - 1;
  return {index + 1, offset - starts[index] + 1};
}

uint32_t SourceFile::line_begin(uint32_t line) const {
  const auto& starts = lines();
  return line >= 1 && line <= starts.size() ? starts[line - 1] : static_cast<uint32_t>(bytes_.size());
}

std::string_view SourceFile::line(uint32_t line) const {
  const auto& starts = lines();
  if (line < 1 || line > starts.size()) return {};
  const uint32_t begin = starts[line - 1];
  const uint32_t end = line < starts.size() ? starts[line] - 1 : static_cast<uint32_t>(bytes_.size());
  std::string_view text = std::string_view(bytes_).substr(begin, end - begin);
  if (!text.empty() && text.back() == '\r') text.remove_suffix(1);
  return text;
}

FileId Sources::add(std::string path, std::string bytes) {
  files_.push_back(std::make_unique<SourceFile>(std::move(path), std::move(bytes)));
  return static_cast<FileId>(files_.size() - 1);
}

}  // namespace loomproof
