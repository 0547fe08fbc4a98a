// Places in corpus text. A Span is a byte range of one file; lines and columns are worked out only
// when something is printed. Columns count bytes from 1 (a tab is one column), as editors' "byte
// column" and SARIF's default do not agree on anything better. A byte order mark belongs to no line.
#pragma once
#include <cstdint>
#include <memory>
#include <mutex>
#include <string>
#include <string_view>
#include <vector>

namespace loomproof {

using FileId = uint32_t;
inline constexpr FileId no_file = ~0u;

struct Span {
  FileId file = no_file;
  uint32_t begin = 0;  // byte offset of the first byte
  uint32_t end = 0;    // one past the last byte; begin == end marks a point
  bool known() const { return file != no_file; }
  bool operator==(const Span&) const = default;
};

struct LineColumn {
  uint32_t line = 1;    // from 1
  uint32_t column = 1;  // bytes, from 1
};

// One file's bytes, kept for the whole run so that spans and string_views stay good.
class SourceFile {
 public:
  SourceFile(std::string path, std::string bytes);
  const std::string& path() const { return path_; }  // as shown: relative to the corpus, with '/'
  std::string_view bytes() const { return bytes_; }
  LineColumn at(uint32_t offset) const;        // the line table is built at the first call (thread safe)
  std::string_view line(uint32_t line) const;  // without its line end; empty beyond the last line
  uint32_t line_begin(uint32_t line) const;    // offset of its first byte

 private:
  const std::vector<uint32_t>& lines() const;
  std::string path_;
  std::string bytes_;
  mutable std::vector<uint32_t> lines_;
  mutable std::once_flag once_;
};

// Every file of a run, in the order of their paths. FileId is the index.
class Sources {
 public:
  FileId add(std::string path, std::string bytes);
  const SourceFile& file(FileId id) const { return *files_[id]; }
  size_t size() const { return files_.size(); }

 private:
  std::vector<std::unique_ptr<SourceFile>> files_;
};

}  // namespace loomproof
